"""The sentences of the `history` commands."""

from collections.abc import Sequence

from diagnose.events import Event
from diagnose.history.overview import Overview
from diagnose.history.record import Record
from diagnose.history.travel import Merged
from tui.text import clean

ABOUT = "The history: every callout that was kept; lists, files to and from other laptops, backups."
NONE = "There is no such callout."
ENDS = {
    "": "open",
    "cured": "cured",
    "not_proved": "put right, not proved",
    "help": "help was called",
    "closed": "closed",
}
"""How a callout ended, by what the store calls it."""
COLUMNS = (
    "key",
    "name",
    "site",
    "unit",
    "opened",
    "last",
    "complaint",
    "ended",
    "cause",
    "answers",
    "branches",
)
"""What machines get of a callout in a list."""


def list_line(item: Overview) -> str:
    """One callout in a list."""
    parts = [item.complaint.replace("_", " "), ENDS.get(item.ended, item.ended), item.cause.replace("_", " ")]
    if item.caller:
        parts.insert(0, f"{item.caller} called")
    if item.branches:
        parts.append(f"ANSWERED APART in {item.branches + 1} places")
    if item.struck:
        parts.append("STRUCK")
    site = f" at {item.site}" if item.site else ""
    said = ", ".join(part for part in parts if part)
    return clean(f"{item.key[:8]}  {_time(item.opened)}  {item.unit}{site}: {said}")


def record_lines(item: Overview, record: Record) -> list[str]:
    """All that is kept of a callout."""
    lines = [list_line(item), clean(f"Its name: {item.name}"), ""]
    for number, (event, written) in enumerate(zip(record.events, record.written, strict=True)):
        was = f", corrected, it was: {written.answer}" if event.answer != written.answer else ""
        lines.append(f"{number:3}  {event_line(event)}{was}")
    for branch in record.branches():
        lines += ["", f"Answered apart, after {branch.after - 1}, and kept beside it:"]
        lines += [f"     {event_line(event)}" for event in branch.events]
    if record.remarks:
        lines += ["", "Said of it:"]
        lines += [f"     {event_line(event)}" for event in record.remarks]
    return lines


def event_line(event: Event) -> str:
    """One event in a line."""
    name = {"complaint": "", "corrected": event.id[:8]}.get(event.kind, event.id.replace("_", " "))
    said = " ".join(part for part in (name, event.answer.replace("_", " ")) if part)
    text = f" ({event.text})" if event.text else ""
    doubt = "" if event.sure else ", not sure"
    by = f", by {event.by}" if event.by else ""
    return clean(f"{_time(event.at)}  {event.kind} {said}{text}{doubt}{by}".rstrip())


def merged_line(merged: Merged) -> str:
    """What a merge came to."""
    left = f", {len(merged.problems)} lines left out" if merged.problems else ""
    return f"{merged.new} new callouts, {merged.grown} with more in them, {merged.known} known already{left}."


def ids_of(items: Sequence[Overview]) -> list[dict[str, object]]:
    """What `--json` and CSV tell of callouts; no names of people."""
    return [{name: getattr(item, name) for name in COLUMNS} for item in items]


def _time(text: str) -> str:
    return text[:16].replace("T", " ")
