"""Closed callouts for tests, made without their events."""

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta

from diagnose.history.closed import ClosedCallout, MadeCheck, TriedRepair

NOW = datetime(2025, 1, 1, tzinfo=UTC)


def made(
    days_ago: float,
    shares: Mapping[str, float] | str,
    unit: str = "V-1",
    site: str = "North",
    facts: Mapping[str, str] | None = None,
    repairs: tuple[TriedRepair, ...] = (),
    checks: tuple[MadeCheck, ...] = (),
    minutes: float = 60,
    lost: float | None = None,
) -> ClosedCallout:
    """A callout that ended so many days before `NOW`; a cause alone has all of it."""
    ended = NOW - timedelta(days=days_ago)
    return ClosedCallout(
        f"{unit} {days_ago}",
        unit,
        site,
        ended - timedelta(minutes=minutes),
        ended,
        "wont_open",
        "cured",
        {shares: 1.0} if isinstance(shares, str) else shares,
        minutes,
        repairs,
        checks,
        lost,
        facts or {},
    )
