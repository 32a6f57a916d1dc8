"""Calls of the day: late, early, did not start, a judge who is missing, a medical stop and the medic's word, a run again."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlmodel import Session

from app.hall.changing import new_id
from app.hall.forms import Reading, Typed, refuse
from app.hall.hall import Hall
from app.hall.hand_clock import later_than_all
from app.hall.heats import newest_runs, state_of
from app.hall.lists import Choice
from app.hall.organising import needed_roster
from app.live.projection import Place
from app.review.disputes import RulingLine, ruling_lines
from app.review.flags import lane_words
from app.review.ruling import store
from app.rules.count.stops import medical_stop
from app.rules.records.in_force import standing
from app.rules.records.moves import HeatState
from app.rules.records.roster import Assignment, Heat
from app.rules.records.rulings import Ruling
from app.rules.values.alphabet import in_order
from app.store.heats import put_heat
from app.store.kinds import RULINGS
from app.store.refusals import NotThere

NEW_HEAT = "new"
PRESSED_TWICE_MS = (
    20_000  # the same call on the same lane within so long is one that was pressed twice. Common practice, no source
)
DESK = "The desk"  # who calls, where nobody gave a name

# What two taps call: what it is, and the reason that is kept where none was typed.
QUICK: Mapping[str, tuple[str, dict[str, Any], str]] = {
    "no_show": ("status", {"status": "did_not_start"}, "Did not come to the lane"),
    "late": ("call", {"call": "late"}, "Came late to the lane"),
    "early": ("call", {"call": "early"}, "Started before GO"),
    "medical": ("medical", {"state": "stopped"}, "Stopped on the floor; only a medic can clear it"),
}


class Holds(Exception):
    """Raised in the midst of storing a call that says nothing new, so that nothing is stored."""


@dataclass(frozen=True, slots=True)
class CallsPage:
    """The calls of one lane: who stands there, the heats and judges to choose from, what was called, whether it is stopped."""

    assignment: str
    where: str
    entry: str
    judge: str
    judges: tuple[str, ...]
    heats: tuple[Choice, ...]
    stopped: bool
    medic: str
    rulings: tuple[RulingLine, ...]


def calls_page(hall: Hall, assignment: str) -> CallsPage:
    """The calls of one lane. Raises NotThere."""
    place, roster = _place(hall, assignment), needed_roster(hall)
    entry = next(entry for entry in roster.entries if entry.id == place.assignment.entry)
    return CallsPage(
        assignment=assignment,
        where=lane_words(roster, place.assignment, place.heat),
        entry=entry.name,
        judge=place.assignment.judge,
        judges=tuple(judge.name for judge in in_order(roster.judges) if not judge.away),
        heats=tuple(Choice(key, words) for key, words in rerun_heats(hall, place).items()),
        stopped=medical_stop(hall.projection.rulings, place.assignment, place.event.id) is not None,
        medic=roster.competition.safety.medic,
        rulings=ruling_lines(hall, place),
    )


def _place(hall: Hall, assignment: str) -> Place:
    place = hall.projection.place_of(assignment)
    if place is None:
        raise NotThere("There is no such lane. It may have been deleted in the meantime.")
    return place


async def call(hall: Hall, assignment: str, typed: Typed) -> tuple[Ruling, ...]:
    """Records a call that needs no more than a tap; the reason and the name have a usual word. Raises BadForm, NotThere."""
    place, read = _place(hall, assignment), Reading(typed)
    what = read.choice("call", "The call", {key: why for key, (_, _, why) in QUICK.items()})
    by, why = read.optional("by", "Your name") or DESK, read.optional("why", "The reason", 300)
    read.done()
    kind, body, usual = QUICK[what]
    made = _ruling(hall, place, kind, body, by, why or usual)

    def look(rulings: Sequence[Ruling]) -> None:
        if what == "medical" and medical_stop(rulings, place.assignment, place.event.id):
            raise refuse("call", "This lane is stopped already.")
        if _holds(made, rulings):
            raise Holds

    def look_again(session: Session) -> None:  # the second of two presses comes while the first is being stored
        look(standing(one for one in RULINGS.all(session) if one.id != made.id))

    try:
        look(hall.projection.standing_rulings)
        return await store(hall, (made,), look_again)
    except Holds:
        return ()


def _holds(made: Ruling, rulings: Sequence[Ruling]) -> bool:
    """Whether a call would only say again what holds: a status that stands, or the same call made a moment before."""
    about = [one for one in rulings if one.kind == made.kind and (one.entry, one.event) == (made.entry, made.event)]
    if made.kind == "status":
        said = [one for one in about if one.assignment in (None, made.assignment)]
        return bool(said) and said[-1].body == made.body
    moment = made.made_wall_ms - PRESSED_TWICE_MS
    lately = [one for one in about if one.assignment == made.assignment and one.made_wall_ms >= moment]
    return any(one.body == made.body or made.kind == "rerun" for one in lately)  # each rerun is of a lane of its own


def _ruling(hall: Hall, place: Place, kind: str, body: dict[str, Any], by: str, why: str) -> Ruling:
    about = {"entry": place.assignment.entry, "event": place.event.id}
    if kind != "status":  # who did not start did not start in the event, whichever lane was meant
        about["assignment"] = place.assignment.id
    plain = {"id": new_id(), "kind": kind, "body": body, "made_wall_ms": later_than_all(hall), **about}
    return Ruling.model_validate({**plain, "by": by, "why": why})


async def clear(hall: Hall, assignment: str, typed: Typed) -> tuple[Ruling, ...]:
    """Lets a lane go on after a medical stop, on the word of a medic who is named. Raises BadForm, NotThere."""
    place, read = _place(hall, assignment), Reading(typed)
    medic = read.name("medic", "The medic's name")
    by = read.optional("by", "Your name") or DESK
    read.done()
    if medical_stop(hall.projection.rulings, place.assignment, place.event.id) is None:
        raise refuse("medic", "This lane is not stopped.")
    body = {"state": "cleared", "medic": medic}
    return await store(hall, (_ruling(hall, place, "medical", body, by, f"{medic} says so"),))


async def new_judge(hall: Hall, assignment: str, typed: Typed) -> tuple[Ruling, ...]:
    """Gives a lane another judge, in the middle of a heat too; its tablet goes on. Raises BadForm, NotThere."""
    place, read = _place(hall, assignment), Reading(typed)
    judge = read.name("judge", "The new judge's name")
    by = read.optional("by", "Your name") or DESK
    read.done()
    before = place.assignment.judge
    if judge == before:
        raise refuse("judge", f"{judge} is already the judge of this lane.")
    known = next((one.id for one in needed_roster(hall).judges if one.name == judge), None)
    why = f"{judge} replaces {before} as judge" if before else f"{judge} judges"
    lane = place.assignment.model_copy(update={"judge": judge, "judge_id": known})
    ruling = _ruling(hall, place, "call", {"call": "judge"}, by, why)
    return await store(hall, (ruling,), lambda session: put_heat(session, _with_lane(place.heat, lane)))


def _with_lane(heat: Heat, lane: Assignment) -> Heat:
    return heat.model_copy(update={"lanes": tuple(lane if one.id == lane.id else one for one in heat.lanes)})


def rerun_heats(hall: Hall, place: Place) -> dict[str, str]:
    """The heats in which an entry could run again: those still planned in which it does not stand, or a new one."""
    roster, runs = needed_roster(hall), newest_runs(hall.projection.runs)
    planned = [
        heat
        for heat in roster.heats
        if heat.event == place.event.id
        and state_of(hall, roster, heat, runs.get(heat.id)) is HeatState.PLANNED
        and all(lane.entry != place.assignment.entry for lane in heat.lanes)
    ]
    return {heat.id: f"Heat {heat.number}" for heat in planned} | {NEW_HEAT: "A separate heat"}


async def run_again(hall: Hall, assignment: str, typed: Typed) -> tuple[Ruling, ...]:
    """Lets an entry run again, in a later heat or one of its own; that run counts until ruled otherwise. Raises BadForm."""
    place, read = _place(hall, assignment), Reading(typed)
    where = read.choice("heat", "The heat", rerun_heats(hall, place))
    why, by = read.name("why", "The reason", 300), read.optional("by", "Your name") or DESK
    read.done()
    heat = _rerun_heat(hall, place, where)
    again = heat.lanes[-1]
    ruling = _ruling(hall, place, "rerun", {"again": again.id, "counts": "again"}, by, why)

    def look(rulings: Sequence[Ruling]) -> None:  # the second of two presses would make another heat
        if _holds(ruling, rulings):
            raise Holds

    def put(session: Session) -> None:
        look(standing(one for one in RULINGS.all(session) if one.id != ruling.id))
        put_heat(session, heat)

    try:
        look(hall.projection.standing_rulings)
        return await store(hall, (ruling,), put)
    except Holds:
        return ()


def _rerun_heat(hall: Hall, place: Place, where: str) -> Heat:
    heats = [heat for heat in needed_roster(hall).heats if heat.event == place.event.id]
    if where == NEW_HEAT:
        heat = Heat(id=new_id(), event=place.event.id, number=max(one.number for one in heats) + 1)
    else:
        heat = next(one for one in heats if one.id == where)
    taken = {lane.lane for lane in heat.lanes}
    own = place.assignment.lane
    number = own if own not in taken else next(n for n in range(1, 100) if n not in taken)
    lane = Assignment(id=new_id(), lane=number, entry=place.assignment.entry, variant=place.assignment.variant)
    return heat.model_copy(update={"lanes": (*heat.lanes, lane)})
