"""A simulated unit that is called about: it answers what it is asked, with the slips that people make."""

from collections.abc import Collection, Mapping
from dataclasses import replace
from itertools import combinations
from statistics import NormalDist
from typing import Final

from diagnose.calculators.gauge import standard_deviation
from diagnose.events import COULD_NOT_TELL
from diagnose.readings import judge
from diagnose.sheet import quantities_of, told_quantities
from diagnose.trial.case import Case
from diagnose.trial.complaints import complaints
from diagnose.trial.eyes import EYES
from diagnose.units import from_si
from knowledge.book import Book

SLIP: Final = 0.02
"""Chance that a look or a feel is told wrong (judgement, no source)."""
LOOKS_FIRST: Final = 0.7
"""Chance that a hand who is told to mend a part that is sound sees that it is sound (judgement)."""
SIGN_FACTS: Final[Mapping[str, tuple[str, str, str]]] = {
    "weather": ("freezing", "freezing", "mild"),
    "recent_work": ("recent_work", "worked_on", "untouched"),
}
"""Facts that the day tells and no sheet: the sign, the value with it, and the value without."""

RELIEVES: Final[Mapping[str, frozenset[str]]] = {
    "pilot_gummed": frozenset({"supply_dirty_gas", "supply_oil_glycol", "supply_wrong_point"}),
}
"""Repairs that put right what another fault did: a cleaned pilot works until the gas gums it again."""


class RigUnit:
    """One unit of the rig. Mending its faults is all that changes it, and each repair of a fault holds."""

    def __init__(
        self,
        book: Book,
        case: Case,
        facts: Mapping[str, str],
        slips: bool = True,
        cases: dict[frozenset[str], Case] | None = None,
    ) -> None:
        """``facts``: what the unit's sheet says, for the questions that ask for it. ``slips``: whether
        people misread at times; gauges err in any case. ``cases``: the same unit with fewer faults, by those
        that are left, where several work on the same one."""
        self.book, self.case, self.facts, self._slips = book, case, facts, slips
        self._quantities = quantities_of(book, told_quantities(book, case.values))
        self._first = case
        self._cases = {frozenset(case.faults): case} if cases is None else cases

    @property
    def faults(self) -> frozenset[str]:
        """The faults that are there now."""
        return frozenset(self.case.faults)

    def draw(self, *key: object) -> float:
        """A number from 0 to 1, always the same for the same unit as it was called about and key."""
        return self._first.draw(*key)

    def shows(self, question: str, epoch: int, look: int = 0) -> tuple[str, str]:
        """What a hand tells; the same within an epoch at each of its looks."""
        if question in self.book.facts:
            return self._fact(question), ""
        seen = EYES[question](self.case) if question in EYES else COULD_NOT_TELL
        check = self.book.checks[question]
        if isinstance(seen, float):
            assert check.reading is not None
            text = self._read(seen, check.reading.unit, question)
            return judge(check.reading, text, self._quantities).outcome, text
        if self._slips and self.draw("slip", question, epoch, look) < SLIP:
            others = [name for name in check.outcomes if name != seen]
            seen = others[int(self.draw("slipped to", question, epoch, look) * len(others))]
        return seen, ""

    def _fact(self, fact: str) -> str:
        if fact in SIGN_FACTS:
            sign, there, else_there = SIGN_FACTS[fact]
            return there if self._first.sees(sign) else else_there
        return self.facts.get(fact, COULD_NOT_TELL)

    def _read(self, pressure: float, unit: str, question: str) -> str:
        """What is read off a gauge, to a whole unit; the same gauge errs the same way at each look."""
        gauge = self.book.checks[question].reading
        assert gauge is not None
        true = from_si(pressure, unit)
        if gauge.gauge:
            span = self._quantities[gauge.gauge.span]
            sigma = standard_deviation(min(max(true, 0.0), span), span, gauge.gauge.grade)
            true += sigma * NormalDist().inv_cdf(min(max(self.draw("gauge", question), 1e-6), 1 - 1e-6))
        return f"{max(round(true), 0)} {unit}"

    def mend(self, cause: str) -> str:
        """Put a cause right; what the same work puts right is put right with it."""
        same, relieved = self.book.causes[cause].same_repair_as, RELIEVES.get(cause, frozenset())
        mended = {n for n in self.faults if n in (cause, same) or self._same(n) == cause or n in relieved}
        if not mended:
            return "in_order" if self.draw("sound", cause) < LOOKS_FIRST else "done"
        self.case = self._without(mended)
        return "done"

    def _without(self, mended: Collection[str]) -> Case:
        """The same unit without some of its faults."""
        left = {name: how for name, how in self.case.faults.items() if name not in mended}
        return self._cases.setdefault(frozenset(left), replace(self.case, faults=left))

    def _same(self, fault: str) -> str | None:
        return self.book.causes[fault].same_repair_as

    def complains(self, first: str, epoch: int) -> str:
        """What is complained of now: the first complaint while it lasts, else the worst; "" when cured."""
        there = complaints(self.case)
        return first if first in there else next(iter(there), "")

    def repairs_to_cure(self) -> list[list[str]]:
        """Every least set of faults without which nothing is complained of."""
        names = sorted(self.case.faults)
        found: list[set[str]] = []
        for size in range(len(names) + 1):
            for some in map(set, combinations(names, size)):
                if not any(less <= some for less in found) and not complaints(self._without(some)):
                    found.append(some)
        return [sorted(some) for some in found]
