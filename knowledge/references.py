"""Names in a book that point nowhere: every reference is looked up, and the nearest spelling offered."""

from collections.abc import Iterator, Sequence
from graphlib import CycleError, TopologicalSorter
from typing import Any

from knowledge.door import Document, Trail
from knowledge.problems import Problem, nearest
from knowledge.references_phone import phone_problems
from knowledge.schema import BookFile, Check, Fact
from knowledge.schema_card import NO_CARD
from knowledge.words import HOLDS, MOST_COMPLAINTS, SHEET_WORDS, UNKNOWN, UNLISTED, hold_rank

Parts = Sequence[tuple[Document, BookFile]]


def reference_problems(parts: Parts) -> list[Problem]:
    """Every unknown name in the files of one book, and what else only the whole book can tell."""
    names: dict[str, set[str]] = {
        kind: {n for _, part in parts for n in getattr(part, kind)} for kind in _ONE
    }
    values = {name: list(fact.values) for _, part in parts for name, fact in part.facts.items()}
    values |= {name: [*fact.values, UNKNOWN] for _, part in parts for name, fact in part.computed.items()}
    names["facts"] |= {name for _, part in parts for name in part.computed}
    problems = [problem for document, part in parts for problem in _of_file(document, part, names, values)]
    problems += [*_loops(parts), *_reserved(parts), *_too_many(parts), *_cards(parts, names["cards"])]
    problems += phone_problems(parts)
    first = parts[0][0].name
    for hold in HOLDS[1:]:
        if hold not in names["holds"]:
            problems.append(Problem(first, f"holds.{hold}", "is missing", "Add it to the book's holds."))
    return problems


def _loops(parts: Parts) -> Iterator[Problem]:
    """Conditions, or shares of facts, that come back to where they started."""
    links: dict[str, set[str]] = {}
    places: dict[str, str] = {}
    for document, part in parts:
        for name, condition in part.conditions.items():
            links.setdefault(name, set()).update(condition.leads_to)
            places[name] = document.place(("conditions", name))
        for name, fact in part.facts.items():
            links.setdefault(name, set()).update(other for row in fact.prior for other in row.when or {})
            places[name] = document.place(("facts", name))
    try:
        TopologicalSorter(links).prepare()
    except CycleError as error:
        ring = sorted(set(error.args[1]))
        what = f"leads back to itself in a circle: {', '.join(ring)}"
        yield Problem(places[ring[0]], ring[0], what, "Take one link out.")


def _too_many(parts: Parts) -> Iterator[Problem]:
    named = [(document, name) for document, part in parts for name in part.complaints]
    for document, name in named[MOST_COMPLAINTS:]:
        what = f"is complaint {len(named)}: there are keys for {MOST_COMPLAINTS}"
        yield Problem(document.place(("complaints", name)), f"complaints.{name}", what, "Join two of them.")


def _reserved(parts: Parts) -> Iterator[Problem]:
    for document, part in parts:
        for name in part.causes:
            if name.startswith(UNLISTED):
                yield Problem(
                    document.place(("causes", name)),
                    f"causes.{name}",
                    f"names that begin with {UNLISTED} stand for what is not in the book",
                    "Give it another name.",
                )


def _cards(parts: Parts, known: set[str]) -> Iterator[Problem]:
    """Help cards that are named and are not there, and one whose name says that there is none."""
    for document, part in parts:
        if NO_CARD in part.cards:
            place = document.place(("cards", NO_CARD))
            what = f"{NO_CARD!r} is what a check says that has no card"
            yield Problem(place, f"cards.{NO_CARD}", what, "Give it another name.")
        asked = {("checks", name): entry.card for name, entry in part.checks.items()}
        asked |= {("facts", name): entry.card for name, entry in part.facts.items()}
        named: dict[Trail, str | None] = {trail: card for trail, card in asked.items() if card != NO_CARD}
        named |= {("causes", name, "repair"): entry.repair.card for name, entry in part.causes.items()}
        named |= {("holds", name): entry.card for name, entry in part.holds.items()}
        for trail, card in named.items():
            if card is not None and card not in known:
                place, field = document.place((*trail, "card")), ".".join(map(str, (*trail, "card")))
                yield Problem(place, field, f"there is no help card named {card!r}", nearest(card, known))


def _of_file(
    document: Document, part: BookFile, names: dict[str, set[str]], values: dict[str, list[str]]
) -> Iterator[Problem]:
    def unknown(trail: Trail, name: str, kind: str) -> Iterator[Problem]:
        if name not in names[kind]:
            yield Problem(
                document.place(trail),
                ".".join(map(str, trail)),
                f"there is no {_ONE[kind]} named {name!r}",
                nearest(name, names[kind]),
            )

    def facts(trail: Trail, when: dict[str, list[str]] | None) -> Iterator[Problem]:
        for fact, wanted in (when or {}).items():
            yield from unknown((*trail, "when"), fact, "facts")
            for value in wanted:
                if fact in values and value not in values[fact]:
                    yield Problem(
                        document.place((*trail, "when", fact)),
                        ".".join(map(str, (*trail, "when", fact))),
                        f"{fact} is never {value!r}",
                        nearest(value, values[fact]),
                    )

    for kind in ("causes", "conditions"):
        for name, entry in getattr(part, kind).items():
            for target, rows in entry.leads_to.items():
                trail = (kind, name, "leads_to", target)
                yield from unknown(trail, target, "conditions")
                for number, row in enumerate(rows):
                    yield from facts((*trail, number), row.when)
    for name, cause in part.causes.items():
        for number, row in enumerate(cause.more_likely):
            yield from facts(("causes", name, "more_likely", number), row.when)
        yield from unknown(("causes", name, "repair", "prove"), cause.repair.prove, "checks")
        if cause.repair.procedure:
            yield from unknown(("causes", name, "repair", "procedure"), cause.repair.procedure, "procedures")
        if cause.same_repair_as:
            yield from unknown(("causes", name, "same_repair_as"), cause.same_repair_as, "causes")
        for caution in cause.repair.cautions:
            yield from unknown(("causes", name, "repair", "cautions"), caution, "cautions")
    for kind in ("checks", "facts"):
        for name, asked in getattr(part, kind).items():
            for caution in asked.cautions:
                yield from unknown((kind, name, "cautions"), caution, "cautions")
            if hold_rank(asked.up_to) < hold_rank(asked.hold):
                yield Problem(
                    document.place((kind, name, "up_to")),
                    f"{kind}.{name}.up_to",
                    f"{asked.up_to!r} comes before its hold {asked.hold!r}",
                    "Raise up_to or lower hold.",
                )
    for name, check in part.checks.items():
        yield from _of_check(document, name, check, names, facts)
    for name, fact in part.facts.items():
        yield from _of_fact(document, name, fact, facts)
    for name, complaint in part.complaints.items():
        yield from unknown(("complaints", name, "of"), complaint.of, "conditions")
        yield from facts(("complaints", name, "says"), {fact: [v] for fact, v in complaint.says.items()})
    for hold, step in part.holds.items():
        for caution in step.cautions:
            yield from unknown(("holds", hold, "cautions"), caution, "cautions")
    for name, procedure in part.procedures.items():
        for caution in procedure.cautions:
            yield from unknown(("procedures", name, "cautions"), caution, "cautions")
        for number, line in enumerate(procedure.steps):
            line_trail: Trail = ("procedures", name, "steps", number)
            for caution in line.cautions:
                yield from unknown((*line_trail, "cautions"), caution, "cautions")
            yield from facts(
                line_trail, {fact: v for fact, v in (line.when or {}).items() if fact not in SHEET_WORDS}
            )


def _of_check(
    document: Document, name: str, check: Check, names: dict[str, set[str]], facts: Any
) -> Iterator[Problem]:
    seen = names["causes"] | names["conditions"]
    for number, row in enumerate(check.shows):
        trail: Trail = ("checks", name, "shows", number)
        field = ".".join(map(str, trail))
        for given in row.given:
            if given not in seen:
                yield Problem(
                    document.place((*trail, "given")),
                    field,
                    f"there is no cause or condition named {given!r}",
                    nearest(given, seen),
                )
        yield from facts(trail, row.when)
        for outcome in row.then:
            if outcome not in check.outcomes:
                yield Problem(
                    document.place((*trail, "then")),
                    field,
                    f"{outcome!r} is not an outcome of {name}",
                    nearest(outcome, check.outcomes),
                )
    if check.shows[-1].given or check.shows[-1].when:
        yield Problem(
            document.place(("checks", name, "shows")),
            f"checks.{name}.shows",
            "the last row does not hold always",
            "End with a row that has only `then:`.",
        )
    if check.reading:
        bins: Trail = ("checks", name, "reading", "bins")
        for number, part in enumerate(check.reading.bins):
            last = number == len(check.reading.bins) - 1
            if part.outcome not in check.outcomes:
                yield Problem(
                    document.place((*bins, number)),
                    f"checks.{name}.reading",
                    f"{part.outcome!r} is not an outcome of {name}",
                    nearest(part.outcome, check.outcomes),
                )
            if part.of and part.of not in names["quantities"]:
                yield Problem(
                    document.place((*bins, number)),
                    f"checks.{name}.reading",
                    f"there is no quantity named {part.of!r}",
                    nearest(part.of, names["quantities"]),
                )
            if (part.below is None) != last:
                yield Problem(
                    document.place((*bins, number)),
                    f"checks.{name}.reading",
                    "every bin but the last needs `below`, and the last must have none",
                    "",
                )


def _of_fact(document: Document, name: str, fact: Fact, facts: Any) -> Iterator[Problem]:
    for number, row in enumerate(fact.prior):
        trail = ("facts", name, "prior", number)
        yield from facts(trail, row.when)
        if set(row.share) != set(fact.values):
            yield Problem(
                document.place((*trail, "share")),
                ".".join(map(str, trail)),
                "the shares do not name each value once",
                f"Name: {', '.join(fact.values)}.",
            )
        elif abs(sum(row.share.values()) - 1) > 1e-6:
            yield Problem(
                document.place((*trail, "share")),
                ".".join(map(str, trail)),
                f"the shares sum to {sum(row.share.values()):g}, not 1",
                "Make them sum to 1.",
            )
    if fact.prior[-1].when:
        yield Problem(
            document.place(("facts", name, "prior")),
            f"facts.{name}.prior",
            "the last row does not hold always",
            "End with a row without `when:`.",
        )


_ONE = {
    "causes": "cause",
    "conditions": "condition",
    "checks": "check",
    "facts": "fact",
    "quantities": "quantity",
    "cautions": "caution",
    "holds": "hold",
    "procedures": "procedure",
    "cards": "help card",
}
