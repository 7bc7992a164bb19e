"""The numbers of an explanation as short sentences for a person at the unit."""

from collections.abc import Mapping
from itertools import product
from typing import Final

from diagnose.explain import Side, Turn, Unexplained
from diagnose.paths import Chain
from diagnose.wording import answer_label
from diagnose.words import minutes_text, percent_text
from knowledge.book import Book

LONGEST_REASON: Final = 160
"""Characters of the reason for a check: what is read at a glance on two lines of a terminal."""
ARROW: Final = " -> "

Titles = Mapping[str, str]


def chain_text(book: Book, titles: Titles, chain: Chain) -> str:
    """The way from the cause to the complaint, in the words of the book's titles.

    "Pilot vent blocked -> the output cannot vent down -> ... -> the level stays high and no liquid leaves."
    """
    first, *rest = chain.nodes
    words = [titles.get(first) or book.conditions[first].title]
    words += [_inside(book.conditions[name].title) for name in rest]
    return ARROW.join(words) + "."


def _inside(title: str) -> str:
    """A title as it stands inside a sentence.

    >>> _inside("No supply"), _inside("HIGH level")
    ('no supply', 'HIGH level')
    """
    return title if title[1:2].isupper() else title[:1].lower() + title[1:]


def turn_text(book: Book, titles: Titles, turn: Turn) -> str:
    """What would change the mind."""
    answer = answer_label(book, turn.question, turn.answer)
    return (
        f"If “{book.question(turn.question).ask}” were “{answer}” ({percent_text(turn.chance)}), "
        f"it would be “{titles[turn.cause]}”, {percent_text(turn.probability)}."
    )


def unexplained_text(share: Unexplained) -> str:
    """Whether the book explains what was seen; empty when it does."""
    if not share.beyond_the_book:
        return ""
    return (
        "The book does not explain this: "
        f"{percent_text(share.probability)} that it comes from nothing that the book knows."
    )


def check_reason(book: Book, titles: Titles, question: str, sides: tuple[Side, Side], saves: float) -> str:
    """Why a check is advised: what its answers speak for, how likely they are, and the minutes it saves.

    At most `LONGEST_REASON` characters: where titles are too long for that, sections stand in for causes,
    then the answers' words are left out, and then what it saves.
    """
    end = f" Saves about {minutes_text(saves)}." if saves >= 1 else ""
    labels = [f"{answer_label(book, question, side.answer)}, " for side in sides]
    chances = [percent_text(side.chance) for side in sides]
    spoken = [side for side in sides if side.cause]
    names = [_names(titles, side) for side in spoken]
    for answers, last in ((labels, end), (["", ""], end), (["", ""], "")):
        # Fewer replaced names first: (0, 0), then one of the two, then both.
        for picks in sorted(product(*(range(len(own)) for own in names)), key=sum):
            words = [own[k] for own, k in zip(names, picks, strict=True)]
            told = [f"{answer}{chance}" for answer, chance in zip(answers, chances, strict=True)]
            text = _parting(words, told, spoken == [sides[1]]) + last
            if len(text) <= LONGEST_REASON:
                return text
    return f"Likeliest: {labels[0]}{chances[0]}.{end}"


def _parting(words: list[str], told: list[str], second: bool) -> str:
    if len(words) == 2:
        return f"Parts {words[0]} ({told[0]}) from {words[1]} ({told[1]})."
    if words:
        yes, no = told[::-1] if second else told
        return f"Tells whether it is {words[0]} ({yes}) or not ({no})."
    return f"Makes sure of what is thought already ({told[0]}; {told[1]})."


def _names(titles: Titles, side: Side) -> list[str]:
    """What a side speaks for: the best name first, then shorter ones."""
    cause, section = f"“{titles[side.cause]}”", f"{side.section} faults"
    if not side.section:
        return [cause]
    return [section] if side.in_section else [cause, section]
