"""Who is called at a shared bar, as an announcer says it: who is up, who is next, those after, how the last attempt went."""

from collections.abc import Generator, Sequence
from dataclasses import dataclass

from app.hall.hall import Hall
from app.hall.heats import bar_lanes, heat_ms
from app.hall.result_words import shared_place
from app.rules.count.lift_order import BarLane, Waiting, bar_window, called_lift, called_next
from app.rules.records.document import Run
from app.rules.records.roster import Assignment, Event, Heat, Roster
from app.rules.result.chasing import Turn, with_good
from app.rules.result.totals import used_up
from app.rules.values.units import both_units
from app.rules.values.words import apart, decimal, say
from app.rules.workout.formats import Format
from app.rules.workout.tasks import LiftTask
from app.watch.board_lifts import attempt_view, load_words
from app.watch.called_out import called_now
from app.watch.warm_up import lift_name


@dataclass(frozen=True, slots=True)
class Coming:
    """A lift that comes: the lane, whose it is and by which member (0: the entry is one, or nobody knows), its load in both
    units, which attempt it is, and what a good lift would come to: told of who is up and who is next, each a ranking; empty where
    it would bring no place."""

    lane: int
    entry: str
    member: int
    load: str
    attempt: str
    good: str


@dataclass(frozen=True, slots=True)
class BarNow:
    """A shared bar of a heat on the floor. lift: what is lifted there now. up: whoever was called and has not lifted, else who
    can be called now; called: which of both. spent: nobody has an attempt left. then: those after, in order. must: who has to
    declare more before anybody can be called, in words; last: what the attempt before came to, in words."""

    lift: str
    up: Coming | None
    called: bool
    spent: bool
    then: tuple[Coming, ...]
    must: str
    last: str


def bar_steps(hall: Hall, roster: Roster, event: Event, heat: Heat, run: Run) -> Generator[None, None, BarNow | None]:
    """How it stands at the bar that the lanes of a heat share, in small steps; None where they share none, or have done all
    lifts."""
    lanes, ms = list(bar_lanes(hall, roster, event, run, heat)), heat_ms(hall, run)
    window = bar_window(event.format, ms)
    if not lanes or window is None:
        return None
    order = called_next(lanes, ms)
    up = called_now(order, lanes)
    of = {lane.lane: lane for lane in heat.lanes}

    def coming(one: Waiting, told: bool) -> Generator[None, None, Coming]:
        yield
        return _coming(hall, roster, event, of[one.lot], window, one, told)

    first = (yield from coming(up, True)) if up else None
    then = list[Coming]()
    for one in (one for one in order if one is not up and one.least is None):
        then.append((yield from coming(one, up is not None and not then)))
    yield
    return BarNow(
        lift=lift_name(event.format, window),
        up=first,
        called=called_lift(order, lanes) is not None,
        spent=all(lane.out or used_up(lane.format, lane.tally.windows[window]) for lane in lanes),
        then=tuple(then),
        must=_must(order),
        last=_last(lanes, window),
    )


def _must(order: Sequence[Waiting]) -> str:
    """Who has to declare more: the bar was called with more already."""
    found = next(((one.who, one.least) for one in order if one.least is not None), None)
    return say("{who} declares {load} or more first", who=apart(found[0]), load=decimal(both_units(found[1]))) if found else ""


def _coming(hall: Hall, roster: Roster, event: Event, lane: Assignment, window: int, one: Waiting, told: bool) -> Coming:
    place = hall.projection.place_of(lane.id)
    format = place.format if place else event.format
    task = format.tasks[format.windows[window].task or ""]
    all_of = task.attempts if isinstance(task, LiftTask) else None
    number = one.attempts + 1
    return Coming(
        lane=lane.lane,
        entry=one.who,
        member=_member(hall, lane, format, window, one),
        load=load_words(one, decimal(both_units(one.load))),
        attempt=say("attempt {number} of {all}", number=number, all=all_of) if all_of else say("attempt.number", n=number),
        good=_good_words(hall, roster, event, Turn(lane.id, window), one) if told else "",
    )


def _member(hall: Hall, lane: Assignment, format: Format, window: int, one: Waiting) -> int:
    """Who of a team lifts: as the declaration says, else the window's only member."""
    who = format.windows[window].who
    only = who[0] if isinstance(who, tuple) and len(who) == 1 else 0
    said = next((mark.body.get("member") for mark in hall.projection.assignment_marks(lane.id) if mark.id == one.declared), None)
    return (said or only) if format.members > 1 else 0


def _good_words(hall: Hall, roster: Roster, event: Event, turn: Turn, one: Waiting) -> str:
    """What a good lift would come to: `A good lift: 1 of 6, ahead of Bo.` Empty while nobody else has a place."""
    now = hall.projection
    lanes = [lane.id for heat in roster.heats if heat.event == event.id for lane in heat.lanes]
    tallies = {lane: tally for lane in lanes if (tally := now.counting_tally(lane)) is not None}
    found = with_good(roster, now.event_results(event.id), tallies, now.rulings, turn, one.load, now.runs)
    if found is None or found.of == 1:
        return ""
    place = shared_place(found.place, found.shared)
    if not found.past:
        return say("A good lift: {place} of {of}.", place=place, of=found.of)
    return say("A good lift: {place} of {of}, ahead of {entry}.", place=place, of=found.of, entry=apart(found.past[0]))


def _last(lanes: Sequence[BarLane], window: int) -> str:
    """The attempt judged last at the bar: `Bo Quill, 110 kg, good lift`; empty before any."""
    tried = [(lift.at, lane, lift) for lane in lanes for lift in lane.tally.windows[window].lifts]
    if not tried:
        return ""
    _, lane, lift = max(tried, key=lambda one: (one[0], one[1].lot))
    return f"{apart(lane.who)}, {attempt_view(lift, lane.tally.windows[window]).spoken}"
