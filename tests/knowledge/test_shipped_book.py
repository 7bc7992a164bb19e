"""The book that comes with the program: large enough, whole, and written for people."""

import json
from itertools import product

import pytest

from diagnose.advice import blamed
from diagnose.book_check import check
from diagnose.compile import Compiler
from diagnose.telling_apart import blind_checks
from knowledge.book import SHIPPED, load_book
from knowledge.checker import check_book
from knowledge.schema import BookFile
from knowledge.words import HOLDS, SECTIONS, hold_rank

BOOK = load_book()
PAIRS = list(product(("snap", "throttle"), ("direct", "indirect"), ("closed", "open")))


def test_the_first_book_is_large_enough():
    """At least 40 causes, 25 conditions, 45 checks, in nine section files."""
    assert len(BOOK.causes) >= 40
    assert len(BOOK.conditions) >= 25
    assert len(BOOK.checks) >= 45
    assert set(BOOK.sections.values()) == set(SECTIONS)
    assert len({BOOK.places[name].split(":")[0] for name in BOOK.causes}) == len(SECTIONS)


def test_its_graph_is_in_order():
    """No dead end, no twins, not too dense, and each two causes are told apart or it says why not."""
    report = check(BOOK)
    assert report.problems == ()
    assert list(report.cells) == list(BOOK.complaints)
    assert all(pair.because for pair in report.pairs)


def test_every_check_of_it_can_change_the_advice():
    """Each tells some two causes apart in some standard set-up, and every proof can see its cause."""
    assert check_book(BOOK).hints == ()
    assert blind_checks(BOOK) == []


@pytest.mark.parametrize("name", ["lever_wrong_side", "ports_swapped", "displacer_floats"])
def test_the_set_up_mistakes_are_among_the_causes(name):
    """Wrong lever side, swapped supply and vent, a displacer too light for its liquid."""
    assert name in BOOK.causes


@pytest.mark.parametrize(("action", "acting", "fails"), PAIRS)
@pytest.mark.parametrize("complaint", ["wont_open", "wont_close"])
def test_each_complaint_has_causes_in_every_set_up(action, acting, fails, complaint):
    """In every pairing at least ten causes in at least four sections can bring the complaint about."""
    compiler = Compiler(BOOK, {"action": action, "acting": acting, "valve_fails": fails})
    links = {(parent.name, target) for target, parents in compiler.parents.items() for parent in parents}
    reached, waiting = set(), [BOOK.complaints[complaint].of]
    while waiting:
        target = waiting.pop()
        for parent, child in links:
            if child == target and parent not in reached:
                reached.add(parent)
                waiting.append(parent)
    causes = reached & set(BOOK.causes)
    assert len(causes) >= 10
    assert len({BOOK.sections[name] for name in causes}) >= 4


def test_every_cause_can_be_blamed_for_some_complaint():
    """A cause that explains no complaint would never be put right."""
    assert set(BOOK.causes) <= blamed(BOOK, BOOK.complaints)


def sentences():
    """Every line of steps and cautions that a person reads, with where it is from."""
    for name, cause in BOOK.causes.items():
        yield from ((name, line) for line in [*cause.repair.do, cause.why])
    for name, asked in {**BOOK.checks, **BOOK.facts}.items():
        yield from ((name, line) for line in [*asked.steps, asked.say, asked.ask])
    for name, check_ in BOOK.checks.items():
        yield name, check_.right
    for name, hold in BOOK.holds.items():
        yield from ((name, line) for line in [*hold.steps, *hold.back])
    for name, question in BOOK.triage.items():
        yield from (
            (name, line) for outcome in question.outcomes.values() for line in [*outcome.do, question.say]
        )
    for name, procedure in BOOK.procedures.items():
        yield from ((name, line) for line in [procedure.purpose, *(step.do for step in procedure.steps)])
    yield from BOOK.cautions.items()


@pytest.mark.parametrize(("place", "line"), sorted(set(sentences())))
def test_every_line_is_a_sentence(place, line):
    """A capital first and a stop last: a comma in a YAML list would cut a line in two."""
    assert line[0].isupper() or line[0] == '"', place
    assert line.endswith((".", "?")), place


@pytest.mark.parametrize("name", sorted({**BOOK.checks, **BOOK.facts}))
def test_what_is_said_on_the_phone_is_short(name):
    """At most 170 characters, and none of the words that only the trade uses."""
    say = BOOK.question(name).say
    assert len(say) <= 170
    assert not {"displacer", "fulcrum", "actuator", "torque", "setpoint", "hysteresis"} & set(
        say.lower().split()
    )


@pytest.mark.parametrize("name", sorted(BOOK.causes))
def test_a_repair_that_opens_something_has_its_caution(name):
    """Whatever is done with the supply off or beyond names what can hurt."""
    repair = BOOK.causes[name].repair
    if hold_rank(repair.hold) >= hold_rank("supply off"):
        assert repair.cautions


def test_every_hold_has_its_cautions_and_depressured_proves_zero():
    """No way to say that it is depressured without the step that proves zero."""
    assert all(BOOK.holds[hold].cautions for hold in HOLDS[1:])
    assert any("prove zero" in step.lower() for step in BOOK.holds["depressured"].steps)
    assert "zero_proof" in BOOK.holds["depressured"].cautions


def test_the_words_never_tell_anybody_to_defeat_a_shutdown():
    """Block, wedge, jumper, defeat and override stand only in what forbids them."""
    bad = {"wedge", "jumper", "defeat", "override"}
    for place, line in sentences():
        words = set(line.lower().replace(",", " ").replace(".", " ").split())
        assert not bad & words or "never" in words or "not" in words, (place, line)


def test_the_committed_schema_is_current():
    """The file that editors read is what the models say."""
    committed = json.loads((SHIPPED.parent / "book.schema.json").read_text())
    assert committed == BookFile.model_json_schema()
