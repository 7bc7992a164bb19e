"""A callout handed over to another laptop as a file, and taken in there with the same state."""

from pathlib import Path

from diagnose.events import Event
from knowledge.problems import InputProblems, Problem
from tui.desk import HANDED_OVER, Desk


def hand_out(desk: Desk, number: int, path: Path) -> Path:
    """Write a callout of the desk into a new file, and note with it that it was handed over.

    The caller's name goes with it: whoever takes it in must know whom to ring. Raises `InputProblems`.
    """
    place = desk.place(number)
    if place is None:
        raise InputProblems([Problem("", "", f"there is no callout {number} on the desk", "")])
    write_callout(desk, place.overview.key, path)
    note = Event(at=desk.clock(), kind="note", id=HANDED_OVER, text=path.name)
    desk.history.remark(place.overview.key, note)
    place.handed_over = note
    return path


def write_callout(desk: Desk, key: str, path: Path) -> None:
    """Write one callout, whole or not at all. Raises `InputProblems`."""
    from diagnose.history.travel import export_callouts

    try:
        with path.open("x", encoding="utf-8") as file:
            export_callouts(desk.history, file, with_names=True, keys=[key])
    except FileExistsError as error:
        raise InputProblems(
            [Problem(str(path), "", "the file is there already", "Name another one.")]
        ) from error
    except OSError as error:
        what = f"{path} cannot be written ({error.strerror})"
        raise InputProblems([Problem(str(path), "", what, "Name another file.")]) from error


def take_in(desk: Desk, path: Path) -> list[int]:
    """Take the callouts of a file in; returns the numbers of those that are new on the desk.

    Taking the same file in twice changes nothing. Raises `InputProblems` for lines that are no callouts.
    """
    from diagnose.history.travel import merge

    try:
        merged = merge(desk.history, [path])
    except OSError as error:
        raise InputProblems([Problem(str(path), "", f"it cannot be saved ({error.strerror})", "")]) from error
    if merged.problems:
        raise InputProblems(list(merged.problems))
    return desk.refresh()
