"""`halfsplit rig compare`: where the simulated plant shows what the book does not expect."""

import argparse
import json
from dataclasses import asdict
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from argparse import _SubParsersAction

    from diagnose.trial.comparing import Disagreement

ABOUT = "for each fault and check, what the plant shows against the book's chance of it"


def add_parser(verbs: "_SubParsersAction[argparse.ArgumentParser]") -> argparse.ArgumentParser:
    """Add the verb; returns its parser."""
    parser = verbs.add_parser("compare", help=ABOUT, description=ABOUT)
    parser.add_argument("--fault", metavar="ID", action="append", help="these faults only; see rig faults")
    parser.add_argument("--set-up", metavar="NAME", action="append", help="these set-ups only")
    parser.add_argument("--severity", type=float, default=1.0, help="how bad, up to 1 (default: 1)")
    parser.add_argument("--seed", type=int, default=0, help="another seed, another inflow (default: 0)")
    parser.add_argument(
        "--least", type=float, default=0.1, help="the book's chance under which it is told (default: 0.1)"
    )
    return parser


def compare(args: argparse.Namespace) -> None:
    """Print the disagreements as they are found; with --json all of them at the end."""
    from diagnose.trial.comparing import Comparison, wanted
    from knowledge.book import load_book

    book = load_book()
    trials = wanted(book, args.fault, args.set_up, args.severity, args.seed)
    comparison, found = Comparison(book, args.least), []
    for trial in trials:
        for one in comparison.of(trial):
            found.append(one)
            if not args.json:
                print(line(one), flush=True)
    if args.json:
        from diagnose.events import SCHEMA_VERSION

        rows = [asdict(one) for one in found]
        head = {"schema_version": SCHEMA_VERSION, "least": args.least, "seed": args.seed}
        print(json.dumps({**head, "trials": len(trials), "disagreements": rows}, indent=2))
    elif not found:
        print("No disagreement.")


def line(one: "Disagreement") -> str:
    """One disagreement, both sides' reasons with it."""
    book = f"expects {one.expected}" if one.expected else "does not expect that complaint"
    way = " > ".join(one.book_because) or "the book leads from it to nothing that this looks at"
    return (
        f"{one.set_up}: {one.fault} ({one.severity:g}): {one.check} shows {one.shown}, {one.chance:.1%} by"
        f" the book, which {book}\n    plant: {one.plant_because}\n    book: {way}"
    )
