"""Procedures fitted to a unit, and what the trade says of set point (common practice, no source)."""

from itertools import pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.procedures import IN_WORDS, Fitted, Line, fitted
from diagnose.units import to_si
from knowledge.book import Book, load_book
from knowledge.schema_steps import ProcedureStep
from knowledge.words import HOLDS, hold_rank
from tests.helpers import tiny_book

STEADY = settings(max_examples=60, deadline=None, derandomize=True)
ACTIONS = ("snap", "throttle")
FAILS = ("closed", "open")
WAYS = {
    hold: {
        "title": f"To {hold}",
        "steps": [f"Into {hold}, first.", f"Into {hold}, then."],
        "back": [f"Out of {hold}."],
        "cautions": [f"mind_{k}"],
    }
    for k, hold in enumerate(HOLDS[1:])
}
CAUTIONS = {f"mind_{k}": f"Mind {hold}." for k, hold in enumerate(HOLDS[1:])}


def job(*steps: str | dict, **more) -> Book:
    """The tiny book with one procedure, `job`, of these steps and one more."""
    written = [{"do": step} if isinstance(step, str) else step for step in (*steps, "Look again.")]
    entry = {"title": "The job", "purpose": "It works again.", "minutes": 12, "steps": written, **more}
    return tiny_book({"procedures": {"job": entry}, "holds": WAYS, "cautions": CAUTIONS})


def steps_of(procedure: Fitted) -> list[str]:
    """The texts of its steps alone."""
    return [line.text for line in procedure.lines if line.kind == "step"]


def told(lines: tuple[Line, ...]) -> list[tuple[str, str]]:
    """Kind and text of each line."""
    return [(line.kind, line.text) for line in lines]


@pytest.fixture(scope="module")
def shipped() -> Book:
    """The book that comes with the program."""
    return load_book()


_holds = st.lists(st.one_of(st.none(), st.sampled_from(HOLDS)), min_size=1, max_size=5)


@given(_holds)
@STEADY
def test_every_way_between_holds_is_walked_and_the_unit_is_left_running(holds):
    """From one hold to the next, none jumped over; each step is made in the hold that was asked for last."""
    steps = [{"do": f"Step {k}.", **({"hold": hold} if hold else {})} for k, hold in enumerate(holds)]
    lines = fitted(job(*steps), "job").lines
    passed = [0] + [hold_rank(line.hold) for line in lines if line.kind == "hold"]
    assert all(abs(one - other) == 1 for one, other in pairwise(passed))
    assert passed[-1] == 0
    assert {line.hold for line in lines[-1:]} == {"running"}
    wanted = "running"
    asked = iter([*holds, None])
    for line in lines:
        if line.kind == "step":
            wanted = next(asked) or wanted
            assert line.hold == wanted


@given(_holds)
@STEADY
def test_the_cautions_of_a_hold_are_read_before_any_step_towards_it(holds):
    """Each time that it is gone to; on the way back none is left out of the steps back."""
    steps = [{"do": f"Step {k}.", **({"hold": hold} if hold else {})} for k, hold in enumerate(holds)]
    lines = fitted(job(*steps), "job").lines
    here = 0
    for at, line in enumerate(lines):
        if line.kind != "hold":
            continue
        there = hold_rank(line.hold)
        if there > here:
            assert told(lines[at : at + 4]) == [
                ("hold", f"To {line.hold}"),
                ("caution", f"Mind {line.hold}."),
                ("way", f"Into {line.hold}, first."),
                ("way", f"Into {line.hold}, then."),
            ]
        else:
            assert told(lines[at + 1 : at + 2]) == [("way", f"Out of {HOLDS[here]}.")]
        here = there


def test_a_job_made_running_goes_nowhere():
    """Its lines are its steps, numbered from one."""
    lines = fitted(job("Look.", "Listen."), "job").lines
    assert [(line.kind, line.number) for line in lines] == [("step", 1), ("step", 2), ("step", 3)]


def test_the_cautions_of_a_step_stand_right_before_it():
    """In the book's order, after the way to its hold."""
    step = {"do": "Open it.", "hold": "on bypass", "cautions": ["shut_first", "read_it"]}
    lines = told(fitted(job("Look.", step), "job").lines)
    at = lines.index(("step", "Open it."))
    assert lines[at - 3 : at] == [
        ("way", "Into on bypass, then."),
        ("caution", "Shut it first."),
        ("caution", "Read this."),
    ]


COLD_SHUT = {"do": "Turn it.", "when": {"season": "cold", "fails": ["closed"]}}


@pytest.mark.parametrize(
    ("facts", "text"),
    [
        ({"season": "cold", "fails": "closed"}, "Turn it."),
        ({"season": "warm", "fails": "closed"}, None),
        ({"season": "warm"}, None),
        ({"fails": "open"}, None),
        ({"season": "cold"}, "If fails is closed: Turn it."),
        ({"fails": "closed"}, "If season is cold: Turn it."),
        ({}, "If season is cold and fails is closed: Turn it."),
    ],
)
def test_a_step_for_other_units_is_left_out_and_one_that_nobody_can_judge_says_for_which(facts, text):
    """What is known is not said again."""
    steps = steps_of(fitted(job("Look.", COLD_SHUT), "job", facts))
    assert steps == ["Look.", *([text] if text else []), "Look again."]


def test_numbers_run_on_over_a_step_that_is_left_out():
    """And the hold of a step that is left out is not gone to."""
    lines = fitted(job("Look.", {**COLD_SHUT, "hold": "open"}), "job", {"season": "warm"}).lines
    assert [(line.kind, line.number) for line in lines] == [("step", 1), ("step", 2)]


def test_one_of_several_values_is_enough():
    """All of them are named when nobody knows."""
    either = job({"do": "Wait.", "when": {"season": ["warm", "cold"]}})
    assert steps_of(fitted(either, "job", {"season": "cold"}))[0] == "Wait."
    assert steps_of(fitted(either, "job"))[0] == "If season is warm or season is cold: Wait."


def test_words_of_the_sheet_that_are_no_facts_fit_a_procedure_too():
    """Where the controller is mounted; as words a person would use when the sheet does not say."""
    book = job({"do": "Reach over.", "when": {"mount": "left"}}, {"do": "Bend.", "when": {"hung": "flat"}})
    known = {"controller.mount": "left", "displacer.hung": "upright"}
    assert steps_of(fitted(book, "job", {}, known)) == ["Reach over.", "Look again."]
    assert steps_of(fitted(book, "job"))[:2] == [
        "If it is mounted on the left: Reach over.",
        "If the displacer hangs flat: Bend.",
    ]


def test_numbers_in_braces_are_the_units_own_or_words():
    """Of the sheet, in the trade's unit."""
    book = job("Set {supply_set|what its tag says}.", "Read {gauge_span}.")
    known = {"controller.supply_set": to_si(30, "psi")}
    assert steps_of(fitted(book, "job", {}, known))[:2] == ["Set 30 psi.", "Read what the sheet says."]
    assert steps_of(fitted(book, "job"))[0] == "Set what its tag says."


def test_what_the_job_needs_is_told_before_its_steps():
    """Title, purpose, minutes, who can do it, tools, and its cautions in full."""
    found = fitted(job(skill="mechanic", tools=["wrench"], cautions=["shut_first"], steps=[
        {"do": "One."}, {"do": "Two."}]), "job")  # fmt: skip
    assert (found.name, found.title, found.purpose) == ("job", "The job", "It works again.")
    assert (found.minutes, found.skill, found.tools) == (12, "mechanic", ("wrench",))
    assert found.cautions == ("Shut it first.",)


def test_a_procedure_that_is_not_there_is_no_procedure():
    """The face says which there are."""
    with pytest.raises(KeyError, match="no_job"):
        fitted(tiny_book(), "no_job")


def turns(book: Book, action: str, fails: str) -> list[str]:
    """The steps of setting the set point that turn the knob, on a unit that is piped and built right."""
    acting = "direct" if fails == "closed" else "indirect"
    known = {"action": action, "acting": acting, "valve_fails": fails, "liquid": "oil"}
    found = fitted(book, "set_point", known, {"controller.supply_set": to_si(30, "psi")})
    return [text for text in steps_of(found) if text.startswith("Turn ")]


@pytest.mark.parametrize(("action", "fails"), list(product(ACTIONS, FAILS)))
def test_the_last_turn_leaves_the_valve_shut_with_the_displacer_dry(shipped, action, fails):
    """No liquid on the displacer: zero output for a valve that fails closed, full for one that fails open."""
    last = turns(shipped, action, fails)[-1]
    assert ("zero" if fails == "closed" else "full") in last
    assert ("full" if fails == "closed" else "zero") not in last


@pytest.mark.parametrize(("action", "fails"), list(product(ACTIONS, FAILS)))
def test_the_knob_is_turned_to_where_the_valve_opens_and_back(shipped, action, fails):
    """Up first for a valve that fails closed, down first for one that fails open; snap goes all the way."""
    first, last = turns(shipped, action, fails)
    assert f"sends the output {'up' if fails == 'closed' else 'down'}" in first
    assert "back" in last
    end = "full" if fails == "closed" else "zero"
    assert (end if action == "snap" else "15 psi") in first


@pytest.mark.parametrize("fails", FAILS)
@pytest.mark.parametrize("action", ACTIONS)
def test_the_displacer_hangs_dry_and_the_dump_is_blocked_in_before_any_turn(shipped, action, fails):
    """Nobody strokes a valve on gas: it is opened again after the last turn."""
    known = {"action": action, "valve_fails": fails, "liquid": "oil"}
    steps = steps_of(fitted(shipped, "set_point", known))
    turned = [at for at, text in enumerate(steps) if text.startswith("Turn ")]
    shut = next(at for at, text in enumerate(steps) if "block valve" in text and "shut" in text.lower())
    dry = next(at for at, text in enumerate(steps) if "dry" in text)
    opened = [at for at, text in enumerate(steps) if "open the block valve" in text.lower()]
    assert max(shut, dry) < turned[0]
    assert min(opened) > turned[-1]


def test_an_unknown_set_up_gives_every_turn_with_its_if(shipped):
    """Each of the four pairings has its own two turns, and they are those of the known unit."""
    steps = steps_of(
        fitted(shipped, "set_point", {"liquid": "oil"}, {"controller.supply_set": to_si(30, "psi")})
    )
    for action, fails in product(ACTIONS, FAILS):
        front = f"If {IN_WORDS['action', action]} and {IN_WORDS['valve_fails', fails]}: "
        own = [text.removeprefix(front) for text in steps if text.startswith(f"{front}Turn ")]
        assert own == turns(shipped, action, fails)


def test_every_procedure_of_the_book_reads_the_cautions_of_a_hold_before_its_steps(shipped):
    """On a unit of which nothing is known, so that no step is left out; it ends running."""
    for name in shipped.procedures:
        here, read = 0, set()
        for line in fitted(shipped, name).lines:
            if line.kind == "hold" and hold_rank(line.hold) > here:
                read = set()
            if line.kind == "caution":
                read.add(line.text)
            if line.kind == "way" and hold_rank(line.hold) > here:
                assert {shipped.cautions[c] for c in shipped.holds[line.hold].cautions} <= read, name
            if line.kind == "step" or (line.kind == "hold" and hold_rank(line.hold) < here):
                here = hold_rank(line.hold)
        assert here == 0, name
        assert fitted(shipped, name).lines[-1].hold == "running", name


def test_every_fact_that_a_step_of_the_book_hangs_on_has_words(shipped):
    """An unknown one is told as a condition that a person would say."""
    steps: list[ProcedureStep] = [step for entry in shipped.procedures.values() for step in entry.steps]
    named = {
        (fact, value) for step in steps for fact, values in (step.when or {}).items() for value in values
    }
    assert named
    assert named <= set(IN_WORDS)


def test_every_procedure_that_a_step_of_the_book_sends_to_is_there(shipped):
    """By the name that stands behind the word."""
    for name, entry in shipped.procedures.items():
        for step in entry.steps:
            for words in step.do.lower().split("procedure ")[1:]:
                other = words.split()[0].strip(".,:;)")
                assert "_" not in other or other in shipped.procedures, (name, step.do)
