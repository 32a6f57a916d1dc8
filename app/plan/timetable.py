"""The timetable for athletes, judges and the hall: when each heat really starts, who stands where, as lists and as a calendar."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from app.hall.hall import Hall
from app.hall.heats import event_of, heat_title, newest_runs, state_of, state_words
from app.hall.lane_rows import member_names
from app.hall.organising import zone_of
from app.hall.views import State
from app.people.found_by import found_by
from app.people.organising import date_of
from app.plan.day_problem import names_of
from app.plan.day_times import length_of, rules_of
from app.plan.running import running
from app.rules.day.calendar_file import Appointment, calendar_file
from app.rules.records.judges import clock_of
from app.rules.records.moves import HeatState
from app.rules.records.roster import Assignment, Heat, Roster
from app.rules.values.alphabet import by_name, folded
from app.rules.values.words import say

DAY_MINUTES = 24 * 60
MOST_ON_WALL = 8
GONE = (HeatState.OVER,)


@dataclass(frozen=True, slots=True)
class LaneLine:
    """A lane of a heat: who stands there, with whom, and who judges."""

    lane: int
    entry: str
    entry_id: str
    members: str
    judge: str
    judge_id: str


@dataclass(frozen=True, slots=True)
class HeatEntry:
    """A heat of the timetable. `start`: real or expected; `planned`: the plan's, where that is another; both may be empty."""

    title: str
    start: str
    planned: str
    state: State
    over: bool
    lanes: tuple[LaneLine, ...]


@dataclass(frozen=True, slots=True)
class BreakEntry:
    """A break between heats."""

    name: str
    start: str
    end: str


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody's own day: a name, what is known of them, their times."""

    name: str
    about: str
    link: str
    times: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Timetable:
    """The timetable page. `who` is what was looked for; `past`: heats that are over, `heats`: those on the floor and to come."""

    competition: str
    where: str
    late: str
    who: str
    by: str
    past: tuple[HeatEntry, ...]
    heats: tuple[HeatEntry, ...]
    breaks: tuple[BreakEntry, ...]
    people: tuple[Person, ...]


def timetable(hall: Hall, who: str = "", by: str = "heats") -> Timetable | None:
    """The timetable; with `who`, only lanes whose entry, athlete, club or judge has it in its name. None before a competition."""
    roster = hall.projection.roster
    if roster is None:
        return None
    day = running(hall)
    runs = newest_runs(hall.projection.runs)
    states = {heat.id: state_of(hall, roster, heat, runs.get(heat.id)) for heat in roster.heats}
    order = _in_time(roster, day.starts)
    heats = tuple(entry for heat in order if (entry := _heat(roster, heat, day.starts, states[heat.id], who)).lanes or not who)
    return Timetable(
        competition=roster.competition.name,
        where=" · ".join(part for part in (roster.competition.place, roster.competition.day) if part),
        late=day.words,
        who=who,
        by=by if by in ("heats", "athletes", "judges") else "heats",
        past=tuple(heat for heat in heats if heat.over),
        heats=tuple(heat for heat in heats if not heat.over),
        breaks=tuple(BreakEntry(one.name, one.start, one.end) for one in rules_of(roster).breaks) if roster.day else (),
        people=_people(roster, order, day.starts, who, by),
    )


def on_the_wall(hall: Hall) -> Timetable | None:
    """The heats that are on the floor or still to come, as many as a wall can show."""
    whole = timetable(hall)
    if whole is None:
        return None
    return replace(whole, past=(), heats=whole.heats[:MOST_ON_WALL])


def _in_time(roster: Roster, starts: dict[str, int]) -> list[Heat]:
    place = {event.id: n for n, event in enumerate(roster.events)}
    return sorted(roster.heats, key=lambda heat: (starts.get(heat.id, DAY_MINUTES * 2), place[heat.event], heat.number))


def _heat(roster: Roster, heat: Heat, starts: dict[str, int], state: HeatState, who: str) -> HeatEntry:
    start = starts.get(heat.id)
    shown = clock_of(start % DAY_MINUTES) if start is not None else ""
    return HeatEntry(
        title=heat_title(event_of(roster, heat), heat),
        start=shown,
        planned=heat.planned if heat.planned != shown else "",
        state=state_words(state),
        over=state in GONE,
        lanes=tuple(_lane(roster, lane) for lane in heat.lanes if _are_named(who, _names_at(roster, lane))),
    )


def _lane(roster: Roster, lane: Assignment) -> LaneLine:
    entry = next(entry for entry in roster.entries if entry.id == lane.entry)
    return LaneLine(lane.lane, entry.name, entry.id, member_names(roster, entry), lane.judge, lane.judge_id or "")


def _names_at(roster: Roster, lane: Assignment) -> Iterator[str]:
    """The names by which a lane is found: its entry's, its judge's, its people's and their clubs'."""
    entry = next(entry for entry in roster.entries if entry.id == lane.entry)
    yield from (entry.name, lane.judge)
    clubs = names_of(roster.clubs)
    for one in roster.athletes:
        if one.id in entry.members:
            yield from (one.name, clubs.get(one.club or "", ""))


def _are_named(who: str, names: Iterable[str]) -> bool:
    """Whether every word that was typed is in these names; everybody is where nothing was, and no name is looked at."""
    if not who.strip():
        return True
    words, text = folded(who).split(), found_by(*names)
    return bool(words) and all(word in text for word in words)


def _people(roster: Roster, order: Sequence[Heat], starts: dict[str, int], who: str, by: str) -> tuple[Person, ...]:
    """Everybody's own day, by entry or by judge, in the order of names."""
    events = names_of(roster.events)
    times: dict[str, list[str]] = {}
    for heat in order:
        start = starts.get(heat.id)
        when = clock_of(start % DAY_MINUTES) if start is not None else say("no time yet")
        for lane in heat.lanes:
            key = (lane.judge_id or "") if by == "judges" else lane.entry
            said = say("{event}, heat {number}, lane {lane}", event=events[heat.event], number=heat.number, lane=lane.lane)
            times.setdefault(key, []).append(f"{when} {said}")
    clubs = names_of(roster.clubs)
    if by == "judges":
        people = [(one.id, one.name, clubs.get(one.club or "", ""), "judge") for one in roster.judges if one.id in times]
    elif by == "athletes":
        people = [(one.id, one.name, member_names(roster, one), "entry") for one in roster.entries]
    else:
        return ()
    return tuple(
        Person(name, about, f"/timetable.ics?{kind}={key}", tuple(times.get(key, (say("in no heat yet"),))))
        for key, name, about, kind in sorted(people, key=lambda one: by_name(one[1]))
        if _are_named(who, (name, about))
    )


def calendar(hall: Hall, entry: str = "", judge: str = "") -> bytes | None:
    """The timetable as a calendar: of an entry, of a judge, or of all heats. None before there is a competition."""
    roster = hall.projection.roster
    if roster is None:
        return None
    starts = running(hall).starts
    made = datetime.fromtimestamp(hall.time.wall_ms() / 1000, UTC)
    appointments = [
        one for heat in _in_time(roster, starts) if (one := _appointment(hall, roster, heat, starts, entry, judge)) is not None
    ]
    names = {**names_of(roster.entries), **names_of(roster.judges)}
    title = " · ".join(part for part in (names.get(entry or judge, ""), roster.competition.name) if part)
    return calendar_file(title, appointments, _utc(made))


def _appointment(hall: Hall, roster: Roster, heat: Heat, starts: dict[str, int], entry: str, judge: str) -> Appointment | None:
    own = [lane for lane in heat.lanes if (not entry or lane.entry == entry) and (not judge or lane.judge_id == judge)]
    if heat.id not in starts or ((entry or judge) and not own):
        return None
    event = next(event for event in roster.events if event.id == heat.event)
    rules, names = rules_of(roster), names_of(roster.entries)
    begin = _moment(hall, roster, starts[heat.id])
    lane = f", lane {own[0].lane}" if entry or judge else ""
    lines = [f"Lane {one.lane}: {names[one.entry]}" for one in heat.lanes]
    return Appointment(
        uid=f"{heat.id}-{entry or judge or 'all'}@{roster.competition.id}.lane-ledger",
        start=_utc(begin),
        end=_utc(begin + timedelta(minutes=length_of(event, rules.of(event.id)))),
        summary=f"{'Judging: ' if judge else ''}{event.name}, heat {heat.number}{lane}",
        place=roster.competition.place,
        said="\n".join(lines),
    )


def _moment(hall: Hall, roster: Roster, minutes: int) -> datetime:
    """A time of the competition's day; without a day, of today. Its time zone is the hall's, else this computer's."""
    zone = zone_of(roster.day)
    today = datetime.fromtimestamp(hall.time.wall_ms() / 1000, UTC).astimezone(zone).date()
    day = date_of(roster.competition.day) or today
    plain = datetime(day.year, day.month, day.day) + timedelta(minutes=minutes)  # noqa: DTZ001
    return (plain.replace(tzinfo=zone) if zone else plain).astimezone(UTC)


def _utc(moment: datetime) -> str:
    return moment.strftime("%Y%m%dT%H%M%SZ")
