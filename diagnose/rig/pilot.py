"""The pilot: what it is asked to do, and the pressure that it drives the output to.

Its load is counted in strokes: 0 and below it vents, 1 and above it passes the supply on.
"""

import math

from diagnose.rig.linkage import follow
from diagnose.rig.parts import Pilot


def position(pilot: Pilot, old: float, wanted: float) -> float:
    """Where the pilot stands, in strokes, that stood at ``old`` and is asked for ``wanted``.

    >>> clean = Pilot("throttle", 140e3, 1e-8, 1e-8, 1e-7)
    >>> position(clean, 0.0, 0.6)
    0.6
    """
    return follow(old, wanted, pilot.stick) if pilot.stick else wanted


def snapped(pilot: Pilot, loaded: bool, load: float) -> bool:
    """Whether a snap pilot loads the output, that did or did not before.

    It changes over at 1 going up and at 0 coming down; a half-set one does so in a narrower band.

    >>> snap = Pilot("snap", 140e3, 1e-8, 1e-8, 1e-7)
    >>> snapped(snap, False, 0.9), snapped(snap, True, 0.1), snapped(snap, False, 1.0)
    (False, True, True)
    """
    margin = (1 - pilot.band) / 2
    return load > margin if loaded else load >= 1 - margin


def target(pilot: Pilot, loaded: bool, load: float) -> float:
    """Pressure that the pilot drives the output to, Pa; infinite when it is wide open to the supply.

    >>> throttle = Pilot("throttle", 140e3, 1e-8, 1e-8, 1e-7)
    >>> target(throttle, False, 0.5), target(throttle, False, -0.2)
    (70000.0, 0.0)
    """
    if pilot.ports == "throttle":
        share = min(max(load, pilot.rest), 1.0 if pilot.reach >= 1 else pilot.reach)
        return math.inf if share >= 1 else pilot.full * share
    if loaded:
        return math.inf if pilot.reach >= 1 else pilot.full * pilot.reach
    return pilot.full * pilot.rest
