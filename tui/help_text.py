"""What `?` says, in both faces."""

from typing import Final

from diagnose.words import SAFETY

ABOUT: Final = (
    "One question at a time: the one that best splits what is left. Do what it says, look, and press the "
    "number of what you saw. If you cannot see it, press 0: that is a good answer too.",
    "A percent beside a fault is how likely it is, with all that was answered. +12 means that the last "
    "answer made it 12 points likelier. Two faults at once are possible, so the percents need not add up.",
    "Where in the loop: how much of the blame lies in each stretch, from the liquid to the pipe behind the "
    "valve.",
    "Every answer is saved before the next question comes. You can leave at any time and go on later.",
    SAFETY,
)

PLAIN_KEYS: Final = (
    ("1 to 9, or 0", "give that answer; its name or, where asked for, a reading with its unit does too"),
    ("2?", "answer 2, but not sure of it: it counts, but less"),
    ("/frost", "take what was just said without being asked: type it after the /, pick from the list"),
    ("v", "view: what the thing looks like; v words leaves the drawing out"),
    ("p", "write the callout as a page for the next one; the path is told"),
    ("g", "how the answers moved the likeliest faults; g 1 to g 5 draws the way of one of them"),
    ("u", "take the last answer back"),
    ("c", "change an earlier answer"),
    ("?", "this help"),
    ("q", "leave; everything is saved"),
)

SCREEN_KEYS: Final = (
    ("1 to 9, or 0", "give that answer at once"),
    ("Up, Down, Enter", "move the mark to an answer, and give it"),
    ("n", "not sure: the next answer counts, but less, and is marked 1?; n again: sure"),
    ("/", "take what was just said without being asked: type a word of it, pick from the list"),
    ("v", "view: what the thing looks like, where it is, what right and wrong look like"),
    ("p", "write the callout as a page for the next one; the path is told"),
    ("g", "how the answers moved the likeliest faults; there 1 to 5 draws the way of one of them"),
    ("u", "take the last answer back"),
    ("c", "change an earlier answer"),
    ("r", "type a reading with its unit, where one is asked for"),
    ("PgUp, PgDn", "scroll the question, when it is longer than its place"),
    ("t", "screen for sunlight, or for the dark"),
    ("?", "this help; Esc goes back"),
    ("q", "leave; everything is saved"),
)
