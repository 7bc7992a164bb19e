"""What the program says of itself has its Spanish, word for word where something is put in."""

import ast
import re
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest

from diagnose import own_words
from diagnose.callout import Finding
from diagnose.fitted_numbers import UNKNOWN_NUMBER
from diagnose.help_step import help_step
from diagnose.own_words import SPANISH, own
from diagnose.procedures import IN_WORDS, fitted
from diagnose.proof_step import prove_step
from diagnose.steps import check_step, complaint_step, hold_step, repair_step
from diagnose.trip import HOW_TO_TYPE, HOW_TO_TYPE_LEVEL
from diagnose.words import DEFER, SAFETY, SKILLS
from knowledge.book import SHIPPED, load_book
from knowledge.translation import in_language, load_translation
from knowledge.words import HOLDS

FLOOR = Path(own_words.__file__).parent
BOOK = load_book()
SPANISH_BOOK = in_language(BOOK, load_translation(SHIPPED, "es"))


def literals(tree: ast.AST) -> set[str]:
    """The texts that are handed to `own` as they stand."""
    calls = (node for node in ast.walk(tree) if isinstance(node, ast.Call))
    asked = (call.args[1] for call in calls if getattr(call.func, "id", "") == "own")
    found = (part for text in asked for part in ast.walk(text) if isinstance(part, ast.Constant))
    return {part.value for part in found if isinstance(part.value, str)}


SAID = set().union(*(literals(ast.parse(path.read_text("utf-8"))) for path in FLOOR.rglob("*.py")))
GIVEN = {DEFER, SAFETY, HOW_TO_TYPE, HOW_TO_TYPE_LEVEL, UNKNOWN_NUMBER, *HOLDS, *IN_WORDS.values()}
GIVEN |= {*SKILLS.values()}


def test_every_text_that_is_said_has_its_spanish():
    """Those that stand where they are said, and those that stand elsewhere."""
    assert len(SAID) > 30
    assert {text for text in SAID | GIVEN if text not in SPANISH and text != "{unit}"} == set()


def test_what_is_put_in_is_the_same_in_both():
    """The names in braces, and the numbers."""
    parts = re.compile(r"\{\w+\}|\d+")
    wrong = [
        text for text, other in SPANISH.items() if sorted(parts.findall(text)) != sorted(parts.findall(other))
    ]
    assert wrong == []


def test_a_language_without_words_has_the_english_ones():
    """And what is put in may hold braces of its own."""
    assert own(replace(BOOK, language="xx"), "Put right: {title}", title="{odd}") == "Put right: {odd}"


def texts(step) -> list[str]:
    """All that a person reads of a step."""
    labels = [choice.label for choice in step.choices]
    return [
        step.heading,
        step.why,
        *labels,
        *step.steps,
        *step.cautions,
        step.skill,
        step.reading,
        step.judged_by,
    ]


def steps_of(book):
    """One step of each kind."""
    return [
        complaint_step(book, 0),
        complaint_step(book, 1),
        check_step(book, "supply_gauge", "", ()),
        hold_step(book, "running", "open", (), ""),
        hold_step(book, "running", "open", book.cautions, ""),
        hold_step(book, "isolated", "supply off", (), ""),
        repair_step(book, "displacer_coated", ""),
        prove_step(book, "displacer_coated"),
    ]


@pytest.mark.parametrize("number", range(8))
def test_no_line_of_a_step_is_left_in_english(number):
    """Each line of its page differs from the English one."""
    english, spanish = texts(steps_of(BOOK)[number]), texts(steps_of(SPANISH_BOOK)[number])
    assert [one for one, other in zip(english, spanish, strict=True) if one and one == other] == []


def test_no_line_of_a_procedure_is_left_in_english():
    """Of all procedures, with nothing known of the unit: every condition and every way is in them."""
    for name in BOOK.procedures:
        english, spanish = fitted(BOOK, name), fitted(SPANISH_BOOK, name)
        pairs = zip(english.lines, spanish.lines, strict=True)
        assert [one.text for one, other in pairs if one.text == other.text] == []
        assert not any("If " in line.text or " or " in line.text for line in spanish.lines)


def test_the_last_page_of_help_is_in_spanish():
    """What is still possible, known, and could not be told."""
    state = SimpleNamespace(
        findings={"supply_gauge": Finding("as_set"), "drip_pot": Finding("could_not_tell")},
        not_told=["drip_pot"],
        repaired=["set_point_high"],
        cannot_repair={"pilot_gummed"},
        hold="running",
    )
    english, spanish = (texts(help_step(book, state, [("X", 0.4)])) for book in (BOOK, SPANISH_BOOK))
    assert [one for one, other in zip(english, spanish, strict=True) if one and one == other] == []
    assert "Todavía posible: X, 40%" in spanish
