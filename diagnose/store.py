"""What can be worked out again, kept in a folder so that the next start need not do so.

Kept are an order of variables for each network's shape, named by a digest of that shape (any whole order
gives right answers, see `diagnose.trees`), a book and the boxes of its checks, which carry a checksum (see
`knowledge.kept_book`, `diagnose.looks`). So an old, foreign or damaged file can make a start slower and
nothing else. The folder is safe to delete at any time.
"""

import json
import os
import tempfile
from collections.abc import Iterator, MutableMapping
from contextlib import suppress
from pathlib import Path
from typing import Any, Final

MOST_FILES: Final = 200
"""Above this those that were not used for longest are dropped: an author who tries things out makes a new
one each time."""
MAX_BYTES: Final = 4_000_000
"""What is larger is not kept. The data of the book that comes with the program takes some 0.1 MB."""


class FolderStore(MutableMapping[str, Any]):
    """Plain data by digest, a JSON file each. Where the folder cannot be used, nothing is kept."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def _path(self, key: str) -> Path:
        return self._folder / f"{key}.json"

    def __getitem__(self, key: str) -> Any:
        try:
            raw = self._path(key).read_bytes()
            if len(raw) > MAX_BYTES:
                raise KeyError(key)
            found = json.loads(raw)
        except (OSError, ValueError, RecursionError) as error:
            raise KeyError(key) from error
        with suppress(OSError):
            os.utime(self._path(key))
        return found

    def __setitem__(self, key: str, value: Any) -> None:
        text = json.dumps(value)
        if len(text) > MAX_BYTES:
            return
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            with tempfile.NamedTemporaryFile("w", dir=self._folder, suffix=".part", delete=False) as file:
                file.write(text)
            Path(file.name).replace(self._path(key))
            self._drop_oldest()
        except OSError:
            return

    def __delitem__(self, key: str) -> None:
        try:
            self._path(key).unlink()
        except OSError as error:
            raise KeyError(key) from error

    def __iter__(self) -> Iterator[str]:
        return (path.stem for path in sorted(self._folder.glob("*.json")))

    def __len__(self) -> int:
        return sum(1 for _ in self)

    def _drop_oldest(self) -> None:
        files = [(path.stat().st_mtime_ns, path) for path in self._folder.glob("*.json")]
        for _, path in sorted(files)[:-MOST_FILES]:
            path.unlink(missing_ok=True)
