"""Times of a round as they are said: in the zone that its deadline was said in."""

from datetime import datetime


def shown_time(ms: int, zone: str) -> str:
    """A time (Unix milliseconds) in words."""
    at = datetime.fromisoformat(f"1970-01-01T00:00:00{zone.removeprefix('UTC') or '+00:00'}").tzinfo
    return f"{datetime.fromtimestamp(ms / 1000, at):%Y-%m-%d %H:%M} {zone}"
