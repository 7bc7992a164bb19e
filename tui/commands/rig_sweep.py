"""`halfsplit rig sweep`: every fault of the rig, looked for, and what that cost."""

import argparse
import json
import os
import sys
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tui.commands.common import write_out, writing

if TYPE_CHECKING:
    from argparse import _SubParsersAction

    from diagnose.trial.sweep import Result
    from diagnose.trial.sweep_report import Report

ABOUT = "put every fault of the rig into the standard set-ups, look for it, and tell what that cost"


def add_parser(verbs: "_SubParsersAction[argparse.ArgumentParser]") -> argparse.ArgumentParser:
    """Add the verb; returns its parser."""
    parser = verbs.add_parser("sweep", help=ABOUT, description=ABOUT)
    parser.add_argument("--sample", type=float, default=1.0, help="a share of the cases, by lot (default: 1)")
    parser.add_argument("--seed", type=int, default=0, help="another seed, another lot (default: 0)")
    parser.add_argument(
        "--jobs", type=int, default=os.cpu_count() or 1, help="processes (default: all cores)"
    )
    parser.add_argument("--html", metavar="FILE", help="write the report as a page too")
    parser.add_argument(
        "--keep", metavar="FILE", help="where results are kept, so that a sweep goes on where it was stopped"
    )
    return parser


def sweep(args: argparse.Namespace) -> None:
    """Run the sweep and print its report."""
    from diagnose.trial.sweep import Kept, trials
    from diagnose.trial.sweep import sweep as swept
    from diagnose.trial.sweep_report import report
    from knowledge.book import load_book
    from knowledge.problems import InputProblems, Problem

    if not 0 < args.sample <= 1:
        raise InputProblems([Problem("--sample", "", f"{args.sample:g} is not above 0 and at most 1")])
    if args.jobs < 1:
        raise InputProblems([Problem("--jobs", "", f"{args.jobs} is not 1 or more")])
    book = load_book()
    given = trials(book, args.seed, args.sample)
    kept = Kept(Path(args.keep), args.seed, book.digest) if args.keep else None
    if kept:
        with writing(args.keep):
            kept.begin()
    done = kept.read() if kept else []
    results: list[Result] = []
    for result in swept(given, args.jobs, done, kept.add if kept else lambda _: None):
        results.append(result)
        _progress(len(results), len(given))
    if not any(result.complaint for result in results):
        raise InputProblems([Problem("--sample", "", "no case of it gives ground for a complaint")])
    said = report(results)
    if args.html:
        from tui.sweep_page import page

        write_out(args.html, page(said, results))
    if args.json:
        print(json.dumps(_json(said, results, args), indent=2))
    else:
        print("\n".join(lines(said)))


def _progress(done: int, of: int) -> None:
    if sys.stderr.isatty():
        bar = "#" * (30 * done // of)
        print(f"\r[{bar:30}] {done} of {of}", end="\n" if done == of else "", file=sys.stderr, flush=True)


def lines(said: "Report") -> list[str]:
    """The report as text."""
    out = []
    for kind in said.kinds:
        out += [
            f"{kind.name}: {kind.cases} cases ({kind.silent} more give no ground for a complaint)",
            f"  {'':14}{'cured':>8}{'found':>8}{'first':>8}{'checks':>8}{'minutes':>9}{'wrong':>7}",
        ]
        out += [
            f"  {row.policy:14}{row.cured:8.1%}{row.found:8.1%}{row.guessed:8.1%}{row.checks:8.1f}"
            f"{row.minutes:9.0f}{row.wrong:7.2f}"
            for row in kind.rows
        ]
        out.append("")
    out.append(
        "found: put right and proved, and no vessel opened for nothing; first: the first repair was right"
    )
    for bar in said.bars:
        sign = "at most" if bar.at_most else "at least"
        told = f"{bar.reached:.3f}, {sign} {bar.wanted:g}"
        out.append(f"bar: {bar.name} {told}: {'met' if bar.met else 'NOT met'}")
    if said.missed:
        out += ["", "single faults not always found"]
        out += [f"  {fault}: {times} of {of} not found" for fault, times, of in said.missed]
    out += ["", "the cases in which most was lost"]
    return out + [line for result in said.worst for line in story(result)]


def story(result: "Result") -> list[str]:
    """One case in words."""
    from diagnose.trial.policies import BEST, HALFSPLIT

    own, best = result.bills[HALFSPLIT], result.bills[BEST]
    faults = ", ".join(f"{name} ({how:g})" for name, how in result.trial.faults)
    head = f"{result.trial.set_up}: {faults}; {result.complaint}; {own.ended}"
    return [f"  {head}; {own.minutes:.0f} min against {best.minutes:.0f}"] + [
        f"    {minutes:5.0f}  {kind} {name}: {answer}" for kind, name, answer, minutes in own.log if minutes
    ]


def _json(said: "Report", results: "list[Result]", args: argparse.Namespace) -> dict[str, Any]:
    from diagnose.events import SCHEMA_VERSION

    return {
        "schema_version": SCHEMA_VERSION,
        "sample": args.sample,
        "seed": args.seed,
        "kinds": [asdict(kind) for kind in said.kinds],
        "bars": [{**asdict(bar), "met": bar.met} for bar in said.bars],
        "missed": [dict(zip(("fault", "times", "of"), row, strict=True)) for row in said.missed],
        "worst": [result.trial.key for result in said.worst],
        "results": [
            {
                "case": result.trial.key,
                "complaint": result.complaint,
                "bills": {name: asdict(bill) for name, bill in result.bills.items()},
            }
            for result in sorted(results, key=lambda result: result.trial.key)
        ],
    }
