"""The timeline and the graphs around the leaders, on the screen and line by line."""

import io

import pytest
from hypothesis import given, settings

from diagnose.book_graph import graph_of
from diagnose.callout import State
from diagnose.unit_graph import graph_on_unit, in_loop_order
from knowledge.words import SECTIONS
from tests.diagnose.random_books import random_books
from tests.tui.driver import (
    REPAIRED,
    dump,
    new_walk,
    on_screen,
    press,
    same_as_golden,
    small_book,
    walk_of,
)
from tui.graph_text import loop_lines
from tui.picture_lines import picture
from tui.plain import walk_plain
from tui.texts.english import ENGLISH
from tui.timeline_text import timeline_lines

NOT_CURED = [*REPAIRED, ("prove", "pilot_plugged", "not_cured"), ("complaint", "complaint", "floods")]


def asked():
    return new_walk(["1", "1"], lift_arm="nothing", output_gauge="none", supply_gauge="99 psi")


async def drawn(pilot) -> None:
    """Wait until the page that is wanted is worked out."""
    await pilot.pause()
    while pilot.app.screen.number not in pilot.app.screen.pages:
        await pilot.pause(0.02)
    await pilot.pause()


@pytest.mark.parametrize("size", [(80, 24), (60, 20)])
async def test_the_timeline_and_a_graph_are_pages_of_their_own(size):
    """Key g shows the timeline, a digit there the graph around that leader, Esc the question again."""
    async with on_screen(asked(), size) as pilot:
        question = dump(pilot.app)
        await press(pilot, "g")
        await drawn(pilot)
        same_as_golden(pilot.app, f"picture_timeline_{size[0]}x{size[1]}")
        await press(pilot, "1")
        await drawn(pilot)
        same_as_golden(pilot.app, f"picture_graph_{size[0]}x{size[1]}")
        await press(pilot, "pagedown", "pageup", "0", "escape")
        assert dump(pilot.app) == question


@pytest.mark.parametrize("size", [(20, 6), (40, 12), (120, 40)])
async def test_any_size_does_no_harm(size):
    """Nothing is wider than the window, and every digit may be pressed."""
    async with on_screen(asked(), size) as pilot:
        await press(pilot, "g", "5", "1", "4", "0", "pagedown", "q")
        assert all(len(line) <= size[0] for line in dump(pilot.app).splitlines())


def test_before_the_complaint_there_is_nothing_to_show():
    """It says so."""
    walk = new_walk()
    assert picture(walk, walk.view(), 0)(80) == [ENGLISH.fault.nothing_moved]


@pytest.mark.parametrize("width", [56, 78, 118])
def test_the_last_row_of_the_timeline_is_what_is_believed_now(width):
    """Letter by letter the percents of the likely faults."""
    walk = asked()
    view, timeline = walk.view(), walk.timeline()
    assert list(timeline.moments[-1].chances) == pytest.approx([each.probability for each in view.leaders])
    assert list(timeline.leaders) == [each.id for each in view.leaders]
    assert len(timeline.moments) == 4
    lines = timeline_lines(timeline, width)
    assert max(map(len, lines)) <= width


def test_a_repair_in_vain_stands_in_the_timeline():
    """Where it was made, before the answers that came after it."""
    timeline = walk_of(*NOT_CURED).timeline()
    assert [moment.repaired for moment in timeline.moments] == ["", "Pilot inlet plugged"]
    told = "\n".join(timeline_lines(timeline, 80))
    assert told.index(" 1 ") < told.index("-- Pilot inlet plugged: put right, not cured") < told.index(" 2 ")


def test_the_line_mode_shows_the_same_pictures():
    """g and g 1, and a number that there is none of."""
    out = io.StringIO()
    walk = asked()
    walk_plain(walk, ["g", "g 1", "g 9", "q"], out, "record")
    told = out.getvalue()
    view = walk.view()
    for number in (0, 1):
        assert "\n".join(picture(walk, view, number)(78)) in told
    assert "There is no such picture." in told


def state_of(complaint: str, **facts: str) -> State:
    return State("V", facts, {}, complaint=complaint)


def test_a_link_that_cannot_hold_on_the_unit_is_left_out():
    """A fault of the supply floods a vessel whose valve fails closed and empties one that fails open."""
    ends = {
        fails: {
            node.id for node in graph_on_unit(small_book(), "supply_shut", state_of("floods", **known)).nodes
        }
        for fails, known in (("closed", {"valve_fails": "closed"}), ("open", {"valve_fails": "open"}))
    }
    assert {"stays_shut", "floods"} <= ends["closed"]
    assert not {"stays_shut", "floods"} & ends["open"]
    assert {"stays_open", "blows_by"} <= ends["open"]


def test_only_checks_that_were_made_stand_in_the_graph_with_what_was_seen():
    """One that nobody could tell is not among them."""
    walk = new_walk(["1", "1"], lift_arm="nothing", output_gauge="could_not_tell")
    nodes = graph_on_unit(small_book(), "pilot_plugged", walk.view().state).nodes
    assert {node.id: node.found for node in nodes if node.kind == "check"} == {"lift_arm": "Nothing happens"}


@given(random_books())
@settings(max_examples=30, deadline=None, derandomize=True)
def test_in_loop_order_every_link_leads_onward(book):
    """Each entry stands once, behind all that leads to it, the sections in the signal's order."""
    for centre in list(book.causes)[:3]:
        graph = graph_of(book, centre)
        stretches = in_loop_order(graph, centre)
        order = [node.id for stretch in stretches for node in stretch.nodes]
        assert sorted(order) == sorted(node.id for node in graph.nodes)
        assert all(order.index(edge.source) < order.index(edge.target) for edge in graph.edges)
        assert stretches[0].section == book.sections[centre]
        assert {stretch.section for stretch in stretches} <= {*SECTIONS, "complaints"}
        for width in (58, 80):
            assert max(map(len, loop_lines(graph, stretches, width))) <= width


def test_every_rail_that_begins_arrives():
    """As many rails end as begin, and a check that was not made stands by name under what shows it."""
    graph = graph_of(small_book(), "supply_shut")
    lines = loop_lines(graph, in_loop_order(graph, "supply_shut"))
    told = "\n".join(lines)
    assert lines[1].startswith("o ")
    fronts = [line[: line.index("> ")] for line in lines if "> " in line]
    begun = sum(line.split("  ")[0].count("o") for line in lines[1:2]) + sum(
        front.count("o") for front in fronts
    )
    assert begun == sum(front.count("`") for front in fronts)
    assert "seen by: " in told
