"""Hostile input, a few cases of each kind: taken, or refused in words that no terminal obeys."""

import pytest

from tests.fuzz.kinds import KINDS, cases

FEW = {
    "reading": 300,
    "calculation": 100,
    "sheet": 60,
    "book": 30,
    "batch": 30,
    "command_line": 12,
    "merge_file": 12,
    "typed": 6,
    "keys": 3,
    "every_command": 15,
    "odd_file": 12,
    "names": 20,
    "desk_keys": 2,
}


@pytest.mark.parametrize("kind", KINDS)
def test_hostile_input_is_taken_or_refused_and_nothing_else(kind, tmp_path):
    """No traceback, no other exit code, no control character on its way to a terminal."""
    wrong = {
        number: came
        for number, came in cases(kind, FEW.get(kind, 40), 1, tmp_path)
        if isinstance(came, Exception)
    }
    assert not wrong
