"""How long ago the last backup was made, for every page that says so."""

from app.hall.hall import Hall
from app.rules.values.words import say

LATE = 3  # so many times the usual pause without a backup, and a person should look


def changes(hall: Hall) -> int:
    """A number that grows with what is stored."""
    return hall.relay.number if hall.settings.on_server else hall.database.commits


def something_new(hall: Hall) -> bool:
    """Whether there is a competition, and the store has changed since the last backup."""
    state = hall.backups
    if hall.projection.roster is None:
        return False
    return bool(state.failure) or changes(hall) != state.commits


def is_late(hall: Hall) -> bool:
    """Whether something has changed since the last backup, and that was long ago."""
    silent = hall.time.wall_ms() - hall.backups.last_wall_ms
    return hall.backups.last is not None and something_new(hall) and silent > LATE * hall.settings.backup_minutes * 60_000


def last_backup(hall: Hall) -> str:
    """When the last good backup was made: `4 minutes ago`, or `before this start`."""
    return "before this start of the server" if hall.backups.last is None else ago(hall, hall.backups.last_wall_ms)


def ago(hall: Hall, wall_ms: int) -> str:
    """`just now`, `4 minutes ago`."""
    minutes = max(0, hall.time.wall_ms() - wall_ms) // 60_000
    return say("minutes_ago", n=minutes)
