"""Whatever is wrong with a plant, every eye tells one of its check's outcomes, or a pressure that can be."""

import pytest

from diagnose.rig.faults import FAULTS
from diagnose.trial import (
    eyes_actuator,
    eyes_discharge,
    eyes_displacer,
    eyes_linkage,
    eyes_output,
    eyes_pilot,
    eyes_supply,
    eyes_valve,
    eyes_vessel,
)
from diagnose.trial.eyes import EYES
from diagnose.units import from_si
from knowledge.book import load_book
from tests.diagnose.trial.units import SNAP, healthy, soon

SECTIONS = {
    "vessel and liquid": eyes_vessel,
    "displacer and arm": eyes_displacer,
    "spring and lever": eyes_linkage,
    "supply": eyes_supply,
    "pilot and ports": eyes_pilot,
    "output line": eyes_output,
    "actuator": eyes_actuator,
    "valve": eyes_valve,
    "discharge piping": eyes_discharge,
}


@pytest.fixture(scope="module")
def book():
    """The shipped book."""
    return load_book()


@pytest.mark.parametrize("fault", FAULTS)
def test_every_eye_answers_as_its_check_can_be_answered(book, fault):
    case = soon(fault, "water" if FAULTS[fault].fits(healthy(SNAP)[1]) else "interface")
    for name, eye in EYES.items():
        seen, check = eye(case), book.checks[name]
        if isinstance(seen, str):
            assert seen in check.outcomes, name
            assert check.reading is None, name
        else:
            assert check.reading is not None, name
            assert -0.1 < from_si(seen, "psi") < 100, name


@pytest.mark.parametrize("section", SECTIONS)
def test_the_checks_of_a_section_stand_in_its_own_table_and_no_other(book, section):
    assert set(SECTIONS[section].EYES) == {name for name in book.checks if book.sections[name] == section}
