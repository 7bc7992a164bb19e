"""The whole program under hostile input: commands, the desk, pages and files."""

import argparse
import asyncio
import csv
import io
import random
import shutil
from collections.abc import Iterator
from contextlib import chdir, redirect_stderr, redirect_stdout
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import Final
from unittest.mock import patch

from diagnose.callout import replay
from diagnose.handover import handover_of
from diagnose.history.store import History
from diagnose.opening import open_callout
from diagnose.sheet import Unit
from diagnose.summary import summary_of
from diagnose.walk import Walk
from knowledge.book import EXAMPLES
from tests.fuzz.mutate import HOSTILE, text_of
from tests.tui.desk_driver import desk_on, desk_screen, press
from tests.tui.driver import SMALL_BOOK, cure, small_book
from tui.__main__ import main, parser
from tui.csv_text import csv_text
from tui.desk_message import message_file, write_message
from tui.handover_page import handover_html, handover_text
from tui.history_lines import COLUMNS, ids_of
from tui.summary_lines import save_text, summary_text

LEFT_OUT: Final = {("rig", "sweep"), ("rig", "compare"), ("demo",), ("drill",)}
"""Commands that take minutes."""
VALUES: Final = (
    *("1", "0", "-1", "0.5", "nan", "inf", "1e400", "9" * 30, "-", "", " ", ".", "x", "newest", "en", "es"),
    *("wont_open", "complaint=wont_open", "output_gauge=12psi", "action=snap", "moving=30", "open", "causes"),
    *(
        "willow-flat-v210",
        "unknown-unit",
        "supply_shut",
        "set_point",
        "actuator",
        "bench_low=3psi",
        "2026-01",
    ),
)
KEYS: Final = (
    *"0123456789jkl?ucrntfwvxhabz /.ynmeosip",
    *("enter", "escape", "up", "down", "left", "right", "pageup", "pagedown", "tab", "backspace", "space"),
    *("f1", "f2", "f5", "home", "end", "delete", "shift+tab"),
)
NAMES: Final = ("V-101", "North pad", "Kim", "glass plugged", "12 psi")
RUN: Final = "=+-@\t\r"


class Finding(AssertionError):
    """Something that must never happen, whatever is put in."""


def harmless(text: str) -> str:
    """The text itself; `Finding` when a terminal would obey something in it."""
    bad = sorted({c for c in text if not c.isprintable() and c != "\n"})
    if bad:
        raise Finding(f"a control character {bad} reached a person: {text[:300]!r}")
    return text


@cache
def _commands() -> tuple[tuple[tuple[str, ...], argparse.ArgumentParser], ...]:
    """Every command with its own parser, but those that take minutes."""
    return tuple((words, own) for words, own in _below((), parser()) if words not in LEFT_OUT)


def _below(
    words: tuple[str, ...], own: argparse.ArgumentParser
) -> Iterator[tuple[tuple[str, ...], argparse.ArgumentParser]]:
    for action in own._actions:
        if isinstance(action, argparse._SubParsersAction):
            for name, deeper in action.choices.items():
                yield from _below((*words, name), deeper)
            return
    yield words, own


def every_command(source: random.Random, folder: Path) -> bool:
    """A command with its own options and any words behind them: done, or told what to mend."""
    words, own = source.choice(_commands())
    given = list(words)
    for action in source.sample(own._actions, source.randint(0, min(5, len(own._actions)))):
        if "--db" in action.option_strings:
            continue  # another machine is not to be called
        given += action.option_strings[-1:]
        if action.nargs != 0:
            known = [str(choice) for choice in action.choices or ()] or list(VALUES)
            value = source.choice(known) if source.random() < 0.7 else text_of(source, VALUES)
            # A folder of its own for whatever it writes: a path that leads out is tried by `names`.
            given.append(value.replace("/", "_"))
    return _run(given, folder)


def _run(given: list[str], folder: Path) -> bool:
    out, err = io.StringIO(), io.StringIO()
    own = {"HALFSPLIT_DATA": str(folder / "data")}
    with (
        redirect_stdout(out),
        redirect_stderr(err),
        patch("sys.stdin", io.StringIO("")),
        patch.dict("os.environ", own),
        chdir(folder),
    ):
        try:
            code = main(given)
        except SystemExit as left:
            code = int(left.code or 0)
    judged = given[:2] in (["book", "check"], ["self-check"]) or given[0] == "self-check"
    if code not in ((0, 1, 2) if judged else (0, 2)):
        raise Finding(f"{given} left with {code}: {err.getvalue()[-300:]}")
    if "Traceback" in err.getvalue():
        raise Finding(f"{given}: {err.getvalue()[-300:]}")
    harmless(err.getvalue())
    if given[0] != "completion" and "--csv" not in given:
        harmless(out.getvalue())
    return code == 0


def odd_file(source: random.Random, folder: Path) -> bool:
    """A sheet, a book or a batch in another encoding, huge, deeply nested, or unfolding without end."""
    path = folder / "odd.yaml"
    right = source.choice([p.read_bytes() for p in sorted(EXAMPLES.glob("*.yaml"))])
    text = right.decode()
    many = source.randint(2_000, 60_000)
    path.write_bytes(
        source.choice(
            [
                text.encode("utf-16"),
                text.encode("utf-32"),
                text.encode("utf-8-sig"),
                text.encode("cp500", "replace"),
                "unit: Ñandú\n".encode("latin-1"),
                right + b"\xc3\x28",
                right + b"\nnotes: " + b"A" * many * 20,
                b"[" * many,
                b"{a: " * many,
                b"- " * many,
                b'{"id": ' * many,
                _unfolding(source.randint(5, 40)),
                bytes(source.randrange(256) for _ in range(300)),
                b"",
            ]
        )
    )
    book = folder / "odd_book"
    book.mkdir(exist_ok=True)
    for file in SMALL_BOOK.glob("*.yaml"):
        (book / file.name).write_bytes(file.read_bytes())
    (book / "99_odd.yaml").write_bytes(path.read_bytes())
    command = source.choice(
        [
            ["sheet", "check", str(path)],
            ["rank", "--batch", str(path)],
            ["rank", "--unit", str(path)],
            ["book", "list", "causes", "--book", str(book)],
            ["history", "merge", str(path)],
            ["history", "restore", str(path)],
        ]
    )
    return _run(command, folder)


def _unfolding(levels: int) -> bytes:
    """A few lines of YAML that would be as many things as two to the power of the levels."""
    lines = ["a0: &a0 [x, x]", *(f"a{n}: &a{n} [*a{n - 1}, *a{n - 1}]" for n in range(1, levels))]
    return "\n".join(lines).encode()


class _Tags(HTMLParser):
    """The tags of a page with the names of their attributes."""

    def __init__(self) -> None:
        super().__init__()
        self.seen: set[tuple[str, tuple[str, ...]]] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.add((tag, tuple(name for name, _ in attrs)))
        if tag in ("script", "iframe", "object", "img", "link") or any(
            name.startswith("on") for name, _ in attrs
        ):
            raise Finding(f"a text became {tag} {attrs}")


def _hostile_text(source: random.Random) -> str:
    """A name or a note: mostly hostile through and through."""
    if source.random() < 0.5:
        return source.choice(HOSTILE).decode("utf-8", "replace").replace("\x00", "")
    return text_of(source, NAMES)


def names(source: random.Random, folder: Path) -> bool:
    """Names of units, sites, callouts and people of any kind, in all that is written: shown, never obeyed."""
    unit, site, name = (_hostile_text(source) or "x" for _ in range(3))
    opened = open_callout(name, Unit(unit, site=site), small_book(), "2026-01-31T12:00:00Z", unit, site)
    walk = Walk(small_book(), [opened], lambda event: None, lambda: "2026-01-31T12:00:01Z")
    for answer in cure()[: source.randint(0, 4)]:
        walk.answer(answer)
    handed = handover_of(walk.book, walk.events, [_hostile_text(source)])
    tags = _Tags()
    tags.feed(handover_html(handed))
    for line in handover_text(handed).splitlines():
        harmless(line)
    inside = folder / "one" / "two" / "three"
    with patch.dict("os.environ", HALFSPLIT_DATA=str(inside)):
        harmless(save_text(walk, summary_text(summary_of(walk.book, walk.events, ()))))
    write_message(message_file(inside, name), ["text"])
    written = {path for path in folder.rglob("*") if path.is_file()}
    if {path.parent for path in written} != {inside / "texts", inside / "messages"}:
        raise Finding(f"{written} was written from the name {name!r} of {unit!r}")
    shutil.rmtree(folder / "one")
    _spreadsheet(folder, walk)
    return True


def _spreadsheet(folder: Path, walk: Walk) -> None:
    """No cell of the list begins as something that a spreadsheet runs."""
    store = folder / "names.sqlite"
    with History.open(str(store), lambda: "2026-01-31T12:00:00Z") as history:
        history.begin(walk.events[0])
        text = csv_text(COLUMNS, ids_of(history.callouts(most=1)))
    store.unlink()
    for row in csv.reader(io.StringIO(text, newline="")):
        for cell in row:
            if cell.startswith(tuple(RUN)) and not cell.lstrip("-").isdigit():
                raise Finding(f"a spreadsheet would run {cell!r}")


def desk_keys(source: random.Random, folder: Path) -> bool:
    """The desk under keys pressed at random: it lives, and what is in its store makes each callout anew."""
    place = folder / f"desk{source.random()}"
    place.mkdir()

    async def play() -> int:
        with desk_on(place) as desk, chdir(place):
            async with desk_screen(desk, place, source.choice([(80, 24), (60, 20), (120, 40)])) as pilot:
                for key in ["n", "1", "enter", *source.choices(KEYS, k=30)]:
                    if pilot.app.return_code is None:
                        await press(pilot, key)
                if pilot.app.return_code:
                    raise Finding(f"the desk ended with {pilot.app.return_code}")
            answers = 0
            for item in desk.history.callouts():
                events = desk.history.events(item.key)
                replay(small_book(), events)
                answers += len(events) - 1
            return answers

    return asyncio.run(play()) > 0
