"""What there is to look at across lanes: numbers and entries that are there twice, silence among others, what lies far off."""

from collections.abc import Iterator, Mapping, Sequence

from app.hall.hall import Hall
from app.hall.lane_rows import mark_text
from app.live.servertime import go_on_this_timeline
from app.review.finding import Flag, LookedAtHeat, OnAll, OnHeat, finds, made
from app.rules.count.clock import gone_to
from app.rules.count.doubts import far_from_own, far_off, silences
from app.rules.count.lifting.bar_floor import declared_below
from app.rules.count.received import let_count
from app.rules.records.document import Run
from app.rules.records.holding import heat_time
from app.rules.records.marks import Mark, body_load, sheet_key
from app.rules.records.numbers import Doubles
from app.rules.records.roster import Roster
from app.rules.result.results import EventResults, Table
from app.rules.result.scoring import score_words
from app.rules.values.clock_times import clock_text
from app.rules.values.words import say
from app.rules.workout.formats import Format, LiftTask
from app.rules.workout.words import listed

HEAT_FINDERS: list[OnHeat] = []
HALL_FINDERS: list[OnAll] = []


@finds(HALL_FINDERS, "number-", "One number, two marks")
def _numbers(hall: Hall, roster: Roster) -> Iterator[Flag]:
    """Marks of which one tablet's number, or one id, stands on several: which of them counts is a person's decision."""
    for one in hall.projection.doubled.found:
        found = ((mark.sheet, hall.projection.place_of(lane_of(mark))) for mark in one.marks.values())
        lanes = {sheet: place for sheet, place in found if place is not None}
        told = [mark_text(lanes[mark.sheet].format, mark) for mark in one.marks.values() if mark.sheet in lanes]
        counting = next((mark for mark in one.marks.values() if mark.sheet in lanes and hall.projection.counts(mark)), None)
        counts = f"The one at {clock_text(counting.at)} counts." if counting else "None of them counts until you say which."
        words = f"{say('marks', n=len(one.marks))} share one number from one tablet: {listed(told)}. {counts}"
        for sheet in {place.assignment.id: sheet for sheet, place in lanes.items()}.values():
            yield made(sheet, number_flag(one), None, words, tuple(one.marks.values()))


def number_flag(one: Doubles) -> str:
    """What kind of flag marks under one number are: the same whenever they are found, another when one comes to them."""
    return f"number-{min(one.marks)[:12]}"


def lane_of(mark: Mark) -> str:
    """The lane assignment that a mark stands on."""
    return sheet_key(mark.sheet).assignment


@finds(HEAT_FINDERS, "below-called", "Below the bar", "admit")
def _below_called(look: LookedAtHeat) -> Iterator[Flag]:
    """Declarations below what the bar of their platform had been called with, where it does not go down; but for those that a
    ruling lets stand."""
    hall, heat = look.hall, look.heat
    format = next(event.format for event in look.roster.events if event.id == heat.event)
    rising = [i for i, window in enumerate(format.windows) if _bar_rises(format, window.task)]
    sheets = [hall.projection.counting_sheet(lane.id) or "" for lane in heat.lanes] if rising else []
    told = [hall.projection.as_of(sheet) for sheet in sheets]
    admitted = frozenset[str]().union(*(let_count(hall.projection.sheet_clock(sheet)) for sheet in sheets if sheet))
    said = (tuple(sheets), admitted)
    yield from hall.looked.view(f"below {heat.id}", (format, *told), said, lambda: tuple(_below(hall, rising, sheets, admitted)))


def _bar_rises(format: Format, task: str | None) -> bool:
    lift = format.tasks.get(task or "")
    return isinstance(lift, LiftTask) and lift.bar_rises


def _below(hall: Hall, windows: Sequence[int], sheets: Sequence[str], admitted: frozenset[str]) -> Iterator[Flag]:
    marks = {sheet: hall.projection.sheet_marks(sheet) for sheet in sheets}
    for index in windows:
        low = declared_below(marks.values(), index)
        for sheet, there in marks.items():
            for mark in (mark for mark in there if mark.id in low and mark.id not in admitted):
                words = f"{body_load(mark.body).text()} was declared after the bar had been called with {low[mark.id].text()}."
                yield made(sheet, "below-called", index, words, [mark])


@finds(HEAT_FINDERS, "silent", "Silent lane")
def _silent(look: LookedAtHeat) -> Iterator[Flag]:
    """Lanes that fell silent. A heat that is over, whose sheets are as they were, is not looked through again."""
    hall, heat, run = look.hall, look.heat, look.run
    format = next(event.format for event in look.roster.events if event.id == heat.event)
    now = heat_time(hall.time.server_ms() - go_on_this_timeline(run, hall.time), run.holds).ms
    sheets = {lane.id: hall.projection.counting_sheet(lane.id) or "" for lane in heat.lanes}
    told = [hall.projection.as_of(sheet) for sheet in sheets.values()]
    said = run.state, min(now, format.length_ms), tuple(sheets.items())
    yield from hall.looked.view(
        f"silent {heat.id}", (format, *told), said, lambda: tuple(_fallen_silent(hall, format, run, now, sheets))
    )


def _fallen_silent(hall: Hall, format: Format, run: Run, now: int, sheets: Mapping[str, str]) -> Iterator[Flag]:
    times = {lane: hall.projection.sheet_moments(sheet) for lane, sheet in sheets.items()}
    counting = {lane: marks for lane, marks in times.items() if marks}
    until = gone_to(run.state != "set", now, (at for marks in times.values() for at in marks))
    for found in silences(format, counting, until):
        place = hall.projection.place_of(found.lane)
        window = hall.projection.sheet_tally(sheets[found.lane]).windows[found.window]
        if place is None or window.finish_ms is not None or window.credited == window.target:
            continue
        span = clock_text(found.to_ms - found.from_ms)
        words = say("silent", n=found.others, span=span, since=clock_text(found.from_ms))
        yield made(sheets[found.lane], "silent", found.window, words, at=found.from_ms)


@finds(HALL_FINDERS, "twice", "Judged twice")
def _twice(hall: Hall, roster: Roster) -> Iterator[Flag]:
    """Entries that were judged on two lanes of one event: which of them counts is a person's decision."""
    for event in roster.events:
        rows = {row.entry.id: row for table in hall.projection.event_results(event.id).tables for row in table.rows if row.twice}
        for row in rows.values():
            sheet = hall.projection.counting_sheet(row.twice[0])
            if sheet is not None:
                where = lane_names(hall, row.twice)
                words = f"Judged in {listed(where)}. Until somebody decides, {where[0]} counts, and the results say so."
                yield made(sheet, "twice", None, words)


def lane_names(hall: Hall, assignments: Sequence[str]) -> list[str]:
    """Lanes by heat: `heat 2, lane 3`."""
    places = [place for one in assignments if (place := hall.projection.place_of(one)) is not None]
    return [f"heat {place.heat.number}, lane {place.assignment.lane}" for place in places]


@finds(HALL_FINDERS, "far-", "Far from expected", "stand")
def _far(hall: Hall, roster: Roster) -> Iterator[Flag]:
    """Scores and places far from the rest; looked for again when an event stands otherwise, or another run of a heat counts."""
    results = [hall.projection.event_results(event.id) for event in roster.events]
    yield from hall.looked.view("far", (roster, *results), hall.projection.runs, lambda: tuple(_all_far(hall, results)))


def _all_far(hall: Hall, results: Sequence[EventResults]) -> Iterator[Flag]:
    places: dict[tuple[str, str], list[tuple[str, int]]] = {}
    for found in results:
        first = found.event.format.scores[0].id
        for table in found.tables:
            for row in table.rows if table.rule.id == first else ():
                if row.place is not None:
                    places.setdefault((table.division, row.entry.id), []).append((found.event.id, row.place))
    for found in results:
        for table in found.tables:
            yield from _far_in(hall, found.event.id, table, places)


def _far_in(hall: Hall, event: str, table: Table, places: Mapping[tuple[str, str], Sequence[tuple[str, int]]]) -> Iterator[Flag]:
    ranked = [row for row in table.rows if row.score is not None and row.place is not None and row.score.left is None]
    off = far_off({row.entry.id: row.score.value for row in ranked if row.score is not None})
    for row in ranked:
        sheet = hall.projection.counting_sheet(row.assignment or "")
        elsewhere = [place for other, place in places.get((table.division, row.entry.id), ()) if other != event]
        if sheet is None or row.score is None or row.place is None:
            continue
        if row.entry.id in off:
            words = f"{table.rule.name} {score_words(row.score)} is far from the middle of {table.division_name}."
            yield made(sheet, f"far-{table.rule.id}", None, words)
        elif far_from_own(row.place, elsewhere):
            others = ", ".join(map(str, elsewhere))
            yield made(sheet, f"far-{table.rule.id}", None, f"Place {row.place} here; in other events {others}.")
