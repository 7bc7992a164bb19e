"""Whatever is wrong with a plant, every eye tells one of its check's outcomes, or a pressure that can be."""

import pytest

from diagnose.rig.faults import FAULTS
from diagnose.trial.eyes import EYES
from diagnose.units import from_si
from knowledge.book import load_book
from tests.diagnose.trial.units import SNAP, healthy, soon


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
