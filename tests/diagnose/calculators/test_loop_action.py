"""The loop's logic as a calculation. The logic itself is tried in `tests.diagnose.test_loop`."""

from itertools import product

import pytest

from diagnose.calculators.loop_action import CAUTION, LOOP_ACTION, loop_action
from diagnose.loop import LEGEND, PRACTICE, as_found_of, will_do

WORDS = {entry.name: entry.words for entry in LOOP_ACTION.inputs}
RIGHT = {
    "action": "snap",
    "acting": "direct",
    "fails": "closed",
    "mount": "back",
    "spring_side": "left",
    "displacer_side": "left",
    "lever_side": "right",
    "ports": "snap",
}

OUTSIDE: list[tuple[str, float, float, str]] = []
"""No published numbers: the logic is words, and is checked against the machine in `test_loop`."""


def answers(given):
    """The answers by name."""
    return {answer.name: answer.value for answer in loop_action(given).answers}


def test_a_right_unit_is_right_throughout():
    """Four places right, output as meant, dumps."""
    told = answers(RIGHT)
    for place in ("pairing", "lever_place", "spring_place", "ports_place"):
        assert told[place] == "right"
    assert (told["output_meant"], told["output_moves"]) == ("rises", "rises")
    assert (told["does"], told["dumps"]) == ("as_meant", True)


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({"fails": "open"}, "pairing"),
        ({"lever_side": "left"}, "lever_place"),
        ({"spring_side": "right"}, "spring_place"),
        ({"ports": "throttle"}, "ports_place"),
    ],
)
def test_one_mistake_makes_one_place_wrong(change, place):
    """And none of the others: the facts of the sheet stay apart."""
    told = answers(RIGHT | change)
    wrong = [
        name for name in ("pairing", "lever_place", "spring_place", "ports_place") if told[name] == "wrong"
    ]
    assert wrong == [place]
    assert told["dumps"] is False


@pytest.mark.parametrize(
    ("gone", "names"),
    [
        ("fails", {"pairing", "dumps"}),
        ("ports", {"ports_place", "does", "dumps", "output_moves", "acting_found", "action_found"}),
        ("lever_side", {"lever_place", "does", "dumps", "output_moves", "acting_found"}),
        ("displacer_side", {"spring_place", "does", "dumps"}),
    ],
)
def test_an_unknown_field_leaves_its_answers_out(gone, names):
    """What cannot be told is not there."""
    told = answers({name: value for name, value in RIGHT.items() if name != gone})
    assert set(answers(RIGHT)) - set(told) == names


def test_nothing_known_is_no_answer_and_no_error():
    """Only where to look."""
    result = loop_action({})
    assert (result.answers, result.notes, result.in_range) == ((), (CAUTION, LEGEND), True)


def test_each_mistake_and_pair_is_told_in_words():
    """Five single ones and ten pairs, in words for a hand."""
    told = {name: value for name, value in answers(RIGHT).items() if name.startswith("if_")}
    assert len(told) == 15
    assert told["if_lever"] == "dumps the wrong way round"
    assert told["if_ports"] == "throttles where it should snap, and dumps the wrong way round"
    assert told["if_lever_ports"] == "throttles where it should snap, and dumps the right way round"
    assert told["if_spring"] == "cannot act at all"
    assert told["if_lever_pairing"] == "dumps the right way round"


def test_every_combination_of_words_works_and_agrees_with_the_logic():
    """All 768 through the calculator and through the sheet's fields."""
    sheet = {entry.name: entry.sheet for entry in LOOP_ACTION.inputs}
    for words in product(*WORDS.values()):
        given = dict(zip(WORDS, words, strict=True))
        result = loop_action(given)
        logic = will_do(as_found_of({sheet[name]: word for name, word in given.items()}))
        assert (result["does"], result["dumps"]) == (logic.does, logic.dumps)
        assert result.sources == (PRACTICE,)
        assert (result.notes[-1], result.notes[:-2]) == (LEGEND, logic.sentences[:-1])
