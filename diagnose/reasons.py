"""The numbers of an explanation as short sentences for a person at the unit."""

from collections.abc import Mapping
from itertools import product
from typing import Final

from diagnose.explain import Side, Turn, Unexplained
from diagnose.own_words import own
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
    return own(
        book,
        "If “{asked}” were “{answer}” ({chance}), it would be “{title}”, {probability}.",
        asked=book.question(turn.question).ask,
        answer=answer,
        chance=percent_text(turn.chance),
        title=titles[turn.cause],
        probability=percent_text(turn.probability),
    )


def unexplained_text(book: Book, share: Unexplained) -> str:
    """Whether the book explains what was seen; empty when it does."""
    if not share.beyond_the_book:
        return ""
    what = "The book does not explain this: {chance} that it comes from nothing that the book knows."
    return own(book, what, chance=percent_text(share.probability))


def check_reason(book: Book, titles: Titles, question: str, sides: tuple[Side, Side], saves: float) -> str:
    """Why a check is advised: what its answers speak for, how likely they are, and the minutes it saves.

    At most `LONGEST_REASON` characters: where titles are too long for that, sections stand in for causes,
    then the answers' words are left out, and then what it saves.
    """
    end = own(book, " Saves about {minutes}.", minutes=minutes_text(saves)) if saves >= 1 else ""
    labels = [f"{answer_label(book, question, side.answer)}, " for side in sides]
    chances = [percent_text(side.chance) for side in sides]
    spoken = [side for side in sides if side.cause]
    names = [_names(book, titles, side) for side in spoken]
    for answers, last in ((labels, end), (["", ""], end), (["", ""], "")):
        # Fewer replaced names first: (0, 0), then one of the two, then both.
        for picks in sorted(product(*(range(len(of_side)) for of_side in names)), key=sum):
            words = [of_side[k] for of_side, k in zip(names, picks, strict=True)]
            told = [f"{answer}{chance}" for answer, chance in zip(answers, chances, strict=True)]
            text = _parting(book, words, told, spoken == [sides[1]]) + last
            if len(text) <= LONGEST_REASON:
                return text
    return own(book, "Likeliest: {told}.{saves}", told=labels[0] + chances[0], saves=end)


def _parting(book: Book, words: list[str], told: list[str], second: bool) -> str:
    yes, no = told[::-1] if second else told
    if len(words) == 2:
        what = "Parts {one} ({yes}) from {other} ({no})."
        return own(book, what, one=words[0], yes=told[0], other=words[1], no=told[1])
    if words:
        return own(book, "Tells whether it is {one} ({yes}) or not ({no}).", one=words[0], yes=yes, no=no)
    return own(book, "Makes sure of what is thought already ({yes}; {no}).", yes=told[0], no=told[1])


def _names(book: Book, titles: Titles, side: Side) -> list[str]:
    """What a side speaks for: the best name first, then shorter ones."""
    cause, section = f"“{titles[side.cause]}”", own(book, "{section} faults", section=own(book, side.section))
    if not side.section:
        return [cause]
    return [section] if side.in_section else [cause, section]
