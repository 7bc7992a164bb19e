"""A walk in Spanish: every label has both languages, and no page shows an English one."""

import re
from collections.abc import Collection
from dataclasses import fields, is_dataclass, replace
from functools import cache

import pytest

from diagnose.help_step import help_step
from diagnose.opening import open_callout
from diagnose.proof_step import prove_step
from diagnose.sheet import Unit
from diagnose.steps import check_step, complaint_step, hold_step, repair_step, triage_question
from diagnose.trip import Left
from diagnose.walk import Walk
from diagnose.walk_view import View
from knowledge.book import SHIPPED, load_book
from knowledge.translation import in_language, load_translation
from tests.tui.driver import LEADERS, SHARES, dump, new_walk, on_screen, press, same_as_golden, small_book
from tui.fault_lines import fault_list, page_of_fault, why_page
from tui.picture_lines import picture
from tui.plain import walk_plain
from tui.screen.pictures import PictureScreen
from tui.texts import TEXTS, texts_in
from tui.texts.english import ENGLISH
from tui.texts.spanish import SPANISH
from tui.trip_lines import trip_short, trip_warning

SIZES = [(80, 24), (60, 20)]


def leaves(value: object, name: str = "") -> dict[str, str]:
    """Every text of a language, by its path."""
    if isinstance(value, str):
        return {name: value}
    if is_dataclass(value):
        pairs = [(field.name, getattr(value, field.name)) for field in fields(value)]
    elif isinstance(value, tuple):
        pairs = list(enumerate(value))
    else:
        pairs = list(value.items())
    return {path: text for key, part in pairs for path, text in leaves(part, f"{name}.{key}").items()}


def test_every_text_has_both_languages_with_the_same_parts_put_in():
    """The same names, and the same words in braces; nothing stays as it is in English but what is alike."""
    english, spanish = leaves(ENGLISH), leaves(SPANISH)
    assert english.keys() == spanish.keys()
    parts = re.compile(r"\{\w+\}")
    wrong = [
        name for name in english if set(parts.findall(english[name])) != set(parts.findall(spanish[name]))
    ]
    assert wrong == []
    same = {name for name, text in english.items() if text == spanish[name] and re.search("[a-z]{3}", text)}
    assert same <= {".page.sections.actuator", ".help.names.ctrl+c"}, same
    assert [name for name, text in english.items() if bool(text) != bool(spanish[name])] == []


def test_an_unknown_language_is_read_in_english():
    """As the book's own texts are."""
    assert texts_in("xx") is ENGLISH
    assert set(TEXTS) == {"en", "es"}


@cache
def english_labels() -> list[re.Pattern[str]]:
    """The words of the English labels that no Spanish label has."""
    spanish = " ".join(leaves(SPANISH).values())
    pieces = {
        piece.strip(" .,:;()>")
        for name, text in leaves(ENGLISH).items()
        if not name.startswith(".help.names")
        for piece in re.split(r"\{\w+\}", text)
    }
    told = sorted(piece for piece in pieces if len(piece) > 3 and piece not in spanish)
    return [re.compile(rf"(?<!\w){re.escape(piece)}(?!\w)") for piece in told]


def assert_spanish(text: str, but: Collection[str] = ()) -> None:
    """No label of the English walk stands in the text. ``but``: words that the book itself has."""
    flat = " ".join(text.split())
    assert len(english_labels()) > 150
    found = [match.group() for label in english_labels() if (match := label.search(flat))]
    assert [words for words in found if words not in but] == []


@cache
def spanish_walk() -> Walk:
    """A walk on the shipped book in Spanish, with nothing answered."""
    book = in_language(load_book(), load_translation(SHIPPED, "es"))
    opening = open_callout("test", Unit("V-101"), book, "2026-01-31T12:00:00Z")
    return Walk(book, [opening], lambda event: None, lambda: "2026-01-31T12:00:02Z", None, "es")


def shown(kind: str) -> Walk:
    """The walk at a kind of page, beside fixed beliefs."""
    walk = spanish_walk()
    book, state = walk.book, walk.state
    step = {
        "triage": lambda: triage_question(book, next(iter(book.triage))),
        "complaint": lambda: complaint_step(book, 0),
        "check": lambda: check_step(book, "supply_gauge", "Parte el lazo en dos.", ()),
        "caution": lambda: hold_step(book, "running", "on bypass", (), ""),
        "hold": lambda: hold_step(book, "running", "on bypass", book.cautions, ""),
        "repair": lambda: repair_step(book, "supply_shut", "Es lo más probable."),
        "prove": lambda: prove_step(book, "supply_shut"),
        "help_step": lambda: help_step(book, state, [(book.causes["supply_shut"].title, 0.4)]),
        "end": lambda: None,
    }[kind]()
    titles = ["supply_shut", "regulator_plugged", "pilot_gummed"]
    names = [name for name in titles if name in book.causes]
    leaders = tuple(
        replace(old, id=name, title=book.causes[name].title)
        for old, name in zip(LEADERS, names, strict=False)
    )
    walk._view = View(state.unit, step, state, leaders, SHARES, 0.1)
    return walk


PAGES = ["triage", "complaint", "check", "caution", "hold", "repair", "prove", "help_step", "end"]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("kind", PAGES)
async def test_no_page_shows_an_english_label(kind, size):
    """At both sizes, as it is first seen; the main pages are kept as goldens."""
    async with on_screen(shown(kind), size=size) as pilot:
        assert_spanish(dump(pilot.app))
        if kind in ("check", "caution", "repair", "end"):
            same_as_golden(pilot.app, f"{kind}_es_{size[0]}x{size[1]}")


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("key", ["question_mark", "r", "slash", "f", "v", "o"])
async def test_no_page_that_a_key_opens_shows_an_english_label(key, size):
    """Help, reading, what was said, the faults, the card, the whole job."""
    async with on_screen(shown("repair" if key == "o" else "check"), size=size) as pilot:
        await press(pilot, key)
        if isinstance(pilot.app.screen, PictureScreen):
            await pilot.app.workers.wait_for_complete()
            await pilot.pause()
        assert_spanish(dump(pilot.app))
        if key in ("question_mark", "f"):
            same_as_golden(pilot.app, f"key_{key}_es_{size[0]}x{size[1]}")


def test_the_pages_that_are_reckoned_are_in_spanish():
    """A fault, the reasons, the timeline and the graph, on the small book, whose own texts are English."""
    english = new_walk(["1", "1"], lift_arm="nothing", output_gauge="none")
    walk = Walk(
        replace(small_book(), language="es"),
        english.events,
        lambda event: None,
        lambda: "2026-01-31T12:00:09Z",
    )
    view = walk.view()
    pages = [fault_list(view, "es"), page_of_fault(walk, view, 1), why_page(walk, view)]
    pages += [picture(walk, view, 0), picture(walk, view, 1)]
    for page in pages:
        assert_spanish("\n".join(page(78)), [*ENGLISH.page.sections.values(), "Nothing", "closed"])


def test_every_word_on_the_trip_is_in_spanish():
    """Each bound and each mark, and what is due tells to act by site procedure."""
    for mark, minutes in enumerate((40.0, 20.0, 10.0, 3.0, -1.0)):
        for bound in ("over", "under", "about"):
            left = Left(minutes, bound, mark)
            assert_spanish(f"{trip_short(left, 'es')} {trip_warning(left, 'es')}")
    assert "procedimiento del sitio" in trip_warning(Left(-1.0, "about", 4), "es")


class Written:
    """A stream that keeps what is written."""

    encoding = "utf-8"

    def __init__(self) -> None:
        self.text = ""

    def write(self, text: str, /) -> object:
        """Keep it."""
        self.text += text
        return len(text)

    def flush(self) -> None:
        """Nothing waits."""


@pytest.mark.parametrize("kind", ["check", "caution", "repair", "end"])
def test_the_line_mode_is_in_spanish_too(kind):
    """The page, the help, what a wrong key gets."""
    out = Written()
    walk_plain(shown(kind), ["?", "99", "f", "g 9", "x 9"] if kind != "end" else ["?"], out, "registro")
    assert_spanish(out.text)
