"""As heavy as possible: one lift, or a complex of several under one load."""

from app.rules.reading.clock import Clock
from app.rules.reading.drafts import Stretch
from app.rules.reading.talk import Span
from app.rules.reading.things import has_more
from app.rules.values.units import Load
from app.rules.workout.growth import read_growth, read_rules
from app.rules.workout.misload import POWERLIFTING
from app.rules.workout.movements import before_referees, library
from app.rules.workout.plate_sets import offered
from app.rules.workout.plates import lightest, lightest_step
from app.rules.workout.presets.lifting import FROM_THE_FLOOR
from app.rules.workout.tasks import LiftTask, Movement, Who

WAYS = {
    "power",
    "squat",
    "split",
    "muscle",
    "full",
    "or",
    "and",
    "any",
    "either",
    "style",
    "touch",
    "go",
    "allowed",
    "ok",
    "fine",
}
BARS = (8, 10, 12, 15)
LONG = (600, 720, 900, 1200)


def lift_windows(clock: Clock, stretch: Stretch) -> list[str]:
    """As heavy as possible: one lift, or a complex of several under one load."""
    span, talk = stretch.span, clock.things.talk
    seconds = clock.length(stretch)
    if seconds is None:
        seconds = talk.seconds("long", span, "How long the lift lasts is not said.", LONG)
    if any(group.rounds > 1 or group.scheme for group in stretch.groups):
        talk.red(span or Span(0, 0), "So many sets of a lift, as heavy as possible, can't be said yet.")
    if stretch.expected not in (None, stretch.count):
        talk.red(span or Span(0, 0), f"It says {stretch.expected} attempts, and tells when {stretch.count} are.")
    movement = _lifted(clock, stretch)
    if movement is None:
        return []
    bar, step, plate = _plates(clock, stretch)
    task = LiftTask(
        movement=movement,
        bar=bar,
        step=step,
        least_plate=plate,
        rack=movement not in FROM_THE_FLOOR,
        misload=POWERLIFTING,
        attempts=stretch.attempts,
        misses_out=stretch.misses_out,
        tries_until_racked=not stretch.one_try,
        may_go_down=not stretch.no_down,
        times_reps=stretch.times_reps,
        counts_when="begun" if stretch.begun else "finished",
        bars="each" if stretch.own_bars else "one",
    )
    if stretch.grows and (growth := read_growth(stretch.grows, clock.things.unit())):
        task = LiftTask.model_validate(task.model_dump() | growth.fields())
        if task.rises == "window" and stretch.count is None and stretch.start is None:
            stretch.count = talk.count("often", span, "How many bars there are is not said.", BARS)
    if stretch.rules and (rules := read_rules(stretch.rules, clock.things.unit())):
        task = LiftTask.model_validate(task.model_dump() | rules)
        movements = clock.things.movements  # such rules are those of referees, who give signals
        movements[movement] = before_referees(movements[movement])
    key = clock.task("lift", task)
    members = clock.draft.members or 1
    turns: list[Who] = [stretch.who] if stretch.who else ["all"] if members == 1 else ["any"]
    if members > 1 and stretch.own_windows and not stretch.who:
        turns = [(member,) for member in range(1, members + 1)]
    elif members > 1 and not stretch.who and not (stretch.own_bars or stretch.one_bar):
        answers = [
            ("one", "All in one window, at one bar"),
            ("each", "All in one window, a bar each"),
            ("turns", "Each in a window of their own"),
        ]
        told = talk.ask("bars", span, "How they share the bar is not said.", answers)
        if told == "each":
            clock.tasks[key] = task.model_copy(update={"bars": "each"})
        turns = [(member,) for member in range(1, members + 1)] if told == "turns" else turns
    for number in range(stretch.count or 1):
        for place, who in enumerate(turns):
            if number or place:
                clock.rest(stretch, stretch.off, stretch.off_span)
            clock.window(stretch, seconds, key, tuple(stretch.spans), who)
    return [key]


def _plates(clock: Clock, stretch: Stretch) -> tuple[Load, Load, Load]:
    """The empty bar, the least step and the least plate: as said, else those of the usual set of the unit."""
    unit = clock.things.unit()
    usual = next(one.plates for one in offered() if one.plates.bars[0].unit == unit)
    if not (stretch.bar and stretch.step and stretch.plate):
        told = f"The bar is {usual.bars[0].text()}, the smallest step {lightest_step(usual).text()}"
        clock.things.talk.assume(f"{told}, the smallest plate {lightest(usual).text()}, unless another is said.", stretch.span)
    said = [clock.things.load(one, stretch.works[0]) for one in (stretch.bar, stretch.step, stretch.plate)]
    return said[0] or usual.bars[0], said[1] or lightest_step(usual), said[2] or lightest(usual)


def _lifted(clock: Clock, stretch: Stretch) -> str | None:
    works = stretch.works
    for work in works:
        if work.note and set(work.note.casefold().replace("/", " ").split()) <= WAYS:
            clock.things.talk.assume(f"{work.name}: {work.note}, as it is written.", work.span)
            work.note = ""
    if any(has_more(work) or work.sync for work in works) or any(work.amount and work.amount.kind != "reps" for work in works):
        clock.things.talk.red(stretch.span or Span(0, 0), "As heavy as possible, and a load or a note beside it, do not fit.")
        return None
    for work in works:
        if len(works) > 1 and work.known and library().movements[work.key].heaviest is None:
            clock.things.talk.red(work.span, "This is no lift, and stands among lifts.")
    found = [clock.things.described(work, lifted=True) for work in works]
    known = [one for one in found if one is not None]
    if len(known) != len(works):
        return None
    if any(work.amount for work in works):
        for work in works:
            if work.amount is None:
                clock.things.talk.assume(f"{work.name}: once.", work.span)
    counts = [work.amount.values[0] if work.amount else str(stretch.repetitions) for work in works]
    if len(known) == 1 and counts == ["1"]:
        return clock.things.use(*known[0])
    name = " + ".join(f"{count} {movement.name}" for count, (_, movement) in zip(counts, known, strict=True))
    faults = tuple({fault.id: fault for _, movement in known for fault in movement.faults}.values())
    standards = tuple(dict.fromkeys(line for _, movement in known for line in movement.standards))
    cautions = tuple(dict.fromkeys(line for _, movement in known for line in movement.cautions))
    complex_ = Movement(name=name[:120], standards=standards, faults=faults, cautions=cautions, heaviest=known[0][1].heaviest)
    return clock.things.use(known[0][0], complex_)
