"""Three looks: black on white for sunlight, light on black for the dark, and the terminal's own colours.

Text of the first two has 7:1 contrast or more. Nothing is told by colour alone: what stands out is bold or
reversed, so that the third, and a terminal without colours, tell as much.
"""

from typing import Final

from textual.theme import Theme

SUN: Final = Theme(
    name="sun",
    primary="#003366",
    secondary="#003366",
    accent="#003366",
    foreground="#000000",
    background="#ffffff",
    surface="#ffffff",
    panel="#e8e8e8",
    warning="#5c2e00",
    error="#7a0000",
    success="#004400",
    dark=False,
)
NIGHT: Final = Theme(
    name="night",
    primary="#9cc9ff",
    secondary="#9cc9ff",
    accent="#9cc9ff",
    foreground="#f0f0f0",
    background="#000000",
    surface="#000000",
    panel="#202020",
    warning="#ffd27f",
    error="#ffb0b0",
    success="#a8f0a8",
    dark=True,
)
OWN: Final = "ansi_default"
TERMINAL: Final = Theme(
    name="terminal",
    primary=OWN,
    secondary=OWN,
    accent=OWN,
    foreground=OWN,
    background=OWN,
    surface=OWN,
    panel=OWN,
    boost=OWN,
    warning=OWN,
    error=OWN,
    success=OWN,
    dark=True,
    ansi=True,
    variables=dict.fromkeys(
        (
            "ansi-background",
            "ansi-foreground",
            "border-blurred",
            "block-cursor-foreground",
            "block-cursor-background",
            "input-cursor-background",
            "input-cursor-foreground",
            "input-selection-background",
            "input-selection-foreground",
            "screen-selection-background",
            "screen-selection-foreground",
        ),
        OWN,
    )
    | {"input-cursor-text-style": "reverse"},
)
"""No colour at all: the terminal's own letters on its own ground."""
THEMES: Final = {theme.name: theme for theme in (SUN, NIGHT, TERMINAL)}


def next_theme(name: str) -> str:
    """The theme that comes after one.

    >>> next_theme("sun"), next_theme("terminal")
    ('night', 'sun')
    """
    names = list(THEMES)
    return names[(names.index(name) + 1) % len(names)]
