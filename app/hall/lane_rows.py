"""The lanes of the heat at hand as the desk sees them: entry, judge, tablet, count now, score, last mark."""

from typing import Any

from app.hall.hall import Hall
from app.hall.hand_clock import hand_clock
from app.hall.lane_scores import NOTHING, cell_text, lane_score, ruled_out, score_so_far
from app.hall.views import LaneRow, State, Tablet
from app.live.places import Place
from app.live.platforms import seen_at
from app.live.presence import Seen
from app.rules.count.clock import moment_at
from app.rules.count.counters import COUNTERS, counters_in
from app.rules.count.sheets import variant_key
from app.rules.count.stops import medical_stop
from app.rules.count.tally import Tally
from app.rules.records.kinds import ROWS
from app.rules.records.marks import Mark, body_load
from app.rules.records.roster import Assignment, Entry, Event, Heat, Roster
from app.rules.records.seats import JUDGES, SHEETS
from app.rules.result.results import STATUS_TEXT, concerns
from app.rules.result.ruling_words import CALLED
from app.rules.result.scoring import shown_unit
from app.rules.values.clock_times import clock_text
from app.rules.values.units import decimal_text
from app.rules.values.words import say
from app.rules.workout.faults import fault_name
from app.rules.workout.formats import CountTask, Format
from app.rules.workout.words import lower_name

LETTERS = "ABCDEFGHIJKL"
OF_ENTRIES = frozenset({"late", "early"})  # calls that say something of who stands on the lane


def lane_row(hall: Hall, roster: Roster, heat: Heat, event: Event, assignment: Assignment, heat_ms: int | None) -> LaneRow:
    """One lane's row; `heat_ms` is the moment on the heat clock, None before a GO."""
    entry = next(entry for entry in roster.entries if entry.id == assignment.entry)
    sheet = hall.projection.counting_sheet(assignment.id) if heat_ms is not None else None
    tally = hall.projection.sheet_tally(sheet) if sheet else None
    place = hall.projection.place_of(assignment.id)
    format = place.format if place else event.format
    variant = event.format.variant(variant_key(event, entry.division, assignment.variant))
    return LaneRow(
        id=assignment.id,
        lane=assignment.lane,
        entry=entry.name,
        variant=variant.name if variant else "",
        members=member_names(roster, entry),
        division=next(division.name for division in roster.divisions if division.id == entry.division),
        called=called_on(hall, event, assignment),
        judge=assignment.judge,
        tablet=tablet(lane_tablet(hall, assignment.lane, format), hall.time.server_ms(), bool(tally and tally.any_marks)),
        now=now_text(format, tally, heat_ms),
        others=others_text(hall, format, assignment, heat_ms) if sheet else "",
        score=_score(hall, place) if sheet and place else "",
        last_mark=mark_text(format, hall.projection.last_mark(assignment.id)) if sheet else "",
        hand=hand_clock(hall, assignment.id, sheet) if sheet else None,
        medical=medical_stop(hall.projection.rulings, assignment, event.id) is not None,
    )


def called_on(hall: Hall, event: Event, assignment: Assignment) -> tuple[str, ...]:
    """What was called or ruled of who stands on a lane, and holds: `Did not start`, `Came late to the lane`."""
    said = STATUS_TEXT.get(ruled_out(hall, assignment), "")
    about = [ruling for ruling in hall.projection.standing_rulings if ruling.kind == "call"]
    calls = [one.body["call"] for one in about if concerns(one, event.id, assignment.entry, assignment.id)]
    words = [said[:1].upper() + said[1:], *(CALLED[call] for call in calls if call in OF_ENTRIES)]
    return tuple(word for word in dict.fromkeys(words) if word)


def member_names(roster: Roster, entry: Entry) -> str:
    """The members by name, in order: `Ana · Bo`. A single athlete who is the entry is not said twice."""
    names = {athlete.id: athlete.name for athlete in roster.athletes}
    members = " · ".join(names[member] for member in entry.members)
    return "" if members == entry.name else members


def lane_tablet(hall: Hall, lane: int, format: Format | None) -> Seen | None:
    """The judge's screen seen last on a lane that does an event of this format, or None: the centre referee's at a platform."""
    there = seen_at(hall, lane, format)
    judging = (seen for seen in there if seen.device.role in JUDGES and seen.device.sheet == "lane")
    return next(judging, None)


def tablet(seen: Seen | None, now_ms: int, has_marks: bool) -> Tablet:
    """A tablet's state in words and shape; `has_marks`: marks of this lane came in, from whatever device."""
    if seen is None:
        return Tablet(State("none", "None connected") if has_marks else State("look", "None seen"), "", "")
    report = seen.report
    left = report.outbox - report.refused
    parts = (f"{left} on the tablet" if left > 0 else "", f"{report.refused} refused" if report.refused else "")
    outbox = ", ".join(part for part in parts if part)
    clock = "by hand" if report.clock == "hand" else "" if report.bound_ms is None else f"±{report.bound_ms} ms"
    if not seen.online(now_ms):
        silent = clock_text(now_ms - seen.last_seen_ms)
        return Tablet(State("look", f"Offline for {silent}"), say("last_heard", n=report.outbox) if outbox else "", clock)
    return Tablet(State("look" if report.refused else "kept" if report.outbox else "safe", "Online"), outbox, clock)


def now_text(format: Format, tally: Tally | None, heat_ms: int | None) -> str:
    """What the window under way holds so far: `37`, `225 lb`, `9 left`; in a rest, what the window before it ended with. A dash
    until something is judged in it, and for lifts of which none was good: the last mark says more."""
    main = None if tally is None else window_at(format, heat_ms)
    if main is None or tally is None:
        return ""
    return cell_text(format, tally.windows[main]) if tally.says(main) else NOTHING


def others_text(hall: Hall, format: Format, assignment: Assignment, heat_ms: int | None) -> str:
    """What the other counters of a lane hold of the window under way: `second 36, third 37`. They count repetitions only."""
    main = window_at(format, heat_ms)
    task = None if main is None else format.tasks[format.windows[main].task or ""]
    if main is None or not isinstance(task, CountTask):
        return ""
    sheets = hall.projection.marked_sheets(assignment.id)
    counts = {kind: hall.projection.sheet_tally(sheets[kind]).windows[main].count for kind in COUNTERS[1:] if kind in sheets}
    return ", ".join(f"{SHEETS[kind].short.lower()} {count}" for kind, count in counts.items())


def counts_of(hall: Hall, assignment: Assignment, window: int) -> str:
    """All counts of one window in words: `judge 36, second 39`."""
    place = hall.projection.place_of(assignment.id)
    if place is None:
        return ""
    counts = counters_in(place.format, hall.projection.counted_sheets(assignment.id), window).counts
    return ", ".join(f"{SHEETS[kind].short.lower()} {decimal_text(count)}" for kind, count in counts.items())


def window_at(format: Format, heat_ms: int | None) -> int | None:
    """The window of work under way; in a rest, the one before it."""
    if heat_ms is None or heat_ms < 0:
        return None
    main = moment_at(format, heat_ms).main
    if main is None or format.windows[main].task is None:
        past = [i for i, window in enumerate(format.windows) if window.task is not None and window.end_ms <= heat_ms]
        main = max(past, key=lambda i: format.windows[i].end_ms, default=None)
    return main


def _score(hall: Hall, place: Place) -> str:
    """The first score of a lane so far, with its unit; empty while it is not judged yet."""
    tally = hall.projection.counting_tally(place.assignment.id)
    made = score_so_far(hall, place, tally) if tally else None
    return f"{lane_score(made)} {shown_unit(made)}".strip() if made else ""


def mark_text(format: Format, mark: Mark | None) -> str:
    """A mark in words, its fault among them, and its time on the heat clock: `No rep, not stood up, at 1:07`."""
    if mark is None:
        return ""
    words = ROWS[mark.kind].word.format_map(_holes(mark))
    when = clock_text(mark.at) if mark.at >= 0 else f"{clock_text(-mark.at)} before GO"
    return f"{words}{fault_text(format, mark)} at {when}"


def fault_text(format: Format, mark: Mark) -> str:
    """The fault that a mark names, within a sentence: `, not stood up,`; empty for none."""
    fault = mark.body.get("fault")
    named = fault and not mark.body.get("good")
    return f", {lower_name(fault_name(format, mark.win, fault, mark.body.get('movement')))}," if named else ""


def _holes(mark: Mark) -> dict[str, Any]:
    """What a kind's words may name: the fields of the body, the load in words, the verdict."""
    load = body_load(mark.body).text() if "load" in mark.body else ""
    verdict = "Good" if mark.body.get("good") else "No"
    return {**mark.body, "load": load, "Verdict": verdict, "verdict": verdict.lower()}
