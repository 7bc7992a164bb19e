"""A book of two causes in a folder, for the commands that are tested on it."""

from pathlib import Path
from typing import Any

from tests.helpers import bare_book, cause, changed, check, yaml_of


def written(folder: Path, **changes: Any) -> str:
    """The folder of a book of two causes, with changes: one complaint, one look that parts the two."""
    look = check([{"given": "seat_cut", "then": {"yes": 0.99}}, {"then": {"no": 0.99}}], minutes=1)
    whole = {
        "causes": {
            "seat_cut": cause({"stays_shut": "always"}, minutes=60),
            "disc_bent": cause({"stays_shut": "always"}, minutes=50),
        },
        "checks": {"look": look},
    }
    data = changed(changed(bare_book(), whole), changes)
    (folder / "book.yaml").write_text(yaml_of(data), encoding="utf-8")
    return str(folder)
