"""Every fault that can be put into a plant, by its name: one table.

The names are those by which the tool knows the causes. What each does to the plant stands in its row, with
the change at severity 1 as far as it is a number. Sizes are common practice, no source: at severity 1 a fault
is as bad as it gets.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from diagnose.rig.faults_gas import OUTPUT, PILOT, SUPPLY
from diagnose.rig.faults_valve import ACTUATOR, DISCHARGE, VALVE
from diagnose.rig.faults_vessel import DISPLACER, LINKAGE, PROCESS
from diagnose.rig.faulty import Fault
from diagnose.rig.plant import Plant

FAULTS: Final[Mapping[str, Fault]] = MappingProxyType(
    PROCESS | DISPLACER | LINKAGE | SUPPLY | PILOT | OUTPUT | ACTUATOR | VALVE | DISCHARGE
)


def with_fault(plant: Plant, name: str, severity: float = 1.0) -> Plant:
    """The plant with a fault of that name; `KeyError` for an unknown one, `ValueError` for a severity.

    >>> len(FAULTS) >= 80
    True
    """
    return FAULTS[name].put_into(plant, severity)
