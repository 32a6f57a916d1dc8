"""Counts over the heat clock as pictures: how fast each lane's repetitions came, which were refused, which loads were tried."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.hall.hall import Hall
from app.hall.pictures import (
    PLOT,
    SMALL_PLOT,
    Bar,
    Column,
    Dot,
    Key,
    Level,
    Panel,
    Picture,
    Scale,
    Stroke,
    Tick,
    and_more,
    round_values,
    stepped,
)
from app.rules.agree.comparing import read_sheet
from app.rules.agree.pace import Stretch, pace, stretch_ms
from app.rules.count.lifting.judged import LiftTally
from app.rules.values.clock_times import clock_text, minutes_text
from app.rules.values.units import Load, decimal_text
from app.rules.values.words import decimal, say
from app.rules.workout.formats import Format
from app.rules.workout.words import window_text

SECONDS = (5, 10, 15, 30, 60, 120, 180, 300, 600, 1200)  # between the lines of the heat clock's ruler
LEAST_COUNT = 5  # repetitions that the ruler always shows


@dataclass(frozen=True, slots=True)
class LaneCounted:
    """What a lane did, in time: its name, the stretches of its windows of repetitions, its tries."""

    name: str
    stretches: tuple[Stretch, ...]
    lifts: tuple[LiftTally, ...]

    @property
    def reps(self) -> int:
        """All its repetitions that count."""
        return sum(one.reps for one in self.stretches)

    @property
    def refused(self) -> int:
        """All that were refused."""
        return sum(one.refused for one in self.stretches)


def lane_counted(hall: Hall, assignment: str, name: str) -> LaneCounted:
    """What counts of a lane so far, in time."""
    place, tally = hall.projection.place_of(assignment), hall.projection.counting_tally(assignment)
    if place is None or tally is None:
        return LaneCounted(name, (), ())
    sheets = hall.projection.marked_sheets(assignment)
    reads = {
        kind: read_sheet(place.format, hall.projection.sheet_marks(key), hall.projection.sheet_clock(key))
        for kind, key in sheets.items()
    }
    lifts = tuple(lift for window in tally.windows if "paper" not in window.by for lift in window.lifts)
    return LaneCounted(name, pace(place.format, tally, reads), lifts)


def counts_pictures(format: Format, lanes: Sequence[LaneCounted]) -> tuple[Picture, ...]:
    """The repetitions of some lanes over the heat clock, then their tries; nothing where there are none."""
    made = (_repetitions(format, lanes), _tries(format, lanes))
    return tuple(one for one in made if one is not None)


def _repetitions(format: Format, lanes: Sequence[LaneCounted]) -> Picture | None:
    shown = [lane for lane in lanes if lane.stretches]
    if not shown:
        return None
    clock, ticks = _clock(format)
    highest = max(one.so_far for lane in shown for one in lane.stretches)
    height = PLOT if len(shown) == 1 else SMALL_PLOT
    values = round_values(0, max(highest, LEAST_COUNT), 6 if len(shown) == 1 else 3)
    up = Scale(values[0], values[-1])
    levels = tuple(Level(up.up(value, height), decimal(decimal_text(value, 1)), zero=not value) for value in values)
    return Picture(
        name="counts-picture",
        title=say("Repetitions over the heat clock"),
        says=_says(shown, stretch_ms(format)),
        across=say("heat clock, in minutes:seconds"),
        up=say("repetitions in a window"),
        panels=tuple(
            Panel(
                lane.name if len(lanes) > 1 else "",
                _sum(lane) if len(lanes) > 1 else "",
                height,
                _windows(format, clock, lane, height),
                tuple(_lines(format, clock, up, lane, height)),
                tuple(_refused(clock, up, lane, height)),
                levels,
            )
            for lane in shown
        ),
        ticks=ticks,
        columns=(*map(Column, (say("Entry"), say("Window"), say("Time"))), *(Column(name, True) for name in _numbers())),
        rows=tuple(
            (lane.name, window_text(format, one.window), _span(one), str(one.reps), str(one.refused), str(one.so_far))
            for lane in shown
            for one in lane.stretches
        ),
        keys=(
            Key(say("repetitions that count"), "plain", "line"),
            *((Key(say("refused"), "look", "cross"),) if any(lane.refused for lane in shown) else ()),
        ),
    )


def _numbers() -> tuple[str, ...]:
    return say("Reps"), say("No reps"), say("Count")


def _clock(format: Format) -> tuple[Scale, tuple[Tick, ...]]:
    """The heat clock as a ruler, in ms."""
    seconds = stepped(0, -(-format.length_ms // 1000), SECONDS)
    scale = Scale(0, seconds[-1] * 1000)
    return scale, tuple(Tick(scale.across(at * 1000), minutes_text(at)) for at in seconds)


def _windows(format: Format, clock: Scale, lane: LaneCounted, height: int) -> tuple[Bar, ...]:
    """A ground under each window that was counted, so that rest between them is seen."""
    indexes = dict.fromkeys(one.window for one in lane.stretches)
    places = [(format.windows[index], window_text(format, index)) for index in indexes]
    return tuple(
        Bar(clock.across(one.start_ms), clock.wide(one.start_ms, one.end_ms), 0, height, "break", words) for one, words in places
    )


def _lines(format: Format, clock: Scale, up: Scale, lane: LaneCounted, height: int) -> Sequence[Stroke]:
    made = []
    for one in lane.stretches:
        before = one.so_far - one.reps
        ends = clock.across(one.start_ms), up.up(before, height), clock.across(one.end_ms), up.up(one.so_far, height)
        made.append(Stroke(*ends))
    return made


def _refused(clock: Scale, up: Scale, lane: LaneCounted, height: int) -> Sequence[Dot]:
    """A cross at the end of each stretch in which repetitions were refused."""
    return [
        Dot(
            clock.across(one.end_ms),
            up.up(one.so_far, height),
            "cross",
            "look",
            f"{_span(one)}: {say('{n} refused', n=one.refused)}",
        )
        for one in lane.stretches
        if one.refused
    ]


def _span(one: Stretch) -> str:
    return say("{start} to {end}", start=clock_text(one.start_ms), end=clock_text(one.end_ms))


def _sum(lane: LaneCounted) -> str:
    return ", ".join((say("repetitions", n=lane.reps), *((say("{n} refused", n=lane.refused),) if lane.refused else ())))


def _says(lanes: Sequence[LaneCounted], step_ms: int) -> str:
    most = max(lanes, key=lambda lane: lane.reps)
    if len(lanes) > 1:
        worst = max(lane.refused for lane in lanes)
        refused = [lane.name for lane in lanes if lane.refused == worst]
        told = [lane.name for lane in lanes if lane.reps == most.reps]
        said = say(" Most refused: {who}, {number}.", who=and_more(refused), number=worst) if worst else ""
        return say("Most repetitions: {who}, {number}.", who=and_more(told), number=most.reps) + said
    fastest = max(most.stretches, key=lambda one: one.reps)
    step, since = minutes_text(step_ms // 1000), clock_text(fastest.start_ms)
    return say("{sum}. Fastest: {reps} in {step}, from {since} on.", sum=_sum(most), reps=fastest.reps, step=step, since=since)


def _tries(format: Format, lanes: Sequence[LaneCounted]) -> Picture | None:
    shown = [lane for lane in lanes if lane.lifts]
    if not shown:
        return None
    clock, ticks = _clock(format)
    height = PLOT if len(shown) == 1 else SMALL_PLOT
    loads = [lift.load.in_unit(format.unit) for lane in shown for lift in lane.lifts]
    values = round_values(min(loads), max(loads), 6 if len(shown) == 1 else 3)
    up = Scale(values[0], values[-1])
    levels = tuple(Level(up.up(value, height), decimal(decimal_text(value, 1))) for value in values)
    best = {lane.name: lift for lane in shown if (lift := _heaviest(lane))}
    top = max((lift.load for lift in best.values()), default=None)
    tops = [name for name, lift in best.items() if lift.load == top]
    return Picture(
        name="tries-picture",
        title=say("Tries over the heat clock"),
        says=_heaviest_words(tops, top),
        across=say("heat clock, in minutes:seconds"),
        up=say("load, in {unit}", unit=format.unit),
        panels=tuple(
            Panel(
                lane.name if len(lanes) > 1 else "",
                _best_words(best.get(lane.name)) if len(lanes) > 1 else "",
                height,
                dots=tuple(_try(clock, up, lift, format, height) for lift in lane.lifts),
                levels=levels,
            )
            for lane in shown
        ),
        ticks=ticks,
        columns=(*map(Column, (say("Entry"), say("Time"))), Column(say("Load"), True), Column(say("Lift"))),
        rows=tuple(
            (lane.name, clock_text(lift.at), decimal(lift.load.text()), _verdict(lift)) for lane in shown for lift in lane.lifts
        ),
        keys=(Key(say("good lift"), "plain", "disc"), Key(say("no lift"), "look", "cross")),
    )


def _try(clock: Scale, up: Scale, lift: LiftTally, format: Format, height: int) -> Dot:
    at, y = clock.across(lift.at), up.up(lift.load.in_unit(format.unit), height)
    words = f"{clock_text(lift.at)}: {decimal(lift.load.text())}, {_verdict(lift)}"
    return Dot(at, y, "disc", words=words) if lift.good else Dot(at, y, "cross", "look", words)


def _verdict(lift: LiftTally) -> str:
    return say("good" if lift.good else "no lift") + ("" if lift.counts else say(", does not count"))


def _heaviest(lane: LaneCounted) -> LiftTally | None:
    return max((lift for lift in lane.lifts if lift.good and lift.counts), key=lambda lift: lift.load.kg, default=None)


def _heaviest_words(names: list[str], load: Load | None) -> str:
    if load is None:
        return say("No good lift yet.")
    return say("The heaviest good lift: {who}, {load}.", who=and_more(names), load=decimal(load.text()))


def _best_words(lift: LiftTally | None) -> str:
    return say("best {load}", load=decimal(lift.load.text())) if lift else say("no good lift")
