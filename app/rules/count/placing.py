"""Which window a mark counts in, if any, and what is odd about its place: outside its window, in a hold, the wrong kind."""

from collections.abc import Mapping

from app.rules.count.tally_shape import Flag
from app.rules.records.kinds import UNTIMED, Kind, fitting
from app.rules.records.marks import Mark
from app.rules.workout.formats import CountTask, Format, LiftTask, ListTask, MeasureTask, Task, Window

FITS: Mapping[type, frozenset[Kind]] = {
    CountTask: fitting("count"),
    ListTask: fitting("list"),
    LiftTask: fitting("lift"),
    MeasureTask: fitting("measure"),
}


def place(format: Format, mark: Mark, member: int | None, into_hold: int | None, flags: list[Flag]) -> int | None:
    """The window a mark counts in, or None. Within the event's grace before or after the window it counts and is flagged; farther
    out it is only flagged. `member`: whom it is for, None where neither it nor its declaration says. `into_hold`: how far into a
    hold of the heat it was made, None for none.
    """
    index = mark.win
    if index is None:
        index = _by_time(format, mark, member)
    if index is None:
        index = _by_time(format, mark, None)
    if index is None:
        flags.append(Flag(mark.id, "outside"))
        return None
    window = format.windows[index] if index < len(format.windows) else None
    if window is None or window.task is None:
        flags.append(Flag(mark.id, "no-window"))
        return None
    task = format.tasks[window.task]
    if mark.kind not in FITS[type(task)]:
        flags.append(Flag(mark.id, "wrong-kind"))
        return None
    if not _on_the_floor(format, window, member):
        flags.append(Flag(mark.id, "other-member"))
        return None
    if into_hold is not None and not _in_hold(format, task, mark, into_hold, flags):
        return None
    return index if _in_time(format, window, task, mark, flags) else None


def said_member(mark: Mark, declared: Mapping[str, Mark]) -> int | None:
    """The member a mark names, else the one whom the declaration that it names is for, be it taken back since; None where neither
    says. `declared`: the sheet's declarations, by id."""
    under = declared.get(mark.body.get("declared", ""))
    said = mark.body.get("member") or (under.body.get("member") if under else None)
    return None if said is None else int(said)


def _on_the_floor(format: Format, window: Window, member: int | None) -> bool:
    """Whether a member, if one is named, is one of the entry's and works in the window. Nobody else's mark counts there."""
    return member is None or (member <= format.members and (isinstance(window.who, str) or member in window.who))


def _in_hold(format: Format, task: Task, mark: Mark, into_ms: int, flags: list[Flag]) -> bool:
    """Whether a mark made while the clock stood counts: as at a bell, for the judge's own reaction, and a lift that was begun."""
    if mark.kind in UNTIMED:
        return True
    counts = into_ms < format.late_ms or _begun_before(task, into_ms)
    flags.append(Flag(mark.id, "held-late" if counts else "held"))
    return counts


def _begun_before(task: Task, after_ms: int) -> bool:
    """Whether the decision may come so long after the clock was stopped: whether the lift was begun in time is the judge's
    word."""
    if not isinstance(task, LiftTask) or task.counts_when != "begun":
        return False
    return task.decide_seconds is None or after_ms < task.decide_seconds * 1000


def _in_time(format: Format, window: Window, task: Task, mark: Mark, flags: list[Flag]) -> bool:
    if mark.kind in UNTIMED or window.start_ms <= mark.at < window.end_ms:
        return True
    if window.start_ms - format.grace_before_ms <= mark.at < window.end_ms + format.late_ms:
        flags.append(Flag(mark.id, "early" if mark.at < window.start_ms else "late"))
        return True
    if mark.at >= window.end_ms and _begun_before(task, mark.at - window.end_ms):
        flags.append(Flag(mark.id, "late"))
        return True
    flags.append(Flag(mark.id, "outside"))
    return False


def _by_time(format: Format, mark: Mark, member: int | None) -> int | None:
    """For a mark that names no window: the first open window of that member whose task fits, else one that closed within
    `late_ms`, else one that opens within the grace that the event says (none by itself)."""
    closed: int | None = None
    opening: int | None = None
    for i, window in enumerate(format.windows):
        if window.task is None or mark.kind not in FITS[type(format.tasks[window.task])]:
            continue
        if not _on_the_floor(format, window, member):
            continue
        if window.start_ms <= mark.at < window.end_ms:
            return i
        if window.end_ms <= mark.at < window.end_ms + format.late_ms:
            closed = i
        if opening is None and window.start_ms - (format.early_ms or 0) <= mark.at < window.start_ms:
            opening = i
    return opening if closed is None else closed
