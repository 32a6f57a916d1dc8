"""Event formats: how an event runs and how it scores.

A format is data. Windows say who works when and on what; tasks say what is done; movements say what makes
a repetition count; scores say what is added up. Presets only fill these in.
"""

from fractions import Fraction
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from app.rules.shapes import Base, ExactLoad, ExactNumber, Key, Line, Name
from app.rules.units import LoadUnit, Rounding

MOST_WINDOWS = 200
MOST_TASKS = 60
MOST_MOVEMENTS = 60
MOST_SECONDS = 6 * 3600
MOST_MEMBERS = 12
MOST_TAPS = 20_000


class Fault(Base):
    """A named reason why a repetition or a lift does not count, with the words a judge says."""

    id: Key
    name: Name
    say: Line | None = None


class Movement(Base):
    """An exercise: what makes a repetition count, why one does not, and the bounds beyond which a mark is flagged.

    `faults` come most likely first. `fastest_ms` is the least believable time between two repetitions, `heaviest` the
    load above which a lift is flagged; both flag and never refuse.
    """

    name: Name
    standards: tuple[Line, ...] = ()
    faults: tuple[Fault, ...] = ()
    cautions: tuple[Line, ...] = ()
    fastest_ms: int | None = Field(default=None, ge=1, le=600_000)
    heaviest: ExactLoad | None = None

    @model_validator(mode="after")
    def _faults_differ(self) -> Self:
        _unique([fault.id for fault in self.faults], f"{self.name} has the fault {{}} twice.")
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
    worth 20)."""

    movement: Key
    reps: int = Field(ge=1, le=100_000)
    worth: int = Field(default=1, ge=1, le=100_000)
    load: ExactLoad | None = None
    note: Line | None = None


class ListTask(Base):
    """A list of work done in order, `rounds` times; without `rounds` it starts again until the bell. Finishing it gives a
    time."""

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
        return self

    @property
    def taps_in_round(self) -> int:
        """The taps that finish one round."""
        return sum(item.reps for item in self.items)


class LiftTask(Base):
    """Lift a declared load.

    `collars` is the weight of both together. `attempts` is the number of declarations that may be lifted (None: as many as time
    allows); `tries_until_racked` allows another try under the same declaration until the bar is racked; `counts_when` says
    whether a lift must be begun or finished before the bell.
    """

    kind: Literal["lift"] = "lift"
    movement: Key
    bar: ExactLoad
    collars: ExactLoad | None = None
    step: ExactLoad
    least_plate: ExactLoad
    attempts: int | None = Field(default=None, ge=1, le=100)
    tries_until_racked: bool = True
    counts_when: Literal["begun", "finished"] = "finished"
    may_go_down: bool = True
    times_reps: bool = False

    @model_validator(mode="after")
    def _steps(self) -> Self:
        if not self.step.kg or not self.least_plate.kg:
            raise ValueError("The least step and the least plate of a lift weigh more than nothing.")
        return self


class MeasureTask(Base):
    """A measured number: its unit, least step, the bounds a typed value must keep, and which counts when there are several
    in a window."""

    kind: Literal["measure"] = "measure"
    movement: Key
    unit: Literal["m", "cm", "km", "ft", "in", "mi", "cal", "kJ", "s", "W", "kg", "lb", "points"]
    step: ExactNumber = Fraction(1)
    low: ExactNumber = Fraction(0)
    high: ExactNumber = Fraction(100_000)
    keep: Literal["last", "best", "least", "sum"] = "last"

    @model_validator(mode="after")
    def _bounds(self) -> Self:
        if self.step <= 0:
            raise ValueError("The least step of a measure is more than zero.")
        if self.low > self.high:
            raise ValueError("The lowest value of a measure is above its highest.")
        return self


Task = Annotated[CountTask | ListTask | LiftTask | MeasureTask, Field(discriminator="kind")]
Who = Literal["all", "any"] | tuple[Annotated[int, Field(ge=1, le=MOST_MEMBERS)], ...]


class Window(Base):
    """A timed stretch on the heat clock, in whole seconds from GO: who does what; no task means rest.

    `who` is a tuple of member numbers (1 is A), "all" for work done together, or "any" for work the members share as they like.
    `holding` names members who must hold a position while the others work.
    """

    start: int = Field(ge=0, le=MOST_SECONDS)
    seconds: int = Field(ge=1, le=MOST_SECONDS)
    task: Key | None = None
    who: Who = "all"
    holding: tuple[Annotated[int, Field(ge=1, le=MOST_MEMBERS)], ...] = ()

    @property
    def start_ms(self) -> int:
        """First millisecond of the window on the heat clock."""
        return self.start * 1000

    @property
    def end_ms(self) -> int:
        """The bell: the first millisecond after the window."""
        return (self.start + self.seconds) * 1000


Take = Literal["sum", "best", "worst", "last", "time", "member_best"]


class Part(Base):
    """One term of a score: what is taken from some tasks or windows, times a weight.

    sum, best, worst, last: of the windows' values. member_best: each member's best, summed. time: the finish time of a work list.
    `drop` leaves out that many of the lowest values before summing.
    """

    take: Take
    tasks: tuple[Key, ...] = ()
    windows: tuple[Annotated[int, Field(ge=0, lt=MOST_WINDOWS)], ...] = ()
    weight: ExactNumber = Fraction(1)
    drop: int = Field(default=0, ge=0, le=MOST_WINDOWS)

    @model_validator(mode="after")
    def _from_somewhere(self) -> Self:
        if bool(self.tasks) == bool(self.windows):
            raise ValueError("A score part takes from tasks or from windows: name one of the two.")
        return self


class TieStep(Base):
    """One step of breaking a tie.

    count_at: more work done by `at` seconds. time_of_count: reached the final count sooner. best_lift: the heavier best lift.
    earlier_best: made the best lift sooner. part: the better value of score part `part`.
    """

    kind: Literal["count_at", "time_of_count", "best_lift", "earlier_best", "part"]
    at: int | None = Field(default=None, ge=1, le=MOST_SECONDS)
    part: int | None = Field(default=None, ge=0, le=50)

    @model_validator(mode="after")
    def _complete(self) -> Self:
        if self.kind == "count_at" and self.at is None:
            raise ValueError("A tie step by count at a checkpoint needs the second of the checkpoint.")
        if self.kind == "part" and self.part is None:
            raise ValueError("A tie step by score part needs the number of the part.")
        return self


ScoreUnit = Literal["reps", "kg", "lb", "s", "m", "cm", "km", "ft", "in", "mi", "cal", "kJ", "W", "points"]


class ScoreRule(Base):
    """How one ranked score is made: parts in one unit, whether more or less is better, the stated rounding, the tie steps.

    `cap_adds` is the number of seconds that each repetition of work left at a time cap adds; None ranks capped entries
    after all finishers, by work left.
    """

    id: Key = "score"
    name: Name = "Score"
    better: Literal["more", "less"] = "more"
    unit: ScoreUnit
    parts: tuple[Part, ...] = Field(min_length=1, max_length=20)
    rounding: Rounding = Rounding.NONE
    rounding_step: ExactNumber = Fraction(1)
    cap_adds: ExactNumber | None = None
    ties: tuple[TieStep, ...] = Field(default=(), max_length=10)

    @model_validator(mode="after")
    def _step(self) -> Self:
        if self.rounding_step <= 0:
            raise ValueError("The rounding step is more than zero.")
        return self


class Format(Base):
    """How an event runs and scores.

    `unit` is the unit in which loads are declared and shown first. `late_ms` is how long after its bell a mark still counts,
    for the judge's own reaction; it is flagged all the same.
    """

    members: int = Field(default=1, ge=1, le=MOST_MEMBERS)
    unit: LoadUnit = "kg"
    late_ms: int = Field(default=1000, ge=0, le=10_000)
    movements: dict[Key, Movement] = Field(max_length=MOST_MOVEMENTS)
    tasks: dict[Key, Task] = Field(min_length=1, max_length=MOST_TASKS)
    windows: tuple[Window, ...] = Field(min_length=1, max_length=MOST_WINDOWS)
    scores: tuple[ScoreRule, ...] = Field(min_length=1, max_length=10)

    @property
    def length_ms(self) -> int:
        """From GO to the last bell, in milliseconds."""
        return max(window.end_ms for window in self.windows)

    def window_indexes(self, part: Part) -> list[int]:
        """The windows a score part takes from, in order."""
        if part.windows:
            return sorted(set(part.windows))
        return [i for i, window in enumerate(self.windows) if window.task in part.tasks]

    @model_validator(mode="after")
    def _hangs_together(self) -> Self:
        for name, task in self.tasks.items():
            for movement in _movements_of(task):
                if movement not in self.movements:
                    raise ValueError(f"Task {name} uses the movement {movement}, which the format does not describe.")
        for number, window in enumerate(self.windows, start=1):
            if window.task is not None and window.task not in self.tasks:
                raise ValueError(f"Window {number} uses the task {window.task}, which the format does not describe.")
            people = window.holding + (window.who if isinstance(window.who, tuple) else ())
            if window.who == () or any(member > self.members for member in people):
                raise ValueError(f"Window {number} names a member that an entry of {self.members} does not have.")
            if window.start + window.seconds > MOST_SECONDS:
                raise ValueError(f"Window {number} ends after {MOST_SECONDS // 3600} hours.")
        _unique([score.id for score in self.scores], "The score {} is there twice.")
        for score in self.scores:
            self._check_score(score)
        return self

    def _check_score(self, score: ScoreRule) -> None:
        for part in score.parts:
            indexes = self.window_indexes(part)
            unknown = [task for task in part.tasks if task not in self.tasks]
            if unknown:
                raise ValueError(f"{score.name} takes from the task {unknown[0]}, which the format does not describe.")
            if any(index >= len(self.windows) for index in part.windows):
                raise ValueError(f"{score.name} takes from a window that the event does not have.")
            kinds = {self.tasks[w.task].kind if w.task else "rest" for w in (self.windows[i] for i in indexes)}
            if not kinds or "rest" in kinds:
                raise ValueError(f"{score.name} takes from a window without work.")
            if part.take == "time" and kinds != {"list"}:
                raise ValueError(f"{score.name} takes a finish time; only a work list has one.")
            if part.take == "time" and any(self._endless(i) for i in indexes):
                raise ValueError(f"{score.name} takes a finish time, but its work list starts again until the bell.")
            if "lift" in kinds and score.unit not in ("kg", "lb", "points"):
                raise ValueError(f"{score.name} adds loads, so its unit is kg, lb or points.")
        for step in score.ties:
            if step.part is not None and step.part >= len(score.parts):
                raise ValueError(f"{score.name} breaks ties by a part that it does not have.")

    def _endless(self, index: int) -> bool:
        task = self.tasks[self.windows[index].task or ""]
        return isinstance(task, ListTask) and task.rounds is None


def _movements_of(task: "CountTask | ListTask | LiftTask | MeasureTask") -> set[str]:
    return {item.movement for item in task.items} if isinstance(task, ListTask) else {task.movement}


def _unique(names: list[str], sentence: str) -> None:
    for name in names:
        if names.count(name) > 1:
            raise ValueError(sentence.format(name))
