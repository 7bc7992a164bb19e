"""The first steps of every callout, to be read for sense: ``python -m tests.bench.first_checks``.

For each right pairing and each complaint: what is advised first, and then after the likeliest answers.
"""

import argparse

from diagnose.advice import Adviser, Limits
from diagnose.evidence import Evidence
from diagnose.reasoner import Reasoner
from diagnose.telling_apart import standard_setups
from diagnose.words import minutes_text, percent_text
from knowledge.book import Book, load_book


def facts_of(facts: dict[str, str]) -> dict[str, str]:
    """What a unit's sheet gives of a set-up: action, acting and fail position."""
    return {name: facts[name] for name in ("action", "acting", "valve_fails")}


def first_steps(book: Book, reasoner: Reasoner, complaint: str) -> list[str]:
    """One line for each step, the likeliest answer to the one before it first."""
    told = book.complaints[complaint].says
    adviser = Adviser(reasoner, Evidence((complaint,), told))
    advice = adviser.best(Limits(asked=set(told)))
    name = advice.sake or advice.id
    lines = [f"1 {_titled(book, name)}  ({minutes_text(advice.minutes)}, saves {advice.saves:.0f} min)"]
    for number, step in enumerate(advice.then[:2], 2):
        after = f"{step.answer}: " if step.answer else ""
        lines.append(f"{number} {after}{_titled(book, step.id)}  ({percent_text(step.chance)})")
    blame = sorted(adviser.present_culprits().items(), key=lambda item: -item[1])[:4]
    lines.append("  " + ", ".join(f"{name} {percent_text(share)}" for name, share in blame))
    return lines


def _titled(book: Book, name: str) -> str:
    if name in book.causes:
        return f"PUT RIGHT {book.causes[name].title} [{name}]"
    return f"{book.question(name).ask} [{name}]" if name else "CALL"


def main(only: str | None) -> None:
    """Print the table."""
    book = load_book()
    for setup, facts in standard_setups(book).items():
        reasoner = Reasoner(book, facts_of(facts))
        for complaint, entry in book.complaints.items():
            if only in (None, complaint):
                print(f"\n{setup}: {entry.title}")
                print("\n".join(first_steps(book, reasoner, complaint)))


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description="The first steps of every callout.")
    parser.add_argument("complaint", nargs="?")
    main(parser.parse_args().complaint)
