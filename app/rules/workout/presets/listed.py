"""Presets with a work list for one athlete: rounds until the bell, for time, and a ladder of loads."""

from app.rules.values.units import BadMeasure
from app.rules.workout.formats import Format, ListTask, Part, ScoreRule, TieStep, WorkItem
from app.rules.workout.presets.building import (
    CAP_KNOBS,
    TIE_KNOB,
    UNIT,
    Turn,
    count_knob,
    finish_time,
    load_knob,
    loads_from,
    one_after_another,
    window_knob,
    work_done,
    work_knob,
)
from app.rules.workout.presets.knobs import BadKnob, Knob, Preset, Turned, preset
from app.rules.workout.written_work import MOST_LINES


def _rounds(turned: Turned) -> Format:
    work = turned.work("work")
    if work.rounds > 1:
        turned.refuse("work", "starts again until the bell, so it can't have rounds")
    return Format(
        unit=turned.unit,
        tasks={"work": ListTask(items=work.items, rounds=None)},
        movements=turned.movements,
        windows=one_after_another([Turn("work", turned.seconds("window"))]),
        scores=(work_done(turned, "work"),),
    )


def _for_time(turned: Turned) -> Format:
    movements, scheme = turned.named("movements"), turned.scheme("scheme")
    if len(scheme) * len(movements) > MOST_LINES:
        turned.refuse("scheme", f"comes to at most {MOST_LINES} lines of work with the movements")
    items = tuple(turned.item(named, reps) for reps in scheme for named in movements)
    return _capped(turned, ListTask(items=items))


def _for_time_list(turned: Turned) -> Format:
    work = turned.work("work")
    return _capped(turned, ListTask(items=work.items, rounds=work.rounds))


def _capped(turned: Turned, task: ListTask) -> Format:
    return Format(
        unit=turned.unit,
        tasks={"work": task},
        movements=turned.movements,
        windows=one_after_another([Turn("work", turned.seconds("cap"))]),
        scores=(finish_time(turned, "work"),),
    )


def _load_ladder(turned: Turned) -> Format:
    key, reps = turned.lift("movement"), turned.count("reps")
    try:
        loads = loads_from(turned.load("first"), turned.load("rise"), turned.count("rungs"))
    except BadMeasure as wrong:
        raise BadKnob("rise", f"The ladder climbs too far: {wrong}") from None
    ties = (TieStep(kind="time_of_count"),) if turned.yes("sooner") else ()
    return Format(
        unit=turned.unit,
        tasks={"ladder": ListTask(items=tuple(WorkItem(movement=key, reps=reps, load=load) for load in loads))},
        movements=turned.movements,
        windows=one_after_another([Turn("ladder", turned.seconds("window"))]),
        scores=(ScoreRule(name="Heaviest", unit=turned.unit, parts=(Part(take="heaviest", tasks=("ladder",)),), ties=ties),),
    )


LISTED: tuple[Preset, ...] = (
    preset(
        "rounds",
        "As many rounds as possible",
        "A list of work that starts again until the bell; every repetition counts.",
        (work_knob("8 step-ups\n14 sit-ups\n6 dips"), window_knob("9:00"), UNIT, TIE_KNOB),
        _rounds,
    ),
    preset(
        "for_time",
        "For time: a scheme of repetitions",
        "A number of each movement, then fewer of each, set by set; the finish time counts.",
        (
            Knob("scheme", "Repetitions", "scheme", "16-12-8"),
            Knob("movements", "The movements in order", "movements", "Lunges\nPush-ups", help="With loads: swings 24 kg."),
            UNIT,
            *CAP_KNOBS,
        ),
        _for_time,
    ),
    preset(
        "for_time_list",
        "For time: a written list",
        "A list of work, done once or in rounds; the finish time counts.",
        (work_knob("4 rounds:\n250 m row\n18 lunges\n12 dips"), UNIT, *CAP_KNOBS),
        _for_time_list,
    ),
    preset(
        "load_ladder",
        "Ladder of loads",
        "Heavier from rung to rung before the bell; the heaviest rung done counts.",
        (
            Knob("movement", "The lift", "movement", "Deadlift"),
            load_knob("first", "The load of the first rung", "70 kg", "150 lb"),
            load_knob("rise", "Heavier on each later rung", "6 kg", "15 lb"),
            count_knob("rungs", "Rungs", "14", 1, 100),
            count_knob("reps", "Repetitions on each rung", "1", 1, 100),
            window_knob("8:00"),
            UNIT,
            TIE_KNOB,
        ),
        _load_ladder,
    ),
)
