"""Event formats: how an event runs and how it scores.

A format is data. Windows say who works when and on what; tasks say what is done; movements say what makes
a repetition count; scores say what is added up. Presets only fill these in.
"""

from fractions import Fraction
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from app.rules.values.shapes import Base, ExactNumber, Key, Name
from app.rules.values.units import Load, LoadUnit, Rounding
from app.rules.workout.joining import JoinRule
from app.rules.workout.points import NOT_WORK, Point, taps_to
from app.rules.workout.tasks import (
    FASTEST_TAPS,
    MOST_MEMBERS,
    MOST_SECONDS,
    CountTask,
    Fault,
    LiftTask,
    ListTask,
    MeasureTask,
    Movement,
    Task,
    Who,
    WorkItem,
    movements_of,
    unique,
)
from app.rules.workout.tie_steps import TieStep

MOST_WINDOWS = 200
MOST_TASKS = 60
MOST_MOVEMENTS = 60
MOST_VARIANTS = 20

# What a lane chooses to do the event as written where its division does a variant. No variant has this key.
AS_WRITTEN = "as-written"

__all__ = [
    "MOST_MEMBERS",
    "MOST_SECONDS",
    "CountTask",
    "Fault",
    "Format",
    "LiftTask",
    "ListTask",
    "MeasureTask",
    "Movement",
    "Part",
    "ScoreRule",
    "Task",
    "TieStep",
    "Variant",
    "Who",
    "Window",
    "WorkItem",
]


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


Take = Literal["sum", "best", "worst", "last", "time", "member_best", "heaviest"]


class Part(Base):
    """One term of a score: what is taken from some tasks or windows, times a weight.

    sum, best, worst, last: of the windows' values. member_best: each member's best, summed. time: the finish time of a work list.
    heaviest: the heaviest load among the finished lines of a work list (a rising ladder of loads).
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


ScoreUnit = Literal["reps", "kg", "lb", "s", "m", "cm", "km", "ft", "in", "mi", "cal", "kJ", "W", "points"]


class ScoreRule(Base):
    """How one ranked score is made: parts in one unit, whether more or less is better, the stated rounding, the tie steps.

    `cap_adds` is the number of seconds that each repetition of work left at a time cap adds; None ranks capped entries
    after all finishers, by work left. `every_part`: without a good lift in each part that takes from lifts there is no score and
    no place (no total, no placing: published by the lifting federations; see tests/outside/test_lifting_rules.py).
    """

    id: Key = "score"
    name: Name = "Score"
    better: Literal["more", "less"] = "more"
    unit: ScoreUnit
    parts: tuple[Part, ...] = Field(min_length=1, max_length=20)
    rounding: Rounding = Rounding.NONE
    rounding_step: ExactNumber = Fraction(1)
    cap_adds: ExactNumber | None = None
    every_part: bool = False
    ties: tuple[TieStep, ...] = Field(default=(), max_length=10)

    @model_validator(mode="after")
    def _step(self) -> Self:
        if self.rounding_step <= 0:
            raise ValueError("The rounding step is more than zero.")
        return self


class Variant(Base):
    """Other movements and loads for the same event: a division's, or a scaled one that an entry may choose.

    It may replace movements and tasks by ones of the same kind; it may not touch the windows or how the score is made.
    ranked: `with` the others, `after` them all, or `apart` in a separate standing.
    """

    id: Key
    name: Name
    ranked: Literal["with", "after", "apart"] = "with"
    movements: dict[Key, Movement] = Field(default_factory=dict, max_length=MOST_MOVEMENTS)
    tasks: dict[Key, Task] = Field(default_factory=dict, max_length=MOST_TASKS)


class Format(Base):
    """How an event runs and scores.

    `unit` is the unit in which loads are declared and shown first. `late_ms` is how long after its bell a mark still counts,
    for the judge's own reaction, and `early_ms` how long before its window opens, GO included; such marks are flagged all the
    same. `early_ms` None: as long as after the bell, as in events from before it could be said. `quiet_ms`: see
    rules/count/one_tablet.py. `counters` says how counts of several judges on one lane become one. `miss_puts_out`: who misses
    what a window asks for, a target or a list with an end, is out, whatever the task; in later windows nothing counts.
    """

    members: int = Field(default=1, ge=1, le=MOST_MEMBERS)
    unit: LoadUnit = "kg"
    late_ms: int = Field(default=1000, ge=0, le=10_000)
    early_ms: int | None = Field(default=None, ge=0, le=10_000)
    quiet_ms: int = Field(default=5000, ge=0, le=60_000)
    counters: JoinRule = JoinRule()
    miss_puts_out: bool = False
    movements: dict[Key, Movement] = Field(max_length=MOST_MOVEMENTS)
    tasks: dict[Key, Task] = Field(min_length=1, max_length=MOST_TASKS)
    windows: tuple[Window, ...] = Field(min_length=1, max_length=MOST_WINDOWS)
    scores: tuple[ScoreRule, ...] = Field(min_length=1, max_length=10)
    variants: tuple[Variant, ...] = Field(default=(), max_length=MOST_VARIANTS)

    @property
    def grace_before_ms(self) -> int:
        """How long before its window opens a mark already counts."""
        return self.late_ms if self.early_ms is None else self.early_ms

    @property
    def length_ms(self) -> int:
        """From GO to the last bell, in milliseconds."""
        return max(window.end_ms for window in self.windows)

    def window_indexes(self, part: Part) -> list[int]:
        """The windows a score part takes from, in order."""
        if part.windows:
            return sorted(set(part.windows))
        return [i for i, window in enumerate(self.windows) if window.task in part.tasks]

    def asked_load(self, index: int) -> Load | None:
        """The load that a lift which grows asks for in a window: its first, or that of so many windows of the same people. None
        for other work."""
        window = self.windows[index]
        task = self.tasks.get(window.task or "")
        if not isinstance(task, LiftTask) or not task.loads:
            return None
        before = sum((one.task, one.who) == (window.task, window.who) for one in self.windows[:index])
        return task.load_at(before if task.rises == "window" else 0)

    def place_of(self, rule: ScoreRule, point: Point) -> tuple[int, int]:
        """The window that a point of a score's work lies in, and the taps there that bring to it. Raises ValueError with the end
        of a sentence where there is no such point."""
        scored = sorted({index for part in rule.parts for index in self.window_indexes(part)})
        if point.window is not None and point.window not in scored:
            raise ValueError(f"the score takes nothing from window {point.window + 1}")
        tasks = {index: self.tasks[self.windows[index].task or ""] for index in scored}
        worked = (index for index, task in tasks.items() if isinstance(task, CountTask | ListTask))
        index = next(worked, None) if point.window is None else point.window
        if index is None:
            raise ValueError(NOT_WORK)
        return index, taps_to(tasks[index], point)

    def timed_points(self) -> dict[tuple[int, int], Point]:
        """Every point at which a time may part equal scores, by its window and the taps that bring there."""
        asked = [(rule, step.point) for rule in self.scores for step in rule.ties if step.point is not None]
        return {self.place_of(rule, point): point for rule, point in asked}

    def counts_up(self, index: int) -> bool:
        """Whether a window's clock counts up: its score is a time, so the number that will stand is the one to see. Any other
        counts down to its bell. Common practice, no source."""
        return any(part.take == "time" and index in self.window_indexes(part) for rule in self.scores for part in rule.parts)

    def goes_on(self, key: str, item: WorkItem) -> bool:
        """Whether a line of a work list is for as many as possible: its number alone is more than anybody does in the longest
        window of the list, and no score and no rule for being out asks for the list's end. Twin in js/rules/windows/lists.js."""
        windows = [index for index, window in enumerate(self.windows) if window.task == key]
        longest = max((self.windows[index].seconds for index in windows), default=0)
        return item.reps >= longest * FASTEST_TAPS > 0 and not self.miss_puts_out and not any(map(self.counts_up, windows))

    def has_no_end(self, key: str) -> bool:
        """Whether a work list is for as many as possible until the bell: it begins again, or a line of it goes on."""
        task = self.tasks[key]
        if not isinstance(task, ListTask):
            return False
        return task.rounds is None or self.goes_on(key, max(task.items, key=lambda item: item.reps))

    def variant(self, key: str) -> Variant | None:
        """The variant of that key; None for the event as it is written."""
        return next((variant for variant in self.variants if variant.id == key), None)

    def varied(self, key: str) -> "Format":
        """The format as an entry of that variant does it; itself for a key it does not have."""
        variant = self.variant(key)
        if variant is None:
            return self
        changed = {"movements": self.movements | variant.movements, "tasks": self.tasks | variant.tasks, "variants": ()}
        return self.model_copy(update=changed)

    @model_validator(mode="after")
    def _variants_fit(self) -> Self:
        unique([AS_WRITTEN, *(variant.id for variant in self.variants)], "The variant {} appears twice. Rename one.")
        for variant in self.variants:
            for key, task in variant.tasks.items():
                if key not in self.tasks or self.tasks[key].kind != task.kind:
                    raise ValueError(
                        f"{variant.name} changes the task {key} into another kind of task, or one that is not there."
                    )
            described = self.movements | variant.movements
            for task in (self.tasks | variant.tasks).values():
                for movement in movements_of(task) - set(described):
                    raise ValueError(f"{variant.name} uses the movement {movement}, which is not described.")
        return self

    @model_validator(mode="after")
    def _hangs_together(self) -> Self:
        for name, task in self.tasks.items():
            for movement in movements_of(task):
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
        unique([score.id for score in self.scores], "The score {} appears twice. Rename one.")
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
            if part.take == "heaviest" and (kinds != {"list"} or score.unit not in ("kg", "lb")):
                raise ValueError(
                    f"{score.name} takes the heaviest load done; only a work list has one, and its unit is kg or lb."
                )
            if part.take == "time" and any(self._endless(i) for i in indexes):
                raise ValueError(f"{score.name} takes a finish time, but its work list starts again until the bell.")
            if "lift" in kinds and score.unit not in ("kg", "lb", "points"):
                raise ValueError(f"{score.name} adds loads, so its unit is kg, lb or points.")
        for step in score.ties:
            if step.part is not None and step.part >= len(score.parts):
                raise ValueError(f"{score.name} breaks ties by a part that it does not have.")
            for format in (self, *(self.varied(variant.id) for variant in self.variants)) if step.point else ():
                format._check_point(score, step.point)

    def _check_point(self, score: ScoreRule, point: Point | None) -> None:
        if point is not None:
            try:
                self.place_of(score, point)
            except ValueError as lacking:
                raise ValueError(f"{score.name} breaks ties by the time at {point.words()}, but {lacking}.") from None

    def _endless(self, index: int) -> bool:
        task = self.tasks[self.windows[index].task or ""]
        return isinstance(task, ListTask) and task.rounds is None
