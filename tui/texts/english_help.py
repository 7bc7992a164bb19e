"""What `?` says in English."""

from typing import Final

from diagnose.words import SAFETY
from tui.texts.kinds import HelpTexts

HELP: Final = HelpTexts(
    about=(
        "One question at a time: the one that best splits what is left. Do what it says, look, and press the "
        "number of what you saw. If you cannot see it, press 0: that is a good answer too.",
        "A percent beside a fault is how likely it is, with all that was answered. 1 in 5 means: in one of "
        "five "
        "callouts like this one it is there. +12 means that the last answer made it 12 points likelier. Two "
        "faults at once are possible, so the percents need not add up.",
        "The minutes to the trip are counted from what was said of it and from the sheet. Over 42 min: at "
        "least "
        "so long; under: at most so long. Tell it again when it changes: c, then that question.",
        "Where in the loop: how much of the blame lies in each stretch, from the liquid to the pipe behind "
        "the "
        "valve.",
        "Every answer is saved before the next question comes. You can leave at any time and go on later.",
        SAFETY,
    ),
    plain_keys=(
        ("1 to 9, or 0", "give that answer; its name or, where asked for, a reading with its unit does too"),
        ("2?", "answer 2, but not sure of it: it counts, but less"),
        ("/frost", "take what was just said without being asked: type it after the /, pick from the list"),
        ("v", "view: what the thing looks like; v words leaves the drawing out"),
        ("p", "write the callout as a page for the next one; the path is told"),
        ("f", "the likely faults; f 1 to f 5 tells all of one: for, against, repair"),
        ("w", "why this is asked, what each answer said, what would change the mind"),
        ("o", "at a repair: the whole job step by step, with the numbers of this unit"),
        ("x", "tick the next step as done; x 2 ticks step 2"),
        ("s", "the callout in short, saved as a text file too"),
        ("y", "at the end: prove now what was put right and not proved"),
        ("g", "how the answers moved the likeliest faults; g 1 to g 5 draws the way of one of them"),
        ("u", "take the last answer back"),
        ("c", "change an earlier answer"),
        ("?", "this help"),
        ("q", "leave; everything is saved"),
    ),
    keys={
        "take": "take that callout, the marked one by Enter",
        "callout": "go to that callout from any page, also in the middle of typing",
        "turn": "from a callout to the list, and back again; nothing typed is lost",
        "move": "move the mark to another callout",
        "new": "a new callout: which unit, who calls",
        "out": "hand the marked callout over: it goes into a file",
        "in": "take in what was handed over, from a file",
        "desk": "the list of callouts; nothing typed is lost",
        "sounds": "what to say if they hesitate, and how each answer may sound",
        "message": "the question as a text message: shown, copied, and in a file",
        "speak": "speak Spanish or English to the callers",
        "answer": "give that answer at once",
        "take_marked": "give the marked answer",
        "mark": "move the mark to another answer",
        "tick": "tick the next step as done; where there are none to tick, scroll",
        "page": "scroll the question, when it is longer than its place",
        "undo": "take the last answer, or the last tick, back",
        "change": "change an earlier answer",
        "reading": "type a reading with its unit, where one is asked for",
        "doubt": "not sure: the next answer counts, but less, and is marked 1?; n again: sure",
        "view": "view: what the thing looks like, where it is, what right and wrong look like",
        "volunteer": "take what was just said without being asked: type a word of it, pick from the list",
        "faults": "the likely faults with their whole names; 1 to 5 tells all of one: for, against, repair",
        "job": "at a repair: the whole job step by step, with the numbers of this unit",
        "why": "why this is asked, what each answer said, what would change the mind",
        "pictures": "how the answers moved the likeliest faults; there 1 to 5 draws the way of one of them",
        "hand_over": "write the callout as a page for the next one; the path is told",
        "save_text": "the callout in short: shown, and saved as a text file to paste or send",
        "prove": "at the end: prove now what was put right and not proved",
        "theme": "colours: for sunlight, for the dark, or the terminal's own",
        "help": "this help; Esc goes back",
        "leave": "leave; everything is saved",
    },
    names={
        "f1": "F1 to F9",
        "slash": "/",
        "question_mark": "?",
        "pagedown": "PgDn",
        "pageup": "PgUp",
        "escape": "Esc",
        "ctrl+c": "Ctrl+C",
        "space": "Space",
        "up": "Up",
        "down": "Down",
    },
    span="{first} to {last}",
)
