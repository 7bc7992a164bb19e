"""What is known on a callout at one moment, apart from the unit's given facts."""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Evidence:
    """Findings that stand, and what repairs have changed. The order of entries does not matter."""

    complaints: tuple[str, ...] = ()
    """Complaints reported; those not named say nothing."""
    findings: Mapping[str, str] = field(default_factory=dict)
    """Outcome of each check made, and value of each fact asked on the spot."""
    in_order: frozenset[str] = frozenset()
    """Causes that were looked at directly and found not to be there."""
    remains: Mapping[str, float] = field(default_factory=dict)
    """For each cause put right in this callout: the share of its probability that the repairs left."""
    soft: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    """The weight of each outcome, for a finding that is in doubt by its gauge's error or is not sure."""
