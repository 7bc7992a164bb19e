"""What the displacer pulls on the arm."""

from diagnose.calculators.buoyancy import GRAVITY, covered_share, cylinder_volume
from diagnose.rig.parts import Displacer, Liquids


def pull(displacer: Displacer, liquids: Liquids, level: float, top: float) -> float:
    """Pull of the displacer on its arm, N; below zero when it floats on a stiff rod.

    ``level``: top of the lower liquid, ``top``: of all liquid, both m from the vessel's bottom and both as
    they stand round the displacer. Foam lies on top of that. Source: Archimedes' principle.

    >>> bar = Displacer(0.1, 0.4, "upright", 5.0, bottom=1.0)
    >>> oil = Liquids(lower=850.0, upper=0.0, vapour=1e5, critical=3e6)
    >>> round(pull(bar, oil, 0.5, 0.5), 2), round(pull(bar, oil, 1.2, 1.2), 2)
    (49.03, 35.94)
    """
    volume = cylinder_volume(displacer.diameter, displacer.length) + displacer.coat_volume
    held = displacer.flooded * (volume - displacer.coat_volume) * liquids.lower
    mass = displacer.mass + displacer.coat_mass + held
    lift = GRAVITY * volume * displaced_density(displacer, liquids, level, top)
    return displacer.attached * (mass * GRAVITY - lift)


def displaced_density(displacer: Displacer, liquids: Liquids, level: float, top: float) -> float:
    """Mean density of what the displacer moves aside, kg/m3; inputs as `pull`.

    >>> bar = Displacer(0.1, 0.4, "upright", 5.0, bottom=1.0)
    >>> two = Liquids(lower=1000.0, upper=800.0, vapour=1e5, critical=3e6)
    >>> round(displaced_density(bar, two, 1.2, 2.0), 6)
    900.0
    """
    low = _share(displacer, level)
    if liquids.emulsion:
        half = liquids.emulsion / 2
        low = (_share(displacer, level - half) + low + _share(displacer, level + half)) / 3
    density = liquids.lower * low
    if liquids.upper:
        density += liquids.upper * max(_share(displacer, top) - low, 0.0)
    if liquids.foam:
        foamy = _share(displacer, top + liquids.foam) - _share(displacer, top)
        density += liquids.foam_density * foamy
    return density


def _share(displacer: Displacer, level: float) -> float:
    return covered_share(level - displacer.bottom, displacer.diameter, displacer.length, displacer.hung)
