"""A right book comes whole; what only the whole of it shows to be wrong is told."""

import re
from itertools import product

import networkx as nx
import pytest

from knowledge.book import SHIPPED, Book, load_book
from knowledge.problems import InputProblems
from knowledge.schema_parts import Likelier
from knowledge.words import HOLDS, SECTIONS
from tests.helpers import TINY, tiny_book, write_book


def test_a_name_in_one_file_is_known_in_another(tmp_path):
    """A file of its own may lead to a condition of the tiny book."""
    write_book(tmp_path)
    text = "section: valve\nconditions:\n  wet_gas: {title: Wet gas, leads_to: {slow_pilot: often}}\n"
    (tmp_path / "more.yaml").write_text(text, encoding="utf-8")
    book = load_book(tmp_path)
    assert ("wet_gas", "slow_pilot") in book.links
    assert book.sections["wet_gas"] == "valve"
    assert book.sections["slow_pilot"] == "pilot and ports"
    assert book.places["wet_gas"] == "more.yaml:3"


@pytest.mark.parametrize("hold", HOLDS[1:])
def test_a_hold_that_the_book_lacks_is_named(tmp_path, hold):
    """Every hold above running needs its way in and out."""
    words = f"tiny.yaml: holds.{hold}: is missing. Add it to the book's holds."
    with pytest.raises(InputProblems, match=re.escape(words)):
        load_book(write_book(tmp_path, {"holds": {hold: None}}))


@pytest.mark.parametrize("given", list(product((False, True), repeat=3)))
def test_what_makes_a_cause_likelier_is_one_number_and_no_more(given):
    """A factor, a rate of its own, or how likely it is then: just one of the three is taken."""
    numbers = {"times": 2.0, "base": 9.0, "chance": 0.5}
    row = {name: number for (name, number), taken in zip(numbers.items(), given, strict=True) if taken}
    if sum(given) == 1:
        assert Likelier.model_validate({"when": {"season": "cold"}, **row}).when == {"season": ["cold"]}
    else:
        with pytest.raises(ValueError, match="needs one of `times`, `base` and `chance`"):
            Likelier.model_validate({"when": {"season": "cold"}, **row})


@pytest.mark.parametrize(
    ("row", "raises"),
    [({"times": 1.5}, True), ({"times": 0.5}, False), ({"base": 1}, True), ({"chance": 0.1}, True)],
)
def test_a_rate_or_a_chance_of_its_own_speaks_for_a_cause(row, raises):
    """And a factor does when it is more than one."""
    assert Likelier.model_validate({"when": {"season": "cold"}, **row}).raises is raises


def test_a_procedures_step_can_hang_on_words_of_the_sheet_that_are_no_facts():
    """Where the controller is mounted, and how the displacer hangs."""
    job = {
        "title": "Turn it round",
        "purpose": "It hangs right.",
        "minutes": 3,
        "steps": [
            {"do": "Left.", "when": {"mount": "left"}},
            {"do": "Flat.", "when": {"hung": ["flat"], "season": "cold"}},
        ],
    }
    steps = tiny_book({"procedures": {"turn": job}}).procedures["turn"].steps
    assert [step.when for step in steps] == [{"mount": ["left"]}, {"hung": ["flat"], "season": ["cold"]}]


def test_a_book_without_prices_says_so(tmp_path):
    """One file of them must give the prices."""
    with pytest.raises(InputProblems, match=r"prices: no file gives the prices. Add `prices:` to one file."):
        load_book(write_book(tmp_path, {"prices": None}))


@pytest.mark.parametrize("folder", [".", "nowhere"])
def test_a_folder_without_a_book_says_so(tmp_path, folder):
    """Empty or not there."""
    with pytest.raises(InputProblems, match=r"holds no book. Name a folder with \*\.yaml files in it\."):
        load_book(tmp_path / folder)


def test_a_right_book_comes_whole_and_in_its_order(tmp_path):
    """Every entry of the file is in the book, in the file's order."""
    book = load_book(write_book(tmp_path))
    for kind in ("causes", "conditions", "checks", "facts", "complaints", "holds", "cautions", "quantities"):
        assert list(getattr(book, kind)) == list(TINY[kind])
    assert book.prices.help == 240
    assert set(book.sections) == {*TINY["causes"], *TINY["conditions"], *TINY["checks"]}


def test_the_digest_is_that_of_the_bytes(tmp_path):
    """The same bytes give the same digest; one more byte another one."""
    first = load_book(write_book(tmp_path)).digest
    assert load_book(tmp_path).digest == first
    with (tmp_path / "tiny.yaml").open("a", encoding="utf-8") as file:
        file.write("\n")
    assert load_book(tmp_path).digest != first


def test_short_forms_mean_the_long_ones():
    """A bare strength is one row, a bare given is a list, a bare value of `when` is a list."""
    book = tiny_book()
    (row,) = book.causes["supply_lost"].leads_to["no_supply"]
    assert (row.strength, row.when) == ("always", None)
    assert book.checks["vent_breathes"].shows[0].given == ["vent_blocked"]
    assert book.checks["vent_breathes"].shows[0].then == {"no": "always"}
    assert book.conditions["output_stuck"].leads_to["stays_shut"][0].when == {"fails": ["closed"]}


@pytest.fixture(scope="module")
def shipped() -> Book:
    return load_book()


def test_the_shipped_book_has_every_section(shipped):
    """Each of the nine stretches of the loop has entries."""
    assert set(shipped.sections.values()) == set(SECTIONS)


def test_the_shipped_book_knows_the_place_of_every_entry(shipped):
    """File and line, and the name stands on that line."""
    for name, place in shipped.places.items():
        file, line = place.rsplit(":", 1)
        written = (SHIPPED / file).read_text(encoding="utf-8").splitlines()[int(line) - 1]
        assert name in written, place


def test_the_shipped_book_leads_nowhere_in_a_circle(shipped):
    """No condition leads back to itself."""
    assert nx.is_directed_acyclic_graph(nx.DiGraph(shipped.links))


def test_the_facts_of_the_shipped_book_hang_together_without_a_circle(shipped):
    """No fact's shares depend, by whatever way, on itself."""
    arcs = [
        (other, name)
        for name, fact in shipped.facts.items()
        for row in fact.prior
        for other in row.when or {}
    ]
    assert nx.is_directed_acyclic_graph(nx.DiGraph(arcs))


def test_conditions_that_lead_in_a_circle_are_refused():
    """A book in which one thing brings about itself is no book."""
    with pytest.raises(InputProblems, match=r"circle|cycle"):
        tiny_book({"conditions": {"stays_shut": {"leads_to": {"no_supply": "seldom"}}}})


def test_a_fact_whose_shares_depend_on_itself_is_refused():
    """Its own value cannot be known before it."""
    row = {"when": {"season": "warm"}, "share": {"warm": 0.5, "cold": 0.5}}
    with pytest.raises(InputProblems, match=r"circle|cycle|itself"):
        tiny_book({"facts": {"season": {"prior": [row, *TINY["facts"]["season"]["prior"]]}}})
