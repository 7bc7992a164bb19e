"""`book graph` and `book show`: the graph as a picture and as text."""

import json
import re
import xml.etree.ElementTree as ET
from itertools import combinations

import pytest
from hypothesis import given, settings

from diagnose.book_graph import graph_of
from diagnose.unit_graph import in_loop_order
from knowledge.words import SECTIONS
from tests.diagnose.random_books import random_books
from tests.helpers import tiny_book, write_book
from tests.tui.driver import SMALL_BOOK, small_book
from tui.__main__ import main
from tui.book_lines import around_lines, graph_lines
from tui.graph_svg import FILL, WIDTH, WORD, graph_svg
from tui.graph_text import loop_lines

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = "Cut & <script>alert(\"1\")</script> ]]> 'x' \x1b[2J &amp;"
BOOK = ["--book", str(SMALL_BOOK)]


def boxes(text: str) -> list[tuple[float, float, float, float]]:
    """(left, top, width, height) of every box; the ground of the picture is none."""
    rects = ET.fromstring(text).iter(f"{SVG}rect")
    return [
        tuple(float(r.get(key, 0)) for key in ("x", "y", "width", "height")) for r in rects if r.get("rx")
    ]


def texts(text: str) -> list[str]:
    """Every text that the picture shows, and every title that it tells."""
    return [
        part.text or "" for part in ET.fromstring(text).iter() if part.tag in (f"{SVG}text", f"{SVG}title")
    ]


@given(random_books())
@settings(max_examples=30, deadline=None, derandomize=True)
def test_every_entry_is_a_box_and_every_link_a_curve(book):
    """Well-formed, and none lies over another or over the edge."""
    graph = graph_of(book)
    text = graph_svg(graph, "The book")
    root, found = ET.fromstring(text), boxes(text)
    assert len(found) == len(graph.nodes)
    assert len(list(root.iter(f"{SVG}path"))) == len(graph.edges)
    for one, other in combinations(found, 2):
        apart = (
            abs(one[0] - other[0]) >= WIDTH or one[1] + one[3] <= other[1] or other[1] + other[3] <= one[1]
        )
        assert apart, (one, other)
    for left, top, width, height in found:
        assert 0 <= left <= left + width <= float(root.get("width"))
        assert 0 <= top <= top + height <= float(root.get("height"))


def test_the_sections_stand_from_left_to_right_in_the_order_of_the_signal():
    """A column each, with its name over it; the complaints are the last."""
    text = graph_svg(graph_of(small_book()), "The book")
    heads = {
        part.text: float(part.get("x"))
        for part in ET.fromstring(text).iter(f"{SVG}text")
        if part.get("font-size") == "12"
    }
    names = [name for name in (*SECTIONS, "complaints") if name in heads]
    assert set(names) == set(heads)
    assert sorted(heads, key=lambda name: heads[name]) == names
    assert {left for left, *_ in boxes(text)} == set(heads.values())


def test_the_picture_needs_nothing_from_outside():
    """No address but the name of the format, no script, no style sheet, no image, no link."""
    text = graph_svg(graph_of(small_book()), "The book")
    assert re.findall(r"\w+://[^\"' ]*", text) == ["http://www.w3.org/2000/svg"]
    tags = {part.tag.removeprefix(SVG) for part in ET.fromstring(text).iter()}
    assert tags == {"svg", "title", "rect", "text", "path"}


def test_a_hostile_title_is_text_and_nothing_else():
    """Of an entry and of the picture: it comes out letter for letter, without what could drive a screen."""
    book = tiny_book({"causes": {"trim_worn": {"title": HOSTILE}}})
    text = graph_svg(graph_of(book), HOSTILE)
    shown = HOSTILE.replace("\x1b", "")
    assert "<script" not in text
    assert shown in texts(text)
    joined = "".join("".join(texts(text)).split())
    assert "".join(f"CAUSE: {shown}".split()) in joined


def test_a_kind_does_not_hang_on_its_colour():
    """Causes, checks and complaints say in words what they are; every kind has a fill of its own."""
    found = texts(graph_svg(graph_of(tiny_book()), "The book"))
    for word in filter(None, WORD.values()):
        assert any(line.startswith(f"{word}: ") for line in found), word
    assert len(set(FILL.values())) == len(FILL)


def test_a_link_tells_its_words():
    """Where the pointer rests on it."""
    found = texts(graph_svg(graph_of(tiny_book()), "The book"))
    assert "output_stuck -> passes: always when fails is open, else seldom" in found


def test_book_graph_writes_the_picture_of_what_is_near(tmp_path, capsys):
    """The file holds it; stdout stays empty, the talk is on stderr."""
    path = tmp_path / "near.svg"
    assert main(["book", "graph", *BOOK, "--around", "supply_missing", "--svg", str(path)]) == 0
    out, err = capsys.readouterr()
    assert (out, err) == ("", f"Written: {path}\n")
    assert path.read_text(encoding="utf-8") == graph_svg(
        graph_of(small_book(), "supply_missing"), "Around supply_missing"
    )


def test_book_graph_that_cannot_be_written_says_so(tmp_path, capsys):
    """Code 2, with the file's name."""
    assert main(["book", "graph", *BOOK, "--svg", str(tmp_path / "no" / "where.svg")]) == 2
    assert "where.svg: cannot be written" in capsys.readouterr().err


def test_book_graph_as_text_names_everything_by_section(capsys):
    """As text without being told to; each entry with where it leads."""
    assert main(["book", "graph", *BOOK]) == 0
    out = capsys.readouterr().out
    assert main(["book", "graph", *BOOK, "--text"]) == 0
    assert capsys.readouterr().out == out
    graph = graph_of(small_book())
    assert out.splitlines() == graph_lines(graph)
    lines = out.splitlines()
    heads = [line for line in lines if line.isupper()]
    sections = [section.upper() for section in dict.fromkeys(node.section for node in graph.nodes)]
    assert heads == [section or "COMPLAINTS" for section in sections]
    for node in graph.nodes:
        at = lines.index(f"{node.kind} {node.id}: {node.title}")
        own = [f"    {edge.words} -> {edge.target}" for edge in graph.edges if edge.source == node.id]
        assert lines[at + 1 : at + 1 + len(own)] == own


def test_around_an_entry_only_what_is_near_is_told(capsys):
    """What brings it about, what it leads to, and what shows that, in loop order, nothing else."""
    assert main(["book", "graph", *BOOK, "--around", "supply_missing"]) == 0
    out = capsys.readouterr().out
    graph = graph_of(small_book(), "supply_missing")
    assert out.splitlines() == loop_lines(graph, in_loop_order(graph, "supply_missing"))
    near = {node.id: node for node in graph.nodes}
    every = {node.id: node for node in graph_of(small_book()).nodes}
    joined = " ".join(out.replace("|", " ").split())
    for name, node in every.items():
        shown = name if node.kind == "check" else node.title
        assert (re.search(rf"\b{re.escape(shown)}(?!\w)", joined) is not None) == (name in near), name


def test_what_is_reached_by_two_ways_is_told_once():
    """The second time it is only named."""
    lines = around_lines(graph_of(tiny_book(), "supply_frozen"), "supply_frozen")
    stuck = [line for line in lines if "output_stuck  " in line]
    assert len(stuck) == 2
    assert not stuck[0].endswith("(see above)")
    assert stuck[1].endswith("(see above)")
    assert len([line for line in lines if "wont_open  " in line]) == 1


@pytest.mark.parametrize(
    ("words", "mend"),
    [
        (["book", "graph", "--around", "supply_mising"], "Did you mean supply_missing?"),
        (["book", "graph", "--around", "valve_fails"], "--around: there is no 'valve_fails' in the graph"),
        (["book", "show", "supply_mising"], "Did you mean supply_missing?"),
    ],
)
def test_an_unknown_entry_names_the_nearest(words, mend, capsys):
    """Code 2, nothing on stdout."""
    assert main([*words, *BOOK]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert mend in err


@pytest.mark.parametrize("name", ["pilot_plugged", "no_open_signal"])
def test_book_show_tells_an_entry_and_what_is_around_it(name, capsys):
    """A cause or a condition: what it says of itself, then its links in words."""
    assert main(["book", "show", name, *BOOK]) == 0
    own, around = capsys.readouterr().out.split("\n\n", 1)
    assert around.splitlines() == around_lines(graph_of(small_book(), name), name)
    assert f"id: {name}" in own
    assert "leads_to" not in own
    assert main(["book", "show", name, *BOOK, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["leads_to"]


def test_a_title_cannot_drive_the_terminal(tmp_path, capsys):
    """Control characters are left out of the text too."""
    write_book(tmp_path, {"causes": {"trim_worn": {"title": HOSTILE}}})
    assert main(["book", "graph", "--book", str(tmp_path)]) == 0
    assert "\x1b" not in capsys.readouterr().out
