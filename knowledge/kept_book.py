"""A whole book kept for the next start, so that its entries need not be checked again.

Only a book in which everything was right is kept, found by a digest of its files, of the code that reads
and checks them and of the library that does (see `knowledge.kept`). An entry is kept as the fields that
were given, and made again as it was, with the defaults for the rest.
"""

import copy
from collections.abc import Mapping
from dataclasses import fields
from functools import cache
from typing import Any, Final

from pydantic import BaseModel

from knowledge.kept import Kept, keep_text, kept_text, parsed, written
from knowledge.schema import BookFile
from knowledge.schema_parts import Part

MODEL: Final = "*"
"""The key under which an entry's model stands; no field and no name of an entry is called that."""


def keep_book(kept: Kept, key: str, parts: Mapping[str, Any]) -> None:
    """Keep the parts of a book, by name: plain data and models."""
    keep_text(kept, key, written(_plain(dict(parts))))


def recalled_book(kept: Kept, key: str) -> dict[str, Any] | None:
    """The parts that were kept under a key; None when nothing is there, or nothing whole."""
    text = kept_text(kept, key)
    if text is None:
        return None
    try:
        found = parsed(text, _made)
    except (KeyError, TypeError, AttributeError, ValueError, RecursionError):
        return None
    return found if isinstance(found, dict) else None


def parts_of(book: Any) -> dict[str, Any]:
    """Every field of a dataclass by its name, not copied."""
    return {part.name: getattr(book, part.name) for part in fields(book)}


def _plain(value: Any) -> Any:
    if isinstance(value, BaseModel):
        given = {name: _plain(getattr(value, name)) for name in value.model_fields_set}
        return {MODEL: type(value).__name__, **given}
    if isinstance(value, Mapping):
        return {name: _plain(part) for name, part in value.items()}
    return [_plain(part) for part in value] if isinstance(value, list) else value


def _made(data: dict[str, Any]) -> Any:
    """An entry of its kept fields; what names no model as it is."""
    if MODEL not in data:
        return data
    model, defaults = _models()[data.pop(MODEL)]
    given = set(data)
    values = {}
    for name, (default, changeable) in defaults.items():
        if name in given:
            values[name] = data.pop(name)
        elif default is _NEEDED:
            raise KeyError(name)
        else:
            values[name] = copy.deepcopy(default) if changeable else default
    if data:
        raise KeyError(next(iter(data)))
    # What `model_construct` does, without its search for aliases, which would take longer than the checks.
    made = model.__new__(model)
    for name, state in (
        ("__dict__", values),
        ("__pydantic_fields_set__", given),
        ("__pydantic_extra__", None),
        ("__pydantic_private__", None),
    ):
        object.__setattr__(made, name, state)
    return made


_NEEDED: Final = object()
_Defaults = dict[str, tuple[Any, bool]]


@cache
def _models() -> dict[str, tuple[type[BaseModel], _Defaults]]:
    """Every model that a book is made of, by its name, and each field's default."""
    found: dict[str, tuple[type[BaseModel], _Defaults]] = {}
    waiting: list[type[BaseModel]] = [BookFile, *Part.__subclasses__()]
    for model in waiting:
        waiting += model.__subclasses__()
        defaults: _Defaults = {}
        for name, field in model.model_fields.items():
            default = _NEEDED if field.is_required() else field.get_default(call_default_factory=True)
            defaults[name] = default, isinstance(default, dict | list | BaseModel)
        found[model.__name__] = model, defaults
    return found
