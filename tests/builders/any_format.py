"""Hypothesis draws event formats: every kind of task, score, tie and variant, with names that people might type."""

from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Any

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn, SearchStrategy

from app.rules.values.units import Load
from app.rules.workout.fields import Declared, Field
from app.rules.workout.format_fields import COUNTERS, EVENT, MOVEMENT, PART, SCORE, VARIANT
from app.rules.workout.formats import Format, Movement, Part, ScoreRule, Task, TieStep, Variant, Window
from app.rules.workout.joining import JoinRule
from app.rules.workout.misload import NAMED, MisloadRule
from app.rules.workout.points import Point
from app.rules.workout.task_fields import COUNT, LIFT, LIST, MEASURE
from app.rules.workout.tasks import CountTask, Fault, LiftTask, ListTask, MeasureTask, Who, WorkItem
from app.rules.workout.tie_steps import TIE_STEPS

LETTERS = st.sampled_from("abcXYZ äß9-'=@;|:\"#.,()")
names = st.text(LETTERS, min_size=1, max_size=12).map(lambda text: " ".join(text.split())).filter(lambda text: text.strip())
lines = names | st.sampled_from(["No rep, depth.", "A: 10 things @ 20 kg ; each side", "| bar |", "a || b"])
keys = st.sampled_from(["swing", "squat", "row", "box_step", "max-lift", "a_b-c", "x1"])
seconds = st.integers(1, 4000)
numbers: SearchStrategy[Fraction] = st.builds(Fraction, st.integers(-5000, 5000), st.sampled_from([1, 2, 3, 7, 8, 10, 1000]))
amounts = st.sampled_from(["0.5", "1", "2.25", "20", "102.5", "45", "0.1234"])
loads = st.builds(Load, amounts, st.sampled_from(["kg", "lb"]))
GROWING = ((), (Load("20", "kg"),), (Load("45", "lb"), Load("47.5", "lb"), Load("102.5", "kg")))
loads_or_nothing = loads | st.just(Load("0", "kg"))


outcomes = st.sampled_from(["keep", "again", "choose"])
misloads = st.sampled_from(list(NAMED.values())) | st.builds(
    MisloadRule,
    **{case: outcomes for case in MisloadRule.model_fields if case != "round_down"},
    round_down=st.booleans(),
)
above_nothing = numbers.filter(bool).map(abs)


def some(strategy: SearchStrategy[Any]) -> SearchStrategy[Any]:
    """That, or None."""
    return st.none() | strategy


def drawn(declared: Declared, **kept: SearchStrategy[Any]) -> dict[str, SearchStrategy[Any]]:
    """What each declared field of a model may be, within the model's own bounds, but for those that are `kept` narrower: a field
    that is declared tomorrow is drawn tomorrow."""
    return {field.name: _of(field) for field in declared.fields if field.kind != "own"} | kept


def _of(field: Field) -> SearchStrategy[Any]:
    plain = {"tick": st.booleans(), "number": numbers, "lines": st.lists(lines, max_size=2).map(tuple)}
    match field.kind:
        case "whole" | "millis" | "moment":
            drawn_one: SearchStrategy[Any] = st.integers(*field.bounds)
        case "load":
            drawn_one = loads_or_nothing if field.may_weigh_nothing else loads
        case "loads":
            return st.sampled_from(GROWING)
        case "choice":
            drawn_one = st.sampled_from(list(field.values.values()))
        case kind:
            drawn_one = plain[kind]
    return some(drawn_one) if field.may_be_empty else drawn_one


def people(members: int) -> SearchStrategy[Who]:
    """Who of an entry."""
    some_of = st.sets(st.integers(1, members), min_size=1).map(lambda found: tuple(sorted(found)))
    return st.sampled_from(["all", "any"]) | some_of


def movement(name: str) -> SearchStrategy[Movement]:
    """A movement of that name."""
    faults = st.lists(
        st.builds(Fault, id=keys, name=names, say=some(lines)), max_size=3, unique_by=(lambda f: f.id, lambda f: f.name)
    )
    return st.builds(
        Movement,
        name=st.just(name),
        library=some(keys),
        **drawn(MOVEMENT, faults=faults.map(tuple)),
    )


def task(kind: str, movements: list[str], members: int) -> SearchStrategy[Task]:
    """A task of that kind."""
    one = st.sampled_from(movements)
    item = st.builds(
        WorkItem,
        movement=one,
        reps=st.integers(1, 500),
        worth=st.integers(0, 30),
        load=some(loads_or_nothing),
        who=some(people(members)),
        note=some(lines),
    )
    measure = st.builds(
        MeasureTask,
        movement=one,
        **drawn(
            MEASURE,
            step=st.builds(Fraction, st.integers(1, 50), st.sampled_from([1, 3, 10])),
            low=numbers.filter(lambda low: low <= 0),
            high=numbers.filter(lambda high: high >= 0),
        ),
    )
    lift = st.builds(
        _lift,
        movement=one,
        **drawn(
            LIFT,
            attempt_seconds=st.integers(20, 3600),
            warn_seconds=some(st.integers(1, 19)),
            follow_seconds=st.just(3600),
            misload=misloads,
        ),
    )
    count = st.builds(CountTask, movement=one, **drawn(COUNT, target=some(st.integers(1, 999)), grows=st.integers(0, 9)))
    items = st.lists(item, min_size=1, max_size=4).filter(lambda some: any(one.worth for one in some)).map(tuple)
    work = st.builds(ListTask, **drawn(LIST, items=items, rounds=some(st.integers(1, 9))))
    strategies: dict[str, SearchStrategy[Task]] = {"count": count, "list": work, "lift": lift, "measure": measure}
    return strategies[kind]


def _lift(*, loads: tuple[Load, ...], rise: Load | None, **said: Any) -> LiftTask:
    """A lift; if its load grows, by a step in its own unit."""
    if not loads:
        return LiftTask(**said)
    return LiftTask(**said, loads=loads, rise=rise and Load(rise.amount, loads[-1].unit))


@st.composite
def formats(draw: DrawFn) -> Format:
    """A format that the rule book takes."""
    members = draw(st.integers(1, 4))
    pool = draw(st.lists(names, min_size=6, max_size=6, unique_by=str.casefold))
    movement_keys = draw(st.lists(keys, min_size=1, max_size=3, unique=True))
    movements = {key: draw(movement(pool.pop())) for key in movement_keys}
    kinds = {
        key: draw(st.sampled_from(["count", "list", "lift", "measure"])) for key in draw(st.sets(keys, min_size=1, max_size=3))
    }
    tasks = {key: _in_words(draw, draw(task(kind, movement_keys, members)), movements) for key, kind in kinds.items()}
    windows = [draw(_windows(members, key)) for key in (*tasks, *draw(st.lists(st.sampled_from([None, *tasks]), max_size=3)))]
    return Format(
        **draw(st.fixed_dictionaries(drawn(EVENT, members=st.just(members)))),
        counters=draw(st.builds(JoinRule, **drawn(COUNTERS, how=st.sampled_from(["lane", "mean"])))),
        movements=movements,
        tasks=tasks,
        windows=tuple(windows),
        scores=tuple(draw(_scores(tasks, windows, key)) for key in draw(st.lists(keys, min_size=1, max_size=2, unique=True))),
        variants=draw(_variants(kinds, movements, pool, members)),
    )


def _in_words(draw: DrawFn, made: Task, movements: Mapping[str, Movement]) -> Task:
    """The task, a list of it with some lines in other letters than the movement's name."""
    if not isinstance(made, ListTask):
        return made
    items = []
    for item in made.items:
        name = movements[item.movement].name
        other = name.swapcase() if draw(st.booleans()) else name
        alike = other != name and other.casefold() == name.casefold()
        items.append(item.model_copy(update={"words": other}) if alike else item)
    return made.model_copy(update={"items": tuple(items)})


@st.composite
def _windows(draw: DrawFn, members: int, key: str | None) -> Window:
    holding = tuple(sorted(draw(st.sets(st.integers(1, members), max_size=2))))
    return Window(start=draw(st.integers(0, 7000)), seconds=draw(seconds), task=key, who=draw(people(members)), holding=holding)


@st.composite
def _scores(draw: DrawFn, tasks: dict[str, Task], windows: list[Window], key: str) -> ScoreRule:
    parts = tuple(draw(st.lists(_parts(tasks, windows), min_size=1, max_size=3)))
    steps = st.sampled_from([name for name, kind in TIE_STEPS.items() if not kind.asks]).map(lambda kind: TieStep(kind=kind))
    steps |= st.builds(lambda at: TieStep(kind="count_at", at=at), seconds)
    steps |= st.builds(lambda part: TieStep(kind="part", part=part), st.integers(0, len(parts) - 1))
    if points := list(_points(tasks, windows, parts)):
        steps |= st.sampled_from(points).map(lambda point: TieStep(kind="time_at", point=point))
    return ScoreRule(
        id=key,
        name=draw(names),
        parts=parts,
        **draw(st.fixed_dictionaries(drawn(SCORE, unit=st.sampled_from(["kg", "lb", "points"]), rounding_step=above_nothing))),
        ties=tuple(draw(st.lists(steps, max_size=3))),
    )


def _points(tasks: dict[str, Task], windows: list[Window], parts: tuple[Part, ...]) -> Iterator[Point]:
    """The first repetition of each window of counted work that a score takes from: every variant has that."""
    for index, window in enumerate(windows):
        taken = any(index in part.windows or window.task in part.tasks for part in parts)
        if taken and window.task and tasks[window.task].kind in ("count", "list"):
            yield Point(window=index, reps=1)


@st.composite
def _parts(draw: DrawFn, tasks: dict[str, Task], windows: list[Window]) -> Part:
    work = [index for index, window in enumerate(windows) if window.task]
    usual = st.sampled_from(["sum", "best", "worst", "last", "member_best"])  # the others ask for a work list
    takes: dict[str, Any] = draw(st.fixed_dictionaries(drawn(PART, take=usual, drop=st.integers(0, 3))))
    if draw(st.booleans()):
        takes["windows"] = tuple(sorted(draw(st.sets(st.sampled_from(work), min_size=1))))
    else:
        takes["tasks"] = tuple(key for key in tasks if draw(st.booleans())) or (next(iter(tasks)),)
    return Part(**takes)


@st.composite
def _variants(
    draw: DrawFn, kinds: dict[str, str], movements: dict[str, Movement], pool: list[str], members: int
) -> tuple[Variant, ...]:
    made = []
    for key in draw(st.lists(st.sampled_from(["scaled", "masters"]), max_size=2, unique=True)):
        own = {
            one: draw(movement(pool.pop()))
            for one in draw(st.sets(st.sampled_from([next(iter(movements)), "own"]), max_size=1))
            if pool
        }
        usable = [*movements, *(one for one in own if one not in movements)]
        all_of = movements | own
        tasks = {
            one: _in_words(draw, draw(task(kind, usable, members)), all_of) for one, kind in kinds.items() if draw(st.booleans())
        }
        more = draw(st.fixed_dictionaries(drawn(VARIANT)))
        made.append(Variant(id=key, name=f"{key} {draw(names)}", movements=own, tasks=tasks, **more))
    return tuple(made)
