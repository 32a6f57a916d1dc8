"""Who judges in the demo, how its day is planned, and which judge stands on which lane. All of it is invented."""

from app.planning.rota import rota
from app.rules.day.heats import PlanEntry, PlannedHeat, Problem, Spot
from app.rules.records.day import DayRules, EventDay
from app.rules.records.document import CompetitionFile
from app.rules.records.judges import Hours, Judge, minutes_of
from app.rules.records.roster import Heat

# Name, the number of the club or None, level, hours.
PEOPLE = (
    ("Imre Valk", 2, "third year", ()),
    ("Joss Merriday", None, "first year", ()),
    ("Kaya Brandt", None, "second year", ()),
    ("Lotte Amsel", 3, "third year", ()),
    ("Niko Farrant", None, "first year", ()),
    ("Petra Quist", 0, "teaches the others", ()),
    ("Rafe Underhill-Castellanos", None, "second year", (Hours(start="00:00", end="24:00"),)),
)


def with_judges(whole: CompetitionFile) -> CompetitionFile:
    """The demo with its judges, its rules of the day, and a judge on every lane."""
    judges = tuple(
        Judge(id=f"jdg_{n}", name=name, club=None if club is None else whole.clubs[club].id, level=level, hours=hours)
        for n, (name, club, level, hours) in enumerate(PEOPLE, start=1)
    )
    lanes = max(lane.lane for heat in whole.heats for lane in heat.lanes)
    events = tuple(EventDay(event=event.id, last_lane=lanes, apart=False) for event in whole.events)
    rules = DayRules(start="00:00", end="23:59", changeover=5, rest=30, events=events)
    heats = tuple(
        _judged(heat, whole, judges, chosen) for heat, chosen in zip(whole.heats, _rota(whole, judges, rules), strict=True)
    )
    return whole.model_copy(update={"judges": judges, "day": rules, "heats": heats})


def _rota(whole: CompetitionFile, judges: tuple[Judge, ...], rules: DayRules) -> list[dict[int, str]]:
    clubs = {athlete.id: athlete.club for athlete in whole.athletes}
    entries = tuple(
        PlanEntry(
            id=entry.id,
            division=entry.division,
            members=entry.members,
            clubs=tuple(club for member in entry.members if (club := clubs[member])),
        )
        for entry in whole.entries
    )
    problem = Problem(rules=rules, divisions=(), entries=entries, events=(), judges=judges)
    heats = [
        PlannedHeat(
            event=heat.event,
            number=heat.number,
            start=minutes_of(heat.planned),
            minutes=1,
            spots=tuple(Spot(lane=lane.lane, entry=lane.entry) for lane in heat.lanes),
        )
        for heat in whole.heats
    ]
    chosen = rota(problem, heats, {}).chosen
    return [{lane: judge for (m, lane), judge in chosen.items() if m == n} for n in range(len(heats))]


def _judged(heat: Heat, whole: CompetitionFile, judges: tuple[Judge, ...], chosen: dict[int, str]) -> Heat:
    names = {judge.id: judge.name for judge in judges}
    lanes = tuple(
        lane.model_copy(update={"judge": names[chosen[lane.lane]], "judge_id": chosen[lane.lane]}) for lane in heat.lanes
    )
    return heat.model_copy(update={"lanes": lanes})
