"""A walk as a law: whatever is answered, it is safe, it ends, and it can be taken back."""

import random

import pytest

from diagnose.callout import replay
from diagnose.events import CANNOT, COULD_NOT_TELL, Event
from diagnose.opening import open_callout
from diagnose.sheet import Unit
from diagnose.steps import Step
from diagnose.walk import NotAnAnswer, Walk
from knowledge.book import Book, load_book
from knowledge.words import HOLDS, hold_rank
from tests.helpers import tiny_book

MOST_STEPS = 400
FAILS_SHUT = {"action": "snap", "acting": "direct", "valve_fails": "closed"}
FAILS_OPEN = {"action": "throttle", "acting": "indirect", "valve_fails": "open"}


@pytest.fixture(scope="module")
def shipped() -> Book:
    """The book that comes with the program."""
    return load_book()


def new_walk(book: Book, facts: dict[str, str] | None = None) -> Walk:
    """A walk that keeps its events in memory."""
    saved: list[Event] = []
    return Walk(book, [open_callout("test", Unit("test", facts or {}), book, "")], saved.append, lambda: "")


def assert_safe(walk: Walk, step: Step) -> None:
    """Nothing is asked for that the present hold does not allow, and no hold before its cautions."""
    book, state = walk.book, walk.state
    if step.kind == "check":
        asked = book.question(step.id)
        assert hold_rank(asked.hold) <= hold_rank(state.hold) <= hold_rank(asked.up_to)
    if step.kind == "repair":
        assert hold_rank(book.causes[step.id].repair.hold) <= hold_rank(state.hold)
    if step.kind == "hold" and hold_rank(step.id) > hold_rank(state.hold):
        assert state.cautions_read >= set(book.holds[step.id].cautions)
    if step.kind == "prove":
        assert state.hold == "running"
    if step.kind in ("hold", "caution"):
        assert abs(hold_rank(step.id) - hold_rank(state.hold)) == 1


def answered_at_random(book: Book, facts: dict[str, str], seed: int) -> Walk:
    """A whole walk with random answers, checked for safety at each step."""
    draw = random.Random(seed)
    walk = new_walk(book, facts)
    for _ in range(MOST_STEPS):
        step = walk.view().step
        if step is None:
            return walk
        assert_safe(walk, step)
        walk.answer(draw.choice(step.choices).key)
    pytest.fail(f"no end after {MOST_STEPS} answers: {walk.events[-5:]}")


@pytest.mark.parametrize("seed", range(60))
def test_random_answers_on_a_tiny_book_are_safe_and_come_to_an_end(seed):
    """Holds are reached caution by caution and never skipped."""
    assert answered_at_random(tiny_book(), {}, seed).state.ended


@pytest.mark.parametrize(("seed", "facts"), [(1, FAILS_SHUT), (2, FAILS_OPEN), (3, {"action": "snap"})])
def test_random_answers_on_the_shipped_book_are_safe_and_come_to_an_end(shipped, seed, facts):
    """The same on the whole book, in both fail positions."""
    assert answered_at_random(shipped, facts, seed).state.ended


def test_the_first_questions_are_about_danger_and_the_trip(shipped):
    """Before anything else: is anybody in danger, and how near is the vessel to its trip?"""
    walk = new_walk(shipped)
    asked = []
    for _ in range(2):
        step = walk.view().step
        asked.append((step.kind, step.id))
        walk.answer("1")
    assert asked == [("triage", "danger"), ("triage", "trip")]


def test_danger_must_be_dealt_with_before_the_next_question(shipped):
    """What to do stands on a page of its own."""
    walk = new_walk(shipped)
    walk.answer("danger")
    assert walk.view().step.kind == "notice"
    assert any("emergency" in line for line in walk.view().step.steps)
    walk.answer("done")
    assert walk.view().step.id == "trip"


def test_could_not_tell_to_everything_ends_in_a_call_for_help_that_says_what_is_not_known(shipped):
    """No loop, no guess: each question once, and the last page lists them."""
    walk = new_walk(shipped, FAILS_SHUT)
    seen = []
    while (step := walk.view().step) is not None and step.kind != "help":
        answers = [choice.answer for choice in step.choices]
        unknown = [answer for answer in (COULD_NOT_TELL, CANNOT) if answer in answers]
        walk.answer(unknown[0] if unknown else answers[0])
        if step.kind == "check":
            seen.append(step.id)
    assert len(seen) == len(set(seen)) > 3
    said = "\n".join(walk.view().step.steps)
    assert all(f"Nobody could tell: {shipped.question(name).ask}" in said for name in seen)
    walk.answer("called")
    assert walk.state.ended == "help"


@pytest.mark.parametrize("facts", [FAILS_SHUT, FAILS_OPEN])
def test_a_repair_that_does_not_cure_starts_anew_without_what_it_could_have_changed(shipped, facts):
    """The complaint is asked again, and the cause that was put right no longer leads."""
    walk = new_walk(shipped, facts)
    for answer in ("no_danger", "hours", "wont_close"):
        walk.answer(answer)
    while (step := walk.view().step) and step.kind != "repair":
        answers = [choice.answer for choice in step.choices]
        shut = "none" if facts is FAILS_SHUT else "full"
        wanted = (shut,) if step.id == "output_gauge_low" else ("passes", "shut", "low", "both")
        walk.answer(next((answer for answer in wanted if answer in answers), answers[0]))
    cause = step.id
    likely = {leader.id: leader.probability for leader in walk.view().leaders}
    walk.answer("done")
    while walk.view().step.kind != "prove":
        walk.answer("done")
    walk.answer("not_cured")
    assert walk.view().step.kind == "complaint"
    walk.answer("wont_close")
    assert {leader.id: leader.probability for leader in walk.view().leaders}.get(cause, 0.0) < likely[cause]
    assert walk.state.set_aside
    assert walk.state.epoch == 1


def test_undo_gives_the_view_of_before(shipped):
    """Taken back, an answer leaves no trace in what is shown."""
    walk = new_walk(shipped, FAILS_SHUT)
    for answer in ("no_danger", "hours", "wont_open"):
        walk.answer(answer)
    before = walk.view()
    walk.answer("1")
    assert walk.view() != before
    assert walk.undo()
    again = walk.view()
    assert (again.step, again.state, again.sections) == (before.step, before.state, before.sections)


def test_there_is_nothing_to_take_back_at_the_start():
    """Undo never removes the opening."""
    assert not new_walk(tiny_book()).undo()


def test_an_answer_can_be_changed_and_what_follows_stands(shipped):
    """The new answer counts, the later ones stay, and the events tell both."""
    walk = new_walk(shipped, FAILS_SHUT)
    for answer in ("no_danger", "hours", "wont_open"):
        walk.answer(answer)
    first = walk.view().step
    walk.answer(first.choices[0].answer)
    second = walk.view().step
    walk.answer(second.choices[0].answer)
    walk.ask(first.id)
    assert walk.view().step.id == first.id
    walk.answer(first.choices[1].answer)
    assert walk.state.findings[first.id].answer == first.choices[1].answer
    assert walk.state.findings[second.id].answer == second.choices[0].answer
    assert replay(shipped, walk.events) == walk.state


@pytest.mark.parametrize(("question", "answer"), [("trip", "now"), ("complaint", "wont_close")])
def test_danger_and_complaint_can_be_changed_too(shipped, question, answer):
    """Somebody said the wrong thing at first."""
    walk = new_walk(shipped, FAILS_SHUT)
    for given in ("no_danger", "hours", "wont_open"):
        walk.answer(given)
    walk.ask(question)
    walk.answer(answer)
    assert answer in (walk.state.triage.get(question), walk.state.complaint)


def test_a_reading_is_judged_against_the_units_own_supply(shipped):
    """18 psi is full where the supply is set to 20, and part-way where it is set to 30."""
    seen = []
    for supply in (20.0, 30.0):
        unit = Unit("test", FAILS_SHUT, {"supply_set": supply})
        walk = Walk(shipped, [open_callout("test", unit, shipped, "")], lambda event: None, lambda: "")
        for answer in ("no_danger", "hours", "wont_open"):
            walk.answer(answer)
        walk.ask("output_gauge")
        walk.answer("18 psi")
        seen.append(walk.state.findings["output_gauge"].answer)
    assert seen == ["full", "part"]


@pytest.mark.parametrize("typed", ["", "9", "full speed", "12", "12 furlongs", "\x1b[2J", "nan psi"])
def test_rubbish_is_refused_and_changes_nothing(shipped, typed):
    """The message says what would be an answer."""
    walk = new_walk(shipped, FAILS_SHUT)
    for answer in ("no_danger", "hours", "wont_open"):
        walk.answer(answer)
    walk.ask("output_gauge")
    before = list(walk.events)
    with pytest.raises(NotAnAnswer, match=r"Press one of|Write it as|not a unit|Give it in"):
        walk.answer(typed)
    assert walk.events == before


def test_a_hold_that_cannot_be_reached_takes_everything_beyond_it_off_the_list(shipped):
    """After "it cannot be done now" no check and no repair is advised that needs it."""
    draw = random.Random(0)
    walk = new_walk(shipped, FAILS_SHUT)
    refused = False
    for _ in range(MOST_STEPS):
        step = walk.view().step
        if step is None:
            break
        if step.kind == "caution":
            walk.answer(CANNOT)
            refused = True
            continue
        assert not (refused and step.kind == "hold" and step.id in HOLDS[1:])
        usable = [choice.key for choice in step.choices if choice.answer not in ("cured", "done")]
        walk.answer(draw.choice(usable or [step.choices[0].key]))
    assert refused
    assert walk.state.hold == "running"
