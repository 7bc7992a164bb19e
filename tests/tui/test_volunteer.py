"""Answers that are not sure, and findings told without being asked, on both faces."""

import pytest
from textual.widgets import Input

from tests.tui.driver import (
    CURED,
    MOMENTS,
    dump,
    new_walk,
    on_screen,
    press,
    same_as_golden,
    told,
    walk_of,
    walk_screen,
)
from tests.tui.test_plain import last_page, talk
from tui.screen.page import foot_line
from tui.screen.volunteer import VolunteerScreen


def doubts(walk) -> list[tuple[str, str, str, str, bool]]:
    """Events without their times, with their doubt."""
    return [(*event, one.sure) for event, one in zip(told(walk.events), walk.events, strict=True)]


def asked(now: str):
    """A walk asking this check."""
    return new_walk(["1", "1"], now=now)


@pytest.mark.parametrize(
    ("keys", "line", "answer"),
    [
        (("n", "3"), "3?", "nothing"),
        (("n", "down", "enter"), "little ?", "little"),
        (("n", "n", "3"), "3", "nothing"),
        (("n", "0"), "0?", "could_not_tell"),
    ],
)
async def test_not_sure_is_n_on_the_screen_and_a_question_mark_in_lines(keys, line, answer):
    """The same events by either way."""
    by_screen, by_lines = asked("lift_arm"), asked("lift_arm")
    async with on_screen(by_screen) as pilot:
        await press(pilot, *keys)
    talk(by_lines, line)
    assert doubts(by_screen) == doubts(by_lines)
    assert by_screen.state == by_lines.state
    finding = by_screen.state.findings["lift_arm"]
    assert finding.answer == answer
    assert finding.sure == (answer == "could_not_tell" or "?" not in line)


@pytest.mark.parametrize(("key", "typed"), [("n", "12 psi"), ("n", "12 psi?"), ("", "12 psi ?")])
async def test_a_reading_can_be_not_sure(key, typed):
    """By the key before it, by a ? behind it, or by both."""
    by_screen, by_lines = asked("output_gauge"), asked("output_gauge")
    async with on_screen(by_screen) as pilot:
        await press(pilot, *([key] if key else []), "r")
        assert ("NOT SURE" in dump(pilot.app)) == bool(key)
        pilot.app.screen.query_one(Input).value = typed
        await press(pilot, "enter")
    talk(by_lines, "12 psi?")
    assert doubts(by_screen) == doubts(by_lines)
    assert doubts(by_lines)[-1] == ("check", "output_gauge", "part", "12 psi", False)


async def test_a_bare_digit_with_a_question_mark_is_no_reading():
    """It would be taken for the answer of that number."""
    walk = asked("output_gauge")
    async with on_screen(walk) as pilot:
        await press(pilot, "r")
        pilot.app.screen.query_one(Input).value = "2?"
        await press(pilot, "enter")
        assert "'2' has no unit." in dump(pilot.app)
    assert len(walk.events) == 3


@pytest.mark.parametrize("size", [(80, 24), (60, 20), (30, 10)])
async def test_not_sure_is_seen_before_the_answer_and_lasts_for_one(size):
    """A ? stands behind each number but 0, at any size; the next question is answered for sure again."""
    walk = asked("lift_arm")
    async with on_screen(walk, size) as pilot:
        assert "1? It opens" not in dump(pilot.app)
        await press(pilot, "n")
        for words in ("> 1? It opens", "  3? Nothing happens", "  0  Could not tell"):
            assert words in dump(pilot.app)
        await press(pilot, "3")
        assert not walk_screen(pilot).unsure
    assert walk.state.findings["lift_arm"].sure is False


async def test_a_question_about_danger_is_answered_for_sure():
    """What is not a finding cannot be not sure; it says so, and the key does nothing."""
    walk = new_walk()
    async with on_screen(walk) as pilot:
        await press(pilot, "n")
        assert "This cannot be answered as not sure." in dump(pilot.app)
        assert "n not sure" not in foot_line(walk.view(), 200)
        await press(pilot, "1")
    assert doubts(walk)[-1] == ("triage", "danger", "steady", "", True)
    assert "Answer it without the" in talk(walk_of(), "c", "2", "1?")


@pytest.mark.parametrize("moment", MOMENTS)
def test_the_foot_names_the_key_for_not_sure_where_it_does_something(moment):
    """At checks, also on sixty columns."""
    view = MOMENTS[moment]().view()
    is_check = view.step is not None and view.step.kind == "check"
    assert ("n not sure" in foot_line(view, 60)) == is_check
    assert ("n sure" in foot_line(view, 60, unsure=True)) == is_check
    assert ("/ said" in foot_line(view, 80)) == (view.step is not None)
    assert "q leave" in foot_line(view, 60)


async def test_the_list_of_answers_says_which_is_not_sure():
    """On both faces, when an answer is to be changed."""
    walk = new_walk(["1", "1"], lift_arm="nothing?", soap="dry")
    words = "does the valve open? Nothing happens (not sure)"
    assert words in " ".join(talk(walk, "c", "").split())
    async with on_screen(walk) as pilot:
        await press(pilot, "c")
        seen = " ".join(dump(pilot.app).split())
        assert words in seen
        assert "No bubbles (not sure)" not in seen


TOLD = [
    (("/", "h", "i", "s", "s", "1"), ("/hiss", "1"), ("listen_valve", "hiss", True)),
    (("/", *"bubble", "down", "enter"), ("/bubble", "2"), ("soap", "dry", True)),
    (("/", *"hiss", "question_mark", "enter"), ("/hiss", "1?"), ("listen_valve", "hiss", False)),
    (("/", *"shut", "space", *"signal", "1"), ("/shut signal", "1"), ("valve_fails", "closed", True)),
]


@pytest.mark.parametrize("now", ["", "lift_arm"])
@pytest.mark.parametrize(("keys", "lines", "finding"), TOLD)
async def test_what_is_told_gives_the_same_events_on_both_faces(keys, lines, finding, now):
    """Whether danger is being asked about or a check."""
    by_screen, by_lines = (asked(now) if now else new_walk() for _ in range(2))
    async with on_screen(by_screen) as pilot:
        await press(pilot, *keys)
        assert pilot.app.screen is walk_screen(pilot)
    talk(by_lines, *lines)
    assert doubts(by_screen) == doubts(by_lines)
    assert doubts(by_lines)[-1] == ("check", *finding[:2], "", finding[2])


async def test_danger_is_asked_on_after_a_finding_was_told():
    """And u takes the finding back."""
    walk = new_walk()
    async with on_screen(walk) as pilot:
        await press(pilot, "/", *"hiss", "1")
        assert "Is liquid about to carry over" in dump(pilot.app)
        await press(pilot, "u")
    assert walk.state == new_walk().state
    assert "How near is it to trouble?" in last_page(talk(new_walk(), "/hiss", "1"))


async def test_esc_leaves_without_change():
    """Though a list was there."""
    walk = asked("lift_arm")
    async with on_screen(walk) as pilot:
        await press(pilot, "/", *"hiss", "escape")
        assert pilot.app.screen is walk_screen(pilot)
    assert len(walk.events) == 3


@pytest.mark.parametrize("pick", ["", "9", "x", "0", "?"])
def test_no_pick_in_lines_changes_nothing(pick):
    """Enter, or what is not in the list."""
    walk = asked("lift_arm")
    talk(walk, "/hiss", pick)
    assert len(walk.events) == 3


async def test_the_list_changes_while_one_types():
    """Another letter, a letter taken away, the whole line taken away."""
    async with on_screen(asked("lift_arm")) as pilot:
        await press(pilot, "/")
        assert "Type what was said" in dump(pilot.app)
        await press(pilot, *"his")
        assert "1  With the level low and the valve shut, does it hiss? It hisses" in dump(pilot.app)
        await press(pilot, "x")
        assert "Nothing in the book sounds like: hisx." in dump(pilot.app)
        await press(pilot, "1", "enter")
        assert isinstance(pilot.app.screen, VolunteerScreen)
        await press(pilot, "backspace")
        assert "It hisses" in dump(pilot.app)
        await press(pilot, "delete")
        assert "Type what was said" in dump(pilot.app)


@pytest.mark.parametrize(("line", "words"), [("/", "Type what was said"), ("/xyzzy", "sounds like: xyzzy.")])
def test_lines_say_why_nothing_is_offered(line, words):
    """And ask the same question on."""
    walk = asked("lift_arm")
    assert words in talk(walk, line).replace("\n", " ")
    assert len(walk.events) == 3


async def test_nothing_is_told_after_the_end():
    """Neither face opens a list."""
    walk = walk_of(*CURED)
    async with on_screen(walk) as pilot:
        await press(pilot, "/", "n")
        assert pilot.app.screen is walk_screen(pilot)
    assert "The callout has ended." in talk(walk, "/hiss", "1")
    assert walk.state == walk_of(*CURED).state


async def test_what_does_not_stand_on_the_screen_cannot_be_taken():
    """In a low window the list is cut off between two findings, and it says that there is more."""
    walk = asked("lift_arm")
    async with on_screen(walk, (40, 12)) as pilot:
        await press(pilot, "/", *"the")
        screen = pilot.app.screen
        assert isinstance(screen, VolunteerScreen)
        assert 0 < screen._shown < len(screen._offers)
        assert "There is more: type another word." in dump(pilot.app)
        await press(pilot, str(screen._shown + 1))
        assert pilot.app.screen is screen
        await press(pilot, str(screen._shown))
        assert pilot.app.screen is walk_screen(pilot)
    assert len(walk.events) == 4


@pytest.mark.parametrize("key", ["1", "enter"])
async def test_a_finger_that_bounces_on_the_list_answers_nothing_under_it(key):
    """The same key again in the same moment, the next question being there."""
    walk = asked("lift_arm")
    async with on_screen(walk, monotonic=lambda: 0.0) as pilot:
        await press(pilot, "/", *"hiss", key, key)
    assert len(walk.events) == 4


@pytest.mark.parametrize("size", [(80, 24), (60, 20)])
async def test_the_list_and_a_doubt_are_the_ones_that_were_read_and_approved(size):
    """Golden screens."""
    async with on_screen(MOMENTS["check"](), size) as pilot:
        await press(pilot, "n")
        same_as_golden(pilot.app, f"check_not_sure_{size[0]}x{size[1]}")
        await press(pilot, "/", *"the")
        same_as_golden(pilot.app, f"dialog_said_{size[0]}x{size[1]}")
