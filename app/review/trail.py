"""What was decided through the day, in order; and after it, what each judge was overruled in."""

from collections import Counter
from dataclasses import dataclass

from app.hall.hall import Hall
from app.hall.organising import needed_roster
from app.results.explaining import lanes_in_words
from app.results.results_state import moment_text
from app.rules.records.in_force import standing, taken_back
from app.rules.records.rulings import Ruling
from app.rules.result.protests import decisions
from app.rules.result.ruling_words import Saying, ruling_text
from app.rules.values.alphabet import by_name

OVERRULING = frozenset({"reps", "lift", "stand"})  # what says that a judge's own marks were not the truth


@dataclass(frozen=True, slots=True)
class TrailLine:
    """One decision: when, what, on whom, by whom, why; `undone` says that it was taken back, by whom and why."""

    when: str
    words: str
    about: str
    by: str
    why: str
    undone: str


@dataclass(frozen=True, slots=True)
class JudgeRow:
    """What there is to learn of a judge: lanes judged, marks made and struck out by the judge's own hand, rulings against them,
    protests about their lanes and how many were upheld."""

    judge: str
    lanes: int
    marks: int
    struck: int
    overruled: int
    protests: int
    upheld: int


def trail(hall: Hall) -> tuple[TrailLine, ...]:
    """Every record of the head judge, the newest first."""
    back, rulings = taken_back(hall.projection.rulings), hall.projection.rulings
    return tuple(_line(hall, one, back.get(one.id)) for one in sorted(rulings, key=lambda one: one.order, reverse=True))


def _line(hall: Hall, ruling: Ruling, by: Ruling | None) -> TrailLine:
    roster, lanes = needed_roster(hall), lanes_in_words(hall)
    place = hall.projection.place_of(ruling.assignment) if ruling.assignment else None
    events = {event.id: event.name for event in roster.events}
    entries = {entry.id: entry.name for entry in roster.entries}
    named = [events.get(place.event.id if place else ruling.event or "", "")]
    named.append(lanes.get(ruling.assignment or "", entries.get(ruling.entry or "", "")))
    format = place.format if place else roster.events[0].format if roster.events else None
    marks = {mark.id: mark for mark in hall.projection.assignment_marks(ruling.assignment)} if ruling.assignment else {}
    words = ruling_text(ruling, Saying(format, marks, lanes)) if format else ruling.kind
    undone = "" if by is None else f"Taken back by {by.by}: {by.why}"
    when = moment_text(hall, ruling.made_wall_ms)
    return TrailLine(when, words, ", ".join(filter(None, named)), ruling.by, ruling.why, undone)


def judge_rows(hall: Hall) -> tuple[JudgeRow, ...]:
    """One row for each judge who judged, by name."""
    roster = needed_roster(hall)
    rulings = standing(hall.projection.rulings)
    decided, found = decisions(hall.projection.rulings), Counter[tuple[str, str]]()
    for heat in roster.heats:
        for lane in heat.lanes:
            keys = hall.projection.counting_sheet(lane.id)
            tally = hall.projection.sheet_tally(keys) if keys else None
            if not lane.judge or keys is None or tally is None or not tally.any_marks:
                continue
            about = [p for p in roster.protests if p.entry == lane.entry and p.event == heat.event]
            against = [one for one in rulings if one.assignment == lane.id and one.kind in OVERRULING]
            found.update({(lane.judge, "lanes"): 1, (lane.judge, "struck"): len(tally.struck)})
            found.update({(lane.judge, "marks"): len(hall.projection.sheet_marks(keys)), (lane.judge, "over"): len(against)})
            upheld = sum(p.id in decided and decided[p.id].body["decision"] in ("upheld", "partly") for p in about)
            found.update({(lane.judge, "protests"): len(about), (lane.judge, "upheld"): upheld})
    names = sorted({judge for judge, _ in found}, key=by_name)
    kinds = ("lanes", "marks", "struck", "over", "protests", "upheld")
    return tuple(JudgeRow(name, *(found[name, kind] for kind in kinds)) for name in names)
