"""Right texts made wrong, by a seed: bytes flipped, stretches cut, doubled or moved, hostile words put in."""

import random
from collections.abc import Sequence
from typing import Final

HOSTILE: Final[tuple[bytes, ...]] = (
    b"\x1b[2J",
    b"\x1b]52;c;aGFja2Vk\x07",
    b"\x00",
    b"\x7f",
    b"\xff\xfe",
    b"\xef\xbb\xbf",
    "‮ \u2028".encode(),
    "\U0001f4a3".encode(),
    b"[bold red]x[/]",
    b"[/]",
    b"=cmd|' /C calc'!A0",
    b"<script>alert(1)</script>",
    b"../../../no/such/folder",
    b"nan",
    b".nan",
    b".inf",
    b"-1e999",
    b"1e308",
    b"9" * 400,
    b"-0",
    b"0x10",
    b"1_000",
    b"yes",
    b"null",
    b"~",
    b"2026-01-01",
    b"&a [*a]",
    b"*a",
    b"<<: {a: 1}",
    b"!!python/object/apply:os.system [x]",
    b"[" * 50,
    b"{" * 50,
    b"? :",
    b"---\n",
    b"...\n",
    b"%YAML 1.1\n",
    b"\t",
    b"|\n",
    b">-\n",
    b"'",
    b'"',
    b"\\",
    b"#",
    b": ",
    b"- ",
    b"?",
    b"{}",
    b"A" * 5000,
)
"""What breaks readers: terminal escapes, markup, spreadsheets' formulas, YAML's odd corners, huge numbers."""


def mutated(random_source: random.Random, right: Sequence[bytes]) -> bytes:
    """One of the right texts after one to four changes."""
    text = bytearray(random_source.choice(right))
    for _ in range(random_source.randint(1, 4)):
        _CHANGES[random_source.randrange(len(_CHANGES))](random_source, text, right)
    return bytes(text)


def words(random_source: random.Random, known: Sequence[str], most: int) -> list[str]:
    """Up to so many words: known ones, some of them made wrong."""
    return [
        random_source.choice(known) if random_source.random() < 0.7 else text_of(random_source, known)
        for _ in range(random_source.randint(0, most))
    ]


def text_of(random_source: random.Random, known: Sequence[str]) -> str:
    """One known word made wrong, as the text that a keyboard or a shell could hand over (no NUL)."""
    raw = mutated(random_source, [word.encode() for word in known])
    return raw.decode("utf-8", "replace").replace("\x00", "")


def _place(random_source: random.Random, text: bytearray) -> int:
    return random_source.randint(0, len(text))


def _flip(random_source: random.Random, text: bytearray, _: Sequence[bytes]) -> None:
    if text:
        text[random_source.randrange(len(text))] = random_source.randrange(256)


def _cut(random_source: random.Random, text: bytearray, _: Sequence[bytes]) -> None:
    start = _place(random_source, text)
    del text[start : start + random_source.randint(1, 40)]


def _double(random_source: random.Random, text: bytearray, _: Sequence[bytes]) -> None:
    start = _place(random_source, text)
    piece = text[start : start + random_source.randint(1, 80)]
    place = _place(random_source, text)
    text[place:place] = piece


def _put_in(random_source: random.Random, text: bytearray, _: Sequence[bytes]) -> None:
    place = _place(random_source, text)
    text[place:place] = random_source.choice(HOSTILE)


def _replace_word(random_source: random.Random, text: bytearray, _: Sequence[bytes]) -> None:
    found = bytes(text).split(b" ")
    found[random_source.randrange(len(found))] = random_source.choice(HOSTILE)
    text[:] = b" ".join(found)


def _end_early(random_source: random.Random, text: bytearray, _: Sequence[bytes]) -> None:
    del text[_place(random_source, text) :]


def _swap_lines(random_source: random.Random, text: bytearray, _: Sequence[bytes]) -> None:
    lines = bytes(text).split(b"\n")
    one, other = random_source.randrange(len(lines)), random_source.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[one]
    text[:] = b"\n".join(lines)


def _splice(random_source: random.Random, text: bytearray, right: Sequence[bytes]) -> None:
    other = random_source.choice(right)
    start = random_source.randint(0, len(other))
    place = _place(random_source, text)
    text[place:place] = other[start : start + random_source.randint(1, 200)]


_CHANGES = (_flip, _cut, _double, _put_in, _replace_word, _end_early, _swap_lines, _splice)
