"""The one door for YAML: text in, plain data with the place of every value out.

Values are text, whole numbers, decimals, true, false or nothing; dates, ``yes`` and ``12:30`` stay text.
Refused with their place: keys that stand twice, keys that are not text, anchors and aliases, tags,
more than one document, nesting deeper than `MAX_DEPTH`, more than `MAX_VALUES` values.
"""

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

import yaml

from knowledge.problems import InputProblems, Problem

MAX_DEPTH: Final = 20
"""The book nests seven deep; twenty leaves room and stops a bomb long before the stack does."""
MAX_VALUES: Final = 200_000
MAX_BYTES: Final = 4_000_000

Trail = tuple[str | int, ...]
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_INT = re.compile(r"[-+]?[0-9]{1,15}")
_FLOAT = re.compile(r"[-+]?([0-9]+\.[0-9]*|\.[0-9]+)([eE][-+]?[0-9]{1,3})?|[-+]?[0-9]+[eE][-+]?[0-9]{1,3}")
_WORDS: Final[dict[str, bool | None]] = {"true": True, "false": False, "null": None, "~": None, "": None}


@dataclass
class Document:
    """Plain data of one YAML text, with the line (from 1) of every value and key by its trail."""

    name: str
    data: Any = None
    lines: dict[Trail, int] = field(default_factory=dict)

    def place(self, trail: Trail) -> str:
        """``file:line`` of the value at the trail, or of the nearest thing above it that exists."""
        while trail and trail not in self.lines:
            trail = trail[:-1]
        return f"{self.name}:{self.lines.get(trail, 1)}"


def read_file(path: Path, name: str | None = None) -> Document:
    """Read a UTF-8 YAML file; `InputProblems` when it cannot be read or is refused."""
    shown = name or path.name
    return read_bytes(file_bytes(path, shown), shown)


def file_bytes(path: Path, name: str) -> bytes:
    """The bytes of a file; `InputProblems` when it cannot be read or is too large."""
    if path.exists() and not path.is_file():
        raise InputProblems([Problem(name, "", "is not a file", "Name a YAML file.")])
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise InputProblems([Problem(name, "", f"cannot be read ({error.strerror})")]) from error
    if len(raw) > MAX_BYTES:
        raise InputProblems([Problem(name, "", f"is larger than {MAX_BYTES // 1_000_000} MB")])
    return raw


def read_bytes(raw: bytes, name: str) -> Document:
    """Data and places of the bytes of a UTF-8 YAML file; `InputProblems` when they are refused."""
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise InputProblems(
            [Problem(f"{name}:{line}", "", "is not UTF-8 text", "Save it as UTF-8.")]
        ) from error
    return read_text(text, name)


def read_text(text: str, name: str) -> Document:
    """Data and places of one YAML text; `InputProblems` when it is refused.

    >>> document = read_text("valve:\\n  fails: closed", "sheet.yaml")
    >>> document.data, document.place(("valve", "fails"))
    ({'valve': {'fails': 'closed'}}, 'sheet.yaml:2')
    """
    builder = _Builder(Document(name))
    try:
        for event in yaml.parse(text, Loader=_LOADER):
            builder.take(event)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        where = f"{name}:{mark.line + 1}" if mark else name
        what = error.problem or error.context or "is not YAML"
        raise InputProblems([*builder.problems, Problem(where, "", f"is not YAML: {what}")]) from error
    except yaml.YAMLError as error:
        raise InputProblems([Problem(name, "", f"is not YAML: {str(error).splitlines()[0]}")]) from error
    if builder.problems:
        raise InputProblems(builder.problems)
    return builder.document


class _Builder:
    """Builds the data from parser events without recursion, so that depth is bounded here."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.problems: list[Problem] = []
        self._open: list[_Level] = []
        self._documents = 0
        self._values = 0

    def take(self, event: yaml.Event) -> None:
        line = event.start_mark.line + 1 if event.start_mark else 1
        if isinstance(event, yaml.DocumentStartEvent):
            self._documents += 1
            if self._documents > 1:
                self._stop(line, "a second document starts here", "Keep one document in a file.")
        elif isinstance(event, yaml.AliasEvent):
            self._stop(line, "an alias (*name) is used", "Write the value out.")
        elif isinstance(event, yaml.ScalarEvent):
            self._plain_only(event, line)
            self._add(self._scalar(event), line)
        elif isinstance(event, yaml.MappingStartEvent | yaml.SequenceStartEvent):
            self._plain_only(event, line)
            value: Any = {} if isinstance(event, yaml.MappingStartEvent) else []
            trail = self._add(value, line)
            self._open.append(_Level(value, trail))
            if len(self._open) > MAX_DEPTH:
                self._stop(line, f"is nested more than {MAX_DEPTH} deep")
        elif isinstance(event, yaml.MappingEndEvent | yaml.SequenceEndEvent):
            self._open.pop()

    def _plain_only(self, event: Any, line: int) -> None:
        if event.anchor:
            self._stop(
                line, f"an anchor (&{event.anchor}) is used", "Take it out and write the value in full."
            )
        if event.tag not in (None, "!"):
            self._stop(line, f"a tag ({event.tag}) is used", "Take it out.")

    @staticmethod
    def _scalar(event: yaml.ScalarEvent) -> str | int | float | bool | None:
        text = str(event.value)
        if event.style:
            return text
        if text in _WORDS:
            return _WORDS[text]
        if _INT.fullmatch(text):
            return int(text)
        return float(text) if _FLOAT.fullmatch(text) else text

    def _add(self, value: Any, line: int) -> Trail:
        self._values += 1
        if self._values > MAX_VALUES:
            self._stop(line, f"holds more than {MAX_VALUES} values")
        if not self._open:
            self.document.data = value
            self.document.lines[()] = line
            return ()
        level = self._open[-1]
        if isinstance(level.value, list):
            level.value.append(value)
            trail: Trail = (*level.trail, len(level.value) - 1)
        elif level.key is None:
            return self._take_key(level, value, line)
        else:
            trail = (*level.trail, level.key)
            level.value.setdefault(level.key, value)
            level.key = None
            return trail
        self.document.lines[trail] = line
        return trail

    def _take_key(self, level: "_Level", key: Any, line: int) -> Trail:
        if isinstance(key, dict | list):
            self._stop(line, "a key is a list or a mapping", "Use plain text as the key.")
        if not isinstance(key, str):
            self.problems.append(
                Problem(
                    f"{self.document.name}:{line}",
                    _dotted(level.trail),
                    f"the key {key!r} is not text",
                    f'Put it in quotes: "{key}".',
                )
            )
            key = str(key)
        trail = (*level.trail, key)
        if key in level.value:
            first = self.document.lines[trail]
            self.problems.append(
                Problem(
                    f"{self.document.name}:{line}",
                    _dotted(trail),
                    f"stands twice (first on line {first})",
                    "Keep one of them.",
                )
            )
        self.document.lines.setdefault(trail, line)
        level.key = key
        return trail

    def _stop(self, line: int, what: str, mend: str = "") -> None:
        raise InputProblems([*self.problems, Problem(f"{self.document.name}:{line}", "", what, mend)])


@dataclass
class _Level:
    value: Any
    trail: Trail
    key: str | None = None


def _dotted(trail: Trail) -> str:
    return ".".join(map(str, trail))
