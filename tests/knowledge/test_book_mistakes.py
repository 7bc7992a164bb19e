"""A book that is wrong says where, what and how to mend it: one bad file for each kind of mistake."""

import shutil
from pathlib import Path

import pytest

from knowledge.book import load_book
from knowledge.problems import InputProblems
from tests.helpers import write_book

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
    (
        "phone_question",
        2,
        "phone.trim_sen",
        "there is no check, fact or triage question named 'trim_sen'",
        "Did you mean trim_seen?",
    ),
    (
        "phone_answer",
        6,
        "phone.trim_seen.en.sounds_like.worm",
        "'worm' is not an answer of trim_seen",
        "Did you mean worn?",
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
