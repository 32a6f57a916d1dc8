"""Everything odd about what was judged, in one queue: open until somebody settles it or sets it aside with a reason."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from app.hall.hall import Hall
from app.hall.hand_clock import hand_clock
from app.hall.heats import event_of, newest_runs, state_of
from app.hall.lane_rows import counts_of, lane_tablet
from app.hall.lane_scores import window_text as held_text
from app.live.projection import Place
from app.live.servertime import go_on_this_timeline
from app.rules.count.doubts import far_from_own, far_off, silences, too_fast
from app.rules.count.flags import WHY, flag_key
from app.rules.count.tally import Tally
from app.rules.records.document import Run
from app.rules.records.holding import heat_time
from app.rules.records.in_force import is_held, read_held, signed_off
from app.rules.records.marks import Mark, sheet_key
from app.rules.records.moves import HeatState
from app.rules.records.roster import Assignment, Heat, Roster
from app.rules.records.rulings import Ruling
from app.rules.result.results import Table
from app.rules.values.clock_times import clock_text
from app.rules.workout.formats import LiftTask
from app.rules.workout.plates import kit_of, ways
from app.rules.workout.words import work_text

Done = Literal["", "settled", "aside"]
AFTER_SIGN_OFF = "Came after the event was signed off. It is kept and changes nothing until the event is opened again."


@dataclass(frozen=True, slots=True)
class Flag:
    """One thing to look at on a lane: `why` is what kind (a key of WHY or one of our own), `marks` the marks it speaks of.

    `key` is the same whenever it is found again. `at` is its moment on the heat clock, None where it has none. `done`, `by` and
    `reason` say who settled it or set it aside; a mark that came since opens it again.
    """

    key: str
    why: str
    assignment: str
    run: int
    window: int | None
    at: int | None
    sentence: str
    marks: tuple[str, ...] = ()
    done: Done = ""
    by: str = ""
    reason: str = ""


def flags(hall: Hall) -> tuple[Flag, ...]:
    """Every flag of the competition, those of the heats run last first."""
    roster = hall.projection.roster
    if roster is None:
        return ()
    found: list[Flag] = []
    for heat, run in _run_heats(hall, roster):
        found += _of_heat(hall, roster, heat, run)
    found += _far(hall, roster)
    settled = _settled(hall)
    return tuple(_with_state(flag, settled.get(flag.key)) for flag in found)


def open_flags(hall: Hall) -> tuple[Flag, ...]:
    """The flags that wait for somebody."""
    return tuple(flag for flag in flags(hall) if not flag.done)


def _settled(hall: Hall) -> dict[str, Ruling]:
    return {str(ruling.body["flag"]): ruling for ruling in hall.projection.standing_rulings if ruling.kind == "flag"}


def _with_state(flag: Flag, ruling: Ruling | None) -> Flag:
    if ruling is None or not set(flag.marks) <= set(ruling.body["marks"]):
        return flag
    return replace(flag, done=ruling.body["done"], by=ruling.by, reason=ruling.why)


def _run_heats(hall: Hall, roster: Roster) -> list[tuple[Heat, Run]]:
    """The heats that were given a GO which counts, the newest GO first."""
    runs = [(heat, run) for heat in roster.heats if (run := newest_runs(hall.projection.runs).get(heat.id)) is not None]
    return sorted((pair for pair in runs if pair[1].state != "stopped"), key=lambda pair: -pair[1].go_wall_ms)


def _of_heat(hall: Hall, roster: Roster, heat: Heat, run: Run) -> Iterator[Flag]:
    over = state_of(hall, roster, heat, run) is HeatState.OVER
    for lane in sorted(heat.lanes, key=lambda lane: lane.lane):
        place, sheet = hall.projection.place_of(lane.id), hall.projection.counting_sheet(lane.id)
        if place is None or sheet is None:
            continue
        tally = hall.projection.sheet_tally(sheet)
        yield from _by_marks(hall, place, sheet, tally)
        yield from _by_hand(hall, place, sheet)
        yield from _plates(roster, place, sheet, tally, hall.projection.sheet_marks(sheet))
        yield from _recounts(hall, place, sheet, over)
        yield from _unsent(hall, place, sheet, over)
        yield from _after_sign_off(hall, place, sheet)
    yield from _silent(hall, roster, heat, run)


def _made(sheet: str, why: str, window: int | None, sentence: str, marks: Sequence[Mark] = (), at: int | None = None) -> Flag:
    key = sheet_key(sheet)
    when = at if at is not None else min((mark.at for mark in marks), default=None)
    ids = tuple(mark.id for mark in marks)
    return Flag(flag_key(key.assignment, key.run, why, window), why, key.assignment, key.run, window, when, sentence, ids)


def _by_marks(hall: Hall, place: Place, sheet: str, tally: Tally) -> Iterator[Flag]:
    by_id = {mark.id: mark for mark in hall.projection.sheet_marks(sheet)}
    groups: dict[tuple[str, int | None], list[Mark]] = {}
    for flag in tally.flags:
        mark = by_id[flag.mark]
        groups.setdefault((flag.why, window_of(place, mark)), []).append(mark)
    for index in range(len(place.format.windows)):
        reps = [m for m in by_id.values() if m.kind == "rep" and m.win == index and m.id not in tally.struck]
        quick = [by_id[mark] for mark in too_fast(place.format, index, reps)]
        if quick:
            groups.setdefault(("fast", index), []).extend(quick)
    for (why, window), marks in groups.items():
        yield _made(sheet, why, window, f"{_several(len(marks))}: {WHY[why]}", marks)


def window_of(place: Place, mark: Mark) -> int | None:
    """The window a mark names, else the one its time falls in."""
    windows = place.format.windows
    if mark.win is not None:
        return mark.win if mark.win < len(windows) else None
    return next((i for i, w in enumerate(windows) if w.task and w.start_ms <= mark.at < w.end_ms), None)


def _several(number: int) -> str:
    return "1 mark" if number == 1 else f"{number} marks"


def _by_hand(hall: Hall, place: Place, sheet: str) -> Iterator[Flag]:
    hand = hand_clock(hall, place.assignment.id, sheet)
    if hand is not None and not hand.moved:
        yield _made(sheet, "by-hand", None, hand.words)


def _plates(roster: Roster, place: Place, sheet: str, tally: Tally, marks: Sequence[Mark]) -> Iterator[Flag]:
    """Loads that were judged and can't be put on the bar with the plates of the lane."""
    of_lane = {one.lane: one.plates for one in roster.lane_plates}
    plates = next((one for one in roster.plate_sets if one.id == of_lane.get(place.assignment.lane)), None)
    by_id = {mark.id: mark for mark in marks}
    for window in tally.windows if plates else ():
        task = place.format.tasks.get(place.format.windows[window.index].task or "")
        if plates is None or not isinstance(task, LiftTask):
            continue
        kit = kit_of(plates, task)
        odd = [lift for lift in window.lifts if not ways(kit, lift.load, 1)]
        if odd:
            loads = ", ".join(dict.fromkeys(lift.load.text() for lift in odd))
            words = f"{loads} can't be loaded with the plates of this lane ({plates.name})."
            yield _made(sheet, "plates", window.index, words, [by_id[lift.mark] for lift in odd if lift.mark in by_id])


def _recounts(hall: Hall, place: Place, sheet: str, over: bool) -> Iterator[Flag]:
    tally = hall.projection.counting_tally(place.assignment.id) if over else None
    for window in tally.recounts if tally else ():
        counts = counts_of(hall, place.assignment, window)
        words = f"The counts are {counts}, too far apart to join."
        yield _made(sheet, "recount", window, words, at=place.format.windows[window].start_ms)


def _unsent(hall: Hall, place: Place, sheet: str, over: bool) -> Iterator[Flag]:
    seen = lane_tablet(hall, place.assignment.lane) if over else None
    if seen is not None and seen.report.outbox:
        words = f"The heat is over, and the tablet still holds {_several(seen.report.outbox)} that the desk does not have."
        yield _made(sheet, "unsent", None, words)


def _after_sign_off(hall: Hall, place: Place, sheet: str) -> Iterator[Flag]:
    signed = signed_off(hall.projection.rulings, place.event.id)
    if signed is None:
        return
    held = read_held(signed.body["marks"])
    late = [mark for mark in hall.projection.assignment_marks(place.assignment.id) if not is_held(held, mark)]
    if late:
        yield _made(sheet, "after-sign-off", None, f"{_several(len(late))}: {AFTER_SIGN_OFF}", late)


def _silent(hall: Hall, roster: Roster, heat: Heat, run: Run) -> Iterator[Flag]:
    format = event_of(roster, heat).format
    now = heat_time(hall.time.server_ms() - go_on_this_timeline(run, hall.time), run.holds).ms
    sheets = {lane.id: hall.projection.counting_sheet(lane.id) or "" for lane in heat.lanes}
    times = {lane: [mark.at for mark in hall.projection.sheet_marks(sheet)] for lane, sheet in sheets.items()}
    counting = {lane: marks for lane, marks in times.items() if marks}
    for found in silences(format, counting, now):
        place = hall.projection.place_of(found.lane)
        window = hall.projection.sheet_tally(sheets[found.lane]).windows[found.window]
        if place is None or window.finish_ms is not None or window.left == 0 or window.credited == window.target:
            continue
        span = clock_text(found.to_ms - found.from_ms)
        others = "1 other lane" if found.others == 1 else f"{found.others} other lanes"
        words = f"No mark for {span} from {clock_text(found.from_ms)} on, while {others} counted."
        yield _made(sheets[found.lane], "silent", found.window, words, at=found.from_ms)


def _far(hall: Hall, roster: Roster) -> Iterator[Flag]:
    results = [hall.projection.event_results(event.id) for event in roster.events]
    places: dict[tuple[str, str], list[tuple[str, int]]] = {}
    for found in results:
        for table in found.tables[: len(roster.divisions)]:
            for row in table.rows:
                if row.place is not None:
                    places.setdefault((table.division, row.entry.id), []).append((found.event.id, row.place))
    for found in results:
        for table in found.tables:
            yield from _far_in(hall, found.event.id, table, places)


def _far_in(hall: Hall, event: str, table: Table, places: dict[tuple[str, str], list[tuple[str, int]]]) -> Iterator[Flag]:
    ranked = [row for row in table.rows if row.score is not None and row.place is not None and row.score.left is None]
    off = far_off({row.entry.id: row.score.value for row in ranked if row.score is not None})
    for row in ranked:
        sheet = hall.projection.counting_sheet(row.assignment or "")
        elsewhere = [place for other, place in places.get((table.division, row.entry.id), ()) if other != event]
        if sheet is None or row.score is None or row.place is None:
            continue
        if row.entry.id in off:
            words = f"{table.rule.name} {row.score.text} lies far from the middle of {table.division_name}."
            yield _made(sheet, f"far-{table.rule.id}", None, words)
        elif far_from_own(row.place, elsewhere):
            others = ", ".join(map(str, elsewhere))
            yield _made(sheet, f"far-{table.rule.id}", None, f"Place {row.place} here; in other events {others}.")


def lane_words(roster: Roster, assignment: Assignment, heat: Heat) -> str:
    """Where a flag is: `There and back, heat 2, lane 3`."""
    return f"{event_of(roster, heat).name}, heat {heat.number}, lane {assignment.lane}"


def window_words(place: Place, index: int | None) -> str:
    """A window in a few words: `Window 3, Press`; nothing for none."""
    if index is None or index >= len(place.format.windows):
        return ""
    return f"Window {index + 1}, {work_text(place.format, place.format.windows[index])}"


def window_holds(place: Place, tally: Tally) -> Iterable[tuple[int, str]]:
    """What each window of work holds, as the board shows it."""
    for window in tally.windows:
        if place.format.windows[window.index].task is not None:
            yield window.index, held_text(place.format, window)
