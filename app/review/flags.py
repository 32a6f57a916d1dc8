"""Everything odd about what was judged, in one queue: open until somebody settles it or sets it aside with a reason."""

from collections.abc import Iterable, Iterator
from dataclasses import replace

from app.hall.hall import Hall
from app.hall.heats import event_of, newest_runs, state_of
from app.hall.lane_scores import window_text as held_text
from app.live.projection import Place
from app.review.finding import LANE_FINDERS, Flag, Looked, LookedAtHeat, odd_marks
from app.review.finding_across import HALL_FINDERS, HEAT_FINDERS
from app.rules.count.tally import Tally
from app.rules.records.document import Run
from app.rules.records.moves import HeatState
from app.rules.records.roster import Assignment, Heat, Roster
from app.rules.records.rulings import Ruling


def flags(hall: Hall) -> tuple[Flag, ...]:
    """Every flag of the competition, those of the heats run last first."""
    roster = hall.projection.roster
    if roster is None:
        return ()
    found: list[Flag] = []
    hall.looked.turn()
    for heat, run in _run_heats(hall, roster):
        found += _of_heat(hall, roster, heat, run)
    for of_all in HALL_FINDERS:
        found += of_all(hall, roster)
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
    newest = newest_runs(hall.projection.runs)
    runs = [(heat, run) for heat in roster.heats if (run := newest.get(heat.id)) is not None]
    return sorted((pair for pair in runs if pair[1].state != "stopped"), key=lambda pair: -pair[1].go_wall_ms)


def _of_heat(hall: Hall, roster: Roster, heat: Heat, run: Run) -> Iterator[Flag]:
    over = state_of(hall, roster, heat, run) is HeatState.OVER
    for lane in sorted(heat.lanes, key=lambda lane: lane.lane):
        place, sheet = hall.projection.place_of(lane.id), hall.projection.counting_sheet(lane.id)
        if place is None or sheet is None:
            continue
        look = Looked(hall, roster, place, sheet, hall.projection.sheet_tally(sheet), over)
        for finder in (odd_marks, *LANE_FINDERS):
            yield from finder(look)
    for of_heat in HEAT_FINDERS:
        yield from of_heat(LookedAtHeat(hall, roster, heat, run))


def lane_words(roster: Roster, assignment: Assignment, heat: Heat) -> str:
    """Where a flag is: `There and back, heat 2, lane 3`."""
    return f"{event_of(roster, heat).name}, heat {heat.number}, lane {assignment.lane}"


def window_holds(place: Place, tally: Tally) -> Iterable[tuple[int, str]]:
    """What each window of work holds, as the board shows it."""
    for window in tally.windows:
        if place.format.windows[window.index].task is not None:
            yield window.index, held_text(place.format, window)
