"""Times of a round as they are said: in the zone that its deadline was said in, and in a gym's own."""

from datetime import UTC, datetime

FIRST_YEAR, LAST_YEAR = 1971, 2999  # Windows knows local times from 1970 to 3000, and to a time something is added


def read_time(typed: str) -> datetime:
    """A time as it is typed, with its zone or without. Raises ValueError for what is none, or of no year in which a round is."""
    at = datetime.fromisoformat(typed)
    if not FIRST_YEAR <= at.year <= LAST_YEAR:
        raise ValueError(f"a year from {FIRST_YEAR} to {LAST_YEAR}")
    return at


def shown_time(ms: int, zone: str) -> str:
    """A time (Unix milliseconds) in words."""
    at = datetime.fromisoformat(f"1970-01-01T00:00:00{offset_of(zone)}").tzinfo
    return f"{datetime.fromtimestamp(ms / 1000, at):%Y-%m-%d %H:%M} {zone}"


def offset_of(zone: str) -> str:
    """The distance from UTC of a zone as it is said here, `UTC+01:00` or `UTC`: `+01:00`, `+00:00`."""
    return zone.removeprefix("UTC") or "+00:00"


def zone_of(when: datetime) -> str:
    """The zone of a time, by its distance from UTC: `UTC+01:00`."""
    offset = f"{when:%z}"
    return f"UTC{offset[:3]}:{offset[3:5]}" if when.utcoffset() else "UTC"


def zone_here(ms: int) -> str:
    """This computer's zone at a time (Unix milliseconds), in which its summer is reckoned."""
    return zone_of(datetime.fromtimestamp(ms / 1000, UTC).astimezone())


def why_not_then(ends_ms: int, opens_ms: int, now_ms: int) -> str:
    """Why a round can't end then, in a sentence; empty where it can."""
    if ends_ms <= now_ms:
        return "The deadline is past. Give a later one."
    return "The deadline must be after the opening." if ends_ms <= opens_ms else ""


def both_times(ms: int, zone: str) -> str:
    """A time at headquarters, and on this computer where that has another zone then."""
    here, there = shown_time(ms, zone_here(ms)), shown_time(ms, zone)
    return f"{there}, here and at headquarters" if here == there else f"{there} at headquarters, {here} here"


def left_words(ms: int) -> str:
    """How long it is until then, by this computer's clock: `in 3 days 4 h`; `past` where it is over."""
    minutes = ms // 60_000
    if ms < 0:
        return "past by this laptop's clock"
    days, hours, rest = minutes // 1440, minutes // 60 % 24, minutes % 60
    told = f"{days} d {hours} h" if days else f"{hours} h {rest} min" if hours else f"{rest} min"
    return f"in {told} by this laptop's clock"
