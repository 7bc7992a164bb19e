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

LIST_ABOUT: Final = (
    "Each callout stands with its caller, its unit, how long it has been open, how near its trip it is, the "
    "last answer, and what is awaited.",
    "Callouts are worked out side by side. What was typed in one is still there when you come back to it.",
    "A message to a hand who reads is shown, and it is always in the file that is named.",
)
