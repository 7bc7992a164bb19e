"""Two looks: black on white for sunlight, and light on black for the dark. Text has 7:1 contrast or more."""

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
