"""The end page in words, for the screen, the line mode and the text that is pasted."""

import textwrap
from typing import Final

from diagnose.events import opening_of
from diagnose.own_words import said
from diagnose.summary import Summary
from diagnose.walk import Walk
from diagnose.words import SAFETY, minutes_text
from tui.folder import data_folder, file_stem
from tui.text import clean
from tui.texts import texts_in

WIDTH: Final = 72
"""Columns of the text that is pasted: what a message shows without breaking it again."""


def save_text(walk: Walk, text: str) -> str:
    """Write the text beside the callouts; returns a sentence that says where, or what went wrong."""
    texts = texts_in(walk.book.language).message
    path = data_folder(None) / "texts" / f"{file_stem(opening_of(walk.events).callout)}.txt"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        return texts.text_not_saved.format(path=path, trouble=error.strerror)
    return texts.saved_as.format(path=path)


def moment_text(at: str) -> str:
    """A moment for people.

    >>> moment_text("2026-01-31T12:00:30Z")
    '2026-01-31 12:00 UTC'
    """
    return clean(f"{at[:10]} {at[11:16]} UTC")


def summary_rows(summary: Summary, language: str = "en") -> list[tuple[str, str]]:
    """The end page: (what it is about, the sentence), the most needed first."""
    texts = texts_in(language).end
    rows = [(texts.ended, texts.nothing_wrong if summary.nothing_wrong else texts.endings[summary.ended])]
    if summary.wrong:
        about = texts.wrong if summary.ended == "cured" else texts.put_right
        rows.append((texts.odd if summary.nothing_wrong else about, summary.wrong))
        rows += [(texts.why, summary.why)] if summary.why else []
        rows += [(texts.also, title) for title in summary.beside]
    else:
        rows += [(texts.put_right, title) for title in summary.put_right or (texts.nothing,)]
    rows += [(texts.complaint, title) for title in summary.complaints]
    checks = texts.one_check if summary.checks == 1 else texts.checks
    rows.append((texts.done, checks.format(checks=summary.checks, repairs=len(summary.put_right))))
    minutes, moment = said(language, minutes_text(summary.minutes)), moment_text(summary.opened)
    rows.append((texts.minutes, texts.since.format(minutes=minutes, moment=moment)))
    rows += [(texts.parts, ", ".join(summary.parts))] if summary.parts else []
    rows += [(texts.watch, line) for line in summary.watch]
    return [(about, clean(line)) for about, line in rows]


def summary_text(summary: Summary, language: str = "en") -> str:
    """The whole summary as text to paste: the end page, then everything that was answered, by the minute."""
    texts = texts_in(language).end
    lines = [texts.title.format(unit=clean(summary.unit)), ""]
    for about, text in summary_rows(summary, language):
        lines += textwrap.wrap(f"{about}: {text}", WIDTH, subsequent_indent="  ")
    lines += ["", texts.by_minute]
    for entry in summary.entries:
        front = f"{entry.minute:5.0f}  "
        told = f"{front}{clean(entry.title)} {'- ' if entry.kind != 'check' else ''}{clean(entry.answer)}"
        lines += textwrap.wrap(told, WIDTH, subsequent_indent=" " * len(front))
    lines += ["", *textwrap.wrap(said(language, SAFETY), WIDTH)]
    return "\n".join(lines) + "\n"
