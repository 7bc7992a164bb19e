"""Simulated units to look at."""

from functools import cache

from diagnose.rig.plant import plant_of
from diagnose.rig.run import run
from diagnose.trial.case import FOUND, Case
from tests.diagnose.rig.plants import INTERFACE, PAIRINGS, WATER, sheet

SNAP, SNAP_OPEN, THROTTLE, THROTTLE_OPEN = PAIRINGS


@cache
def healthy(pairing, liquid="water"):
    """(Values, plant, what it does) of a healthy unit."""
    values = {**sheet(pairing), **(INTERFACE if liquid == "interface" else WATER)}
    plant = plant_of(values)
    return values, plant, run(plant, FOUND)


def case_of(pairing, *names, severity=1.0, liquid="water"):
    """The unit with some faults."""
    values, plant, usual = healthy(pairing, liquid)
    return Case(values, plant, dict.fromkeys(names, severity), before=usual)


def soon(name, liquid="water"):
    """The case of a fault at its worst that is looked at two minutes after it came: quick to play."""
    case = case_of(SNAP, name, liquid=liquid)
    case.found = run(case.plant, 120.0, start=case.usual.start)
    return case
