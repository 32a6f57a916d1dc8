"""One entry as it is followed on a phone: its heats, what it holds on the floor, where it stands, what it takes to go past."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.hall.club_colours import club_colours
from app.hall.going_past import PLAIN_UNITS, Ahead, ahead_of, may_go_past
from app.hall.hall import Hall
from app.hall.heats import event_of, in_day_order, lane_tally, newest_runs, state_of, state_words
from app.hall.lane_scores import lane_score, score_so_far
from app.hall.result_words import other_names, overall_score, place_text, results_path, shared_place, table_title
from app.hall.views import State
from app.live.entry_pictures import pictures_of
from app.results.results_state import event_state, said_of, stated_overall
from app.rules.records.document import Run
from app.rules.records.moves import ON_THE_FLOOR, HeatState
from app.rules.records.roster import Assignment, Entry, Heat, Roster
from app.rules.result.results import Table
from app.rules.result.scoring import Score, score_words, shown_text, shown_unit
from app.rules.values.alphabet import by_name
from app.rules.values.words import known, say
from app.store.refusals import NotThere

NOT_HERE = "Nobody by that name competes here. They may have been taken off the list in the meantime."
TO_COME = (HeatState.PLANNED, HeatState.STOPPED)


@dataclass(frozen=True, slots=True)
class FollowedHeat:
    """A heat of the entry: which, on which lane, when it is planned (empty where nobody has said), how it stands, and what the
    entry holds in it, once it has begun; `stated`: how final its event's results are, in words."""

    title: str
    lane: int
    planned: str
    state: State
    on_floor: bool
    to_come: bool
    holds: str
    stated: str


@dataclass(frozen=True, slots=True)
class FollowedStanding:
    """Where the entry stands in one standing; `ahead` only while it has a heat there that may change it, and an
    attempt left where only lifts do."""

    title: str
    place: str
    score: str
    of: int
    state: str
    ahead: Ahead | None
    link: str


@dataclass(frozen=True, slots=True)
class Followed:
    """The page of one entry. `picture`: where its picture is, or empty."""

    id: str
    entry: str
    members: str
    about: str
    competition: str
    heats: tuple[FollowedHeat, ...]
    standings: tuple[FollowedStanding, ...]
    picture: str
    colours: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Offered:
    """The entries of a division, to choose one to follow: its id, its name and its members."""

    division: str
    entries: tuple[tuple[str, str, str], ...]


def offered(hall: Hall) -> tuple[Offered, ...]:
    """Everybody who can be followed, division by division, by name."""
    roster = hall.projection.roster
    if roster is None:
        return ()
    names = {athlete.id: athlete.name for athlete in roster.athletes}
    found = []
    for division in roster.divisions:
        entries = [
            (entry.id, entry.name, ", ".join(other_names(entry, [names[one] for one in entry.members])))
            for entry in roster.entries
            if entry.division == division.id
        ]
        found.append(Offered(division.name, tuple(sorted(entries, key=lambda one: by_name(one[1])))))
    return tuple(one for one in found if one.entries)


def followed(hall: Hall, entry_id: str) -> Followed:
    """What is known of an entry now. Raises NotThere."""
    roster = hall.projection.roster
    entry = next((one for one in roster.entries if one.id == entry_id), None) if roster else None
    if roster is None or entry is None:
        raise NotThere(NOT_HERE)
    names = {athlete.id: athlete.name for athlete in roster.athletes}
    runs = newest_runs(hall.projection.runs)
    heats = tuple(_heat(hall, roster, heat, lane, runs.get(heat.id)) for heat, lane in _own(roster, entry.id))
    division = next(one.name for one in roster.divisions if one.id == entry.division)
    clubs = {club.id: club.name for club in roster.clubs}
    of = {athlete.id: clubs.get(athlete.club or "", "") for athlete in roster.athletes}
    club = ", ".join(dict.fromkeys(of[one] for one in entry.members if of[one]))
    return Followed(
        id=entry.id,
        entry=entry.name,
        members=", ".join(other_names(entry, [names[one] for one in entry.members])),
        about=" · ".join(text for text in (division, club) if text),
        competition=roster.competition.name,
        heats=heats,
        standings=(*_overall(hall, entry), *_standings(hall, roster, entry, runs)),
        picture=pictures_of(hall.database, hall.projection).get(entry.id, ""),
        colours=club_colours(roster).get(entry.id, ()),
    )


def state_followed(hall: Hall, entry_id: str) -> object:
    """What the page depends on beside what came in: how the entry's heats stand, which time alone may change."""
    roster, runs = hall.projection.roster, newest_runs(hall.projection.runs)
    heats = [heat for heat, _ in _own(roster, entry_id)] if roster else []
    return said_of(hall), tuple(state_of(hall, roster, heat, runs.get(heat.id)) for heat in heats) if roster else ()


def _own(roster: Roster, entry: str) -> list[tuple[Heat, Assignment]]:
    return [(heat, lane) for heat in in_day_order(roster) for lane in heat.lanes if lane.entry == entry]


def _heat(hall: Hall, roster: Roster, heat: Heat, lane: Assignment, run: Run | None) -> FollowedHeat:
    state, event = state_of(hall, roster, heat, run), event_of(roster, heat)
    place = hall.projection.place_of(lane.id)
    begun = run is not None and place is not None and state not in (HeatState.SET, *TO_COME)
    holds = ""
    if run is not None and place is not None and begun:
        tally = lane_tally(hall, run, lane)
        made = score_so_far(hall, place, tally)
        holds = _holds(made, state in ON_THE_FLOOR) if made else ""
    return FollowedHeat(
        title=say("{event}, heat {number}", event=event.name, number=heat.number),
        lane=lane.lane,
        planned=heat.planned or "",
        state=state_words(state),
        on_floor=state in ON_THE_FLOOR,
        to_come=state in TO_COME,
        holds=holds,
        stated=event_state(hall, event),
    )


def _holds(made: Score, running: bool) -> str:
    """What the entry holds, large; what is counted needs no word behind it, a load or a distance its unit."""
    text = lane_score(made) if running else shown_text(made)
    return text if made.unit in PLAIN_UNITS else f"{text} {shown_unit(made)}".strip()


def _standings(hall: Hall, roster: Roster, entry: Entry, runs: dict[str, Run]) -> list[FollowedStanding]:
    """The standings of single events that the entry is in."""
    found = []
    for event in roster.events:
        heats = [heat for heat, _ in _own(roster, entry.id) if heat.event == event.id]
        states = [state_of(hall, roster, heat, runs.get(heat.id)) for heat in heats]
        open_still = any(state is not HeatState.OVER for state in states)
        for table in hall.projection.event_results(event.id).tables:
            if any(row.entry.id == entry.id for row in table.rows):
                found.append(_standing(hall, table, table_title(event, table), entry, open_still, event_state(hall, event)))
    return found


def _standing(hall: Hall, table: Table, title: str, entry: Entry, open_still: bool, state: str) -> FollowedStanding:
    row = next(row for row in table.rows if row.entry.id == entry.id)
    scored = row.place is not None and row.score is not None
    place = hall.projection.place_of(row.assignment) if row.assignment else None
    return FollowedStanding(
        title=title,
        place=place_text(row),
        score=score_words(row.score) if scored and row.score else known(row.status),
        of=_ranked(table),
        state=state,
        ahead=ahead_of(table, entry.id) if open_still and may_go_past(hall, table, row) else None,
        link=results_path(place.event.id, table.rule.id, entry.id) if place and scored else "",
    )


def _ranked(table: Table) -> int:
    return sum(1 for row in table.rows if row.place is not None)


def _overall(hall: Hall, entry: Entry) -> Sequence[FollowedStanding]:
    """The overall standing of the entry's division, where it has a place."""
    for table in hall.projection.overall():
        line = next((line for line in table.rows if line.entry.id == entry.id), None)
        if line is not None and line.place is not None and (len(table.columns) > 1 or table.rule.tells_of_one):
            score = overall_score(table, line.total)
            ranked = sum(1 for one in table.rows if one.place is not None)
            place, state = shared_place(line.place, line.shared), stated_overall(hall).text
            return [FollowedStanding(say("Overall"), place, score, ranked, state, None, "")]
    return []
