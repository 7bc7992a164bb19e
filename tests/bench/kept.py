"""What a long bench has worked out, kept on disk: a later run goes on where an earlier one was stopped."""

import json
from collections.abc import Iterator, Mapping
from hashlib import blake2b
from pathlib import Path
from typing import Any

import diagnose
import knowledge


def program() -> str:
    """A digest of the code and the book that results come from."""
    digest = blake2b(digest_size=16)
    for floor in (knowledge, diagnose):
        folder = Path(floor.__file__ or "").parent
        for path in sorted([*folder.rglob("*.py"), *folder.rglob("*.yaml")]):
            digest.update(path.read_bytes())
    return digest.hexdigest()


class KeptLines:
    """Results on disk, a JSON object a line, under a heading that says what they are of."""

    def __init__(self, path: Path, head: Mapping[str, Any]) -> None:
        """``head``: what the results hang on. A file with another heading is begun anew."""
        self._path, self._head = path, json.dumps(head)

    def read(self) -> Iterator[dict[str, Any]]:
        """What was kept; a line that was cut short is left out."""
        try:
            lines = self._path.read_text(encoding="utf-8").splitlines()
        except OSError:
            return
        if not lines or lines[0] != self._head:
            return
        for line in lines[1:]:
            try:
                found = json.loads(line)
            except ValueError:
                continue
            if isinstance(found, dict):
                yield found

    def begin(self) -> list[dict[str, Any]]:
        """Make the file ready to be added to; what was kept comes back."""
        kept = list(self.read())
        text = "".join(f"{line}\n" for line in [self._head, *map(json.dumps, kept)])
        self._path.write_text(text, encoding="utf-8")
        return kept

    def add(self, result: Mapping[str, Any]) -> None:
        """Add one result."""
        with self._path.open("a", encoding="utf-8") as file:
            file.write(json.dumps(result) + "\n")
