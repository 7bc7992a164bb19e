"""The gas from the header to the actuator: three volumes in a row, and what flows between them.

The volumes are at the pilot's supply port, at the pilot's output and in the actuator's case. A step is
implicit, so that it holds for any step however small a volume is; its error goes with the step.
"""

import math
from dataclasses import dataclass
from typing import Final, NamedTuple

from diagnose.rig.parts import Actuator, ByHand, OutputLine, Pilot, Supply

STANDARD: Final = 101_325.0
"""Pa absolute: a volume of 1 m3 takes 1/101 325 standard m3 for each Pa. The gas is at 60 degF."""
GAS_VISCOSITY: Final = 1.2e-5
"""Pa s, natural gas near 60 degF (from memory); air has half as much again."""
PORT_VOLUME: Final = 5e-5
"""m3 of the pilot's output port and its gauge; common practice, no source."""


def in_series(*conductances: float) -> float:
    """Conductance of several things one after the other; 0 when one of them is shut.

    >>> in_series(2.0, 2.0), in_series(1.0, 0.0)
    (1.0, 0.0)
    """
    return 0.0 if min(conductances) <= 0 else 1 / sum(1 / each for each in conductances)


def tube(diameter: float, length: float, pressure: float) -> float:
    """Conductance of a tube, standard m3/s for each Pa.

    ``diameter``, ``length``: m; ``pressure``: the mean in it, Pa gauge. Holds for smooth flow; stirred flow
    passes less. Source: Hagen-Poiseuille.

    >>> round(tube(0.00457, 1.83, 0.0) * 1e7, 2)
    4.87
    """
    return math.pi * diameter**4 / (128 * GAS_VISCOSITY * max(length, 0.1)) * (1 + pressure / STANDARD)


class Pressures(NamedTuple):
    """Pa gauge: at the pilot's supply port, at its output, in the actuator's case."""

    supply: float
    output: float
    case: float


@dataclass(frozen=True)
class GasWay:
    """A plant's conductances and volumes, put together once for a run."""

    supply: Supply
    regulated: float
    """From the regulator, as it droops, to the pilot."""
    unregulated: float
    """From the header with the regulator wide open."""
    creep: float
    supply_leaks: float
    seat: float
    seat_leak: float
    vent: float
    vent_leak: float
    vent_back: float
    output_leaks: float
    line: float
    case_leaks: float
    supply_volume: float
    output_volume: float
    held: float | None
    """Pressure that somebody holds in the case."""


def gas_way(supply: Supply, pilot: Pilot, line: OutputLine, actuator: Actuator, hand: ByHand) -> GasWay:
    """The way of the gas with everything that is in it, and what somebody does to it."""
    return GasWay(
        supply=supply,
        regulated=in_series(supply.regulator, supply.tail),
        unregulated=in_series(supply.path, supply.capacity, supply.tail),
        creep=in_series(supply.creep, supply.path, supply.tail),
        supply_leaks=supply.leak + supply.relief + supply.bonnet,
        seat=pilot.supply_seat,
        seat_leak=pilot.supply_leak,
        vent=in_series(pilot.vent_seat, pilot.vent_path),
        vent_leak=in_series(pilot.vent_leak, pilot.vent_path),
        vent_back=pilot.vent_back,
        output_leaks=pilot.crack + pilot.body_leak + pilot.spare_port + line.leak_near,
        line=0.0 if hand.output_blocked or hand.loaded is not None else line.conductance,
        case_leaks=line.leak_far + actuator.tear + actuator.rim_leak + actuator.stem_leak,
        supply_volume=supply.volume,
        output_volume=PORT_VOLUME + line.volume / 2,
        held=hand.loaded,
    )


def drawn(supply: Supply, time: float) -> float:
    """Conductance of what others draw at a time (s).

    >>> pumped = Supply(3e5, 1e-6, 1.4e5, 1e-6, 1e-6, 0, 1e-4, 0, draw=1e-7, draw_period=10)
    >>> drawn(pumped, 2.0), drawn(pumped, 7.0)
    (1e-07, 0.0)
    """
    if not supply.draw or (supply.draw_period and time % supply.draw_period >= supply.draw_period / 2):
        return 0.0
    return supply.draw


def source(way: GasWay, supply: float) -> tuple[float, float]:
    """(Pressure, conductance) of what feeds the pilot's supply port, that stands at ``supply`` Pa.

    The regulator gives what its droop says, and no more than it can pass wide open.
    """
    regulated = way.regulated * (way.supply.set_to - supply)
    unregulated = way.unregulated * (way.supply.header - supply)
    if regulated <= 0 or unregulated <= 0:
        return 0.0, 0.0
    if regulated <= unregulated:
        return way.supply.set_to, way.regulated
    return way.supply.header, way.unregulated


def step(
    way: GasWay, now: Pressures, target: float, case_volume: float, draw: float, seconds: float
) -> Pressures:
    """The pressures a step later.

    ``target``: what the pilot drives its output to, Pa; ``case_volume``: m3; ``draw``: from `drawn`. Source:
    conservation of gas, implicit Euler. The regulator's flow is judged at the pressure that it ends at.
    """
    feed = source(way, now.supply)
    after = _solved(way, now, target, case_volume, draw, seconds, feed)
    again = source(way, after.supply)
    return after if again == feed else _solved(way, now, target, case_volume, draw, seconds, again)


def _solved(
    way: GasWay,
    now: Pressures,
    target: float,
    case_volume: float,
    draw: float,
    seconds: float,
    feed: tuple[float, float],
) -> Pressures:
    fed, feeds = feed
    creep = way.creep if now.supply < way.supply.header else 0.0
    hold = way.supply_volume / (STANDARD * seconds)
    on_supply = hold + feeds + creep + way.supply_leaks + draw + way.seat_leak
    to_supply = hold * now.supply + feeds * fed + creep * way.supply.header
    hold = way.output_volume / (STANDARD * seconds)
    on_output = hold + way.seat_leak + way.vent_leak + way.output_leaks + way.line
    to_output = hold * now.output + way.vent_leak * way.vent_back
    from_supply = way.seat_leak  # what the output's equation takes of the supply's pressure
    back = -way.seat_leak  # what the supply's equation takes of the output's pressure
    if target <= now.output:
        on_output += way.vent
        to_output += way.vent * max(target, way.vent_back)
    elif target >= now.supply:
        on_supply, back = on_supply + way.seat, back - way.seat
        on_output, from_supply = on_output + way.seat, from_supply + way.seat
    else:
        to_supply, back = to_supply - way.seat * target, back - way.seat
        on_output, to_output = on_output + way.seat, to_output + way.seat * target
    hold = case_volume / (STANDARD * seconds)
    on_case = hold + way.line + way.case_leaks
    # Three equations in a row: the case's and the supply's are put into the output's.
    case_part, case_own = way.line / on_case, hold * now.case / on_case
    on_output += from_supply * back / on_supply - way.line * case_part
    to_output += from_supply * to_supply / on_supply + way.line * case_own
    output = to_output / on_output
    supply = max((to_supply - back * output) / on_supply, 0.0)
    case = case_own + case_part * output if way.held is None else way.held
    return Pressures(supply, output, case)


def vented(way: GasWay, pressures: Pressures, target: float) -> float:
    """Gas that leaves by the pilot's vent, standard m3/s; below zero when the vent's line pushes back."""
    flow = way.vent_leak * (pressures.output - way.vent_back)
    if target <= pressures.output:
        flow += way.vent * (pressures.output - max(target, way.vent_back))
    return flow
