"""The clock that is handed to the core, which reads none itself."""

from datetime import UTC, datetime


def utc_now() -> str:
    """The present moment, ISO 8601 in UTC, to the second."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
