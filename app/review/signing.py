"""Signing an event's results off, which lets nothing later change them, and opening them again."""

import asyncio
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Literal

from sqlmodel import Session

from app.hall.changing import new_id
from app.hall.forms import Reading, Typed, lower_first, refuse
from app.hall.hall import Hall
from app.hall.hand_clock import later_than_all
from app.hall.heats import newest_runs
from app.hall.organising import needed_roster
from app.hall.signed import event_marks
from app.hall.views import State
from app.results.results_state import finality_of, finality_text, stated, stated_overall, times_running
from app.review.announcing import announced_when, not_to_announce, on_the_floor, taken_back_does
from app.review.finding import Flag, flag_row
from app.review.flags import open_flags
from app.review.ruling import store, who_and_why
from app.rules.records.document import counting_number
from app.rules.records.in_force import after_sign_off, signed_off
from app.rules.records.marks import sheet_key
from app.rules.records.roster import Event, Heat
from app.rules.records.rulings import LINE, MOST_LEFT_OUT, Ruling
from app.rules.records.signed import marks_held
from app.rules.result.in_the_way import Obstacle, in_the_way, not_settled
from app.rules.result.protests import Finality, open_protests
from app.rules.result.signed_words import proof_lines
from app.rules.values.words import say
from app.rules.workout.words import listed
from app.store.kinds import RULINGS
from app.store.practice import keyings
from app.store.refusals import NotThere

Shape = Literal["safe", "look", "kept"]
TIME = "time"  # what a key begins with that is about a time which is not over: nothing settles it but waiting
LOOKS = 3  # at an event that goes on changing
SIGNED = "Results checked and signed off"


@dataclass(frozen=True, slots=True)
class ObstacleLine:
    """One thing in the way of a sign-off: in words, where to settle it, and the field for the reason to leave it out."""

    field: str
    what: str
    link: str


@dataclass(frozen=True, slots=True)
class EventLine:
    """An event at the review: how final it is, what its sign-off left out, what came after it, what of it can't be proven; what
    stands in the way of one, and `refusal` where it can't be signed off now whatever else. `announced`: when its result was,
    empty while it was not; `to_announce`: whether it can be now; `back_does`: what taking it back does, empty if it can't be."""

    id: str
    name: str
    state: State
    came_after: str
    proof: str
    notes: tuple[str, ...]
    signed: bool
    obstacles: tuple[ObstacleLine, ...]
    refusal: str
    announced: str
    to_announce: bool
    back_does: str


def event_lines(hall: Hall) -> tuple[EventLine, ...]:
    """The events in the order run."""
    waiting = open_flags(hall)
    papers = _papers(hall)
    return tuple(_line(hall, event, waiting, papers) for event in needed_roster(hall).events)


@dataclass(frozen=True, slots=True)
class OverallLine:
    """The overall standing at the review: how final it is, and why it is not."""

    state: State
    notes: tuple[str, ...]


def overall_line(hall: Hall) -> OverallLine | None:
    """How final the overall standing is; None where nobody has said how it is made, and nothing was signed of it."""
    said = stated_overall(hall)
    if needed_roster(hall).overall is None and not said.since:
        return None
    return OverallLine(State("safe" if said.final else "look" if said.since else "kept", said.text), said.notes)


def _line(hall: Hall, event: Event, flags: Sequence[Flag], papers: Mapping[str, str]) -> EventLine:
    found = finality_of(hall, event)
    shape: Shape = (
        "look"
        if found.faults
        else "safe"
        if found.state == "signed"
        else "look"
        if found.state == "protested" or found.opened
        else "kept"
    )
    there = () if found.state == "signed" else obstacles(hall, event, flags, papers)
    return EventLine(
        id=event.id,
        name=event.name,
        state=State(shape, finality_text(hall, found)),
        came_after=came_after(hall, event),
        proof=_proof(found),
        notes=stated(hall, event).notes,
        signed=found.signed is not None,
        obstacles=tuple(ObstacleLine(_field(one), one.what, _link(one)) for one in there),
        refusal=_refusal(hall, event),
        announced=announced_when(hall, event),
        to_announce=not not_to_announce(hall, event),
        back_does=taken_back_does(hall, event),
    )


def obstacles(hall: Hall, event: Event, flags: Sequence[Flag], papers: Mapping[str, str]) -> tuple[Obstacle, ...]:
    """What stands in the way of an event's sign-off; `flags` and `papers` (what is said of a lane's) wait for somebody."""
    roster, found = needed_roster(hall), hall.projection.event_results(event.id)
    of_event = {lane.id: (heat, lane) for heat in _heats(hall, event) for lane in heat.lanes}
    odd = [
        Obstacle(f"flag:{flag.key}", f"Heat {heat.number}, lane {lane.lane}: {lower_first(flag_row(flag.why).name)}")
        for flag in flags
        if flag.assignment in of_event
        for heat, lane in [of_event[flag.assignment]]
    ]
    odd += [
        Obstacle(f"paper:{lane.id}", f"Heat {heat.number}, lane {lane.lane}: {papers[lane.id]}")
        for heat, lane in of_event.values()
        if lane.id in papers
    ]
    odd += _times_running(hall, event)
    return in_the_way(roster, hall.projection.runs, hall.projection.rulings, found, odd)


def _times_running(hall: Hall, event: Event) -> list[Obstacle]:
    """The times for protests and appeals that are not over, by the competition's rule: whoever signs before they are says why."""
    found, rules = finality_of(hall, event), needed_roster(hall).competition
    waits = rules.protest_from == "announcement" and rules.protest_minutes > 0 and found.until_wall_ms is None
    if waits and not not_to_announce(hall, event):
        return [Obstacle(f"{TIME}:announcement", "Time for protests, which begins when the result is announced")]
    return [Obstacle(f"{TIME}:{what}", f"Time for {what}, until {end}") for what, end in times_running(hall, found)]


def _papers(hall: Hall) -> dict[str, str]:
    """What is said of each lane whose paper was keyed in and is not settled."""
    waiting: dict[str, list[str]] = {}
    for keying in hall.database.read(keyings):
        if keying.state == "waits":
            waiting.setdefault(sheet_key(keying.sheet).assignment, []).append(keying.by)
    once, differ = "paper keyed in once, by {}", "paper keyed in by {}, and they differ"
    return {lane: (once if len(names) == 1 else differ).format(listed(names)) for lane, names in waiting.items()}


def _field(one: Obstacle) -> str:
    """The form's field for the reason to leave something out: the same for the same thing, however many stand before it."""
    return f"why-{sha256(one.key.encode()).hexdigest()[:12]}"


def _link(one: Obstacle) -> str:
    kind, _, key = one.key.partition(":")
    match kind:
        case "flag":
            return f"/review/lanes/{key.partition(':')[0]}?flag={key}"
        case "protest":
            return f"/review/protests/{key}"
        case "paper":
            return f"/desk/paper/key/{key}"
        case _:
            return "" if kind == TIME else "/desk"


def _proof(found: Finality) -> str:
    """What can't be shown of the marks that were signed, in words; empty while all of it can."""
    return " ".join(proof_lines(found.signed, found.faults)) if found.signed else ""


def came_after(hall: Hall, event: Event) -> str:
    """What came after an event was signed off, in words; empty for nothing."""
    signed = signed_off(hall.projection.rulings, event.id)
    if signed is None:
        return ""
    marks = sum(len(hall.projection.came_late(lane.id)) for heat in _heats(hall, event) for lane in heat.lanes)
    rulings = [one for one in after_sign_off(hall.projection.rulings, event.id) if _is_on(hall, one, event)]
    named = {str(one["key"]) for one in signed.body.get("left_out", ())}
    open_ones = open_protests(event.id, hall.projection.rulings, needed_roster(hall).protests)
    protests = sum(f"protest:{one.id}" not in named for one in open_ones)
    late = ((marks, "marks"), (len(rulings), "rulings"), (protests, "protests"))
    told = listed([say(what, n=n) for n, what in late if n])
    return f"{told} came after the sign-off, and nothing changes until it is reopened." if told else ""


def _is_on(hall: Hall, ruling: Ruling, event: Event) -> bool:
    if ruling.kind in ("flag", "protest", "announce", "undo", "sign_off"):
        return False
    place = hall.projection.place_of(ruling.assignment) if ruling.assignment else None
    return place.event.id == event.id if place else ruling.event in (None, event.id)


def _heats(hall: Hall, event: Event) -> list[Heat]:
    return [heat for heat in needed_roster(hall).heats if heat.event == event.id]


def _refusal(hall: Hall, event: Event) -> str:
    if words := on_the_floor(hall, event):
        return words
    runs = newest_runs(hall.projection.runs)
    return "" if any(heat.id in runs for heat in _heats(hall, event)) else f"No heat of {event.name} has been run yet."


def _event(hall: Hall, key: str) -> Event:
    event = next((event for event in needed_roster(hall).events if event.id == key), None)
    if event is None:
        raise NotThere("There is no such event. It may have been deleted in the meantime.")
    return event


async def sign_off(hall: Hall, key: str, typed: Typed, signer: str = "desk") -> Ruling:
    """Signs an event off with the marks, runs and rulings of this moment; `signer`: whose password it is signed by.

    Whatever stands in the way must be left out by its name with a reason, which is published. Raises BadForm, NotThere.
    """
    event, read = _event(hall, key), Reading(typed)
    by, why = read.name("by", "Your name"), read.optional("why", "The remark", 300)
    refusal = _refusal(hall, event)
    if refusal:
        read.wrong("by", refusal)
    if signed_off(hall.projection.rulings, key) is not None:
        read.wrong("by", f"{event.name} is signed off already.")
    there = await _looked_through(hall, event, read)
    if len(there) > MOST_LEFT_OUT:
        read.wrong("by", f"{len(there)} things are open; at most {MOST_LEFT_OUT} can be left out. Settle some first.")
    reasons = {one.key: read.optional(_field(one), "The reason", 300) for one in there}
    for one in not_settled(there, reasons):
        first = "wait for it" if one.key.startswith(f"{TIME}:") else "settle it first"
        read.wrong(_field(one), f"{one.what}: {first}, or say why it is left out.")
    read.done()
    left_out = [{"key": one.key, "what": _fitting(one.what), "why": reasons[one.key]} for one in there]
    runs = {heat.id: counting_number(hall.projection.runs, heat.id) for heat in _heats(hall, event)}
    marks = marks_held(filter(hall.projection.counts, event_marks(hall, event)))
    overall = needed_roster(hall).overall
    body: dict[str, object] = {"state": "signed", "marks": marks, "runs": runs, "signer": signer, "left_out": left_out}
    body |= {"overall": None if overall is None else overall.model_dump(mode="json")}
    return await _store(hall, event, body, by, why or SIGNED)


async def _looked_through(hall: Hall, event: Event, read: Reading) -> tuple[Obstacle, ...]:
    """What stands in the way, as of this moment: every sheet is looked through, and not on the loop that takes the marks. What
    came meanwhile nobody has looked at, so it is looked through again."""
    for _ in range(LOOKS):
        seen = hall.projection.event_results(event.id)
        there = await asyncio.to_thread(lambda: obstacles(hall, event, open_flags(hall), _papers(hall)))
        if hall.projection.event_results(event.id) is seen:
            return there
    read.wrong("by", f"{event.name} went on changing while it was looked through. Look at it, and sign again.")
    return there


def _fitting(what: str) -> str:
    """What is left out, in a line of the record: long names of several people may be more than it holds."""
    return what if len(what) <= LINE else f"{what[: LINE - 1]}…"


async def open_again(hall: Hall, key: str, typed: Typed) -> Ruling:
    """Opens a signed event again, for a reason. What came after the sign-off counts from then on. Raises BadForm, NotThere."""
    event, read = _event(hall, key), Reading(typed)
    by, why = who_and_why(read)
    read.done()
    if signed_off(hall.projection.rulings, key) is None:
        raise refuse("by", f"{event.name} is not signed off.")
    return await _store(hall, event, {"state": "open"}, by, why)


async def _store(hall: Hall, event: Event, body: Mapping[str, object], by: str, why: str) -> Ruling:
    plain = {"id": new_id(), "kind": "sign_off", "event": event.id, "body": body, "by": by, "why": why}
    ruling = Ruling.model_validate({**plain, "made_wall_ms": later_than_all(hall)})

    def only_once(session: Session) -> None:
        """Of two who press at once, on whatever device, one has signed, or opened, before the other."""
        others = [one for one in RULINGS.all(session) if one.id != ruling.id]
        if (signed_off(others, event.id) is not None) == (body["state"] == "signed"):
            raise refuse("by", f"{event.name} is {'signed off already' if body['state'] == 'signed' else 'open already'}.")

    await store(hall, (ruling,), only_once)
    return ruling
