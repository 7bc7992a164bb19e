"""Files of callouts made wrong, merged into a store that holds some, and then everything that shows them."""

import io
import json
import random
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any, Final, get_args

from diagnose.events import Event, Kind
from diagnose.history.ledger import Ledger
from diagnose.history.overview import overview_of
from diagnose.history.pages import places_of, site_page, unit_file
from diagnose.history.record import Kept, Record, in_one_order
from diagnose.history.store import History, Wanted
from diagnose.history.teacher import teacher_of
from diagnose.history.travel import export_callouts, merge
from diagnose.history.wire import line_of
from tests.fuzz.mutate import HOSTILE, mutated
from tests.tui.driver import call_for_help, cure, new_walk, small_book, two_repairs
from tui.history_lines import list_line, merged_line, record_lines
from tui.history_pages import site_lines, unit_lines

NOW: Final = "2026-02-01T00:00:00Z"
TIMES: Final = (
    "0001-01-01T00:00:00Z",
    "9999-12-31T23:59:59.999999Z",
    "2024-02-29T23:59:59+00:00",
    "2026-01-31T12:00:60Z",
    "2026-01-31T12:00:00",
    "1969-12-31T23:59:59Z",
    "",
)
KINDS: Final = tuple(kind for kind in get_args(Kind) if kind != "opened")
TEXTS: Final = (
    *(raw.decode("utf-8", "replace").replace("\0", "") for raw in HOSTILE),
    *("unit", "site", "cause", "wont_open", "pilot_plugged", "restored", "cured", "could_not_tell", "done"),
    *("", " ", "x" * 4000, "running", "-", "0"),
)
"""Texts that break readers, and words that mean something elsewhere."""
VALUES: Final[tuple[Any, ...]] = (
    *TEXTS,
    *TIMES,
    *(
        -1,
        0,
        1,
        2,
        10**6,
        2**63,
        10**400,
        float("inf"),
        float("nan"),
        1e308,
        -0.5,
        True,
        None,
        [],
        {},
        "\ud800",
        "x" * 4001,
    ),
)
"""What is put in the place of any value."""


def merge_file(source: random.Random, folder: Path) -> bool:
    """A file of callouts, or of an earlier halfsplit's events, made wrong by byte or by value."""
    text = _by_value(source) if source.random() < 0.6 else mutated(source, _right())
    place = folder / "merge"
    place.mkdir()
    try:
        return _merged(place, text)
    finally:
        shutil.rmtree(place)


def _merged(place: Path, text: bytes) -> bool:
    from tests.fuzz.kinds import Finding, harmless

    file = place / "in.jsonl"
    file.write_bytes(text)
    with _store(place) as history:
        mine = _exported(history, with_names=False)
        came = merge(history, [file])
        harmless("\n".join([merged_line(came), *map(str, came.problems)]))
        whole = _exported(history)
        # Of two names of one person the first by the alphabet is kept, so that all stores keep the same.
        left = _exported(history, with_names=False).splitlines()
        if came.grown == 0 and not set(mine.splitlines()) <= set(left):
            raise Finding("what was in the store has changed")
        if not came.new + came.grown:
            return False
        again = merge(history, [file])
        if (again.new, again.grown) != (0, 0) or _exported(history) != whole:
            raise Finding("a second merge of the same file changed something")
        if rebuilt(place / "other.sqlite", whole) != whole:
            raise Finding("what was exported does not give the same store")
        harmless("\n".join(_shown(history)))
    return True


def rebuilt(path: Path, text: str) -> str:
    """What a new store exports that took these lines."""
    file = path.with_suffix(".jsonl")
    file.write_text(text, encoding="utf-8")
    path.write_bytes(_empty())
    with History.open(str(path), lambda: NOW) as history:
        merge(history, [file])
        return _exported(history)


def _shown(history: History) -> Iterator[str]:
    """Every page and list that shows a callout, as text."""
    from tests.fuzz.kinds import Finding

    for item in history.callouts(Wanted(struck=True)):
        record = history.record(item.key)
        if overview_of(record) != item:
            raise Finding(f"the lists show {item}, and it is {overview_of(record)}")
        yield list_line(item)
        yield from record_lines(item, record)
    ledger = Ledger(history, small_book())
    teacher = teacher_of(ledger, None)
    if ledger.waiting():
        raise Finding("a callout waits for ever to be read")
    for site, unit in places_of(ledger):
        yield from unit_lines(ledger.book, unit_file(teacher, site, unit))
    if ledger.count():
        yield from site_lines(site_page(ledger.book, ledger.callouts(), datetime.fromisoformat(NOW)))


def _exported(history: History, with_names: bool = True) -> str:
    out = io.StringIO()
    export_callouts(history, out, with_names)
    return out.getvalue()


@contextmanager
def _store(place: Path) -> Iterator[History]:
    """A store with the callouts that are right."""
    path = place / "history.sqlite"
    path.write_bytes(_filled())
    with History.open(str(path), lambda: NOW) as history:
        yield history


@cache
def _empty() -> bytes:
    return _file_with(b"")


@cache
def _filled() -> bytes:
    return _file_with(_right()[0])


def _file_with(text: bytes) -> bytes:
    """The file of a store that took a text, closed and whole."""
    from tempfile import TemporaryDirectory

    with TemporaryDirectory() as folder:
        path = Path(folder) / "s.sqlite"
        (Path(folder) / "in.jsonl").write_bytes(text)
        with History.open(str(path), lambda: NOW) as history:
            merge(history, [Path(folder) / "in.jsonl"])
        return path.read_bytes()


def _walked(answers: tuple[str, ...], unit: str) -> list[Event]:
    """The events of a walk on that unit, a minute apart."""
    events = list(new_walk(answers).events)
    opening = events[0].opening
    assert opening is not None
    opening = opening.model_copy(update={"unit": unit, "callout": f"{unit} first", "caller": "Ann"})
    events[0] = events[0].model_copy(update={"opening": opening})
    at = [f"2026-01-31T{12 + n // 60}:{n % 60:02}:00Z" for n in range(len(events))]
    return [event.model_copy(update={"at": when}) for event, when in zip(events, at, strict=True)]


@cache
def _right() -> tuple[bytes, ...]:
    """Files without a fault: two callouts; one that forks, with remarks; one of an earlier halfsplit."""
    cured, helped, twice = (
        _walked(script(), f"V-{number}")
        for number, script in enumerate((cure, call_for_help, two_repairs), 1)
    )
    remarks = [
        Event(at=NOW, kind="note", text="rang back", by="Kim"),
        Event(at=NOW, kind="corrected", id="cause", answer="pilot_plugged"),
        Event(at=NOW, kind="struck", answer="struck", text="made twice"),
    ]
    forked = Record.in_a_row([*twice, *remarks])
    aside = Event(at=NOW, kind="check", id="output_gauge", answer="none", by="Lee")
    forked = in_one_order(Record((*forked.kept, Kept.of(aside, 3))))
    two = "".join(line_of(Record.in_a_row(events), with_names=True) + "\n" for events in (cured, helped))
    return (
        two.encode(),
        f"{line_of(forked, with_names=True)}\n".encode(),
        "".join(event.line() + "\n" for event in helped).encode(),
    )


def _by_value(source: random.Random) -> bytes:
    """A right file with one to four of its values changed, doubled, moved or taken away."""
    lines = [json.loads(line) for line in source.choice(_right()).splitlines()]
    for _ in range(source.randint(1, 4)):
        change = _change if source.random() < 0.2 else _say_otherwise
        change(source, source.choice(lines))
    return "".join(json.dumps(line) + "\n" for line in lines).encode()


def _say_otherwise(source: random.Random, line: dict[str, Any]) -> None:
    """Change what an event says, in a form that can be read."""
    events = line.get("events")
    event = source.choice(events) if isinstance(events, list) and events else line
    opening = event.get("opening") if isinstance(event, dict) else None
    if not isinstance(event, dict) or not isinstance(opening, dict | None):
        return
    if opening and source.random() < 0.7:
        name = source.choice(("unit", "site", "callout", "caller", "facts", "quantities", "sheet"))
        text = source.choice(TEXTS)
        inner = {text: source.choice((text, 1e308, -1.0)) if name == "sheet" else text}
        opening[name] = {"facts": inner, "quantities": {text: 1e-308}, "sheet": inner}.get(name, text)
    elif not opening:
        name = source.choice(("kind", "id", "answer", "text", "by", "at"))
        event[name] = source.choice({"kind": KINDS, "at": TIMES}.get(name, TEXTS))


def _change(source: random.Random, node: Any) -> None:
    """Go down to some value, and change it."""
    while True:
        names = list(node) if isinstance(node, dict) else list(range(len(node)))
        if not names:
            return
        name = source.choice(names)
        inner = node[name]
        if isinstance(inner, dict | list) and inner and source.random() < 0.85:
            node = inner
            continue
        match source.randrange(6):
            case 0:
                del node[name]
            case 1 if isinstance(node, list):
                node.insert(source.randrange(len(node) + 1), json.loads(json.dumps(inner)))
            case 2 if isinstance(node, list):
                node.insert(source.randrange(len(node)), node.pop(name))
            case 3 if isinstance(node, dict):
                node[source.choice(("follows", "events", "demo", "learned", "x"))] = source.choice(
                    ({str(source.randrange(9)): source.randrange(9)}, inner)
                )
            case _:
                node[name] = source.choice(VALUES)
        return
