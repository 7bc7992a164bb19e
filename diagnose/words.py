"""The short texts that reports and faces share: numbers for people, and the standing safety line."""

from typing import Final

SAFETY: Final = (
    "Site procedure, permits, local codes and licensed practice come first. A phone or a laptop can "
    "ignite gas. Never defeat a shutdown."
)


SKILLS: Final = {
    "hand": "any hand",
    "mechanic": "a mechanic who sets up controllers and valves",
    "specialist": "a specialist, licensed or called for it",
}
"""Who can do a job, by the book's word for it."""


def percent_text(share: float) -> str:
    """A probability for people: whole percent, and never a bare 0 % or 100 %.

    >>> percent_text(0.412), percent_text(0.001), percent_text(0.999)
    ('41%', '<1%', '>99%')
    """
    if share < 0.01:
        return "<1%"
    return ">99%" if share > 0.99 else f"{share * 100:.0f}%"


def minutes_text(minutes: float) -> str:
    """Minutes for people.

    >>> minutes_text(0.4), minutes_text(12.3), minutes_text(130)
    ('under 1 min', '12 min', '2 h 10 min')
    """
    if minutes < 1:
        return "under 1 min"
    whole = round(minutes)
    return f"{whole} min" if whole < 90 else f"{whole // 60} h {whole % 60:02d} min"


def reading_hint(unit: str) -> str:
    """How to type a reading."""
    return f"or the number with its unit, like 12 {unit}"


def rests_on_text(here: int, everywhere: int, callouts: int) -> str:
    """What a rate rests on: callouts of this cause on this unit and in all, of so many callouts.

    >>> rests_on_text(3, 41, 900), rests_on_text(0, 0, 900), rests_on_text(0, 0, 0)
    ('3 here, 41 in all', 'none in 900 callouts', 'book only')
    """
    if not callouts:
        return "book only"
    return f"{here} here, {everywhere} in all" if everywhere else f"none in {callouts} callouts"
