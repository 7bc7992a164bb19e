"""The time to the vessel's trip in words: a short one for the top line, and what to do as it gets short."""

import math
from typing import Final

from diagnose.trip import MARKS, Left
from diagnose.words import minutes_text

DUE: Final = "TRIP DUE"
ASK_AGAIN: Final = "trip: ask again"
TO_DO: Final = (
    "",
    "Tell the person who runs the vessel. Make ready to bypass it or cut its inflow, by site procedure.",
    "Get it on its bypass or cut its inflow now, by site procedure, with somebody at the glass.",
    "Bypass it or shut it in, by site procedure, before anything else. Never hold off a trip.",
    "Look at the glass now. Bypass it or shut it in, by site procedure. Leave a trip that has acted alone.",
)
"""What to do once so many marks are passed."""
SAY_AGAIN: Final = "How near is the trip now? Tell it again: c, then that question."


def trip_short(left: Left) -> str:
    """The minutes left, for the top line.

    >>> trip_short(Left(41.5, "under", 0)), trip_short(Left(-2, "about", 4)), trip_short(Left(-2, "over", 4))
    ('trip: under 42 min', 'TRIP DUE', 'trip: ask again')
    >>> trip_short(Left(0.5, "over", 3)), trip_short(Left(0.5, "about", 3))
    ('trip: ask again', 'trip: about under 1 min')
    """
    if left.bound == "over" and whole_minutes(left) < 1:
        return ASK_AGAIN
    return DUE if left.minutes <= 0 else f"trip: {left.bound} {minutes_text(whole_minutes(left))}"


def trip_warning(left: Left) -> str:
    """What to do about it; empty while there is time."""
    if not left.mark:
        return ""
    if left.bound == "over":
        return SAY_AGAIN if left.mark == len(MARKS) else ""
    if left.minutes <= 0:
        return f"THE TRIP IS DUE. {TO_DO[-1]}"
    return f"Trip in {left.bound} {minutes_text(whole_minutes(left))}. {TO_DO[left.mark]}"


def whole_minutes(left: Left) -> int:
    """Whole minutes that are true of the bound: down for "over" and "about", up for "under".

    >>> [whole_minutes(Left(41.5, bound, 0)) for bound in ("over", "about", "under")]
    [41, 41, 42]
    """
    return math.ceil(left.minutes) if left.bound == "under" else math.floor(left.minutes)
