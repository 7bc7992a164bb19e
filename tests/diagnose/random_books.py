"""Random small books, random findings about them."""

from typing import Any

from hypothesis import strategies as st

from diagnose.evidence import Evidence
from knowledge.book import Book
from knowledge.words import STRENGTHS
from tests.helpers import bare_book, book_of, cause, changed, check, complaint, fact

FACTS = {"season": "warm cold", "action": "snap throttle other"}

_strength = st.one_of(st.sampled_from(list(STRENGTHS)), st.floats(0.01, 0.99))


@st.composite
def _whens(draw, facts: list[str]) -> dict[str, Any]:
    """Nothing, or a `when:` over some of the facts."""
    named = draw(st.lists(st.sampled_from(facts), unique=True, max_size=2)) if facts else []
    picked = {
        name: draw(st.lists(st.sampled_from(FACTS[name].split()), min_size=1, max_size=2, unique=True))
        for name in named
    }
    return {"when": picked} if picked else {}


@st.composite
def _links(draw, targets: list[str], facts: list[str], least: int) -> dict[str, Any]:
    named = (
        draw(st.lists(st.sampled_from(targets), min_size=least, max_size=2, unique=True)) if targets else []
    )
    row = st.builds(lambda s, w: {"strength": s, **w}, _strength, _whens(facts))
    return {name: draw(st.lists(row, min_size=1, max_size=2)) for name in named}


@st.composite
def _checks(draw, seen: list[str], facts: list[str]) -> dict[str, Any]:
    outcomes = ["low", "mid", "high"][: draw(st.integers(2, 3))]
    then = st.dictionaries(st.sampled_from(outcomes), _strength, min_size=1, max_size=2)
    rows = []
    for _ in range(draw(st.integers(1, 3))):
        given = draw(st.lists(st.sampled_from(seen), max_size=2, unique=True))
        rows.append({"given": given, **draw(_whens(facts)), "then": draw(then)})
    rows.append({"then": draw(then)})
    return check(rows, " ".join(outcomes), slip=draw(st.floats(0.001, 0.3)))


@st.composite
def random_books(draw) -> Book:
    """Up to three causes, three conditions, two independent facts, three checks, two complaints."""
    facts = list(FACTS)[: draw(st.integers(0, 2))]
    conditions = [f"state_{k}" for k in range(draw(st.integers(1, 3)))]
    share = {
        "season": [{"share": {"warm": 0.7, "cold": 0.3}}],
        "action": [{"share": {"snap": 0.5, "throttle": 0.4, "other": 0.1}}],
    }
    causes = {}
    for k in range(draw(st.integers(1, 3))):
        more = [
            {"when": row["when"], draw(st.sampled_from(["times", "base"])): draw(st.floats(0.1, 300))}
            for row in draw(st.lists(_whens(facts), max_size=2))
            if row
        ]
        leads_to = draw(_links(conditions, facts, 1))
        causes[f"fault_{k}"] = cause(leads_to, draw(st.floats(1, 400)), more_likely=more)
    leads = {name: draw(_links(conditions[k + 1 :], facts, 0)) for k, name in enumerate(conditions)}
    seen = [*causes, *conditions]
    return book_of(
        changed(
            bare_book(),
            {
                "facts": {name: fact(share[name], FACTS[name]) for name in facts},
                "causes": causes,
                "conditions": {
                    "stays_shut": None,
                    **{name: {"title": name, "leads_to": to} for name, to in leads.items()},
                },
                "checks": {
                    "drop_seen": draw(_checks(seen, facts)),
                    **{f"look_{k}": draw(_checks(seen, facts)) for k in range(draw(st.integers(0, 2)))},
                },
                "complaints": {
                    "wont_open": complaint(conditions[-1], draw(st.floats(1, 100))),
                    **({"other": complaint(conditions[0], 7)} if draw(st.booleans()) else {}),
                },
            },
        )
    )


@st.composite
def books_with_findings(draw) -> tuple[Book, dict[str, str], Evidence]:
    """(a random book, known facts, findings)."""
    book = draw(random_books())
    known = {
        name: draw(st.sampled_from(list(entry.values)))
        for name, entry in book.facts.items()
        if draw(st.booleans())
    }
    answers = {name: list(entry.outcomes) for name, entry in book.checks.items()}
    answers |= {name: list(e.values) for name, e in book.facts.items() if name not in known}
    asked = draw(st.lists(st.sampled_from(list(answers)), unique=True, max_size=3))
    sound = draw(st.lists(st.sampled_from(list(book.causes)), unique=True, max_size=1))
    mended = draw(st.lists(st.sampled_from(list(book.causes)), unique=True, max_size=1))
    evidence = Evidence(
        tuple(draw(st.lists(st.sampled_from(list(book.complaints)), unique=True, max_size=2))),
        {name: draw(st.sampled_from(answers[name])) for name in asked},
        frozenset(sound),
        {name: draw(st.floats(0.01, 0.9)) for name in mended},
    )
    return book, known, evidence
