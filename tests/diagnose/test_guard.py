"""The guard: a book that is too dense is refused with what its author can do; the shipped one is green."""

import re

import pytest

from diagnose.guard import AMBER, ARCS, GREEN, band
from diagnose.reasoner import Reasoner
from diagnose.sheet import read_unit
from diagnose.triangulate import MAX_CELLS
from knowledge.book import EXAMPLES, load_book
from knowledge.problems import InputProblems
from tests.helpers import bare_book, book_of, cause, changed, check, complaint

SHEETS = sorted(path.stem for path in EXAMPLES.glob("*.yaml"))


def tangled(count: int):
    """Every cause leads to every one of so many conditions, as when each was written for itself."""
    conditions = {
        f"c{n}": {"title": f"Condition {n}", "leads_to": {"stays_shut": "often"}} for n in range(count)
    }
    causes = {f"k{n}": cause(dict.fromkeys(conditions, 0.5)) for n in range(count)}
    return book_of(changed(bare_book(), {"causes": causes, "conditions": conditions}))


@pytest.mark.parametrize(
    ("cells", "expected"),
    [
        (1, "green"),
        (GREEN, "green"),
        (GREEN + 1, "amber"),
        (AMBER, "amber"),
        (AMBER + 1, "red"),
        (MAX_CELLS, "red"),
        (MAX_CELLS + 1, "refused"),
    ],
)
def test_the_bands_meet_without_a_gap(cells, expected):
    """Each limit belongs to the better band."""
    assert band(cells) == expected


def test_a_tangled_book_is_refused_with_what_its_author_can_do():
    """The widest table by its members and width, the cells, and the links that cost most."""
    with pytest.raises(InputProblems) as caught:
        Reasoner(tangled(24), {})
    (problem,) = caught.value.problems
    total = int(re.search(r"([\d,]+) table cells", problem.what)[1].replace(",", ""))
    width = int(re.search(r"\(width (\d+)\)", problem.what)[1])
    members = problem.what.split(": ")[-1].split(", ")
    assert total > MAX_CELLS
    assert 2 ** (width + 1) <= total
    assert len(members) > 10
    assert set(members) <= {f"{kind}{n}" for kind in "ck" for n in range(24)} | {"stays_shut"}
    links = re.findall(r"(\w+) -> (\w+) \(([\d,]+) cells without it\)", problem.mend)
    assert len(links) == ARCS
    assert all(target in members or source in members for source, target, _ in links)
    without = [int(cells.replace(",", "")) for _, _, cells in links]
    assert without == sorted(without)
    assert without[0] < total


def test_one_more_condition_unties_it():
    """The usual cure: what the causes share becomes a condition of its own."""
    book = book_of(
        changed(
            bare_book(),
            {
                "conditions": {
                    "shared": {"title": "Shared", "leads_to": {f"c{n}": 0.5 for n in range(24)}},
                    **{f"c{n}": {"title": "C", "leads_to": {"stays_shut": "often"}} for n in range(24)},
                },
                "causes": {f"k{n}": cause({"shared": 0.5}) for n in range(24)},
            },
        )
    )
    assert band(Reasoner(book, {}).tree().cells) == "green"


def test_a_check_that_looks_at_too_much_is_refused_by_name():
    """Thirteen things at once, each there or not, are 8,192 states."""
    look = check([{"given": [f"k{n}" for n in range(13)], "then": "yes"}, {"then": "no"}])
    causes = {f"k{n}": cause({"stays_shut": 0.5}) for n in range(13)}
    book = book_of(changed(bare_book(), {"causes": causes, "checks": {"look": look}}))
    with pytest.raises(InputProblems, match=r"13 things at once, 8,192 states \(k0, k1") as caught:
        Reasoner(book, {})
    assert caught.value.problems[0].place.startswith("book.yaml:")


@pytest.mark.parametrize("sheet", [None, *SHEETS])
def test_the_shipped_book_is_green_for_every_sheet(sheet):
    """With nothing known, and for each example unit."""
    book = load_book()
    facts = read_unit(sheet, book).facts if sheet else {}
    assert band(Reasoner(book, facts).tree().cells) == "green"


def test_a_complaint_of_its_own_does_not_tie_the_book_together():
    """A second complaint about a second condition adds its own small tables only."""
    one = book_of(changed(bare_book(), {"causes": {"a": cause({"stays_shut": 0.5})}}))
    more = {
        "conditions": {"passes": {"title": "Passes"}},
        "complaints": {"wont_shut": complaint("passes")},
        "causes": {"a": cause({"stays_shut": 0.5}), "b": cause({"passes": 0.5})},
    }
    two = book_of(changed(bare_book(), more))
    assert Reasoner(two, {}).tree().cells <= 2 * Reasoner(one, {}).tree().cells + 8
