"""Pages beside the question, the same in both faces: faults, reasons, ticks, the text, the later proof."""

import threading
from pathlib import Path

import pytest

from diagnose.events import ALSO
from diagnose.opening import open_callout
from diagnose.procedures import fitted
from diagnose.sheet import read_unit
from diagnose.steps import repair_step
from diagnose.walk import Walk
from diagnose.walk_view import View
from knowledge.book import SHIPPED, load_book
from tests.tui.driver import (
    CURED,
    MOMENTS,
    REPAIRED,
    SUPPLY_OFF,
    dump,
    new_walk,
    on_screen,
    press,
    same_as_golden,
    settle,
    small_book,
    told,
    walk_of,
    walk_screen,
)
from tests.tui.test_plain import talk
from tui.texts.english import ENGLISH

WATCHED = [*REPAIRED, ("prove", "pilot_plugged", "could_not_tell")]


def asked():
    """A walk with findings for and against."""
    return new_walk(["1", "1"], lift_arm="nothing", output_gauge="none", supply_gauge="full")


async def drawn(pilot):
    """Wait until a page is worked out."""
    await pilot.pause()
    while ENGLISH.fault.working in dump(pilot.app):
        await pilot.pause(0.01)


@pytest.mark.parametrize("size", [(80, 24), (60, 20)])
@pytest.mark.parametrize(("page", "keys"), [("faults", "f"), ("fault", "f1"), ("why", "w")])
async def test_pages_are_the_ones_that_were_read_and_approved(page, keys, size):
    """Golden screens; `driver.RENEW` tells how to write them anew."""
    async with on_screen(asked(), size) as pilot:
        for key in keys:
            await pilot.press(key)
            await drawn(pilot)
        same_as_golden(pilot.app, f"page_{page}_{size[0]}x{size[1]}")


async def test_a_fault_tells_what_speaks_for_and_against_it_its_way_and_its_repair():
    """On the screen with bars, in lines with words alone."""
    async with on_screen(asked(), (120, 60)) as pilot:
        await press(pilot, "f")
        await pilot.press("1")
        await drawn(pilot)
        screen = " ".join(dump(pilot.app).split())
    title = asked().view().leaders[0].title
    lines = " ".join(talk(asked(), "f 1").split())
    for seen in (screen, lines):
        assert title in seen
        assert "Nothing happens: speaks" in seen
        assert "How it comes about:" in seen
        assert ", so " in seen
        assert "To put it right: unit" in seen
    assert "█" in screen
    assert "█" not in lines


def test_no_size_breaks_a_page_and_no_line_runs_over_its_edge():
    """At every width the lines are as wide as they may be, and no wider."""
    from tui.fault_lines import page_of_fault, why_page

    walk = asked()
    view = walk.view()
    pages = [page_of_fault(walk, view, number) for number in range(3)] + [why_page(walk, view)]
    for width in (20, 40, 58, 78, 118):
        assert all(len(line) <= width for page in pages for line in page(width))


def test_the_reasons_name_what_would_change_the_mind_and_what_fits_worst():
    """Both in the words of the questions."""
    said = talk(asked(), "w")
    assert "Why this:" in said
    assert "What each answer said:" in said
    assert "fits worst" in said or "All answers go together." in said


def test_there_is_no_sixth_fault():
    """It says which there are."""
    assert ENGLISH.fault.no_such in talk(asked(), "f 6")
    assert ENGLISH.fault.no_such in talk(asked(), "f x")


async def test_a_page_that_is_asked_for_too_early_comes_when_it_can():
    """The key is not lost, and the next digit opens a fault instead of answering a question."""
    walk = new_walk(["1"])
    gate, look = threading.Event(), walk._look

    def slow():
        assert gate.wait(20)
        return look()

    async with on_screen(walk) as pilot:
        walk._look = slow
        await pilot.press("1")
        await pilot.press("f")
        gate.set()
        await settle(pilot)
        await pilot.press("1")
        await drawn(pilot)
        assert "To put it right" in dump(pilot.app) or "How it comes about" in dump(pilot.app)
    assert len(walk.events) == 3


async def test_steps_are_ticked_one_by_one_the_same_in_both_faces():
    """Space ticks the next step, u takes the tick back, and the answer still has to be given."""
    by_screen, by_lines = walk_of(*SUPPLY_OFF), walk_of(*SUPPLY_OFF)
    moment = MOMENTS["repair"]()
    for walk in (by_screen, by_lines):
        walk._view = moment.view()
    async with on_screen(by_screen) as pilot:
        await press(pilot, "space", "x")
        seen = dump(pilot.app)
        assert "[x] 1. Take the pilot off." in seen
        assert "[x] 2. Clean its inlet" in seen
        assert "[ ] 3. Put it back" in seen
    said = talk(by_lines, "x", "x 2")
    assert "Ticked. 2 to go." in said
    assert told(by_screen.events) == told(by_lines.events)
    assert told(by_screen.events)[-2:] == [
        ("tick", "repair:pilot_plugged", "1", ""),
        ("tick", "repair:pilot_plugged", "2", ""),
    ]
    by_lines.undo()
    assert by_lines.state.ticks == {"repair:pilot_plugged": {1}}


def test_a_step_that_is_not_there_cannot_be_ticked():
    """Nor can anything where there are no steps."""
    walk = walk_of(*SUPPLY_OFF)
    walk._view = MOMENTS["repair"]().view()
    assert "There is no step 9 here." in talk(walk, "x 9")
    assert "There are no steps to tick here." in talk(new_walk(["1"]), "x")


async def test_what_was_not_proved_is_proved_later_in_both_faces():
    """y asks for the proof again; the callout is then cured."""
    by_screen, by_lines = walk_of(*WATCHED), walk_of(*WATCHED)
    async with on_screen(by_screen) as pilot:
        assert "y prove it now" in dump(pilot.app)
        await press(pilot, "y")
        assert "Prove it: Pilot inlet plugged" in dump(pilot.app)
        await press(pilot, "1")
    talk(by_lines, "y", "1")
    assert told(by_screen.events) == told(by_lines.events)
    assert by_screen.state.ended == by_lines.state.ended == "cured"


async def test_s_saves_the_callout_in_short_as_a_text_file(keep_off_the_real_data_folder):
    """And shows it, to be copied where the file cannot be reached."""
    async with on_screen(walk_of(*CURED)) as pilot:
        await press(pilot, "s")
        assert "What was wrong: Pilot inlet plugged" in dump(pilot.app)
        await press(pilot, "escape")
        assert pilot.app.screen is walk_screen(pilot)
    (path,) = Path(keep_off_the_real_data_folder / "data" / "texts").glob("*.txt")
    assert "What was wrong: Pilot inlet plugged" in path.read_text(encoding="utf-8")
    assert str(path) in talk(walk_of(*CURED), "s").replace("\n", "")


async def test_a_second_complaint_is_told_in_both_faces():
    """Typed after the /, picked like a finding."""
    by_screen, by_lines = new_walk(["1", "1"]), new_walk(["1", "1"])
    async with on_screen(by_screen) as pilot:
        await press(pilot, "slash", *"gas")
        await press(pilot, "space", *"tank")
        assert "Also wrong: It dumps all the time" in dump(pilot.app)
        offers = by_screen.offers("gas tank")
        number = 1 + [offer.question for offer in offers].index("complaint")
        await press(pilot, str(number))
    talk(by_lines, "/gas tank", str(number))
    assert told(by_screen.events) == told(by_lines.events)
    assert told(by_screen.events)[-1] == ("complaint", ALSO, "blows_by", "")
    assert by_screen.state.complaints == ("floods", "blows_by")
    assert "floods" in small_book().complaints


async def test_a_message_leaves_the_keys_in_sight():
    """What went wrong stands above, the foot stays."""
    async with on_screen(MOMENTS["check"]()) as pilot:
        foot = dump(pilot.app).splitlines()[-1]
        await press(pilot, "9")
        assert "There is no answer 9 here." in dump(pilot.app)
        assert dump(pilot.app).splitlines()[-1] == foot


def test_the_whole_job_of_a_repair_has_the_numbers_of_the_unit():
    """A procedure of the shipped book, in lines; a repair without one says so."""
    book = load_book(SHIPPED)
    unit = read_unit("willow-flat-v210", book)
    walk = Walk(book, [open_callout("c", unit, book, "2026-01-31T12:00:00Z")], lambda _: None, lambda: "")
    cause = next(name for name, entry in book.causes.items() if entry.repair.procedure == "set_point")
    walk._view = View(unit.name, repair_step(book, cause, ""), walk.state)
    said = talk(walk, "o")
    job = fitted(book, "set_point", unit.facts, unit.values)
    assert job.title in said
    assert "25 psi" in said or "12.5 psi" in said or "20 in" in said
    assert "The steps here are the whole job." in talk(MOMENTS["repair"](), "o")


def test_a_fault_page_of_the_shipped_book_ends_its_sentences_once():
    """Whether the book's reason brings its own full stop or not."""
    from tui.fault_lines import fault_page

    book = load_book()
    first = open_callout("c", read_unit("willow-flat-v210", book), book, "2026-01-31T12:00:00Z")
    walk = Walk(book, [first], lambda _: None, lambda: "2026-01-31T12:00:05Z")
    for answer in ("1", "1", "1"):
        walk.answer(answer)
    assert ".." not in "".join(fault_page(walk, walk.view(), 1)(400))
