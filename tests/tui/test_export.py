"""`book export`: the network in a file or on stdout, and every file at fault named."""

import pytest

from diagnose.bif import bif_text
from diagnose.sheet import read_unit
from knowledge.book import load_book
from tests.helpers import tiny_book, write_book
from tui.__main__ import main


def test_the_file_holds_the_text_of_the_book(tmp_path, capsys):
    """The shipped book with nothing known; stdout stays empty."""
    path = tmp_path / "book.bif"
    assert main(["book", "export", "--bif", str(path)]) == 0
    assert path.read_text(encoding="ascii") == bif_text(load_book(), {})
    assert capsys.readouterr() == ("", f"Written: {path}\n")


def test_a_dash_writes_it_on_stdout_and_a_sheet_is_folded_in(capsys):
    """The facts of an example sheet are no nodes."""
    assert main(["book", "export", "--bif", "-", "--unit", "willow-flat-v210"]) == 0
    book = load_book()
    out = capsys.readouterr().out
    assert out == bif_text(book, read_unit("willow-flat-v210", book).facts)
    assert "variable valve_fails " not in out
    assert "variable valve_fails " in bif_text(book, {})


def test_another_book_can_be_exported(tmp_path, capsys):
    """`--book` names its folder."""
    write_book(tmp_path)
    assert main(["book", "export", "--bif", "-", "--book", str(tmp_path)]) == 0
    blocks = capsys.readouterr().out.partition("network ")[2]
    assert blocks == bif_text(tiny_book(), {}).partition("network ")[2]


def test_a_folder_is_no_place_to_write(tmp_path, capsys):
    """Not even the one that one stands in."""
    assert main(["book", "export", "--bif", str(tmp_path)]) == 2
    assert main(["book", "export", "--bif", ""]) == 2
    err = capsys.readouterr().err
    assert err == f"{tmp_path}: is there already. Name a new file.\n.: is there already. Name a new file.\n"


def test_a_file_that_is_there_is_left_alone(tmp_path, capsys):
    """Code 2, and what to do."""
    path = tmp_path / "book.bif"
    path.write_text("mine")
    assert main(["book", "export", "--bif", str(path)]) == 2
    assert path.read_text() == "mine"
    assert capsys.readouterr() == ("", f"{path}: is there already. Name a new file.\n")


@pytest.mark.parametrize("name", ["no_such_folder/book.bif", "x" * 5000, "nul\0"])
def test_a_place_that_cannot_be_written_is_told_in_one_line(name, tmp_path, monkeypatch, capsys):
    """No traceback, code 2."""
    monkeypatch.chdir(tmp_path)
    assert main(["book", "export", "--bif", name]) == 2
    err = capsys.readouterr().err
    assert "cannot be written (" in err
    assert err.count("\n") == 1


def test_a_sheet_that_is_not_there_writes_nothing(tmp_path, capsys):
    """The examples are named."""
    path = tmp_path / "book.bif"
    assert main(["book", "export", "--bif", str(path), "--unit", "nobody"]) == 2
    assert "there is no unit sheet" in capsys.readouterr().err
    assert not path.exists()
