"""What `?` says at the desk."""

from typing import Final

DESK_WORDS: Final = (
    ("list", "all callouts on the desk: who, what is awaited, how near the trip"),
    ("take 2, or 2 at the list", "go on with callout 2"),
    ("new SHEET for NAME", "a new callout; the sheet and the name can be left out"),
    ("text", "the question as a text message, also in a file"),
    ("lang es", "speak Spanish to the callers; lang en: English"),
    ("out 2 FILE", "hand callout 2 over: it goes into a file"),
    ("in FILE", "take in what was handed over"),
    ("q", "from a callout back to the list; at the list it leaves. Everything is saved"),
    ("? in a callout", "what can be typed as an answer; desk? shows these lines"),
)
"""For the line mode."""

LIST_KEYS: Final = (
    ("1 to 9", "take that callout"),
    ("F1 to F9", "take that callout from any page, also in the middle of typing"),
    ("Up, Down, Enter", "move the mark to a callout, and take it"),
    ("Tab", "from a callout to this list, and back again; nothing typed is lost"),
    ("n", "a new callout: which unit, who calls"),
    ("o", "hand the marked callout over: it goes into a file"),
    ("i", "take in what was handed over, from a file"),
    ("s", "speak Spanish or English to the callers"),
    ("t", "screen for sunlight, or for the dark"),
    ("q", "leave; everything is saved"),
)
CALLOUT_KEYS: Final = (
    ("Tab, or d", "the list of callouts; nothing typed is lost"),
    ("F1 to F9", "go to that callout"),
    ("h", "what to say if they hesitate, and how each answer may sound"),
    ("m", "the question as a text message: shown, copied, and in a file"),
    ("s", "speak Spanish or English to the callers"),
)
LIST_ABOUT: Final = (
    "Each callout stands with its caller, its unit, how long it has been open, how near its trip it is, the "
    "last answer, and what is awaited.",
    "Callouts are worked out side by side. What was typed in one is still there when you come back to it.",
    "A message to a hand who reads is shown, and it is always in the file that is named.",
)
