"""From a store of callouts to what one unit's next callout can learn from it."""

import json
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass
from datetime import datetime
from functools import cached_property
from typing import Final

from sqlalchemy import delete, insert, select

from diagnose.history.everywhere import Everywhere, everywhere_of, from_text, kept_text
from diagnose.history.expected import Expected
from diagnose.history.ledger import Ledger
from diagnose.history.ledger_tables import POOL
from diagnose.history.rates import UnitRates, learned_of, unit_rates
from diagnose.history.tally import tally
from diagnose.history.trouble import NotSaved
from diagnose.history.work import Minutes, Takes, minutes_of, takes_of
from diagnose.learned import Learned

GROWTH: Final = 0.05
"""Share by which the callouts must have grown before all sites are reckoned anew."""
QUICK: Final = 5000
"""Callouts up to which reckoning all sites anew keeps nobody waiting."""
TIMED: Final = 5000
"""Newest callouts from which minutes and the odds of repairs are learned."""
AT_ONCE: Final = 50
"""Callouts that wait which are read before one that begins: more would keep its first question waiting."""


@dataclass(frozen=True)
class Taught:
    """What all sites together teach."""

    everywhere: Everywhere
    minutes: Sequence[Minutes]
    takes: Sequence[Takes]


class Teacher:
    """Learns from one ledger, at one moment."""

    def __init__(self, ledger: Ledger, patient: bool = True) -> None:
        """``patient``: whether all sites are reckoned anew when they have grown, however long it takes."""
        self.ledger = ledger
        self._patient = patient
        self.now = datetime.fromisoformat(ledger.history.clock())
        self.expected = Expected(ledger.book)

    def unit(self, site: str, unit: str, facts: Mapping[str, str]) -> UnitRates:
        """The rates of a unit that so much is known of."""
        sums = self.ledger.sums(self.now, site, unit)
        own = tally(self.expected, sums.by_facts, sums.by_cause)
        return unit_rates(self.expected, self.taught.everywhere, own, (site, unit), facts)

    def learned(self, site: str, unit: str, facts: Mapping[str, str]) -> Learned:
        """What a callout on that unit begins with."""
        return learned_of(self.unit(site, unit, facts), self.taught.minutes, self.taught.takes)

    @cached_property
    def taught(self) -> Taught:
        """All sites together, as they were kept or made anew."""
        count = self.ledger.count()
        return self._kept(count) or self._anew(count)

    def _kept(self, count: int) -> Taught | None:
        query = select(POOL.c.callouts, POOL.c.body).where(POOL.c.book == self.ledger.book.digest)
        with self.ledger.history.reading() as connection:
            found = connection.execute(query).first()
        if found is None:
            return None
        grown = not found.callouts <= count <= found.callouts * (1 + GROWTH)
        if grown and (self._patient or count <= QUICK):
            return None
        body = json.loads(found.body)
        return Taught(
            from_text(body["everywhere"]),
            [Minutes(**step) for step in body["minutes"]],
            [Takes(**repair) for repair in body["takes"]],
        )

    def _anew(self, count: int) -> Taught:
        sums = self.ledger.sums(self.now)
        newest, book = self.ledger.callouts(newest=TIMED), self.ledger.book
        taught = Taught(
            everywhere_of(tally(self.expected, sums.by_facts, sums.by_cause)),
            minutes_of(book, newest, self.now),
            takes_of(book, newest, self.now),
        )
        body = {
            "everywhere": kept_text(taught.everywhere),
            "minutes": [asdict(step) for step in taught.minutes],
            "takes": [asdict(repair) for repair in taught.takes],
        }
        # It saves time and nothing else: a store that cannot be written to is read all the same.
        with suppress(NotSaved), self.ledger.history.writing() as connection:
            connection.execute(delete(POOL).where(POOL.c.book == book.digest))
            connection.execute(insert(POOL).values(book=book.digest, callouts=count, body=json.dumps(body)))
        return taught


def teacher_of(
    ledger: Ledger, most: int | None = AT_ONCE, told: Callable[[int], None] = lambda done: None
) -> Teacher:
    """A teacher who has read the callouts that waited, ``most`` of them at most; see `Ledger.catch_up`."""
    with suppress(NotSaved):
        ledger.catch_up(most, told)
    return Teacher(ledger, patient=most is None)
