"""Policies against the best of all: ``python -m tests.bench.policy [COUNT] [SEED] [--jobs N] [--keep FILE]``.

Every policy is followed on the same sub-models cut out of the shipped book (`tests.bench.submodels`),
branch by branch (`tests.bench.evaluation`), and set against the optimum (`tests.bench.optimum`). Chance
is used for cutting alone. Half of the models have the book's rates, so that two faults at once count;
half have faults so rare that they do not. ``--keep`` keeps what is done in a file; a later run goes on there.
"""

import argparse
import math
import multiprocessing
import sys
import time
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from itertools import chain
from pathlib import Path
from typing import Any, Final

import numpy as np

from diagnose.advice import Advice, Adviser, Limits
from diagnose.network import Table
from diagnose.reasoner import Reasoner
from tests.bench.evaluation import Evaluation, Policy, Slip
from tests.bench.kept import KeptLines, program
from tests.bench.optimum import Optimum, start
from tests.bench.submodels import MOST_CAUSES, MOST_CHECKS, SubModel, cut

SURE: Final = 0.8
"""Share of the blame at which splitting by entropy stops and repairs."""
STORIES: Final = 10
"""How many of the worst models are told in words, where nothing else is asked for."""
BARS: Final = {"one step": (1.0, 10.0), "rollout": (0.2, 3.0)}
"""Per cent over the optimum that mean and worst should not pass."""


def repairs_only(adviser: Adviser, limits: Limits) -> Advice:
    """No checks: repairs in order of probability over cost, help when that is cheaper."""
    return adviser.best(replace(limits, asked={*adviser.book.checks, *limits.asked}))


def by_entropy(adviser: Adviser, limits: Limits) -> Advice:
    """The check that gives most bits about the culprit, at any cost, until one has `SURE` of the blame."""
    shares = np.array(list(adviser.present_culprits().values()))
    asked = [name for name in adviser.book.checks if name not in limits.asked]
    if shares.max() < SURE and asked:
        what_ifs = adviser.reasoner.what_ifs(adviser.evidence, asked)
        now = _entropy(shares[np.newaxis])[0]
        bits = {
            name: now - float(what.chance @ _entropy(adviser.culprits(np.nan_to_num(what.causes))))
            for name, what in what_ifs.items()
        }
        best = max(bits, key=bits.__getitem__)
        if bits[best] > 0:
            place = adviser.costs.place_for(best, limits.hold)
            if place == limits.hold:
                return Advice("check", best, math.nan, math.nan)
            return Advice("hold", place, math.nan, math.nan, sake=best)
    return repairs_only(adviser, limits)


def _entropy(shares: Table) -> Table:
    """Bits of each row of shares of the blame, what nobody is blamed for being one more share."""
    whole = np.append(shares, np.clip(1 - shares.sum(axis=1, keepdims=True), 0, None), axis=1)
    return -np.sum(whole * np.log2(np.where(whole > 0, whole, 1)), axis=1)


IN_EPOCHS: Final = ", in epochs"
"""Ends the name of a policy that doubts findings after a repair in vain, as `diagnose.callout` does."""
POLICIES: Final[dict[str, Policy]] = {
    "one step": Adviser.best,
    "rollout": Adviser.best_ahead,
    "one step" + IN_EPOCHS: Adviser.best,
    "repairs only": repairs_only,
    "entropy to 80 %": by_entropy,
}


@dataclass(frozen=True)
class Result:
    """What came out of one sub-model."""

    seed: int
    best: float
    minutes: dict[str, float]
    endless: float
    """The highest chance, over the policies, of not coming to an end."""
    cut: float
    """The highest chance, over the policies, of the branches not followed."""
    full: bool
    """Whether the sub-model has as many causes and checks as any."""
    seconds: float

    @property
    def rare(self) -> bool:
        """Whether its faults hardly ever coincide."""
        return _rare(self.seed)

    def over(self, policy: str) -> float:
        """Per cent over the optimum."""
        return 100 * (self.minutes[policy] / self.best - 1)


def _rare(seed: int) -> bool:
    return seed % 2 == 1


def _model(seed: int) -> SubModel:
    return cut(seed, rare=_rare(seed))


def judge(seed: int) -> Result:
    """All policies on the sub-model of one seed; odd seeds have rare faults."""
    began = time.perf_counter()
    model = _model(seed)
    optimum = Optimum(model)
    best = optimum.value(model.prior, start(model))
    reasoner = Reasoner(model.book, {})
    minutes: dict[str, float] = {}
    endless, cut_off = 0.0, 0.0
    for name, policy in POLICIES.items():
        keeps = not name.endswith(IN_EPOCHS)
        evaluation = Evaluation(model, policy, reasoner, keeps)
        minutes[name] = evaluation.minutes()
        endless, cut_off = max(endless, evaluation.endless), max(cut_off, evaluation.cut)
    full = len(model.causes) == MOST_CAUSES and len(model.checks) == MOST_CHECKS
    return Result(seed, best, minutes, endless, cut_off, full, time.perf_counter() - began)


def judged(seeds: Sequence[int], jobs: int, keep: Path | None = None) -> Iterator[Result]:
    """The result of every seed, as they come; those that are kept in the file are not worked out again."""
    done: dict[int, Result] = {}
    kept = KeptLines(keep, {"policy": 1, "program": program(), "policies": list(POLICIES)}) if keep else None
    if kept:
        done = {result.seed: result for result in map(_read, kept.begin())}
    yield from (done[seed] for seed in seeds if seed in done)
    with multiprocessing.Pool(jobs) as pool:
        for result in pool.imap_unordered(judge, [seed for seed in seeds if seed not in done]):
            if kept:
                kept.add(asdict(result))
            yield result


def _read(line: dict[str, Any]) -> Result:
    return Result(**line)


def table(results: Sequence[Result]) -> list[str]:
    """One line for each policy and kind of model: per cent over the optimum."""
    lines = [
        f"{'per cent over the optimum':40} {'models':>6} {'mean':>7} {'median':>7} {'95 %':>7} {'worst':>7}"
    ]
    parts = {
        "all": results,
        "rare faults": [r for r in results if r.rare],
        "rates of the book": [r for r in results if not r.rare],
    }
    for name in POLICIES:
        for part, some in parts.items():
            over = np.array([result.over(name) for result in some])
            if len(over):
                numbers = (over.mean(), np.median(over), np.quantile(over, 0.95), over.max())
                cells = " ".join(f"{number:7.2f}" for number in numbers)
                lines.append(f"{name + ', ' + part:40} {len(over):6d} {cells}")
    for name, (mean, worst) in BARS.items():
        if results:
            over = np.array([result.over(name) for result in results])
            met = "met" if over.mean() <= mean and over.max() <= worst else "NOT met"
            lines.append(f"bar for {name}: mean at most {mean} %, worst at most {worst} %: {met}")
    return lines


def slips(given: tuple[int, str]) -> list[Slip]:
    """What a policy does wrong on the sub-model of a seed, the dearest first."""
    seed, policy = given
    model = _model(seed)
    return Evaluation(model, POLICIES[policy], Reasoner(model.book, {})).slips(Optimum(model))


def kinds(found: Sequence[Sequence[Slip]]) -> list[str]:
    """Which kinds of wrong decisions cost most, in mean minutes on the models looked into."""
    lost: dict[str, float] = defaultdict(float)
    for slip in chain.from_iterable(found):
        lost[slip.kind] += slip.loss / len(found)
    return [f"  {lost[kind]:6.2f} min: {kind}" for kind in sorted(lost, key=lambda kind: -lost[kind])]


def story(result: Result, policy: str, found: Sequence[Slip]) -> list[str]:
    """One model in words, and where the policy loses on it."""
    model = _model(result.seed)
    book = model.book
    minutes = f"{result.minutes[policy]:.1f} against {result.best:.1f} min"
    lines = [f"{result.over(policy):.1f} % over: {minutes}; {model.title}"]
    chance = dict(zip(model.worlds, (100 * model.prior).tolist(), strict=True))
    for name in model.causes:
        repair, takes = model.costs.repair(name, "running"), book.causes[name].repair.takes
        hold = book.causes[name].repair.hold
        lines.append(
            f"    {name}: {chance[frozenset({name})]:.1f} % alone, {repair:.0f} min ({hold}), takes {takes}"
        )
    for name in model.checks:
        check = book.checks[name]
        risk = ", moves the valve" if check.moves_valve else ""
        lines.append(f"    {name}? {check.minutes:.0f} min, {check.hold} to {check.up_to}{risk}")
    return lines + [line for slip in found[:3] for line in _told(slip)]


def _told(slip: Slip) -> list[str]:
    standing = slip.standing
    seen = ", ".join(f"{name}={answer}" for name, answer in standing.findings) or "nothing seen"
    mended = "".join(f", {name} mended in vain" for name, _ in standing.remains)
    worlds = ", ".join(f"{name} {100 * chance:.0f} %" for name, chance in slip.worlds)
    told = " ".join(slip.told_act) + (f" (by hold {slip.told.id})" if slip.told.kind == "hold" else "")
    where = f"{100 * slip.chance:.1f} % of callouts: {standing.spot.hold}; {seen}{mended}"
    return [
        f"  loses {slip.loss:.2f} min at {where}",
        f"    there are {worlds}",
        f"    {told}, where {' '.join(slip.better)} is best",
    ]


def main(given: argparse.Namespace) -> None:
    """Judge so many sub-models and print what came of them."""
    began, results = time.perf_counter(), list[Result]()
    for result in judged(range(given.seed, given.seed + given.count), given.jobs, given.keep):
        results.append(result)
        seconds = time.perf_counter() - began
        print(f"\r{len(results)} of {given.count}, {seconds:.0f} s", end="", file=sys.stderr, flush=True)
    print(file=sys.stderr)
    seconds = sum(result.seconds for result in results)
    print(f"{given.count} sub-models from seed {given.seed}, {seconds:.0f} s of processes")
    full = sum(result.full for result in results)
    print(f"{full} of them of full size; optimum: mean {np.mean([r.best for r in results]):.1f} min")
    print(
        f"chance of no end: at most {max(r.endless for r in results):.1e}; "
        f"of branches cut: at most {max(r.cut for r in results):.1e}"
    )
    print("\n".join(table(results)), flush=True)
    for name in BARS:
        worst = sorted(results, key=lambda r: -r.over(name))[: given.stories]
        with multiprocessing.Pool(given.jobs) as pool:
            found = pool.map(slips, [(result.seed, name) for result in worst], chunksize=1)
        print(f"\nthe {len(worst)} models on which {name} loses most, and how")
        print("\n".join(kinds(found)))
        for result, some in zip(worst, found, strict=True):
            print("\n".join(story(result, name, some)), flush=True)


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Policies against the optimum on sub-models.")
    parser.add_argument("count", nargs="?", type=int, default=200)
    parser.add_argument("seed", nargs="?", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--keep", type=Path, help="the file to keep results in, and to go on from")
    parser.add_argument("--stories", type=int, default=STORIES, help="tell so many of the worst models")
    return parser.parse_args()


if __name__ == "__main__":
    main(_arguments())
