"""A walk's hand-over written as a file beside the store, by a key."""

from pathlib import Path
from typing import Final

from diagnose.events import opening_of
from diagnose.handover import handover_of
from diagnose.walk import Walk
from tui.folder import data_folder, file_stem, kept
from tui.texts import texts_in

FOLDER: Final = "handovers"


def write_handover(walk: Walk) -> str:
    """Write the page of the callout as it stands, over an earlier one; returns a sentence that says where.

    Slow: for a thread beside the one that answers keys.
    """
    from tui.handover_page import handover_html

    texts = texts_in(walk.book.language).message
    folder = data_folder(None) / FOLDER
    path: Path = folder / f"{file_stem(opening_of(walk.events).callout)}.html"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handover = handover_of(walk.book, walk.events, shapes=kept())
        path.write_text(handover_html(handover, walk.book.language), encoding="utf-8")
    except OSError as error:
        return texts.page_not_written.format(path=path, trouble=error.strerror)
    return texts.page_written.format(path=path)
