"""Who judges in the demo, how its day is planned, and which judge stands on which lane. Everything here is invented."""

from collections.abc import Sequence

from app.demo.cast import BAR, LANES, LIST, RELAY
from app.planning.rota import rota
from app.rules.day.heats import PlanEntry, PlannedHeat, Problem, Spot
from app.rules.records.day import DayRules, EventDay
from app.rules.records.document import CompetitionFile
from app.rules.records.judges import Hours, Judge, minutes_of
from app.rules.records.roster import Heat, Roster

# Name, the number of the club or None, level, hours.
PEOPLE = (
    ("Imre Valkenberg", 2, "third year", ()),
    ("Joss Merridayle", None, "first year", ()),
    ("Kaya Brandtner", None, "second year", ()),
    ("Lotte Amselfeld", 3, "third year", ()),
    ("Niko Farrantine", None, "first year", ()),
    ("Petra Quistgaard", 0, "teaches the others", ()),
    ("Rafe Underhill-Castellanos", None, "second year", (Hours(start="00:00", end="24:00"),)),
    ("Świetlana Ogrodowa", None, "second year", ()),
    ("Тая Рубежная", 5, "first year", ()),
    ("Bo Achterberg", 1, "third year", ()),
)
JUDGES = tuple(
    Judge(id=f"jdg_{n}", name=name, club=None if club is None else f"clb_{club}", level=level, hours=hours)
    for n, (name, club, level, hours) in enumerate(PEOPLE, start=1)
)
DAY = DayRules(
    start="00:00",
    end="23:59",
    changeover=2,
    reset=2,
    rest=10,
    judge_work=4,
    judge_of=5,
    events=tuple(EventDay(event=event, last_lane=LANES, apart=event != LIST) for event in (LIST, BAR, RELAY)),
)


def with_judges(whole: CompetitionFile) -> CompetitionFile:
    """The demo with its judges, its rules of the day, and a judge on every lane."""
    heats = judged(whole, whole.heats)
    return whole.model_copy(update={"judges": JUDGES, "day": DAY, "heats": heats})


def judged(roster: Roster, heats: Sequence[Heat]) -> tuple[Heat, ...]:
    """These heats, in the order run, with a judge on every lane: of another club than the entry, and on no other lane."""
    chosen = rota(_problem(roster), [_planned(heat) for heat in heats], {}).chosen
    return tuple(
        _with(heat, {lane: judge for (n, lane), judge in chosen.items() if n == number}) for number, heat in enumerate(heats)
    )


def _problem(roster: Roster) -> Problem:
    clubs = {athlete.id: athlete.club for athlete in roster.athletes}
    entries = tuple(
        PlanEntry(
            id=entry.id,
            division=entry.division,
            members=entry.members,
            clubs=tuple(club for member in entry.members if (club := clubs[member])),
        )
        for entry in roster.entries
    )
    return Problem(rules=DAY, divisions=(), entries=entries, events=(), judges=JUDGES)


def _planned(heat: Heat) -> PlannedHeat:
    spots = tuple(Spot(lane=lane.lane, entry=lane.entry) for lane in heat.lanes)
    return PlannedHeat(event=heat.event, number=heat.number, start=minutes_of(heat.planned), minutes=1, spots=spots)


def _with(heat: Heat, chosen: dict[int, str]) -> Heat:
    names = {judge.id: judge.name for judge in JUDGES}
    lanes = tuple(
        lane.model_copy(update={"judge": names[key], "judge_id": key}) if (key := chosen.get(lane.lane)) else lane
        for lane in heat.lanes
    )
    return heat.model_copy(update={"lanes": lanes})
