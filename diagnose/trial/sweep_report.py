"""What a sweep says, as numbers for a table, JSON and a page."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import fmean
from typing import Final

from diagnose.trial.policies import BEST, HALFSPLIT, TABLE
from diagnose.trial.sweep import Result

WORST: Final = 20
"""Cases whose stories are told."""
SINGLES, PAIRED = "single faults", "pairs"
FOUND: Final = {SINGLES: 0.97, PAIRED: 0.90}
"""The share of each kind that is to be found."""


@dataclass(frozen=True)
class Row:
    """One policy on one kind of case."""

    policy: str
    cured: float
    """Share put right and proved."""
    found: float
    """Share put right and proved without opening the vessel for nothing."""
    guessed: float
    """Share in which the first thing that was put right was one that was wrong."""
    checks: float
    minutes: float
    wrong: float
    """Repairs of what was sound, a case."""


@dataclass(frozen=True)
class Kind:
    """Singles or pairs."""

    name: str
    cases: int
    silent: int
    """Those in which the plant shows nothing to complain of; left out of everything else."""
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class Bar:
    """A bar, and what was reached."""

    name: str
    wanted: float
    reached: float
    at_most: bool = False

    @property
    def met(self) -> bool:
        """Whether it was reached."""
        return self.reached <= self.wanted if self.at_most else self.reached >= self.wanted


@dataclass(frozen=True)
class Report:
    """A whole sweep."""

    kinds: tuple[Kind, ...]
    bars: tuple[Bar, ...]
    worst: tuple[Result, ...]
    """The cases in which halfsplit lost most against the clairvoyant, not found ones first."""
    missed: tuple[tuple[str, int, int], ...]
    """(fault, times not found, times looked for) of the single faults that were not always found."""


def report(results: Iterable[Result]) -> Report:
    """What a sweep says, in whatever order the results come; `ValueError` when nothing was looked for."""
    every = sorted(results, key=lambda result: result.trial.key)
    worked = [result for result in every if result.complaint]
    if not worked:
        raise ValueError("no case of the sweep gives ground for a complaint")
    kinds = tuple(kind for kind in (_kind(SINGLES, every, 1), _kind(PAIRED, every, 2)) if kind.cases)
    return Report(kinds, _bars(kinds), _worst(worked), _missed(worked))


def _kind(name: str, results: Sequence[Result], size: int) -> Kind:
    here = [result for result in results if len(result.trial.faults) == size]
    worked = [result for result in here if result.complaint]
    policies = list(worked[0].bills) if worked else []
    rows = tuple(_row(policy, worked) for policy in policies)
    return Kind(name, len(worked), len(here) - len(worked), rows)


def _row(policy: str, worked: Sequence[Result]) -> Row:
    bills = [result.bills[policy] for result in worked]
    names = [{fault for fault, _ in result.trial.faults} for result in worked]
    return Row(
        policy,
        fmean(bill.ended == "cured" for bill in bills),
        fmean(bill.ended == "cured" and not bill.wrong_open for bill in bills),
        fmean(bill.first_guess in faults for bill, faults in zip(bills, names, strict=True)),
        fmean(bill.checks for bill in bills),
        fmean(bill.minutes for bill in bills),
        fmean(bill.wrong for bill in bills),
    )


def _bars(kinds: Sequence[Kind]) -> tuple[Bar, ...]:
    bars = []
    for kind in kinds:
        rows = {row.policy: row for row in kind.rows}
        own = rows[HALFSPLIT]
        bars += [
            Bar(f"{kind.name} found", FOUND[kind.name], own.found),
            Bar(f"{kind.name}: minutes over the fixed table's", 0.5, own.minutes / rows[TABLE].minutes, True),
            Bar(f"{kind.name}: minutes over the clairvoyant's", 1.6, own.minutes / rows[BEST].minutes, True),
        ]
    return tuple(bars)


def _lost(result: Result) -> tuple[bool, float, str]:
    over = result.bills[HALFSPLIT].minutes - result.bills[BEST].minutes
    return result.found, -over, result.trial.key


def _worst(worked: Sequence[Result]) -> tuple[Result, ...]:
    return tuple(sorted(worked, key=_lost)[:WORST])


def _missed(worked: Sequence[Result]) -> tuple[tuple[str, int, int], ...]:
    tally: dict[str, list[bool]] = {}
    for result in worked:
        if len(result.trial.faults) == 1:
            tally.setdefault(result.trial.faults[0][0], []).append(result.found)
    missed = [(fault, found.count(False), len(found)) for fault, found in tally.items() if not all(found)]
    return tuple(sorted(missed, key=lambda row: (-row[1] / row[2], row[0])))


def minutes_by_complaint(results: Iterable[Result]) -> dict[str, float]:
    """Halfsplit's mean minutes for each complaint that was called about, by name."""
    minutes: dict[str, list[float]] = {}
    for result in results:
        if result.complaint:
            minutes.setdefault(result.complaint, []).append(result.bills[HALFSPLIT].minutes)
    return {name: fmean(some) for name, some in sorted(minutes.items())}
