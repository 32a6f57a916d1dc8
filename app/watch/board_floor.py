"""Who is on the floor, as the public board shows it: the heat, its windows for the clock, each lane's counts and total."""

import json
from collections.abc import Generator, Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import partial
from typing import Self

from app.hall.club_colours import club_colours
from app.hall.hall import Hall
from app.hall.heats import bar_lanes, heat_ms, lane_marks, lane_tally
from app.hall.lane_scores import cell_text, lane_score, score_so_far, stops_on
from app.hall.result_words import other_names
from app.live.kept_views import KeptViews
from app.live.servertime import go_bound_ms, go_on_this_timeline
from app.results.results_state import event_state
from app.rules.count.lift_order import called_lift, called_next
from app.rules.count.sheets import variant_key
from app.rules.count.tally import Tally
from app.rules.records.document import Run
from app.rules.records.roster import Assignment, Entry, Event, Heat, Roster
from app.rules.result.scoring import unit_word
from app.rules.values.words import say
from app.rules.workout.formats import Format
from app.rules.workout.movements import shown_name
from app.rules.workout.score_units import score_unit
from app.watch.bar_clocks import BarClockView, bar_clock_view
from app.watch.board_lifts import LiftsView, lifts_views, next_words

FEW_LINES = 7  # up to so many lines of larger type fit the height of a wall


def list_size(lines: int) -> str:
    """How much room a list of so many lines has on a wall: `few` may be larger."""
    return "few" if lines <= FEW_LINES else "many"


@dataclass(frozen=True, slots=True)
class MemberView:
    """A member of an entry, numbered as windows name them."""

    number: int
    name: str


@dataclass(frozen=True, slots=True)
class LaneView:
    """A lane of the heat on the floor. `score` is empty before anything was judged there. `counts` is JSON: what each window of
    the event holds so far, as text. `lifts` are its lift windows."""

    id: str
    lane: int
    entry: str
    division: str
    variant: str
    members: tuple[MemberView, ...]
    score: str
    counts: str
    stopped: bool
    lifts: tuple[LiftsView, ...] = ()
    colours: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FloorView:
    """The heat that is shown. `stated`: how final its event's results are, in words. `windows` is JSON for the heat
    clock; `go_server_ms` is on the timeline that `boot` names; `bound_ms`: how far it may be off; None: nobody knows. Where the
    lanes share one bar, `order` says who is called or next, `after` who comes after them, `called` is that lane's number, 0 for
    nobody's, and `attempt` how the clock of whoever is at the bar runs."""

    heat: str
    event: str
    number: int
    state: str
    stated: str
    go_server_ms: int
    boot: str
    bound_ms: int | None
    holds: str
    members: int
    unit: str
    size: str
    windows: str
    lanes: tuple[LaneView, ...]
    order: str = ""
    after: str = ""
    called: int = 0
    attempt: BarClockView | None = None

    @property
    def attempt_plain(self) -> str:
        """The attempt's clock as JSON for the page's script; empty where none runs."""
        return json.dumps(asdict(self.attempt), ensure_ascii=False) if self.attempt else ""


def floor_steps(hall: Hall, kept: KeptViews, roster: Roster, heat: Heat, run: Run) -> Generator[None, None, FloorView]:
    """The heat on the floor, in small steps."""
    event = next(event for event in roster.events if event.id == heat.event)
    people = kept.view("people", (roster,), None, lambda: _People.of(roster))
    lanes = []
    for lane in sorted(heat.lanes, key=lambda lane: lane.lane):
        of, marks = (roster, run, hall.projection.rulings, lane_tally(hall, run, lane)), hall.projection.marks_on(lane.id)
        lanes.append(kept.view(f"lane-{lane.id}", of, marks, partial(_lane, hall, people, event, run, lane)))
        yield
    at_bar = list(bar_lanes(hall, roster, event, run, heat))
    order = called_next(at_bar, heat_ms(hall, run))
    called = called_lift(order, at_bar)
    there = [called, *(one for one in order if one is not called)] if called else order
    return FloorView(
        heat=heat.id,
        event=event.name,
        number=heat.number,
        state=run.state,
        stated=event_state(hall, event),
        go_server_ms=go_on_this_timeline(run, hall.time),
        boot=hall.time.boot,
        bound_ms=go_bound_ms(run, hall.time),
        holds=json.dumps([hold.model_dump() for hold in run.holds]),
        members=event.format.members,
        unit="" if (unit := score_unit(event.format, event.format.scores[0])) == "s" else unit_word(unit),
        size=list_size(len(heat.lanes)),
        windows=json.dumps([_window(event.format, i) for i in range(len(event.format.windows))], ensure_ascii=False),
        lanes=tuple(lanes),
        order=next_words(there, called=called is not None),
        after=next_words(there[1:]),
        called=there[0].lot if there else 0,
        attempt=bar_clock_view(hall, run, at_bar) if run.state == "set" else None,
    )


def _window(format: Format, index: int) -> dict[str, object]:
    """A window as the board's clock needs it: the shape of the rule book's own, what to call its work, which way it counts."""
    window = format.windows[index]
    task = None if window.task is None else format.tasks[window.task]
    work = say("Work list") if task is None or task.kind == "list" else shown_name(format.movements[task.movement].name)
    says = say("rest") if task is None else work
    who = list(window.who) if isinstance(window.who, tuple) else window.who
    return {
        "start": window.start,
        "seconds": window.seconds,
        "task": window.task,
        "who": who,
        "says": says,
        "up": format.counts_up(index),
    }


@dataclass(frozen=True, slots=True)
class _People:
    """Who competes, by id: looked up for every lane of a floor."""

    entries: Mapping[str, Entry]
    names: Mapping[str, str]
    divisions: Mapping[str, str]
    colours: Mapping[str, tuple[str, ...]]

    @classmethod
    def of(cls, roster: Roster) -> Self:
        return cls(
            {entry.id: entry for entry in roster.entries},
            {athlete.id: athlete.name for athlete in roster.athletes},
            {division.id: division.name for division in roster.divisions},
            club_colours(roster),
        )


def _lane(hall: Hall, people: _People, event: Event, run: Run, lane: Assignment) -> LaneView:
    entry = people.entries[lane.entry]
    names = people.names
    place = hall.projection.place_of(lane.id)
    format = place.format if place else event.format
    tally = lane_tally(hall, run, lane)
    made = score_so_far(hall, place, tally) if place else None
    variant = event.format.variant(variant_key(event, entry.division, lane.variant))
    return LaneView(
        id=f"lane-{lane.id}",
        lane=lane.lane,
        entry=entry.name,
        division=people.divisions[entry.division],
        variant=variant.name if variant else "",
        members=_members(entry, [names[member] for member in entry.members]),
        score=lane_score(made) if made else "",
        counts=json.dumps(_counts(format, tally), ensure_ascii=False),
        stopped=bool(stops_on(hall, lane, run.number)),
        lifts=lifts_views(format, tally, lane_marks(hall, run, lane), [names[member] for member in entry.members]),
        colours=people.colours.get(entry.id, ()),
    )


def _members(entry: Entry, names: Sequence[str]) -> tuple[MemberView, ...]:
    return tuple(MemberView(n, name) for n, name in enumerate(other_names(entry, names), start=1))


def _counts(format: Format, tally: Tally) -> list[str]:
    return [cell_text(format, window) for window in tally.windows]
