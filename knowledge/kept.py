"""What was read of YAML files, kept so that the next start need not read them again.

What is kept is found by a digest of the files' names and bytes and of the code that reads them, and carries
a checksum: one that is old, foreign or damaged is as good as none. A document is kept with the lines of its
entries and no others, so whoever finds something wrong in it reads the YAML again.
"""

import hashlib
import json
import zlib
from base64 import b64decode, b64encode
from collections.abc import Callable, MutableMapping, Sequence
from pathlib import Path
from typing import Any, Final

import pydantic
import yaml

from knowledge import door
from knowledge.door import Document

Kept = MutableMapping[str, Any]
"""Plain data by key, perhaps on disk. What was put in may be gone or be something else later."""
Sources = Sequence[tuple[str, bytes]]
"""(name, bytes) of each file."""
_DEEPEST: Final = 2
"""Steps of a trail to an entry: its kind and its name."""


def key_of(sources: Sources) -> str:
    """Where the data of these files is kept."""
    digest = hashlib.sha256()
    code = [Path(door.__file__), *sorted(Path(__file__).parent.glob("*.py"))]
    readers = [(path.name, path.read_bytes()) for path in code]
    for name, raw in [*readers, *sources]:
        digest.update(f"{name!r} {len(raw)}\n".encode())
        digest.update(raw)
    digest.update(f"{yaml.__version__} {yaml.__with_libyaml__} {pydantic.VERSION}".encode())
    return digest.hexdigest()


def recalled(kept: Kept, key: str) -> list[Document]:
    """The documents that were kept under a key; none when nothing is there, or nothing whole."""
    text = kept_text(kept, key)
    try:
        return [
            Document(name, data, {tuple(trail): line for *trail, line in lines})
            for name, data, lines in (parsed(text) if text is not None else [])
        ]
    except (TypeError, ValueError):
        return []


def keep(kept: Kept, key: str, documents: Sequence[Document]) -> None:
    """Keep the documents, the lines of their entries alone."""
    plain = [
        (document.name, document.data, [(*trail, line) for trail, line in _entries(document)])
        for document in documents
    ]
    keep_text(kept, key, written(plain))


def written(plain: Any) -> bytes:
    """Plain data as it is kept."""
    return json.dumps(plain).encode()


def parsed(text: bytes, made: Callable[[dict[str, Any]], Any] | None = None) -> Any:
    """What `written` made of plain data; ``made`` turns each of its mappings, the inmost first."""
    return json.loads(text, object_hook=made)


def kept_text(kept: Kept, key: str) -> bytes | None:
    """The bytes that were kept under a key; None when nothing is there, or nothing whole."""
    try:
        found = kept[key]
        content = found["content"]
        if found["checksum"] != _checksum(key, content):
            return None
        return zlib.decompress(b64decode(content))
    except (KeyError, TypeError, AttributeError, ValueError, zlib.error):
        return None


def keep_text(kept: Kept, key: str, text: bytes) -> None:
    """Keep bytes under a key."""
    content = b64encode(zlib.compress(text)).decode()
    kept[key] = {"checksum": _checksum(key, content), "content": content}


def _entries(document: Document) -> list[tuple[door.Trail, int]]:
    return [(trail, line) for trail, line in document.lines.items() if len(trail) <= _DEEPEST]


def _checksum(key: str, content: str) -> str:
    return hashlib.sha256(f"{key} {content}".encode()).hexdigest()
