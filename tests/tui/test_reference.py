"""The reference of commands and book is what the code makes of itself."""

import os
from pathlib import Path

import pytest

from knowledge.schema import BookFile
from tests.tui.driver import RENEW, ROOT
from tui.__main__ import main, parser
from tui.reference import book_text, commands_text

FILES = {"commands": ROOT / "tui" / "COMMANDS.md", "book": ROOT / "knowledge" / "BOOK.md"}


@pytest.mark.parametrize("what", FILES)
def test_the_reference_in_the_repo_is_the_one_that_the_code_makes(what, capsys, monkeypatch):
    """`HALFSPLIT_RENEW_GOLDENS=1` writes it anew."""
    monkeypatch.setenv("COLUMNS", "80")
    assert main(["reference", what]) == 0
    made = capsys.readouterr().out
    path: Path = FILES[what]
    if os.environ.get(RENEW):
        path.write_text(made, encoding="utf-8")
    assert made == path.read_text(encoding="utf-8")


def test_every_command_has_its_place_and_says_what_it_does():
    """Also those below another."""
    text = commands_text(parser())
    for name in ("walk", "rank", "book check", "rig sweep", "sheet new"):
        rest = text.partition(f"## halfsplit {name}\n\n")[2]
        assert rest.split("\n", 1)[0].endswith(".")


def test_every_field_of_a_cause_is_told():
    """By its name."""
    cause = book_text(BookFile.model_json_schema()).partition("## Cause\n")[2].partition("\n## ")[0]
    fields = BookFile.model_json_schema()["$defs"]["Cause"]["properties"]
    assert all(f"- `{name}`" in cause for name in fields)
