"""The time to the vessel's trip in words: a short one for the top line, and what to do as it gets short."""

import math

from diagnose.own_words import said
from diagnose.trip import MARKS, Left
from diagnose.words import minutes_text
from tui.texts import texts_in
from tui.texts.kinds import TripTexts


def trip_short(left: Left, language: str = "en") -> str:
    """The minutes left, for the top line.

    >>> trip_short(Left(41.5, "under", 0)), trip_short(Left(-2, "about", 4)), trip_short(Left(-2, "over", 4))
    ('trip: under 42 min', 'TRIP DUE', 'trip: ask again')
    >>> trip_short(Left(0.5, "over", 3)), trip_short(Left(0.5, "about", 3))
    ('trip: ask again', 'trip: about under 1 min')
    """
    texts = texts_in(language).trip
    if left.bound == "over" and whole_minutes(left) < 1:
        return texts.ask_again
    return texts.due if left.minutes <= 0 else texts.short.format(**_time(left, texts, language))


def trip_warning(left: Left, language: str = "en") -> str:
    """What to do about it; empty while there is time."""
    texts = texts_in(language).trip
    if not left.mark:
        return ""
    if left.bound == "over":
        return texts.say_again if left.mark == len(MARKS) else ""
    if left.minutes <= 0:
        return texts.is_due.format(what=texts.to_do[-1])
    return texts.in_time.format(**_time(left, texts, language), what=texts.to_do[left.mark])


def _time(left: Left, texts: TripTexts, language: str) -> dict[str, str]:
    minutes = said(language, minutes_text(whole_minutes(left)))
    return {"bound": texts.bounds[left.bound], "minutes": minutes}


def whole_minutes(left: Left) -> int:
    """Whole minutes that are true of the bound: down for "over" and "about", up for "under".

    >>> [whole_minutes(Left(41.5, bound, 0)) for bound in ("over", "about", "under")]
    [41, 41, 42]
    """
    return math.ceil(left.minutes) if left.bound == "under" else math.floor(left.minutes)
