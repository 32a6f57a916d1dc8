"""The list of the day beside every page of the organiser: the facts of the day as they are now, and each step's line."""

from dataclasses import dataclass, replace

from sqlmodel import Session

from app.hall.backup_age import is_late, last_backup
from app.hall.day_steps import STEPS, Facts, Standing, Step
from app.hall.devices import who_of
from app.hall.hall import Hall
from app.hall.heats import in_day_order, newest_runs, state_of, unplaced
from app.hall.organising import zone_of
from app.hall.views import State
from app.live.hub import SCREENS
from app.live.platforms import lanes_of
from app.rules.records.in_force import signed_off
from app.rules.records.platforms import heats_at_platforms
from app.rules.records.roster import Roster
from app.rules.records.seats import JUDGES
from app.rules.records.weighed import asked_in_classes
from app.store.acts import last_done
from app.store.day import draft
from app.store.devices import welcome_devices
from app.store.entering import checkins, weigh_ins
from app.store.practice import practices
from app.store.rounds import gym_round

RESULTS_TAKEN = "Download the results for the web"  # what the activity log calls it
NAME_FIRST = "Name it first."
WAITS, LATER = State("none", "Can wait"), State("none", "Later")


@dataclass(frozen=True, slots=True)
class DayLine:
    """A step as a line: how far it is in a word, what is missing in a sentence; whether the page at hand belongs to it, whether
    somebody could do something in it, and whether it is done now."""

    name: str
    link: str
    state: State
    words: str
    here: bool = False
    open: bool = True
    under_way: bool = False


@dataclass(frozen=True, slots=True)
class DayList:
    """The lines in order, the one thing to do next, if there is one, and the address of the page at hand."""

    lines: tuple[DayLine, ...]
    next: DayLine | None
    at: str = ""


def day_list(hall: Hall, path: str) -> DayList:
    """The list, seen from the page at an address."""
    roster = hall.projection.roster
    if roster is None:
        first = DayLine("Competition", STEPS[0].link, State("now", "Next"), NAME_FIRST, path.startswith(STEPS[0].link))
        return DayList((first, *(DayLine(step.name, STEPS[0].link, LATER, "") for step in STEPS[1:])), first, path)
    return list_of(hall.database.read(lambda session: facts_of(hall, roster, session)), path)


def list_of(facts: Facts, path: str = "") -> DayList:
    """The list that the facts give. The first step that the day can't go on without is the next one."""
    here = _step_of(path)
    looked = [(step, standing) for step in STEPS if (standing := step.look(facts)) is not None]
    following = next(((step, standing) for step, standing in looked if standing.needed and not standing.done), None)
    lines = tuple(
        DayLine(
            name=step.name,
            link=step.link,
            state=_state(standing, (step, standing) == following),
            words=standing.words,
            here=step is here,
            open=not standing.done and not standing.later,
            under_way=standing.under_way,
        )
        for step, standing in looked
    )
    if following is None:
        return DayList(lines, None, path)
    step, standing = following
    line = next(line for line in lines if line.name == step.name)
    return DayList(lines, replace(line, name=standing.title or step.name, link=standing.link or step.link), path)


def _state(standing: Standing, following: bool) -> State:
    if standing.wrong:
        return State("look", "Look")
    if standing.done:
        return State("safe", "Done")
    if following:
        return State("now", "Now" if standing.under_way else "Next")
    if standing.needed:
        return State("kept", "To do")
    return LATER if standing.later else WAITS


def _step_of(path: str) -> Step | None:
    """The step that a page belongs to: the one with the longest beginning of its address; the desk itself is of the heats."""
    if path == "/desk":
        return next(step for step in STEPS if step.link == path)
    fits = [(len(page), step) for step in STEPS for page in step.pages if path == page or path.startswith(f"{page}/")]
    return max(fits, key=lambda one: one[0])[1] if fits else None


def _paired(hall: Hall, roster: Roster, session: Session) -> frozenset[int]:
    """The lanes with a tablet for each of their heats: a platform's serves those whose lanes share a bar, and no other."""
    shared = {heat.id for heat in heats_at_platforms(roster)}
    alone = {lane.lane for heat in roster.heats if heat.id not in shared for lane in heat.lanes}
    judging = [(one.role, lanes_of(hall, who_of(one))) for one in welcome_devices(session) if one.role in JUDGES]
    return frozenset(lane for role, lanes in judging for lane in lanes if role == "lane" or lane not in alone)


def facts_of(hall: Hall, roster: Roster, session: Session) -> Facts:
    """What is known of the day now."""
    runs = newest_runs(hall.projection.runs)
    signs = {event.id: sign for event in roster.events if (sign := signed_off(hall.projection.rulings, event.id))}
    seen = checkins(session)
    taken = last_done(session, RESULTS_TAKEN) if signs else None
    return Facts(
        roster=roster,
        round=gym_round(hall.settings.data),
        unclassed=len(asked_in_classes(roster, weigh_ins(seen, zone_of(roster.day)))),
        order=tuple(in_day_order(roster)),
        states={heat.id: state_of(hall, roster, heat, runs.get(heat.id)) for heat in roster.heats},
        waiting={event.name: len(left) for event in roster.events if (left := unplaced(roster, event.id))},
        draft=draft(session) is not None,
        paired=_paired(hall, roster, session),
        watched=hall.hub.watchers(SCREENS) > 0,
        backup=last_backup(hall) if hall.backups.last else "",
        late=is_late(hall),
        failure=hall.backups.failure,
        practised=frozenset(one.judge for one in practices(session, "set")),
        present=frozenset(key for key, one in seen.items() if one.present_ms is not None),
        signed=frozenset(signs),
        taken=taken is not None and all(sign.made_wall_ms <= taken for sign in signs.values()),
    )
