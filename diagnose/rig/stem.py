"""The actuator's stem and the valve's plug; how far open is a share of the travel."""

from dataclasses import dataclass

from diagnose.calculators.actuator import plug_force, stroke
from diagnose.rig.parts import Actuator, ByHand, Valve
from diagnose.units import Gauge


@dataclass(frozen=True)
class Balance:
    """The forces on the stem, put together once for a run; pressures in Pa."""

    fails_closed: bool
    shut: float
    """Pressure that holds it shut-but-free without friction."""
    wide: float
    rub: float
    """Friction over the area, moving; at rest it is `stick` times as much."""
    stick: float
    low: float
    high: float
    pushes: float
    trapped: float
    held: float | None


def balance(actuator: Actuator, valve: Valve, drop: float, hand: ByHand) -> Balance:
    """What the stem feels with ``drop`` (Pa) over the plug. Source: `diagnose.calculators.actuator`.

    >>> small = Actuator("closed", 0.01, 20e3, 100e3, 0.02, 1e-4, 50.0)
    >>> felt = balance(small, Valve(9, 0.9, 0.0, "under", "linear"), 0.0, ByHand())
    >>> felt.shut, felt.wide, felt.rub
    (20000.0, 100000.0, 5000.0)
    """
    plug = plug_force(drop, valve.seat, valve.flow) if actuator.coupled * valve.plug_on else 0.0
    low, high = Gauge(actuator.bench_low), Gauge(max(actuator.bench_high, actuator.bench_low + 100.0))
    marks = stroke(actuator.fails, actuator.area, low, high, plug, 0.0)
    return Balance(
        fails_closed=actuator.fails == "closed",
        shut=marks.starts_to_open,
        wide=marks.fully_open,
        rub=actuator.friction / actuator.area,
        stick=actuator.stick,
        low=actuator.stop_low,
        high=actuator.stop_high,
        pushes=actuator.pushes,
        trapped=actuator.vent_plugged,
        held=hand.stem,
    )


def free_at(felt: Balance, pressure: float) -> float:
    """Where the stem would stand without friction and stops; ``pressure`` in the case, Pa.

    >>> free_at(Balance(True, 20e3, 100e3, 0, 1, 0, 1, 1, 0, None), 60e3)
    0.5
    """
    return (pressure * felt.pushes - felt.shut) / (felt.wide - felt.shut)


def move(felt: Balance, stem: float, pressure: float) -> float:
    """Where the stem stands that stood at ``stem``, with ``pressure`` (Pa) in the case.

    It stays while spring and gas differ by less than the friction at rest; once it moves it goes on to where
    they differ by the friction of a moving stem. Gas shut in on the spring side pushes back as it is squeezed
    (its volume is taken as twice what the diaphragm sweeps). Source: force balance; Boyle.

    >>> felt = Balance(True, 20e3, 100e3, 8e3, 1.0, 0.0, 1.0, 1.0, 0.0, None)
    >>> move(felt, 0.0, 24e3), round(move(felt, 0.0, 68e3), 6), round(move(felt, 0.6, 52e3), 6)
    (0.0, 0.5, 0.5)
    """
    if felt.held is not None:
        return felt.held
    if felt.trapped:
        filled = stem if felt.fails_closed else 1 - stem
        pressure -= felt.trapped * 101_325.0 * filled / (2 - filled)
    free, rub = free_at(felt, pressure), felt.rub / abs(felt.wide - felt.shut)
    if abs(free - stem) > rub * felt.stick:
        stem = free - rub if free > stem else free + rub
    return min(max(stem, felt.low), felt.high)


def plug_at(actuator: Actuator, valve: Valve, stem: float) -> float:
    """How far open the plug is for a stem that stands there; off its stem it lies on its seat.

    >>> small = Actuator("closed", 0.01, 20e3, 100e3, 0.02, 1e-4, 50.0)
    >>> plug_at(small, Valve(9, 0.9, 0.02, "under", "linear", trash=0.2), 0.0)
    0.2
    """
    follows = stem * actuator.coupled * valve.plug_on
    return min(max(follows, valve.trash, actuator.lost_way), 1.0)
