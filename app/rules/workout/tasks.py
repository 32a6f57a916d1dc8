"""Tasks: what is done in a window, and the movements it is done with."""

from collections.abc import Mapping
from fractions import Fraction
from itertools import pairwise
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from app.rules.values.shapes import Base, ExactLoad, ExactNumber, Key, Line, MoreThanNothing, Name
from app.rules.values.units import KG_IN, MOST_LOAD_KG, Load, Rounding, decimal_text, round_to
from app.rules.workout.misload import MisloadRule

MOST_MEMBERS = 12
MOST_TAPS = 20_000
MOST_SECONDS = 6 * 3600  # of an event
FASTEST_TAPS = 4  # a second: nobody does listed work faster for a whole window; common sense, no source
MOST_CREW = 20  # people at one bar
MOST_LOADS = 60  # of a lift whose load grows, written one by one
NOTHING_COUNTS = "No line of the work list counts. Leave “= 0” out of one of them at least."

Who = Literal["all", "any"] | tuple[Annotated[int, Field(ge=1, le=MOST_MEMBERS)], ...]


LiftOrder = Literal["lanes", "lightest", "rounds"]
StepLoad = Annotated[ExactLoad, MoreThanNothing("The smallest step and the smallest plate of a lift weigh more than nothing.")]


class Fault(Base):
    """A named reason why a repetition or a lift does not count, with the words a judge says."""

    id: Key
    name: Name
    say: Line | None = None


class Movement(Base):
    """An exercise: what makes a repetition count, why one does not, and the bounds beyond which a mark is flagged.

    `name` is in the organiser's own words. `library`: the movement of the library that its standards, faults and cautions began
    as; None for one of the organiser's own, and in formats from before it was said. `faults` come most likely first. `checks` is
    what the judge looks at before the heat; empty: what is usual, see rules/count/gear_check.py. `fastest_ms` is the least
    believable time between two repetitions, `heaviest` the load above which a lift is flagged; both flag and never refuse.
    """

    name: Name
    library: Key | None = None
    standards: tuple[Line, ...] = ()
    faults: tuple[Fault, ...] = ()
    cautions: tuple[Line, ...] = ()
    checks: tuple[Line, ...] = ()
    fastest_ms: int | None = Field(default=None, ge=1, le=600_000)
    heaviest: ExactLoad | None = None

    @model_validator(mode="after")
    def _faults_differ(self) -> Self:
        unique([fault.id for fault in self.faults], f"{self.name} has the fault {{}} twice.")
        return self


class CountTask(Base):
    """Repetitions of one movement.

    With a target, repetitions beyond it do not count, each later window of the task asks `grows` more, and a miss may put the
    entry out: what it does in later windows of the task no longer counts.
    """

    kind: Literal["count"] = "count"
    movement: Key
    target: int | None = Field(default=None, ge=1, le=100_000)
    grows: int = Field(default=0, ge=0, le=10_000)
    miss_puts_out: bool = False


class WorkItem(Base):
    """One line of a work list: `reps` taps of a movement, each worth `worth` repetitions of work (a 20 calorie row: one tap
    worth 20; 0: it is done, and does not count).

    words: what the organiser calls the movement on this line, where that is not its name: `1 burpee` among `10 burpees`.
    """

    movement: Key
    words: Name | None = None
    reps: int = Field(ge=1, le=100_000)
    worth: int = Field(default=1, ge=0, le=100_000)
    load: ExactLoad | None = None
    who: Who | None = None
    note: Line | None = None

    def called(self, movements: Mapping[str, Movement]) -> str:
        """What the movement is called on this line."""
        return self.words or movements[self.movement].name

    @property
    def amount(self) -> int:
        """How many are done by its end, whether they count or not."""
        return self.reps * (self.worth or 1)


class ListTask(Base):
    """A list of work done in order, `rounds` times; without `rounds` it starts again until the bell. Finishing it gives a
    time.

    A line that does not count is done like any other: the list goes on behind it, and is finished with all of its lines. It adds
    nothing to what is done, nor to what is left at a cap, where a finisher stands before whoever has only such lines left.
    """

    kind: Literal["list"] = "list"
    items: tuple[WorkItem, ...] = Field(min_length=1, max_length=200)
    rounds: int | None = Field(default=1, ge=1, le=1000)

    @property
    def work_in_round(self) -> int:
        """The repetitions of work in one round."""
        return sum(item.reps * item.worth for item in self.items)

    @model_validator(mode="after")
    def _bounded(self) -> Self:
        if self.taps_in_round > MOST_TAPS:
            raise ValueError(f"One round of a work list has at most {MOST_TAPS} repetitions.")
        if not self.work_in_round:
            raise ValueError(NOTHING_COUNTS)
        return self

    @property
    def all_counts(self) -> bool:
        """Whether each of its lines counts."""
        return all(item.worth for item in self.items)

    @property
    def taps_in_round(self) -> int:
        """The taps that finish one round."""
        return sum(item.reps for item in self.items)

    def under_way(self, taps: int) -> tuple[int, WorkItem, int] | None:
        """After so many taps: the round (from 1), its line under way and the taps that it still takes; None when all is done."""
        round_before, done = divmod(taps, self.taps_in_round)
        if self.rounds is not None and round_before >= self.rounds:
            return None
        for item in self.items:
            if done < item.reps:
                return round_before + 1, item, item.reps - done
            done -= item.reps
        return None


class LiftTask(Base):
    """Lift a declared load.

    bar, collars: weights; of both collars together, and `collars_counted` says whether a declared load includes them.
    least_plate: the smallest plate. rack: the lift begins from a rack, not from the floor. bars: one for all who lift in a
    window, or one each. step: declared loads are multiples of it. step_after_good: after a good lift, a member's next load is
    heavier by that at least. record_step: the step of a declared record attempt, None where there are none. attempts:
    declarations that a member may lift in a window, None for as many as time allows. misses_out: so many misses running put a
    member out of it; a load that is passed is no miss. tries_until_racked: another try under the
    same declaration until the bar is racked. counts_when: a lift must be begun or finished before the bell; decide_seconds: how
    long after the bell one that was begun may be decided, None for however long. may_go_down: a load may be less than one that
    the member has tried before. attempt_seconds: so long the bar may stay in its rack, from its being free, or from the lifter's
    call (attempt_from, see by_call); follow_seconds: the same for who follows themselves, None for no longer; warn_seconds: a
    warning so long before the end. times_reps: a lift is worth its load times its repetitions. judges: who decide, by majority.
    order: every lane lifts for itself, or all lanes share one bar: the lightest declared load first, or in rounds, see
    rules/count/lift_order.py. misload: see rules/workout/misload.py; again_when: when a lift is made that it lets make again.
    declare_seconds: the next load is declared within so many seconds of the lifter's decided attempt, else the rule's stands: the
    same after a miss, auto_step more after a good lift (None: the least increase, else the least step); 0: the rule's stands at
    once, until the lifter says another; None: no rule puts one in. changes: how often an attempt's load may be changed,
    opener_changes and last_changes: that of the first and of the last attempt where it is another (None: the same);
    opener_seconds: an opener may be changed until so long before the lift's window opens. change_left_seconds: a change, or the
    first word on an attempt whose clock runs, needs so much time left on it; follow_left_seconds: the first word of who follows
    themselves. lower_change: which changes may lower the load. bar_rises: no declaration is below what the bar of the platform
    was called with before. again_seconds: more time for an attempt made again after a wrong load; again_less_seconds: less of it
    for each lift that lay between.
    spotters, loaders: how many stand at the bar, counted before each attempt; None where nobody said.
    loads: those of a lift whose load grows, in order; rise: by which it grows beyond the last of them;
    rises: after each good lift, or from window to window of the same people. Where it grows from window to window, who did not
    lift the load of a window is out; who is put out by misses is so in later windows too. Nothing after that counts, so the score
    is the last good load.
    """

    kind: Literal["lift"] = "lift"
    movement: Key
    bar: ExactLoad
    collars: ExactLoad | None = None
    collars_counted: bool = True
    least_plate: StepLoad
    rack: bool = True
    bars: Literal["one", "each"] = "one"
    step: StepLoad
    step_after_good: StepLoad | None = None
    record_step: StepLoad | None = None
    attempts: int | None = Field(default=None, ge=1, le=100)
    misses_out: int | None = Field(default=None, ge=1, le=100)
    tries_until_racked: bool = True
    counts_when: Literal["begun", "finished"] = "finished"
    decide_seconds: int | None = Field(default=None, ge=1, le=3600)
    may_go_down: bool = True
    attempt_seconds: int | None = Field(default=None, ge=5, le=3600)
    attempt_from: Literal["free", "called"] = "free"
    follow_seconds: int | None = Field(default=None, ge=5, le=3600)
    warn_seconds: int | None = Field(default=None, ge=1, le=3600)
    times_reps: bool = False
    judges: Literal[1, 3] = 1
    order: LiftOrder = "lanes"
    again_when: Literal["at_once", "round_end"] = "at_once"
    misload: MisloadRule = MisloadRule()
    loads: tuple[ExactLoad, ...] = Field(default=(), max_length=MOST_LOADS)
    rise: StepLoad | None = None
    rises: Literal["lift", "window"] = "lift"
    declare_seconds: int | None = Field(default=None, ge=0, le=3600)
    auto_step: StepLoad | None = None
    changes: int | None = Field(default=None, ge=0, le=100)
    opener_changes: int | None = Field(default=None, ge=0, le=100)
    opener_seconds: int | None = Field(default=None, ge=0, le=7200)
    last_changes: int | None = Field(default=None, ge=0, le=100)
    change_left_seconds: int | None = Field(default=None, ge=0, le=3600)
    follow_left_seconds: int | None = Field(default=None, ge=0, le=3600)
    lower_change: Literal["any", "opener", "never"] = "any"
    bar_rises: bool = False
    again_seconds: int | None = Field(default=None, ge=0, le=3600)
    again_less_seconds: int | None = Field(default=None, ge=0, le=3600)
    spotters: int | None = Field(default=None, ge=1, le=MOST_CREW)
    loaders: int | None = Field(default=None, ge=1, le=MOST_CREW)

    def load_at(self, number: int) -> Load:
        """The load of a growing lift, by its number from 0 on; where the list ends without a rise, its last."""
        last, beyond = self.loads[-1], number - len(self.loads) + 1
        if beyond <= 0 or self.rise is None:
            return self.loads[min(number, len(self.loads) - 1)]
        unit = last.unit
        most = round_to(Fraction(MOST_LOAD_KG) / KG_IN[unit], Fraction(1), Rounding.DOWN)
        return Load(decimal_text(min(most, last.in_unit(unit) + beyond * self.rise.in_unit(unit)), 4), unit)

    @model_validator(mode="after")
    def _grows(self) -> Self:
        if any(later <= earlier for earlier, later in pairwise(self.loads)):
            raise ValueError("The loads of a lift that grows are written from the lightest to the heaviest, each once.")
        if not self.loads and self.rise is not None:
            raise ValueError("A load that grows needs the load to begin with.")
        if self.rise is not None and self.rise.unit != self.loads[-1].unit:
            raise ValueError("A load grows by a step in its own unit.")
        return self

    @property
    def by_call(self) -> bool:
        """Whether the time of an attempt runs from the call of the lifter and the bar's being ready: always so at a bar that
        lanes share, for no lane's own sheet can tell when that is free."""
        return self.attempt_from == "called" or self.order != "lanes"

    @model_validator(mode="after")
    def _warns_in_time(self) -> Self:
        if self.attempt_seconds is not None and (self.warn_seconds or 0) >= self.attempt_seconds:
            raise ValueError("The warning of an attempt comes before its time is over.")
        if self.follow_seconds is not None and self.follow_seconds < (self.attempt_seconds or self.follow_seconds + 1):
            raise ValueError(
                "A lifter who follows their own attempt has at least the time of an attempt, which must then be limited."
            )
        return self


class MeasureTask(Base):
    """A measured number: its unit, least step, what becomes of a number between two steps, the bounds a typed value must keep,
    and which counts when there are several in a window."""

    kind: Literal["measure"] = "measure"
    movement: Key
    unit: Literal["m", "cm", "km", "ft", "in", "mi", "cal", "kJ", "s", "W", "kg", "lb", "points"]
    step: ExactNumber = Fraction(1)
    rounding: Literal["down", "nearest"] = "down"
    low: ExactNumber = Fraction(0)
    high: ExactNumber = Fraction(100_000)
    keep: Literal["last", "best", "least", "sum"] = "last"

    @model_validator(mode="after")
    def _bounds(self) -> Self:
        if self.step <= 0:
            raise ValueError("The smallest step of a measure is more than zero.")
        if self.low > self.high:
            raise ValueError("The lowest value of a measure is above its highest.")
        return self


Task = Annotated[CountTask | ListTask | LiftTask | MeasureTask, Field(discriminator="kind")]


def movements_of(task: Task) -> set[str]:
    """The movements that a task uses."""
    return set(movements_in_order(task))


def movements_in_order(task: Task) -> list[str]:
    """The movements that a task uses, each once, in the order in which they are done."""
    return list(dict.fromkeys(item.movement for item in task.items)) if isinstance(task, ListTask) else [task.movement]


def unique(names: list[str], sentence: str) -> None:
    """Raises ValueError with the sentence when a name is there twice."""
    seen: set[str] = set()
    for name in names:
        if name in seen:
            raise ValueError(sentence.format(name))
        seen.add(name)
