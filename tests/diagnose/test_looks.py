"""What the kept boxes of checks may do: save time, and nothing else."""

import numpy as np
import pytest

from diagnose.boxes import boxes
from diagnose.compile import Compiler
from diagnose.looks import Looks
from knowledge.kept import keep_text, written
from tests.helpers import tiny_book

NAMES = tuple(tiny_book().checks)


def plain(looks):
    """The boxes of every check, as plain data."""
    return [[(box.given, box.chance.tolist()) for box in looks.boxes(name)] for name in NAMES]


def test_kept_boxes_are_those_of_the_likelihoods_to_the_last_bit(monkeypatch):
    """And they are not worked out again."""
    compiler, kept = Compiler(tiny_book(), {}), {}
    Looks(compiler, kept).recall_boxes(NAMES)
    again = Looks(compiler, kept)
    monkeypatch.setattr("diagnose.looks.boxes", None)
    again.recall_boxes(NAMES)
    right = [boxes(compiler.likelihoods(name)) for name in NAMES]
    assert plain(again) == [[(box.given, box.chance.tolist()) for box in some] for some in right]


@pytest.mark.parametrize("whole", [True, False])
@pytest.mark.parametrize("damaged", [None, 7, [], [[]], [[[1, 2]]], {"content": "x", "checksum": "y"}])
def test_what_is_no_kept_boxes_is_worked_out_again(damaged, whole):
    """Whether its checksum is right or not."""
    compiler, kept = Compiler(tiny_book(), {}), {}
    first = Looks(compiler, kept)
    first.recall_boxes(NAMES)
    (key,) = kept
    if whole:
        keep_text(kept, key, written(damaged))
    else:
        kept[key] = damaged
    again = Looks(compiler, kept)
    again.recall_boxes(NAMES)
    assert plain(again) == plain(first)


def test_another_number_in_a_check_is_another_key():
    """So that what a history taught, or a changed book, never finds the boxes of another."""
    kept = {}
    name = NAMES[0]
    for slip in (0.02, 0.03):
        looks = Looks(Compiler(tiny_book({"checks": {name: {"slip": slip}}}), {}), kept)
        looks.recall_boxes([name])
        assert all(np.isclose(box.chance.sum(), 1) for box in looks.boxes(name))
    assert len(kept) == 2
