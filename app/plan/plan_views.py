"""What the desk's page of the plan shows: the day as pictures, every lane's entry and judge, how good the plan is."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.hall.entered_words import Asked, asked_of_all
from app.hall.forms import Typed
from app.hall.hall import Hall
from app.hall.lists import Choice
from app.hall.organising import needed_roster
from app.hall.pictures import Picture
from app.plan.day_problem import judging_athletes, names_of, problem_of, published_heats
from app.plan.day_times import rules_of
from app.plan.plan_pictures import day_picture, judges_picture, late_picture, time_text
from app.plan.planning import USUAL_SECONDS, digest_of, draft_of, in_the_way, unplanned
from app.plan.running import went_heats
from app.planning.worker import Found
from app.rules.day.heats import PlannedHeat, Problem
from app.rules.day.plan_check import broken_rules, judge_loads
from app.rules.records.day import DayRules
from app.rules.records.judges import clock_of, minutes_of
from app.rules.records.roster import Roster
from app.rules.values.alphabet import in_order
from app.rules.values.clock_times import span_text
from app.rules.values.words import say
from app.store.day import last_change

MOST_TOLD = 8


@dataclass(frozen=True, slots=True)
class SpotLine:
    """A lane of a heat in words."""

    lane: int
    entry: str
    judge: str
    kept: bool


@dataclass(frozen=True, slots=True)
class PlanLine:
    """A heat of a plan. `link`: where its choices are kept, empty where there is nothing to choose any more."""

    title: str
    start: str
    end: str
    division: str
    kept: bool
    link: str
    spots: tuple[SpotLine, ...]


@dataclass(frozen=True, slots=True)
class Shown:
    """A plan on the page. `pictures`: the heats on their lanes, then who judges when, where somebody does."""

    heats: tuple[PlanLine, ...]
    pictures: tuple[Picture, ...]
    sums: tuple[str, ...]
    wrong: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Searching:
    """The search under way."""

    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlanPage:
    """The desk's page of the plan. `asked`: what is asked of entries that do not fit an event. `old`: what is to be known of a
    draft that is not of the newest search."""

    asked: tuple[Asked, ...]
    facts: tuple[str, ...]
    seconds: str
    obstacles: tuple[str, ...]
    why: str
    locks: int
    draft: Shown | None
    old: str
    published: Shown | None
    late: Picture | None
    waiting: str
    last: str


def searching(hall: Hall) -> Searching | None:
    """How far the search is; None when none is under way."""
    if not hall.planner.busy:
        return None
    told = hall.planner.told
    stage = {"first": "A first plan is ready.", "times": "Looking for a better one.", "judges": "Giving judges their lanes."}
    stage["causes"] = "No plan keeps every rule. Dropping each rule in turn to see which one is in the way."
    words = [stage.get(str(told.get("stage", "")), "The search is starting.")]
    if told.get("end"):
        words.append(f"The day ends at {time_text(told['end'])}; no plan can end before {time_text(told['bound'])}.")
    return Searching(tuple(words))


def plan_page(hall: Hall) -> PlanPage:
    """The page as it stands."""
    roster = needed_roster(hall)
    rules = rules_of(roster)
    draft, published = draft_of(hall), published_heats(hall, rules)
    last = hall.database.read(last_change)
    gaps = unplanned(hall) if published else []
    in_the_way_now = tuple(one.sentence for one in in_the_way(hall, rules))
    more = f" and {len(gaps) - MOST_TOLD} more" if len(gaps) > MOST_TOLD else ""
    return PlanPage(
        asked=asked_of_all(roster),
        facts=_facts(roster, rules),
        seconds=str(USUAL_SECONDS),
        obstacles=in_the_way_now,
        why=hall.planner.why,
        locks=len(rules.locks),
        draft=_shown(hall, draft.heats, draft, True) if draft else None,
        old=_old(hall, in_the_way_now) if draft else "",
        published=_shown(hall, published, None, False) if published else None,
        late=late_picture(went_heats(hall)),
        waiting=f"{'; '.join(gaps[:MOST_TOLD])}{more}" if gaps else "",
        last=f"{last.words}, {say('heats', n=len(last.after))}" if last else "",
    )


def _old(hall: Hall, obstacles: Sequence[str]) -> str:
    """What is said of the draft while the newest search is under way, or has found none."""
    if hall.planner.busy:
        return "This is the plan from before the current search."
    if hall.planner.why:
        return "This is an earlier plan: the latest search found none."
    return "This is an earlier plan: the current rules allow none." if obstacles else ""


def _facts(roster: Roster, rules: DayRules) -> tuple[str, ...]:
    breaks = ", ".join(f"{one.name} {one.start} to {one.end}" for one in rules.breaks) or "no breaks"
    here = sum(not judge.away for judge in roster.judges)
    judges = (
        f"{say('judges', n=here)} here, each for at most {rules.judge_work} of any {rules.judge_of} heats in a row"
        if rules.with_judges
        else "no judges"
    )
    both = {judge for judge, _ in judging_athletes(roster)} if rules.with_judges else set()
    names = ", ".join(judge.name for judge in in_order(roster.judges) if judge.id in both and not judge.away)
    competing = (f"judges who also compete, and never do both at once: {names}",) if names else ()
    return (
        f"{rules.start} to {rules.end}, {breaks}",
        f"{rules.changeover} min between heats, {rules.reset} min between events, {rules.rest} min of rest for an athlete",
        judges,
        *competing,
        f"random draw no. {rules.seed}",
    )


def _shown(hall: Hall, heats: Sequence[PlannedHeat], found: Found | None, draft: bool) -> Shown:
    roster = needed_roster(hall)
    rules = rules_of(roster)
    problem = problem_of(hall, rules, keeps_placed=not draft)
    loads = judge_loads(problem, heats)
    bound = found.bound if found is not None and found.of == digest_of(problem) else 0
    return Shown(
        heats=tuple(_line(roster, rules, heat, draft) for heat in heats),
        pictures=_pictures(roster, rules, heats, loads, "draft" if draft else "published"),
        sums=tuple(_sums(hall, heats, bound, loads)),
        wrong=tuple(broken_rules(problem if draft else _without_the_missing(problem, heats), heats, late=not draft)[:MOST_TOLD]),
    )


def _without_the_missing(problem: Problem, heats: Sequence[PlannedHeat]) -> Problem:
    """The problem but for who is in no published heat: that is told in a line of its own, and would crowd out everything else."""
    there = {(heat.event, spot.entry) for heat in heats for spot in heat.spots}
    events = [
        event.model_copy(update={"order": tuple(entry for entry in event.order if (event.id, entry) in there)})
        for event in problem.events
    ]
    return problem.model_copy(update={"events": tuple(events)})


def _pictures(
    roster: Roster, rules: DayRules, heats: Sequence[PlannedHeat], loads: Mapping[str, int], name: str
) -> tuple[Picture, ...]:
    judges = judges_picture(f"{name}-judges", roster, rules, heats, loads)
    return (day_picture(f"{name}-day", roster, rules, heats), *((judges,) if judges else ()))


def _sums(hall: Hall, heats: Sequence[PlannedHeat], bound: int, loads: Mapping[str, int]) -> list[str]:
    roster = needed_roster(hall)
    rules = rules_of(roster)
    end = max((heat.end for heat in heats), default=0)
    sums = [f"{say('heats', n=len(heats))}; the last one ends at {time_text(end)}."]
    if bound:
        day = max(1, end - minutes_of(rules.start))
        over = f"this day is {(end - bound) * 100 / day:.1f} % longer" if end > bound else "this one ends then"
        sums.append(f"No plan by these rules can end before {time_text(bound)}; {over}.")
    if rules.with_judges and any(loads.values()):
        least, most = min(loads.values()), max(loads.values())
        each = f"Each judge has {say('list.lanes', n=most)}." if least == most else f"Judges have {least} to {most} lanes each."
        sums.append(each)
    rests = _shortest_rest(hall, heats)
    if rests is not None:
        sums.append(f"The shortest rest between two heats of an athlete is {span_text(rests)}.")
    return sums


def _shortest_rest(hall: Hall, heats: Sequence[PlannedHeat]) -> int | None:
    members = {entry.id: entry.members for entry in needed_roster(hall).entries}
    last: dict[str, int] = {}
    least: int | None = None
    for heat in sorted(heats, key=lambda heat: heat.start):
        for athlete in {member for spot in heat.spots for member in members.get(spot.entry, ())}:
            if athlete in last:
                least = heat.start - last[athlete] if least is None else min(least, heat.start - last[athlete])
            last[athlete] = heat.end
    return least


def _line(roster: Roster, rules: DayRules, heat: PlannedHeat, draft: bool) -> PlanLine:
    entries, judges = names_of(roster.entries), names_of(roster.judges)
    locks = [lock for lock in rules.locks if draft and (lock.event, lock.group) == (heat.event, heat.group)]
    kept_lanes = {lock.lane for lock in locks if lock.lane}
    link = f"/desk/plan/heats/{heat.event}/{heat.group}" if draft and heat.group and not heat.done else ""
    return PlanLine(
        title=f"{names_of(roster.events).get(heat.event, '')}, heat {heat.number}",
        start=time_text(heat.start),
        end=time_text(heat.end),
        division=_divisions(roster, heat),
        kept=any(lock.start for lock in locks),
        link=link,
        spots=tuple(
            SpotLine(spot.lane, entries.get(spot.entry, "gone"), judges.get(spot.judge or "", ""), spot.lane in kept_lanes)
            for spot in heat.spots
        ),
    )


def _divisions(roster: Roster, heat: PlannedHeat) -> str:
    names, of = names_of(roster.divisions), {entry.id: entry.division for entry in roster.entries}
    there = {of[spot.entry] for spot in heat.spots if spot.entry in of}
    return ", ".join(names[division.id] for division in roster.divisions if division.id in there)


@dataclass(frozen=True, slots=True)
class HeatChoices:
    """The page on which choices of one heat of the draft are kept."""

    title: str
    action: str
    lanes: tuple[int, ...]
    entries: tuple[Choice, ...]
    judges: tuple[Choice, ...]


def heat_choices(hall: Hall, event: str, group: str) -> tuple[HeatChoices, Typed] | None:
    """A heat of the draft with its form; None when the draft has no such heat."""
    roster, draft = needed_roster(hall), draft_of(hall)
    rules = rules_of(roster)
    heat = next((heat for heat in draft.heats if (heat.event, heat.group) == (event, group)), None) if draft else None
    if heat is None or heat.done:
        return None
    own = [lock for lock in rules.locks if (lock.event, lock.group) == (event, group)]
    typed = {"start": clock_of(heat.start % (24 * 60)), "keep-start": "on" if any(lock.start for lock in own) else ""}
    for spot in heat.spots:
        at = f"lane-{spot.lane}-"
        typed |= {f"{at}entry": spot.entry, f"{at}judge": spot.judge or ""}
        typed |= {f"{at}keep-entry": "on" if any(lock.entry and lock.lane == spot.lane for lock in own) else ""}
        typed |= {f"{at}keep-judge": "on" if any(lock.judge and lock.lane == spot.lane for lock in own) else ""}
    pool = group.rsplit(".", 1)[0]
    page = HeatChoices(
        title=f"{names_of(roster.events).get(event, '')}, heat {heat.number}",
        action=f"/desk/plan/heats/{event}/{group}",
        lanes=rules.of(event).lanes,
        entries=tuple(Choice(one.id, one.name) for one in roster.entries if pool in ("*", one.division)),
        judges=tuple(Choice(judge.id, judge.name) for judge in in_order(roster.judges) if not judge.away),
    )
    return page, typed
