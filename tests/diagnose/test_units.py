"""Numbers with units as people write them, and the outcome a reading stands for."""

import re

import pint
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from diagnose.readings import judge
from diagnose.units import UNITS, NotAQuantity, parse, to_si
from knowledge.schema import Reading

STEADY = settings(max_examples=200, deadline=None, derandomize=True)
unit = st.sampled_from(list(UNITS))
number = st.floats(0, 1e6, allow_subnormal=False).map(lambda x: round(x, 6))

GAUGE = Reading.model_validate(
    {
        "unit": "psi",
        "bins": [{"is": "none", "below": 1.5}, {"is": "part", "below": 0.8, "of": "supply"}, {"is": "full"}],
    }
)


@given(number, unit, st.sampled_from(["", " ", "   "]))
@STEADY
def test_a_number_comes_back_in_its_own_unit(value, name, gap):
    """Written with or without a space, and read back."""
    assert parse(f"{value!r}{gap}{name}").to(name) == pytest.approx(value, rel=1e-9, abs=1e-6)


@given(number, unit, st.data())
@STEADY
def test_a_number_survives_the_way_through_another_unit(value, name, data):
    """To another unit of the same dimension, written out, and back."""
    other = data.draw(st.sampled_from([u for u in UNITS if UNITS[u].dimension == UNITS[name].dimension]))
    assume("API" not in (name, other) or 0.001 < value < 1000)
    there = parse(f"{value!r} {name}").to(other)
    if there >= 0:
        assert parse(f"{there!r} {other}").to(name) == pytest.approx(value, rel=1e-9, abs=1e-6)


@given(number, unit, st.sampled_from([str.lower, str.upper]))
@STEADY
def test_capitals_do_not_matter_where_only_one_unit_is_meant(value, name, change):
    """`PSI` and `kpa` are read; the dimension is the same whichever way the letters stand."""
    assert parse(f"{value!r} {change(name)}").dimension == UNITS[name][0]


@given(st.text(max_size=20))
@STEADY
def test_any_text_is_a_quantity_or_says_what_to_write(text):
    """Never another exception."""
    try:
        quantity = parse(text)
    except NotAQuantity as error:
        assert str(error).endswith((".", "?"))  # noqa: PT017
    else:
        assert quantity.text == text.strip()


@pytest.mark.parametrize(
    ("text", "to", "expected"),
    [
        # NIST SP 811, appendix B (from memory): 1 psi = 6.894757 kPa, 1 bar = 100 kPa.
        ("1 psi", "kPa", 6.894757),
        ("20psig", "bar", 1.378951),
        ("1 bar", "psi", 14.50377),
        ("1 inH2O", "kPa", 0.2490889),
        ("100 degC", "degF", 212.0),
        ("-40 C", "F", -40.0),
        ("32 F", "degC", 0.0),
        ("1 ft", "in", 12.0),
        ("1 in", "mm", 25.4),
        ("1.5 h", "min", 90.0),
        (".5 min", "s", 30.0),
        ("1e2 kPa", "bar", 1.0),
        ("+3 m", "cm", 300.0),
        ("12.5 %", "%", 12.5),
    ],
)
def test_well_known_conversions(text, to, expected):
    """To seven digits."""
    assert parse(text).to(to) == pytest.approx(expected, rel=5e-7, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("twelve", "'twelve' is not a number with a unit. Write it as: 12 psi."),
        ("", "'' is not a number with a unit. Write it as: 12 psi."),
        ("12", "'12' has no unit. Write it as: 12 psi."),
        ("12,5 psi", "'12,5 psi' is not a number with a unit. Write it as: 12 psi."),
        ("12 psii", "'psii' is not a unit known here. Did you mean psi?"),
        ("12 furlongs", "'furlongs' is not a unit known here. It can be: psi, "),
        ("-1 psi", "'-1 psi' is not possible"),
        ("-500 degC", "'-500 degC' is not possible"),
        ("1e999 psi", "'1e999 psi' is not possible"),
        ("1e999 API", "'1e999 API' is not possible"),
        ("nan psi", "'nan psi' is not a number with a unit"),
    ],
)
def test_a_bad_one_says_the_mend(text, words):
    """What it is, and what to write instead."""
    with pytest.raises(NotAQuantity, match=re.escape(words)):
        parse(text)


def test_the_example_in_the_message_is_in_the_unit_asked_for():
    """Asked for minutes, the example is in minutes, and the units offered are times."""
    with pytest.raises(NotAQuantity, match=re.escape("Write it as: 7 min.")):
        parse("7", as_unit="min")
    with pytest.raises(NotAQuantity, match=re.escape("It can be: s, sec, min, h, d.")):
        parse("7 zz", as_unit="min")


def test_a_number_of_another_kind_is_refused():
    """A temperature is no pressure."""
    with pytest.raises(
        NotAQuantity, match=re.escape("'12 degC' is a temperature, not a pressure. Give it in psi.")
    ):
        parse("12 degC").to("psi")


@pytest.mark.parametrize(
    ("text", "outcome"),
    [
        ("0 psi", "none"),
        ("1.49 psi", "none"),
        ("1.5 psi", "part"),
        ("23.9 psi", "part"),
        ("24 psi", "full"),
        ("500 psi", "full"),
        ("1 bar", "part"),
        ("200 kPa", "full"),
    ],
)
def test_a_reading_falls_in_the_first_bin_that_it_is_below(text, outcome):
    """With 30 psi of supply: none below 1.5, part below 0.8 x 30 = 24, full from there on."""
    assert judge(GAUGE, text, {"supply": 30.0}).outcome == outcome


@given(st.floats(0, 100), st.floats(1, 60))
@STEADY
def test_a_higher_reading_is_never_in_a_lower_bin(reading, supply):
    """Bins keep their order."""
    order = ["none", "part", "full"]
    lower = judge(GAUGE, f"{reading:.6f} psi", {"supply": supply}).outcome
    higher = judge(GAUGE, f"{reading + 1:.6f} psi", {"supply": supply}).outcome
    assert order.index(lower) <= order.index(higher)


def test_a_reading_without_its_unit_is_not_guessed():
    """`12` on a gauge could be anything: the message gives the reading's own unit."""
    with pytest.raises(NotAQuantity, match=re.escape("'12' has no unit. Write it as: 12 psi.")):
        judge(GAUGE, "12", {"supply": 30.0})


PINT = {
    "psi": "psi",
    "kPa": "kPa",
    "bar": "bar",
    "mbar": "mbar",
    "psia": "psi",
    "atm": "atm",
    "s": "s",
    "min": "minute",
    "h": "hour",
    "d": "day",
    "in": "inch",
    "ft": "foot",
    "mm": "mm",
    "cm": "cm",
    "in2": "inch**2",
    "cm2": "cm**2",
    "mm2": "mm**2",
    "in3": "inch**3",
    "ft3": "foot**3",
    "gal": "US_liquid_gallon",
    "bbl": "oil_barrel",
    "L": "liter",
    "cm3": "cm**3",
    "bbl/d": "oil_barrel/day",
    "bbl/h": "oil_barrel/hour",
    "gpm": "US_liquid_gallon/minute",
    "m3/h": "m**3/hour",
    "m3/d": "m**3/day",
    "scf/h": "foot**3/hour",
    "scf/d": "foot**3/day",
    "scfm": "foot**3/minute",
    "scf": "foot**3",
    "g/cm3": "g/cm**3",
    "lb/ft3": "pound/foot**3",
    "lb/gal": "pound/US_liquid_gallon",
    "kg": "kg",
    "g": "g",
    "lb": "pound",
    "oz": "ounce",
    "N": "N",
    "lbf": "force_pound",
}
"""Our unit to pint's name for it. Gauge pressure is not pint's business, only the size of the unit is."""


@pytest.mark.parametrize("name", sorted(PINT))
def test_the_size_of_a_unit_is_pints(name):
    """Reference: pint's own registry, a general library; its oil barrel is asked for by name."""
    registry = pint.UnitRegistry()
    theirs = registry.Quantity(1.0, PINT[name]).to_base_units().magnitude
    assert UNITS[name].factor == pytest.approx(theirs, rel=1e-6)


@pytest.mark.parametrize("number", [-40.0, 0.0, 59.0, 212.0])
def test_temperatures_are_pints(number):
    """Fahrenheit and Celsius to kelvin."""
    registry = pint.UnitRegistry()
    for ours, theirs in (("degF", "degF"), ("degC", "degC")):
        assert to_si(number, ours) == pytest.approx(
            registry.Quantity(number, theirs).to("K").magnitude, abs=1e-9
        )
