"""A unit sheet in the making: one field after another, each of which may stay unknown."""

from dataclasses import dataclass, field
from typing import Any, Final

import yaml

from diagnose.sheet_fields import UnitSheet, fields, read_field
from knowledge.words import UNKNOWN

NAMES: Final = {"unit": "what the unit is called", "site": "where it is"}
"""The two fields that are free text; `unit` cannot stay unknown."""


@dataclass
class SheetDraft:
    """What was answered so far, as it was typed."""

    typed: dict[str, str] = field(default_factory=dict)

    @property
    def asked(self) -> list[str]:
        """Every field in the order in which it is asked for."""
        return [*NAMES, *fields()]

    def about(self, name: str) -> dict[str, Any]:
        """What a field is: ``about``, and its ``unit`` and ``range`` or its ``words``."""
        return {"about": NAMES[name]} if name in NAMES else fields()[name]

    def take(self, name: str, text: str) -> None:
        """Keep the answer to a field; empty or `unknown` takes it out.

        Raises `ValueError` with what is wrong and, after a bar, the mend; nothing is changed then.
        """
        text = text.strip()
        if text in ("", UNKNOWN):
            if name == "unit":
                raise ValueError("the unit must have a name | Type how people call it.")
            self.typed.pop(name, None)
            return
        if name not in NAMES:
            read_field(self.about(name), text)
        self.typed[name] = text

    def to_yaml(self) -> str:
        """The sheet as YAML, the fields that are not known left out."""
        data: dict[str, Any] = {}
        for name in self.asked:
            if name not in self.typed:
                continue
            part, _, inner = name.partition(".")
            if inner:
                data.setdefault(part, {})[inner] = self.typed[name]
            else:
                data[name] = self.typed[name]
        return str(yaml.safe_dump(data, sort_keys=False, allow_unicode=True))

    def sheet(self) -> UnitSheet:
        """The sheet so far."""
        return UnitSheet.model_validate(yaml.safe_load(self.to_yaml()))
