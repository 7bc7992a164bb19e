"""A book that is wrong says where, what and how to mend it; a right one comes whole."""

import re
import shutil
from itertools import product
from pathlib import Path

import networkx as nx
import pytest

from knowledge.book import SHIPPED, Book, load_book
from knowledge.problems import InputProblems
from knowledge.schema_parts import Likelier
from knowledge.words import HOLDS, SECTIONS
from tests.helpers import TINY, tiny_book, write_book

BAD = Path(__file__).parents[1] / "data" / "bad_books"

MISTAKES = [
    # (file, line, field, what, mend)
    ("unknown_field", 8, "causes.seat_cut.leads_too", "is not a known field", "Did you mean leads_to?"),
    ("missing_field", 3, "causes.seat_cut.why", "is missing", "Add `why:` here."),
    (
        "strength_word",
        9,
        "causes.seat_cut.leads_to.passes",
        "'mostly' is not a strength",
        "Use one of: always, ",
    ),
    (
        "strength_range",
        6,
        "conditions.wet_gas.leads_to.passes.strength",
        "a strength of 1.0 is out of range",
        "Use a number above 0 and below 1.",
    ),
    ("base_range", 7, "causes.seat_cut.base", "must be greater than 0", ""),
    ("section_unknown", 1, "section", "'valves' is not a known word", "Did you mean valve?"),
    (
        "section_missing",
        1,
        "",
        "causes, conditions and checks need a section",
        "Add `section:` at the top, one of: ",
    ),
    (
        "hold_unknown",
        12,
        "causes.seat_cut.repair.hold",
        "'isolatd' is not a known word",
        "Did you mean isolated?",
    ),
    ("not_a_number", 9, "causes.seat_cut.repair.minutes", "must be a number", ""),
    ("not_text", 4, "conditions.wet_gas.title", "must be text", ""),
    ("empty_text", 4, "conditions.wet_gas.title", "must not be empty", ""),
    ("not_a_list", 10, "causes.seat_cut.repair.do", "must be a list", ""),
    ("not_a_mapping", 2, "conditions", "must be a mapping of names to values", ""),
    ("empty_file", 1, "", "must be a mapping of names to values", ""),
    ("leads_nowhere", 8, "causes.seat_cut.leads_to", "must not be empty", ""),
    (
        "times_and_base",
        10,
        "causes.seat_cut.more_likely.1",
        "needs one of `times`, `base` and `chance`",
        "Give just one of the three.",
    ),
    ("bad_id", 3, "conditions.Wet-Gas", "is not a name", "Use small letters"),
    ("one_outcome", 8, "checks.seat_seen.outcomes", "at least 2", "Add what is missing."),
    ("slip_range", 11, "checks.seat_seen.slip", "must be less than 0.5", ""),
    ("twice", 4, "conditions.wet_gas", "stands twice (first on line 3)", "Keep one of them."),
    (
        "used_name",
        3,
        "conditions.trim_worn",
        "the name is taken (see tiny.yaml:",
        "Give one of them another name.",
    ),
    (
        "unknown_condition",
        6,
        "conditions.wet_gas.leads_to.slow_piolt",
        "there is no condition named 'slow_piolt'",
        "Did you mean slow_pilot?",
    ),
    (
        "unknown_fact",
        7,
        "conditions.wet_gas.leads_to.slow_pilot.0.when",
        "there is no fact named 'saeson'",
        "Did you mean season?",
    ),
    (
        "unknown_fact_value",
        8,
        "conditions.wet_gas.leads_to.slow_pilot.1.when.season",
        "season is never 'clod'",
        "Did you mean cold?",
    ),
    (
        "unknown_more_likely",
        9,
        "causes.seat_cut.more_likely.0.when.season",
        "season is never 'icy'",
        "It can be: warm, cold.",
    ),
    (
        "unknown_proof",
        13,
        "causes.seat_cut.repair.prove",
        "there is no check named 'drop_sen'",
        "Did you mean drop_seen?",
    ),
    (
        "unknown_caution",
        14,
        "causes.seat_cut.repair.cautions",
        "there is no caution named 'read_them'",
        "Did you mean read_it?",
    ),
    (
        "unknown_given",
        10,
        "checks.seat_seen.shows.0",
        "there is no cause or condition named 'trim_wron'",
        "Did you mean trim_worn?",
    ),
    (
        "unknown_outcome",
        10,
        "checks.seat_seen.shows.0",
        "'cutt' is not an outcome of seat_seen",
        "Did you mean cut?",
    ),
    (
        "last_row",
        9,
        "checks.seat_seen.shows",
        "the last row does not hold always",
        "End with a row that has only `then:`.",
    ),
    (
        "up_to_below_hold",
        12,
        "checks.seat_seen.up_to",
        "'isolated' comes before its hold 'open'",
        "Raise up_to or lower hold.",
    ),
    (
        "bin_outcome",
        12,
        "checks.seat_gauge.reading",
        "'nune' is not an outcome of seat_gauge",
        "Did you mean none?",
    ),
    (
        "bin_quantity",
        12,
        "checks.seat_gauge.reading",
        "there is no quantity named 'suply_psi'",
        "Did you mean supply_psi?",
    ),
    ("bin_open_end", 13, "checks.seat_gauge.reading", "every bin but the last needs `below`", ""),
    ("shares_names", 10, "facts.gas.prior.0", "the shares do not name each value once", "Name: wet, dry."),
    ("shares_sum", 10, "facts.gas.prior.0", "the shares sum to 0.9, not 1", "Make them sum to 1."),
    (
        "shares_last",
        9,
        "facts.gas.prior",
        "the last row does not hold always",
        "End with a row without `when:`.",
    ),
    ("complaint_of", 5, "complaints.drips.of", "there is no condition named 'pases'", "Did you mean passes?"),
    (
        "hold_caution",
        7,
        "holds.on bypass.cautions",
        "there is no caution named 'watch_it'",
        "It can be: ",
    ),
    (
        "unknown_procedure",
        14,
        "causes.seat_cut.repair.procedure",
        "there is no procedure named 'lap_seat'",
        "",
    ),
    (
        "unknown_same_repair",
        8,
        "causes.seat_cut.same_repair_as",
        "there is no cause named 'trim_wron'",
        "Did you mean trim_worn?",
    ),
    (
        "procedure_caution",
        6,
        "procedures.lap_seat.cautions",
        "there is no caution named 'read_itt'",
        "Did you mean read_it?",
    ),
    (
        "procedure_step_caution",
        9,
        "procedures.lap_seat.steps.1.cautions",
        "there is no caution named 'shut_frist'",
        "Did you mean shut_first?",
    ),
    (
        "procedure_fact",
        8,
        "procedures.lap_seat.steps.1.when",
        "there is no fact named 'saeson'",
        "Did you mean season?",
    ),
    (
        "procedure_fact_value",
        9,
        "procedures.lap_seat.steps.1.when.season",
        "season is never 'clod'",
        "Did you mean cold?",
    ),
    ("procedure_one_step", 6, "procedures.lap_seat.steps", "at least 2", "Add what is missing."),
]


def problems_with(folder: Path) -> InputProblems:
    with pytest.raises(InputProblems, match=r"\.") as caught:
        load_book(folder)
    return caught.value


@pytest.mark.parametrize(
    ("name", "line", "field", "what", "mend"), MISTAKES, ids=lambda value: str(value)[:24]
)
def test_each_mistake_says_where_what_and_how_to_mend_it(tmp_path, name, line, field, what, mend):
    """One bad file beside a good book: its line, the author's own trail, and the mend."""
    shutil.copy(BAD / f"{name}.yaml", tmp_path)
    if name == "hold_caution":
        write_book(tmp_path, {"holds": {"on bypass": None}})
    else:
        write_book(tmp_path)
    found = problems_with(tmp_path).problems
    assert len(found) == 1, found
    (problem,) = found
    assert problem.place == f"{name}.yaml:{line}"
    assert problem.field == field
    assert what in problem.what
    assert problem.mend.startswith(mend)
    assert bool(problem.mend) == bool(mend)


def test_every_bad_file_is_looked_at():
    """None lies there untested."""
    names = {getattr(mistake, "values", mistake)[0] for mistake in MISTAKES}
    assert {path.stem for path in BAD.glob("*.yaml")} == names


def test_the_mistakes_of_all_files_are_named_at_once(tmp_path):
    """Two files that do not read, and the good one: both are named, in the order of the files."""
    write_book(tmp_path)
    for name in ("strength_word", "not_text", "twice"):
        shutil.copy(BAD / f"{name}.yaml", tmp_path)
    places = [problem.place for problem in problems_with(tmp_path).problems]
    assert places == ["not_text.yaml:4", "strength_word.yaml:9", "twice.yaml:4"]


def test_all_mistakes_of_one_file_are_named_at_once(tmp_path):
    """Three in one file, in the order of their lines."""
    text = "section: valve\nconditions:\n  a: {}\n  b: {title: 3}\n  c: {title: C, leads: {}}\n"
    (tmp_path / "many.yaml").write_text(text, encoding="utf-8")
    problems = problems_with(tmp_path).problems
    assert [(p.place, p.field) for p in problems] == [
        ("many.yaml:3", "conditions.a.title"),
        ("many.yaml:4", "conditions.b.title"),
        ("many.yaml:5", "conditions.c.leads"),
    ]


def test_unknown_names_in_several_files_are_named_at_once(tmp_path):
    """References are looked up over the whole book."""
    write_book(tmp_path)
    for name in ("unknown_given", "unknown_fact", "complaint_of"):
        shutil.copy(BAD / f"{name}.yaml", tmp_path)
    places = {problem.place for problem in problems_with(tmp_path).problems}
    assert places == {"unknown_given.yaml:10", "unknown_fact.yaml:7", "complaint_of.yaml:5"}


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
