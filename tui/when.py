"""Times of the history as the maker's clock shows them."""

from __future__ import annotations

from datetime import UTC, datetime


def local_time(at: str) -> str:
    """An entry's time (UTC, ISO 8601) on the local clock, to the minute; as it is where it cannot be read."""
    try:
        moment = datetime.fromisoformat(at)
    except ValueError:
        return at
    if moment.tzinfo is None:
        moment = moment.replace(tzinfo=UTC)
    return moment.astimezone().strftime("%Y-%m-%d %H:%M")
