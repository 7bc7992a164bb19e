"""What goes wrong with a store, in words for the person who uses it."""

import errno
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from knowledge.problems import InputProblems, Problem

_SAID: Final = (
    ("disk is full", errno.ENOSPC, "the disk is full"),
    ("no space left", errno.ENOSPC, "the disk is full"),
    ("readonly", errno.EROFS, "the history cannot be written to, it is read-only"),
    ("read-only", errno.EROFS, "the history cannot be written to, it is read-only"),
    ("unable to open", errno.EACCES, "the history's file cannot be opened"),
    ("locked", errno.EBUSY, "another program keeps the history busy"),
    ("lock timeout", errno.EBUSY, "another program keeps the history busy"),
    ("malformed", errno.EIO, "the history's file is damaged: restore a backup"),
    ("not a database", errno.EIO, "the file is not a history"),
    ("disk i/o error", errno.EIO, "the disk does not take it, or the folder is gone"),
    ("password", errno.EACCES, "the database refuses the name or the password"),
    ("does not exist", errno.ENOENT, "the database, or something in it, does not exist"),
    ("connection", errno.ECONNREFUSED, "the database cannot be reached"),
)
"""Words of the databases' messages, and what they come to."""


class NotSaved(OSError):
    """The store could not do what was asked; nothing of it was done. ``strerror`` is for the person."""


@contextmanager
def told() -> Iterator[None]:
    """Inside, whatever the database refuses becomes `NotSaved`."""
    try:
        yield
    except SQLAlchemyError as error:
        raise not_saved(error) from error


def not_saved(error: SQLAlchemyError) -> NotSaved:
    """The database's refusal in a person's words; never its own text, which may hold a password."""
    said = str(error.orig if isinstance(error, DBAPIError) else error).lower()
    for words, number, what in _SAID:
        if words in said:
            return NotSaved(number, what)
    return NotSaved(errno.EIO, f"the database refused it, {type(error).__name__}")


def cannot_open(place: str, error: OSError) -> InputProblems:
    """The problem of a store that will not open."""
    mend = "Name another folder with --data, or another database with --db."
    return InputProblems([Problem(place, "", f"cannot be used: {error.strerror}", mend)])


def stopped(place: str, error: OSError) -> InputProblems:
    """The problem of a long work on a store that could not be done to its end."""
    mend = "What was saved before stays. Mend that and do it again, nothing is doubled."
    return InputProblems([Problem(place, "", f"not all was saved, {error.strerror}", mend)])
