"""Who may work in a window, and where it must be said whose each mark is. static/js/rules/turns.js is its twin."""

from app.rules.workout.formats import Format, LiftTask, Window, WorkItem


def members_in(format: Format, window: Window) -> tuple[int, ...]:
    """The members who may work in a window, 1 is A."""
    return window.who if isinstance(window.who, tuple) else tuple(range(1, format.members + 1))


def sharers(format: Format, window: Window, item: WorkItem | None = None) -> tuple[int, ...]:
    """The members of whom any may do what is done in a window, or its work list's line: of each mark it must be said whose it is.

    Empty where that is plain, or the work is done together. One lifts at a time, whoever may. Common practice, no source.
    """
    members = members_in(format, window)
    if window.task is None or len(members) < 2:
        return ()
    who = window.who if item is None or item.who is None else item.who
    return members if who == "any" or isinstance(format.tasks[window.task], LiftTask) else ()


def named_in(format: Format, window: Window, item: WorkItem) -> int | None:
    """The one member whom a line of a work list names, if they may work in its window."""
    one = item.who[0] if isinstance(item.who, tuple) and len(item.who) == 1 else None
    return one if one in members_in(format, window) else None
