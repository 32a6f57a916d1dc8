"""What an announcer reads aloud: heat by heat who is where, how to say it, what is at stake, and what the last heat changed."""

from collections.abc import Generator, Iterable, Sequence
from dataclasses import dataclass

from app.hall.club_colours import club_colours
from app.hall.going_past import Ahead, ahead_of, may_go_past, takes_text
from app.hall.hall import Hall
from app.hall.heats import event_of, heat_title, in_day_order, newest_runs, state_of, state_words
from app.hall.organising import found, needed_roster
from app.hall.result_words import note_text, overall_score, place_text, shared_place, so_far_text, table_title
from app.hall.views import State
from app.live.entry_pictures import pictures_of
from app.live.slices import at_once
from app.results.results_state import event_state, moment_text, said_of
from app.rules.records.document import Run
from app.rules.records.moves import ON_THE_FLOOR, HeatState
from app.rules.records.roster import Assignment, Entry, Event, Heat, Roster
from app.rules.result.results import NOT_JUDGED, Row, Table
from app.rules.result.scoring import score_words
from app.rules.values.words import known, say
from app.rules.workout.words import listed
from app.watch.announced_bar import BarNow, bar_steps

TO_COME = (HeatState.PLANNED, HeatState.STOPPED)
MOST_TO_COME = 3  # heats in full; a whole event is on its own sheet


@dataclass(frozen=True, slots=True)
class Spoken:
    """A person to name: how the name is said, and the club where the entry's members have several; empty where nobody told it."""

    name: str
    said_like: str
    club: str


@dataclass(frozen=True, slots=True)
class AtStake:
    """Where an entry stands in one standing. Of one without a place: what it takes to lead, and who does; empty while nobody
    does, or where the heat is over."""

    title: str
    place: str
    of: int
    score: str
    ahead: Ahead | None
    to_lead: str
    leader: str


@dataclass(frozen=True, slots=True)
class AnnouncedLane:
    """Who stands on a lane. `alone`: the entry is its one member, who is not named twice. `club`: where all its members have one.
    `first`: it has had no heat before, though others on the floor have."""

    lane: int
    entry: str
    alone: bool
    people: tuple[Spoken, ...]
    club: str
    division: str
    overall: str
    stakes: tuple[AtStake, ...]
    first: bool
    picture: str = ""
    colours: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class AnnouncedHeat:
    """A heat; `all_first`: nobody in it has had a heat before. `stated`: how final its event's results are, in words;
    empty where none of them is told. `bar`: who is called, where its lanes share one and it is on the floor."""

    title: str
    planned: str
    state: State
    lanes: tuple[AnnouncedLane, ...]
    all_first: bool
    stated: str
    bar: BarNow | None = None

    def on(self, lane: int) -> AnnouncedLane:
        """Who stands on one of its lanes."""
        return next(one for one in self.lanes if one.lane == lane)


@dataclass(frozen=True, slots=True)
class CameIn:
    """A line of those who have just come in."""

    place: str
    entry: str
    score: str


@dataclass(frozen=True, slots=True)
class WentDown:
    """An entry that others have just gone past: its place without them, and its place now."""

    entry: str
    before: int
    place: str


@dataclass(frozen=True, slots=True)
class Settled:
    """What a heat did to one standing: who leads it now, where those of the heat stand, who went down."""

    title: str
    leaders: str
    leading: str
    came: tuple[CameIn, ...]
    down: tuple[WentDown, ...]


@dataclass(frozen=True, slots=True)
class JustHappened:
    """The heat that ended last; `stated`: how final its event's results are."""

    title: str
    stated: str
    standings: tuple[Settled, ...]


@dataclass(frozen=True, slots=True)
class Announced:
    """The page: the heat that ended last, those on the floor, the next ones, how many more there are, and the events' sheets."""

    competition: str
    floor: tuple[AnnouncedHeat, ...]
    last: JustHappened | None
    to_come: tuple[AnnouncedHeat, ...]
    more: int
    events: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class EventSheet:
    """All heats of an event, to print; `at`: the time of day for which it is true."""

    competition: str
    event: str
    at: str
    heats: tuple[AnnouncedHeat, ...]


def announced(hall: Hall) -> Announced:
    """What there is to announce now; nothing without a competition."""
    return at_once(announced_steps(hall))


def announced_steps(hall: Hall) -> Generator[None, None, Announced]:
    """The same in small steps."""
    roster = hall.projection.roster
    if roster is None:
        return Announced("", (), None, (), 0, ())
    runs = newest_runs(hall.projection.runs)
    heats = [(heat, state_of(hall, roster, heat, runs.get(heat.id))) for heat in in_day_order(roster) if heat.lanes]
    waiting = [heat for heat, state in heats if state in TO_COME]
    over = [heat for heat, state in heats if state is HeatState.OVER]
    sheet = _Sheet(hall, roster, runs)
    floor = yield from sheet.heats(heat for heat, state in heats if state in ON_THE_FLOOR)
    to_come = yield from sheet.heats(waiting[:MOST_TO_COME])
    return Announced(
        competition=roster.competition.name,
        floor=floor,
        last=_just_happened(hall, roster, max(over, key=lambda heat: runs[heat.id].go_wall_ms)) if over else None,
        to_come=to_come,
        more=len(waiting[MOST_TO_COME:]),
        events=tuple((event.id, event.name) for event in roster.events),
    )


def event_sheet_steps(hall: Hall, key: str) -> Generator[None, None, EventSheet]:
    """The heats of one event, in small steps. Raises NotThere."""
    roster = needed_roster(hall)
    event = found(roster.events, key, "event")
    sheet = _Sheet(hall, roster, newest_runs(hall.projection.runs))
    heats = yield from sheet.heats(heat for heat in in_day_order(roster) if heat.event == event.id and heat.lanes)
    return EventSheet(roster.competition.name, event.name, moment_text(hall, hall.time.wall_ms()), heats)


def state_announced(hall: Hall) -> object:
    """What the page depends on beside what came in: how the heats stand, which time alone may change."""
    roster, runs = hall.projection.roster, newest_runs(hall.projection.runs)
    states = tuple(state_of(hall, roster, heat, runs.get(heat.id)) for heat in roster.heats) if roster else ()
    return said_of(hall), states


def _who(entry: Entry) -> tuple[str, ...]:
    """The athletes of an entry; of one whose members nobody named, itself."""
    return entry.members or (entry.id,)


class _Sheet:
    """What several heats are told from, looked up once."""

    def __init__(self, hall: Hall, roster: Roster, runs: dict[str, Run]) -> None:
        self.hall, self.roster, self.runs = hall, roster, runs
        self.athletes = {athlete.id: athlete for athlete in roster.athletes}
        self.entries = {entry.id: entry for entry in roster.entries}
        self.clubs = {club.id: club.name for club in roster.clubs}
        self.divisions = {division.id: division.name for division in roster.divisions}
        self.overall = _overall(hall)
        self.pictures, self.colours = pictures_of(hall.database, hall.projection), club_colours(roster)
        self.first_heat: dict[str, str] = {}  # by athlete: whoever stands in two divisions is new in the first of their heats
        for heat in in_day_order(roster):
            for lane in heat.lanes:
                for one in _who(self.entries[lane.entry]):
                    self.first_heat.setdefault(one, heat.id)

    def heats(self, heats: Iterable[Heat]) -> Generator[None, None, tuple[AnnouncedHeat, ...]]:
        """Some heats, in small steps."""
        found = []
        for heat in heats:
            found.append((yield from self._heat(heat)))
        return tuple(found)

    def _heat(self, heat: Heat) -> Generator[None, None, AnnouncedHeat]:
        """One heat, lane by lane."""
        state, event = state_of(self.hall, self.roster, heat, self.runs.get(heat.id)), event_of(self.roster, heat)
        lanes = sorted(heat.lanes, key=lambda lane: lane.lane)
        new = [self._is_new(self.entries[lane.entry], heat) for lane in lanes]
        all_first = all(new)
        run = self.runs.get(heat.id) if state in ON_THE_FLOOR else None
        told = []
        for lane, first in zip(lanes, new, strict=True):
            told.append(self._lane(event, lane, state, first and not all_first))
            yield
        bar = (yield from bar_steps(self.hall, self.roster, event, heat, run)) if run else None
        return AnnouncedHeat(
            title=heat_title(event, heat),
            planned=heat.planned,
            state=state_words(state),
            lanes=tuple(told),
            all_first=all_first,
            stated=event_state(self.hall, event) if any(one.place or one.score for lane in told for one in lane.stakes) else "",
            bar=bar,
        )

    def _is_new(self, entry: Entry, heat: Heat) -> bool:
        return all(self.first_heat[one] == heat.id for one in _who(entry))

    def _lane(self, event: Event, lane: Assignment, state: HeatState, first: bool) -> AnnouncedLane:
        entry = self.entries[lane.entry]
        people = [self.athletes[member] for member in entry.members]
        clubs = [self.clubs.get(one.club or "", "") for one in people]
        shared = clubs[0] if len(set(clubs)) == 1 else ""
        tables = self.hall.projection.event_results(event.id).tables
        return AnnouncedLane(
            lane=lane.lane,
            entry=entry.name,
            alone=[one.name for one in people] == [entry.name],
            people=tuple(
                Spoken(one.name, one.said_like, "" if shared else club) for one, club in zip(people, clubs, strict=True)
            ),
            club=shared,
            division=self.divisions[entry.division],
            overall=self.overall.get(entry.id, ""),
            stakes=tuple(
                at_stake(event, table, entry, state is not HeatState.OVER and may_go_past(self.hall, table, row))
                for table in tables
                if (row := _row(table, entry))
            ),
            first=first,
            picture=self.pictures.get(entry.id, ""),
            colours=self.colours.get(entry.id, ()),
        )


def at_stake(event: Event, table: Table, entry: Entry, open_still: bool) -> AtStake:
    """Where an entry stands in a standing that it is in; what it may still reach only while its heat is open."""
    row = _row(table, entry)
    assert row is not None  # it was asked for just now
    placed = row.place is not None and row.score is not None
    ranked = [one for one in table.rows if one.place is not None and one.score is not None]
    first = next((one for one in ranked if one.place == 1), None) if open_still and not placed else None
    return AtStake(
        title=table_title(event, table),
        place=place_text(row),
        of=len(ranked),
        score=score_words(row.score) if placed and row.score else "" if row.status == NOT_JUDGED else known(row.status),
        ahead=ahead_of(table, entry.id) if placed and open_still else None,
        to_lead=takes_text(table.rule.better, first.score) if first and first.score else "",
        leader=first.entry.name if first else "",
    )


def _row(table: Table, entry: Entry) -> Row | None:
    return next((row for row in table.rows if row.entry.id == entry.id), None)


def _overall(hall: Hall) -> dict[str, str]:
    """The overall place of each entry that has one, in words; none before two scores make it more than a single event's."""
    said = {}
    for table in (one for one in hall.projection.overall() if len(one.columns) > 1 or one.rule.tells_of_one):
        ranked = [line for line in table.rows if line.place is not None]
        for line in ranked:
            total = overall_score(table, line.total)
            place = say("{place} of {of}, {score}", place=shared_place(line.place, line.shared), of=len(ranked), score=total)
            said[line.entry.id] = ", ".join(one for one in (place, so_far_text(table, line)) if one)
    return said


def _just_happened(hall: Hall, roster: Roster, heat: Heat) -> JustHappened:
    event, fresh = event_of(roster, heat), {lane.entry for lane in heat.lanes}
    tables = [
        table for table in hall.projection.event_results(event.id).tables if any(row.entry.id in fresh for row in table.rows)
    ]
    return JustHappened(
        heat_title(event, heat), event_state(hall, event), tuple(_settled(event, table, fresh) for table in tables)
    )


def _settled(event: Event, table: Table, fresh: set[str]) -> Settled:
    leaders = [(row.entry.name, row.score) for row in table.rows if row.place == 1 and row.score is not None]
    came = [row for row in table.rows if row.entry.id in fresh]
    return Settled(
        title=f"{table_title(event, table)}, {table.division_name}",
        leaders=listed([name for name, _ in leaders]),
        leading=say("leading", n=len(leaders), score=score_words(leaders[0][1])) if leaders else "",
        came=tuple(CameIn(place_text(row), row.entry.name, _came_text(event, table, row)) for row in came),
        down=went_down(table.rows, fresh),
    )


def _came_text(event: Event, table: Table, row: Row) -> str:
    score = score_words(row.score) if row.place is not None and row.score is not None else ""
    return ", ".join(text for text in (score, note_text(event, table, row)) if text)


def went_down(rows: Sequence[Row], fresh: set[str]) -> tuple[WentDown, ...]:
    """Those whom entries that have just come in stand before: their places without these, and now."""
    came = [row.place for row in rows if row.entry.id in fresh and row.place is not None]
    found = []
    for row in rows:
        past = sum(1 for place in came if row.place is not None and place < row.place)
        if past and row.place is not None and row.entry.id not in fresh:
            found.append(WentDown(row.entry.name, row.place - past, place_text(row)))
    return tuple(found)
