"""The short texts that reports and faces share: numbers for people, and the standing safety line."""

from typing import Final

SAFETY: Final = (
    "Site procedure, permits, local codes and licensed practice come first. A phone or a laptop can "
    "ignite gas. Never defeat a shutdown."
)
DEFER: Final = "Site procedure, permits and local codes come before this."
"""The safety line of a page on which something is done to the unit: short, as that page is full."""


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


ODDS: Final = (
    (0.01, "1 in 100"),
    (0.02, "1 in 50"),
    (1 / 30, "1 in 30"),
    (0.05, "1 in 20"),
    (1 / 15, "1 in 15"),
    (0.1, "1 in 10"),
    (1 / 7, "1 in 7"),
    (0.2, "1 in 5"),
    (0.25, "1 in 4"),
    (1 / 3, "1 in 3"),
    (0.4, "2 in 5"),
    (0.5, "1 in 2"),
    (0.6, "3 in 5"),
    (2 / 3, "2 in 3"),
    (0.7, "7 in 10"),
    (0.75, "3 in 4"),
    (0.8, "4 in 5"),
    (0.9, "9 in 10"),
    (0.95, "19 in 20"),
    (0.98, "49 in 50"),
)
"""A probability in words: so often in so many callouts that look like this one."""
HARDLY: Final = "hardly"
NEARLY_SURE: Final = "surely"


def odds_text(share: float) -> str:
    """The words for a probability: of `ODDS` the one nearest to it, never "never" and never "always".

    >>> odds_text(0.41), odds_text(0.11), odds_text(0.001), odds_text(0.999)
    ('2 in 5', '1 in 10', 'hardly', 'surely')
    """
    if share < ODDS[0][0] / 2:
        return HARDLY
    if share > (ODDS[-1][0] + 1) / 2:
        return NEARLY_SURE
    return min(ODDS, key=lambda row: abs(row[0] - share))[1]


SAYS_NOTHING: Final = "says hardly anything"
SPEAKS: Final = ((20.0, "very strongly"), (10.0, "strongly"), (5.0, "clearly"), (1.0, "a little"))
"""Decibans from which on a finding speaks so for or against a fault: 20 is a hundred times the odds, 10 ten
times, 5 three times, 1 a quarter more (judgement, no source)."""


def weight_text(decibans: float) -> str:
    """What a weight of evidence says, in words.

    >>> weight_text(12.0), weight_text(-6.0), weight_text(0.3)
    ('speaks strongly for it', 'speaks clearly against it', 'says hardly anything')
    """
    how = next((words for least, words in SPEAKS if abs(decibans) >= least), "")
    return f"speaks {how} {'for' if decibans > 0 else 'against'} it" if how else SAYS_NOTHING


LESS_THAN_ONE: Final = "under 1 min"


def minutes_text(minutes: float) -> str:
    """Minutes for people.

    >>> minutes_text(0.4), minutes_text(12.3), minutes_text(130)
    ('under 1 min', '12 min', '2 h 10 min')
    """
    if minutes < 1:
        return LESS_THAN_ONE
    whole = round(minutes)
    return f"{whole} min" if whole < 90 else f"{whole // 60} h {whole % 60:02d} min"


def reading_hint(unit: str) -> str:
    """How to type a reading."""
    return f"or the number with its unit, like 12 {unit}"
