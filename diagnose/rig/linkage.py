"""From the displacer's pull to the pilot: shaft, range spring, fulcrum and lever.

The lever's way is counted in strokes: 0 with the displacer bare and the knob set for that, 1 when the lift
has grown by the force that full stroke takes. Its stops lie half a stroke beyond both.

Nothing here follows `diagnose.loop`, which says what such a unit does: the torques and the pilot's two seats
are put together on their own, so that each can prove the other.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from diagnose.loop import Action
from diagnose.rig.parts import Linkage, Shaft

STOPS: Final = (-0.5, 1.5)

PRESSED_LOADS: Final[Mapping[Action, bool]] = MappingProxyType({"throttle": True, "snap": False})
"""Whether a pressed pilot passes the supply to the output, by the set of ports that takes the supply; in the
other set it passes it when it is let go, and vents when it is pressed (common practice, no source)."""


def follow(old: float, wanted: float, slack: float) -> float:
    """Where a thing with friction or dead play stands, that is drawn to ``wanted`` and was at ``old``.

    It moves only when ``wanted`` has gone more than ``slack`` away, and then stays that much behind.

    >>> follow(0.0, 0.3, 0.5), follow(0.0, 0.8, 0.5), follow(0.3, -0.4, 0.5)
    (0.0, 0.30000000000000004, 0.09999999999999998)
    """
    return min(max(old, wanted - slack), wanted + slack)


def drawn_to(shaft: Shaft, linkage: Linkage, pull: float) -> float:
    """Where spring and displacer draw the lever, in strokes; ``pull`` in N at the displacer.

    The spring draws up what is on its side of the pivot. On the displacer's side it carries the pull; on the
    other one it turns the arm the same way as the pull does, to the stop to which the displacer falls.
    Source: the sum of the torques.

    >>> even = Linkage(carry=20.0, needed=4.0, spring_side="left", displacer_side="left", lever_side="left")
    >>> drawn_to(Shaft(), even, 20.0), drawn_to(Shaft(), even, 18.0), drawn_to(Shaft(), even, 0.0)
    (0.0, 0.5, 1.5)
    >>> from dataclasses import replace
    >>> drawn_to(Shaft(), replace(even, spring_side="right"), 18.0)
    -0.5
    """
    carried = linkage.carry if linkage.spring_side == linkage.displacer_side else -linkage.carry
    net = carried - pull * shaft.grip * shaft.arm_ratio + shaft.offset
    return min(max(net / linkage.needed, STOPS[0]), STOPS[1])


def slack(shaft: Shaft, linkage: Linkage, rub: float) -> float:
    """What the lever stays behind by friction and dead play, in strokes; ``rub``: friction elsewhere, N.

    >>> even = Linkage(carry=20.0, needed=4.0, spring_side="left", displacer_side="left", lever_side="left")
    >>> slack(Shaft(friction=0.8, play=0.2), even, 1.0)
    0.5
    """
    return (shaft.friction + shaft.play + linkage.rub + rub) / linkage.needed


def loading(linkage: Linkage, ports: Action, lever: float) -> float:
    """How much the pilot is asked to load the output, in strokes, for a lever that stands there.

    What is on the displacer's side of the pivot rises with it and what is on the other side falls. A lever
    that rises presses the pilot.

    >>> right = Linkage(20.0, 4.0, "left", "left", lever_side="left")
    >>> loading(right, "throttle", 0.75), loading(right, "snap", 0.75)
    (0.75, 0.25)
    """
    rises = lever if linkage.lever_side == linkage.displacer_side else 1 - lever
    pressed = rises + linkage.offset
    loads = pressed if PRESSED_LOADS[ports] else 1 - pressed
    return min(max(loads, STOPS[0]), STOPS[1])
