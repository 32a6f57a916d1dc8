"""What presets build formats from: windows one after another, knobs and scores that many of them share."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from app.rules.values.units import Load, decimal_text
from app.rules.workout.fields import Field
from app.rules.workout.format_fields import EVENT
from app.rules.workout.formats import MOST_SECONDS, MOST_WINDOWS, Format, ListTask, Part, ScoreRule, Task, TieStep, Who, Window
from app.rules.workout.plates import lightest, lightest_step
from app.rules.workout.presets.knobs import BadKnob, Knob, Turned
from app.rules.workout.tasks import MOST_MEMBERS, WorkItem

HOUR = 3600

UNIT = Knob("unit", "The unit of loads", "unit", "kg", choices={"kg": "Kilograms", "lb": "Pounds"})
TIED = "Ties: whoever reached the count sooner ranks higher"
ENDS = {"time": "For time, with a cap", "bell": "Round after round until the bell"}
CAPPED = {
    "after": "Rank behind all finishers, by the work left",
    "adds": "Get seconds added for each repetition left",
}


def window_knob(default: str, label: str = "The length of a window", key: str = "window") -> Knob:
    """How long somebody works."""
    return Knob(key, label, "minutes", default, low=1)


def rest_knob(default: str, label: str = "The rest between two windows", key: str = "rest") -> Knob:
    """How long somebody rests; 0:00 for none."""
    return Knob(key, label, "minutes", default, low=0, high=HOUR)


def count_knob(key: str, label: str, default: str, low: int, high: int, **more: str) -> Knob:
    """A whole number."""
    return Knob(key, label, "count", default, low=low, high=high, help=more.get("help", ""), empty=more.get("empty", ""))


def field_knob(field: Field, default: str, label: str = "", help: str = "", empty: str = "") -> Knob:
    """A knob that turns one declared field: its name, its bounds and the words of its choices are the field's own, and so is its
    label, unless the preset asks in other words."""
    knob = Knob(field.name, label or field.label, "yes", default, help=help, empty=empty)
    if field.kind == "tick":
        return knob
    if field.options:
        return replace(knob, kind="choice", choices={value: words[:1].upper() + words[1:] for value, words in field.options})
    return replace(knob, kind="count", low=field.bounds.low, high=field.bounds.high)


def members_knob(default: str = "2", low: int = 2) -> Knob:
    """How many an entry has."""
    return count_knob("members", EVENT.field("members").label, default, low, MOST_MEMBERS)


def movement_knob(default: str, label: str = "The movement", key: str = "movement") -> Knob:
    """One movement that is counted."""
    return Knob(key, label, "movement", default, help="A name, followed by its load if it has one: swings 24 kg.")


def lift_knob(default: str = "Front squat", label: str = "The lift", key: str = "movement") -> Knob:
    """One lift for load."""
    return Knob(key, label, "movement", default, lifted=True)


def work_knob(default: str, label: str = "The work", help: str = "") -> Knob:
    """A written list."""
    told = "One thing per line: 14 swings 24 kg, 250 m run, 18 cal row. Headings can go in between: 4 rounds: or 16-12-8:"
    return Knob("work", label, "work", default, help=f"{told} {help}".strip())


CAP_KNOBS = (
    window_knob("11:00", "The time cap", "cap"),
    Knob("capped", "Entries stopped by the cap", "choice", "after", choices=CAPPED),
    Knob("adds", "Seconds added for each repetition left", "number", "1", help="Only if seconds are added."),
)
TIE_KNOB = Knob("sooner", TIED, "yes", "yes")
LIGHTER_KNOB = Knob("lighter", "Ties: the lighter ranks higher", "yes", "yes")


# The empty bar, the least step and the least plate: what the chosen set of plates has.
BAR_KNOBS = (
    Knob("plates", "The plates", "plates", help="Sets the bar, the smallest step and the smallest plate."),
    Knob("bar", "The empty bar", "load", of_plates=lambda plates: plates.bars[0]),
    Knob("step", "The smallest step between loads", "load", of_plates=lightest_step),
    Knob(
        "least_plate",
        "The smallest plate",
        "load",
        of_plates=lightest,
        help="Half the smallest step, because one goes on each side.",
    ),
)


def load_knob(key: str, label: str, kg: str, lb: str) -> Knob:
    """A load with a default in each unit."""
    return Knob(key, label, "load", by_unit={"kg": kg, "lb": lb})


@dataclass(frozen=True, slots=True)
class Turn:
    """A window of work to come: its task, who does it, who holds meanwhile, how long, and the rest before the next."""

    task: str
    seconds: int
    rest: int = 0
    who: Who = "all"
    holding: tuple[int, ...] = ()


def one_after_another(turns: Iterable[Turn], key: str = "") -> tuple[Window, ...]:
    """Windows in order with their rests between them, none after the last. Raises BadKnob at `key` when they are too many or too
    long."""
    windows: list[Window] = []
    start = rest = 0
    for turn in turns:
        if rest:
            windows.append(Window(start=start, seconds=rest))
            start += rest
        if len(windows) >= MOST_WINDOWS or start + turn.seconds > MOST_SECONDS:
            raise BadKnob(key, f"That makes more than {MOST_WINDOWS} windows, or more than {MOST_SECONDS // HOUR} hours.")
        windows.append(Window(start=start, seconds=turn.seconds, task=turn.task, who=turn.who, holding=turn.holding))
        start, rest = start + turn.seconds, turn.rest
    return tuple(windows)


def finish_time(turned: Turned, task: str) -> ScoreRule:
    """For time: the finish time of a work list; those who are capped by the `capped` and `adds` knobs."""
    adds: Fraction | None = turned.number("adds") if turned.choice("capped") == "adds" else None
    return ScoreRule(name="Time", better="less", unit="s", parts=(Part(take="time", tasks=(task,)),), cap_adds=adds)


def work_done(turned: Turned, task: str) -> ScoreRule:
    """Until the bell: the repetitions of work done."""
    ties = (TieStep(kind="time_of_count"),) if turned.yes("sooner") else ()
    return ScoreRule(name="Repetitions", unit="reps", parts=(Part(take="sum", tasks=(task,)),), ties=ties)


def list_format(turned: Turned, items: Sequence[WorkItem], rounds: int, who: Who, members: int) -> Format:
    """A work list in one window as long as the `cap`, for time or until the bell by the `ends` knob."""
    timed = turned.choice("ends") == "time"
    task: Task = ListTask(items=tuple(items), rounds=rounds if timed else None)
    return Format(
        members=members,
        unit=turned.unit,
        movements=turned.movements,
        tasks={"work": task},
        windows=one_after_another([Turn("work", turned.seconds("cap"), who=who)], "cap"),
        scores=(finish_time(turned, "work") if timed else work_done(turned, "work"),),
    )


def loads_from(first: Load, rise: Load, rungs: int) -> list[Load]:
    """A ladder of loads in the unit of the first, each `rise` heavier. Raises BadMeasure past what any bar carries."""
    from_unit, step = first.in_unit(first.unit), rise.in_unit(first.unit)
    return [Load(decimal_text(from_unit + step * i), first.unit) for i in range(rungs)]
