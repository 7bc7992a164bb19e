"""The numbers that stand in braces in a procedure's steps."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.fitted_numbers import BRACES, NAMES, SHOWN, WORKED_OUT, filled, numbers_of
from diagnose.units import to_si
from knowledge.book import load_book

STEADY = settings(max_examples=60, deadline=None, derandomize=True)
UPRIGHT = {
    "displacer.diameter": to_si(3, "in"),
    "displacer.length": to_si(12, "in"),
    "displacer.hung": "upright",
}
SIDES = {
    "controller.action": "snap",
    "controller.acting": "direct",
    "controller.displacer_side": "right",
    "controller.spring_side": "right",
}


@pytest.mark.parametrize("name", sorted(SHOWN))
@given(number=st.floats(0.5, 900))
@settings(max_examples=20, deadline=None, derandomize=True)
def test_a_number_of_the_sheet_comes_in_the_trades_unit(name, number):
    """As it was written there, to three figures."""
    field, unit = SHOWN[name]
    text = numbers_of({field: to_si(number, unit)})[name]
    shown, shown_unit = text.split(" ")
    assert shown_unit == unit
    assert float(shown) == pytest.approx(number, rel=6e-3)


def test_a_sheet_that_says_nothing_gives_no_number():
    """Nothing is guessed."""
    assert numbers_of({}) == {}


def test_every_number_has_a_sheet_that_gives_it():
    """All names, from one whole sheet."""
    sheet = {field: to_si(20, unit) for field, unit in SHOWN.values()}
    whole = {**sheet, **UPRIGHT, **SIDES, "service.density": 850.0}
    assert set(numbers_of(whole)) == NAMES == {*SHOWN, *WORKED_OUT}


@given(st.floats(5, 150))
@STEADY
def test_half_the_supply_is_half_of_it(psi):
    """By the numbers that are shown, each to three figures."""
    told = numbers_of({"controller.supply_set": to_si(psi, "psi")})
    half, whole = (float(told[name].removesuffix(" psi")) for name in ("half_supply", "supply_set"))
    assert 2 * half == pytest.approx(whole, rel=1.1e-2)


@pytest.mark.parametrize(("hung", "height"), [("upright", "12 in"), ("flat", "3 in")])
def test_the_full_band_is_the_height_of_the_displacer_as_it_hangs(hung, height):
    """Its length upright, its diameter flat; a density is not needed for it."""
    told = numbers_of({**UPRIGHT, "displacer.hung": hung})
    assert told["band_full"] == height
    assert "lift_full" not in told


@pytest.mark.parametrize("lacking", sorted(UPRIGHT))
def test_a_displacer_of_which_something_is_not_known_gives_nothing(lacking):
    """Size and the way it hangs are both needed."""
    sheet = {field: value for field, value in UPRIGHT.items() if field != lacking}
    told = numbers_of({**sheet, "service.density": 850.0})
    assert {"band_full", "lift_full"}.isdisjoint(told)


def test_the_full_lift_is_the_weight_of_the_liquid_that_the_displacer_puts_aside():
    """Water by hand: pi/4 x 9 in2 x 12 in is 84.82 in3 of 0.03613 lb/in3; less what an upper liquid lifts."""
    water = numbers_of({**UPRIGHT, "service.density": 1000.0})["lift_full"]
    assert float(water.removesuffix(" lbf")) == pytest.approx(84.82 * 0.03613, rel=5e-3)
    between = numbers_of({**UPRIGHT, "service.density": 1000.0, "service.upper_density": 800.0})["lift_full"]
    assert float(between.removesuffix(" lbf")) == pytest.approx(0.2 * 84.82 * 0.03613, rel=5e-3)


@pytest.mark.parametrize(
    ("action", "acting", "place", "side"),
    [
        ("throttle", "direct", "on the same side as the spring", "on the right side"),
        ("throttle", "indirect", "on the other side from the spring", "on the left side"),
        ("snap", "direct", "on the other side from the spring", "on the left side"),
        ("snap", "indirect", "on the same side as the spring", "on the right side"),
    ],
)
def test_the_lever_belongs_where_action_and_acting_put_it(action, acting, place, side):
    """With spring and displacer on the right (common practice, no source)."""
    told = numbers_of({**SIDES, "controller.action": action, "controller.acting": acting})
    assert (told["lever_belongs"], told["lever_belongs_on"]) == (place, side)
    assert told["spring_belongs_on"] == "on the right side"


def test_without_a_side_the_lever_is_placed_by_the_spring_alone():
    """Which hand that is nobody knows."""
    told = numbers_of({name: SIDES[name] for name in ("controller.action", "controller.acting")})
    assert set(told) == {"lever_belongs"}


@given(st.sampled_from(sorted(NAMES)), st.text("abc 12,.", max_size=12), st.booleans())
@STEADY
def test_a_name_in_braces_becomes_its_number_or_its_words(name, words, known):
    """The number when there is one, else the words beside it, else that the sheet says it; the rest stays."""
    numbers = {name: "30 psi"} if known else {}
    expected = "30 psi" if known else words or "what the sheet says"
    assert filled(f"Set {{{name}|{words}}} now.", numbers) == f"Set {expected} now."
    assert (
        filled(f"Set {{{name}}} now.", numbers) == f"Set {'30 psi' if known else 'what the sheet says'} now."
    )


@given(st.text("ab {}|.", max_size=20))
@STEADY
def test_a_text_without_a_name_in_braces_stays_as_it_is(text):
    """Nothing else is touched."""
    if not BRACES.search(text):
        assert filled(text, {"a": "1", "b": "2"}) == text


def test_every_name_in_braces_in_the_shipped_book_is_one_that_can_be_filled():
    """No step asks for a number that nothing gives, and no brace is left over."""
    book = load_book()
    steps = [(name, step.do) for name, entry in book.procedures.items() for step in entry.steps]
    asked = {found[1] for _, text in steps for found in BRACES.finditer(text)}
    assert asked
    assert asked <= NAMES
    for name, text in steps:
        assert not re.search(r"[{}|]", filled(text, {})), (name, text)
