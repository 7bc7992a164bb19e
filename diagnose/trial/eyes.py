"""Every eye, by the check that it answers."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

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
from diagnose.trial.eye import Eye

EYES: Final[Mapping[str, Eye]] = MappingProxyType(
    {
        **eyes_vessel.EYES,
        **eyes_displacer.EYES,
        **eyes_linkage.EYES,
        **eyes_supply.EYES,
        **eyes_pilot.EYES,
        **eyes_output.EYES,
        **eyes_actuator.EYES,
        **eyes_valve.EYES,
        **eyes_discharge.EYES,
    }
)
