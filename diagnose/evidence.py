"""What is known on a callout at one moment, apart from the unit's given facts."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace


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
    earlier: tuple["Earlier", ...] = ()
    """The repairs that did not cure it, in order, with what they put in doubt."""

    @property
    def before(self) -> "Evidence":
        """The same without the findings that stand: what is believed before any of them."""
        return replace(self, complaints=(), findings={}, in_order=frozenset(), soft={})


@dataclass(frozen=True)
class Earlier:
    """A repair that did not cure it. Its cause is also in `Evidence.remains`."""

    cause: str
    takes: float
    """P(the cause is gone | it was there and was put right)."""
    doubted: Evidence
    """Complaints and findings from before it that the cause can have brought about."""
    beside: Evidence
    """What else had been found by then."""
    changes: frozenset[str]
    """Names of the complaints and checks that the cause can bring about."""
