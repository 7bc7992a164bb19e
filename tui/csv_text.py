"""Tables as CSV that a spreadsheet only shows."""

import csv
import io
from collections.abc import Mapping, Sequence
from typing import Final

_RUNS: Final = "=+-@\t\r"
"""A text that begins so is run by a spreadsheet."""


def csv_text(columns: Sequence[str], rows: Sequence[Mapping[str, object]]) -> str:
    """A heading and a line for each row. A text that a spreadsheet would run gets an apostrophe in front.

    >>> csv_text(["unit", "n"], [{"unit": "=1+1", "n": -2}])
    "unit,n\\r\\n'=1+1,-2\\r\\n"
    """
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(columns)
    for row in rows:
        writer.writerow([_harmless(row.get(name, "")) for name in columns])
    return out.getvalue()


def _harmless(value: object) -> object:
    return f"'{value}" if isinstance(value, str) and value.startswith(tuple(_RUNS)) else value
