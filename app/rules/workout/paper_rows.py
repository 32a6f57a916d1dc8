"""What a scoresheet on paper has for each window: boxes of ten, attempt rows, measure rows, the lines of a work list."""

from collections.abc import Collection
from dataclasses import dataclass, replace
from itertools import accumulate
from typing import Literal

from app.rules.values.clock_times import minutes_text
from app.rules.values.units import decimal_text
from app.rules.values.words import say
from app.rules.workout.formats import CountTask, Format, LiftTask, ListTask, MeasureTask, Window
from app.rules.workout.tasks import Fault, WorkItem
from app.rules.workout.turns import members_in
from app.rules.workout.words import member_letter, who_text, work_text

TEN = 10
MOST_BOXES = 40  # of ten: four hundred repetitions; beyond that the judge goes on along the edge
MOST_ATTEMPTS = 60  # rows that fit a sheet, in two columns; beyond that the judge goes on on the back
LEAST_ATTEMPTS = 4
AN_ATTEMPT_S = 30  # one lift to the next with the load changed between them, at the quickest: common sense, no source
ONE_COLUMN = 12  # rows; more stand in two columns
ON_THE_BACK = 10  # rows to key in beyond those that the sheet has, where there may be more tries
MOST_GROWN = 15  # loads of one that grows from lift to lift
MOST_LINES = 36
QUICK_MS = 300  # movements that may follow so quickly are counted by the second, others by the second and a half

RowsKind = Literal["count", "list", "lift", "measure"]


@dataclass(frozen=True, slots=True)
class WorkLine:
    """A line of a work list on paper: how many, what, with what, who; and the boxes to count it in (empty for a single tap).
    timed: a time is written at its end, for equal scores."""

    reps: str
    what: str
    note: str
    boxes: tuple[str, ...]
    timed: bool = False


@dataclass(frozen=True, slots=True)
class PaperWindow:
    """One window on a scoresheet.

    `boxes` are labelled with the count that is reached when they are full. `rows` is how many attempt or measure rows there
    are, `more` what becomes of those beyond; `unit` what is written in them, `asked` the load of each, where it grows. `ends`
    says what to write at the end, `times` at which points of the work a time is written, for equal scores.
    """

    number: int
    clock: str
    who: str
    what: str
    kind: RowsKind
    boxes: tuple[str, ...] = ()
    target: str = ""
    lines: tuple[WorkLine, ...] = ()
    more: str = ""
    rows: int = 0
    unit: str = ""
    members: tuple[str, ...] = ()
    ends: str = ""
    asked: tuple[str, ...] = ()
    times: tuple[str, ...] = ()
    faults: tuple[Fault, ...] = ()

    @property
    def columns(self) -> tuple[range, ...]:
        """The numbers of its rows, in one column or in two."""
        half = self.rows if self.rows <= ONE_COLUMN else -(-self.rows // 2)
        return tuple(range(at + 1, min(at + half, self.rows) + 1) for at in range(0, self.rows, half or 1))


def paper_windows(format: Format) -> tuple[PaperWindow, ...]:
    """The windows of work of an event, as they are written down by hand."""
    seen: dict[str, int] = {}
    found = []
    for index, window in enumerate(format.windows):
        if window.task is not None:
            nth = seen.get(window.task, 0)
            seen[window.task] = nth + 1
            found.append(_window(format, index, window, nth))
    return tuple(found)


def _window(format: Format, index: int, window: Window, nth: int) -> PaperWindow:
    task = format.tasks[window.task or ""]
    timed = {taps: say("point.time", point=point.words()) for (win, taps), point in format.timed_points().items() if win == index}
    head = {
        "number": index + 1,
        "clock": f"{minutes_text(window.start)} to {minutes_text(window.start + window.seconds)}",
        "who": who_text(window, format.members),
        "what": work_text(format, window),
        "times": tuple(timed.values()),
    }
    match task:
        case CountTask():
            movement = format.movements[task.movement]
            target = None if task.target is None else task.target + task.grows * nth
            boxes = _boxes(target or _likely_most(window, movement.fastest_ms))
            asked = "" if target is None else f"target {target}"
            return PaperWindow(**head, kind="count", boxes=boxes, target=asked, ends="Total", faults=movement.faults)  # type: ignore[arg-type]
        case ListTask():
            lines, more = _lines(format, task, window, timed)
            done = "repetitions done at the bell" if task.all_counts else "repetitions that count, done at the bell"
            left = f"{done[0].upper()}{done[1:]}" if format.has_no_end(window.task or "") else f"Finish (m:ss), or {done}"
            return PaperWindow(**head, kind="list", lines=lines, more=more, ends=left)  # type: ignore[arg-type]
        case LiftTask():
            return PaperWindow(
                **head,  # type: ignore[arg-type]
                kind="lift",
                rows=attempt_rows(format, task, window),
                more="More tries: on the back, in the same columns." if may_be_more(format, task, window) else "",
                asked=_asked(format, index, task, window),
                unit=task.step.unit,
                members=several_members(format, window),
                ends="Heaviest good lift" if not task.times_reps else "Best load times repetitions",
                faults=format.movements[task.movement].faults,
            )
        case MeasureTask():
            rows = 1 if task.keep == "last" else 3
            step = f"{task.unit}, in steps of {decimal_text(task.step, 6)}"
            return PaperWindow(**head, kind="measure", rows=rows, unit=step, ends="Counts")  # type: ignore[arg-type]


def attempt_rows(format: Format, task: LiftTask, window: Window) -> int:
    """As many rows as attempts are allowed, for each member; without a bound as many as time allows at each bar."""
    return min(_attempts(format, task, window), MOST_ATTEMPTS)


def may_be_more(format: Format, task: LiftTask, window: Window) -> bool:
    """Whether there may be more attempts than the sheet has rows: always where only time bounds them."""
    return task.attempts is None or _attempts(format, task, window) > MOST_ATTEMPTS


def keyed_rows(format: Format, task: LiftTask, window: Window) -> int:
    """As many attempts as can be keyed in from a sheet, its back included."""
    return attempt_rows(format, task, window) + (ON_THE_BACK if may_be_more(format, task, window) else 0)


def _attempts(format: Format, task: LiftTask, window: Window) -> int:
    members = max(1, len(several_members(format, window)))
    if task.attempts is not None:
        return task.attempts * members
    if task.loads and task.rises == "lift":
        return (MOST_GROWN if task.rise else len(task.loads)) * (task.misses_out or 1) * members
    if task.loads and task.misses_out:
        return task.misses_out * members
    return max(LEAST_ATTEMPTS, window.seconds // AN_ATTEMPT_S) * (members if task.bars == "each" else 1)


def _asked(format: Format, index: int, task: LiftTask, window: Window) -> tuple[str, ...]:
    """The load of each row of a lift that grows, for each member anew; a window's own, or one after another as often as it may be
    tried."""
    first = format.asked_load(index)
    if first is None:
        return ()
    rows, tries = attempt_rows(format, task, window), task.misses_out or 1
    own = -(-rows // max(1, len(several_members(format, window))))
    loads = [task.load_at(row // tries) if task.rises == "lift" else first for row in range(own)]
    return tuple(loads[row % own].text() for row in range(rows))


def several_members(format: Format, window: Window) -> tuple[str, ...]:
    """The members among whom a row has to name one; empty where only one can be meant."""
    if format.members == 1 or (isinstance(window.who, tuple) and len(window.who) == 1):
        return ()
    return tuple(member_letter(member) for member in members_in(format, window))


def _likely_most(window: Window, fastest_ms: int | None) -> int:
    """As many repetitions as a strong athlete may do in a window: common sense, no source. Beyond it there is the edge."""
    quick = fastest_ms is not None and fastest_ms <= QUICK_MS
    return window.seconds * 2 if quick else max(TEN, window.seconds * 2 // 3)


def _boxes(reps: int) -> tuple[str, ...]:
    whole = tuple(str(n) for n in range(TEN, reps + 1, TEN))[:MOST_BOXES]
    return whole if reps % TEN == 0 or len(whole) == MOST_BOXES else (*whole, str(len(whole) * TEN + reps % TEN))


def _lines(format: Format, task: ListTask, window: Window, timed: Collection[int]) -> tuple[tuple[WorkLine, ...], str]:
    """The lines of a list, round after round, as many as a page holds; then in words what follows. `timed`: the taps at which a
    time is written."""
    rounds = task.rounds or MOST_LINES
    items = [item for _ in range(min(rounds, MOST_LINES)) for item in task.items][:MOST_LINES]
    taps = accumulate(item.reps for item in items)
    lines = tuple(replace(_line(format, window, item), timed=done in timed) for item, done in zip(items, taps, strict=True))
    left = len(task.items) * rounds - len(lines)
    more = "Then round after round until the bell." if task.rounds is None else say("paper.more_lines", n=left)
    return lines, more if left > 0 else ""


def _line(format: Format, window: Window, item: WorkItem) -> WorkLine:
    goes_on = format.goes_on(window.task or "", item)
    most = _likely_most(window, format.movements[item.movement].fastest_ms) if goes_on else item.reps
    uncounted = "" if item.worth else "does not count"
    often = "as many as possible" if goes_on else ""
    note = ", ".join(part for part in (item.load.text() if item.load else "", item.note or "", often, uncounted) if part)
    who = f"{'/'.join(member_letter(one) for one in item.who)}: " if isinstance(item.who, tuple) else ""
    amount, boxes = "" if goes_on else str(item.amount), _boxes(most) if item.reps > 1 else ()
    return WorkLine(amount, f"{who}{item.called(format.movements)}", note, boxes)
