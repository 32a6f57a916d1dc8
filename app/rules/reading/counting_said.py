"""What counts, as the text says it; where it does not, what is usual, or a question."""

import re
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from app.rules.reading.clock import Clock, Done
from app.rules.reading.counted_windows import all_of_it
from app.rules.reading.some_count import of_what_counts
from app.rules.reading.talk import Span
from app.rules.reading.ties_told import ties_of
from app.rules.workout.formats import CountTask, LiftTask, ListTask, MeasureTask, Part, ScoreRule, Take, TieStep
from app.rules.workout.movement_names import key_of
from app.rules.workout.tasks import Task

SUMS = {"T_DROP", "T_REPS", "T_ROUNDS", "T_SUM", "REP", "ROUND", "T_LOADS", "T_CAL", "T_DIST"}
OF_ALL = {"T_REPS", "REP", "T_CAL", "T_DIST", "T_POINTS"}
WORDS = re.compile(r"[a-z]+")
NAMES = {"reps": "Repetitions", "s": "Time", "kg": "Load", "lb": "Load", "cal": "Calories", "m": "Metres", "points": "Score"}
MEASURE_NAMES = {"s": "Seconds"}
UNFIT = "What is done has no such score."


def scores_of(clock: Clock) -> tuple[ScoreRule, ...]:
    """The scores of the event; none where nothing was made."""
    done = of_what_counts(clock, _merged(clock.done))
    if not done:
        return ()
    takes = clock.draft.takes
    _compare_claims(clock, done)
    if len(done) > 1 and (clock.draft.scored_apart or (clock.draft.apart and takes and not _adds_up(takes))):
        return _named(clock, _apart(clock, done, takes))
    if clock.draft.apart and (len(done) == 1 or _says_one_score(takes)):
        clock.things.talk.red(Span(0, len(clock.things.talk.text)), "Parts ranked on their own do not fit with one score.")
    if len(done) > 1 and not _says_one_score(takes):
        told = (
            "apart"
            if clock.draft.apart
            else clock.things.talk.ask(
                "several",
                None,
                f"{len(done)} parts: is there one score, or one for each?",
                [("sum", "One score: everything added up"), ("apart", "Each part is ranked on its own")],
            )
        )
        if told == "apart":
            return _unlike_ids(_named(clock, tuple(_score(clock, [one], []) for one in done)))
    total = _score(clock, done, takes)
    return _named(clock, (total,)) + _each_lift(clock, done, total)


def _each_lift(clock: Clock, done: Sequence[Done], total: ScoreRule) -> tuple[ScoreRule, ...]:
    """Beside a total of lifts, each of them by the name of its movement; none where that is not said."""
    said = clock.draft.each_lift
    if said is None:
        return ()
    if len(done) < 2 or any(one.kind != "lift" for one in done):
        clock.things.talk.red(clock.draft.each_span or Span(0, 0), "There is no total of several lifts.")
        return ()
    ties = tuple(TieStep.model_validate({"kind": kind}) for kind in said)
    made = []
    for one, part in zip(done, total.parts, strict=True):
        task = clock.tasks[one.tasks[0]]
        name = clock.things.movements[task.movement].name if isinstance(task, LiftTask) else total.name
        made.append(total.model_copy(update={"name": name, "parts": (part,), "ties": ties}))
    return _unlike_ids((total, *made))[1:]


def _compare_claims(clock: Clock, done: Sequence[Done]) -> None:
    """`The two summed`, `all seven intervals`: as many as there are windows, parts or members."""
    windows = sum(len(one.windows) for one in done)
    for number, span in clock.draft.claims:
        if number not in (windows, len(done), clock.draft.members or 1, 1):
            clock.things.talk.red(span, f"It says {number}, and there are {windows}.")
    for number, span in clock.draft.claims_of_all:
        if number != (most := _most_of_all(clock, done)):
            clock.things.talk.red(span, f"It says {number} at most, and there are {most or 'as many as somebody can do'}.")


def _most_of_all(clock: Clock, done: Sequence[Done]) -> int:
    """What is asked for in all windows together; 0 where one of them ends only at its bell."""
    asked = [_most_in(clock.tasks[clock.windows[number].task or ""]) for one in done for number in one.windows]
    return sum(asked) if all(asked) else 0


def _most_in(task: Task) -> int:
    if isinstance(task, ListTask):
        return task.work_in_round * (task.rounds or 0)
    return (task.target or 0) if isinstance(task, CountTask) and not task.grows else 0


def _named(clock: Clock, made: tuple[ScoreRule, ...]) -> tuple[ScoreRule, ...]:
    """The scores by the names that the text gives them, in its order."""
    names = clock.draft.score_names
    if len(names) > len(made):
        clock.things.talk.red(Span(0, len(clock.things.talk.text)), "It names more scores than there are.")
    return tuple(
        score.model_copy(update={"name": names[place]}) if place < len(names) else score for place, score in enumerate(made)
    )


def _apart(clock: Clock, done: Sequence[Done], takes: Sequence[tuple[str, Span]]) -> tuple[ScoreRule, ...]:
    """A score for each part: what is said to be taken goes to the part that has it."""
    fitting = [[(take, span) for take, span in takes if _fits(take, clock, [one], _unit(clock, [one]))] for one in done]
    told = {take for some in fitting for take, _ in some}
    for place, (take, span) in enumerate(takes):
        elsewhere = clock.draft.scored_in_order and (place >= len(done) or (take, span) not in fitting[place])
        if (take not in told or elsewhere) and take != "T_MISS":
            clock.things.talk.red(span, UNFIT)
    return _unlike_ids(tuple(_score(clock, [one], some) for one, some in zip(done, fitting, strict=True)))


def _merged(done: Sequence[Done]) -> list[Done]:
    """Stretches with the same tasks are one for the score: their windows are scored together."""
    found: dict[tuple[str, ...], Done] = {}
    for one in done:
        key = tuple(sorted(one.tasks))
        known = found.get(key)
        found[key] = replace(known, windows=known.windows + one.windows) if known else one
    return list(found.values())


def _says_one_score(takes: Sequence[tuple[str, Span]]) -> bool:
    return any(take in SUMS | {"T_LOW", "T_BEST", "T_POINTS"} for take, _ in takes)


def _adds_up(takes: Sequence[tuple[str, Span]]) -> bool:
    """Whether what is taken is of all parts together: `total reps` may be of each, a sum may not."""
    return any(take in {"T_SUM", "T_LOADS", "T_POINTS", "T_DROP"} for take, _ in takes)


def _unlike_ids(made: tuple[ScoreRule, ...]) -> tuple[ScoreRule, ...]:
    """Every score with a name and an id of its own."""
    found: list[ScoreRule] = []
    for score in made:
        names = {one.name for one in found}
        name = score.name if score.name not in names else f"{score.name} {len(found) + 1}"
        found.append(score.model_copy(update={"id": key_of(name), "name": name}))
    return tuple(found)


def _score(clock: Clock, done: Sequence[Done], takes: Sequence[tuple[str, Span]]) -> ScoreRule:
    heaviest = any(take == "T_HEAVIEST" for take, _ in takes)
    unit = clock.draft.score_unit or (clock.things.unit() if heaviest else _unit(clock, done))
    asked = [(take, span) for take, span in takes if take != "T_MISS"]
    for take, span in takes:
        if take == "T_MISS" and not any(one.stretch.puts_out for one in done):
            clock.things.talk.red(span, UNFIT)
    for take, span in asked:
        of_rounds = "round" in clock.things.talk.text[span.start : span.end].casefold()
        if not _fits(take, clock, done, unit):
            clock.things.talk.red(span, UNFIT)
        elif take == "T_TIME" and _best_of_several(clock, done, span):
            clock.things.talk.cannot(span, "The best of several times can't be said yet: the time of all of it counts.")
        elif take in ("T_LOW", "T_BEST") and of_rounds and any(len(one.tasks) > 1 for one in done):
            clock.things.talk.red(
                span, "A round has several windows here: what counts of rounds can't be said yet, of windows it can."
            )
    counted = {take for take, span in asked if not (take in OF_ALL and _of_the_best(clock, span))}
    parts = _of_all_windows(clock, done, asked) or tuple(part for one in done for part in _parts(clock, one, counted))
    lone = clock.tasks[done[0].tasks[0]] if len(parts) == 1 else None
    name = MEASURE_NAMES.get(unit, NAMES[unit]) if isinstance(lone, MeasureTask) else NAMES[unit]
    timed = unit == "s" and not isinstance(lone, MeasureTask)
    return ScoreRule.model_validate(
        {
            "name": name,
            "better": "less" if timed else "more",
            "unit": unit,
            "parts": parts,
            "cap_adds": _cap_adds(clock, timed),
            "ties": ties_of(clock),
            "every_part": _every_part(clock, done, len(parts)),
        }
    )


def _of_all_windows(clock: Clock, done: Sequence[Done], asked: Sequence[tuple[str, Span]]) -> tuple[Part, ...]:
    """`Score: worst station`, of several things in windows of their own: one term over all of them; none where it is not said."""
    told = next(((take, span) for take, span in asked if take in ("T_LOW", "T_BEST")), None)
    lifts = {one.kind == "lift" for one in done}
    if told is None or len(done) < 2 or lifts == {True} or (told[0] == "T_BEST" and True in lifts):  # the best of each lift
        return ()
    if any(one.kind in ("lift", "time") or _times(clock, one) for one in done):
        clock.things.talk.red(told[1], UNFIT)
        return ()
    keys = tuple(dict.fromkeys(key for one in done for key in one.tasks))
    return (Part(take="worst" if told[0] == "T_LOW" else "best", tasks=keys),)


def _best_of_several(clock: Clock, done: Sequence[Done], span: Span) -> bool:
    """`2 x 500 m row, 2 min rest between. Best time.`: of several things with a rest between, each has a time."""
    best = {"best", "fastest", "quickest", "slowest"} & set(
        WORDS.findall(clock.things.talk.text[span.start : span.end].casefold())
    )
    return bool(best) and any(work.rest for one in done for work in one.stretch.works)


def _of_the_best(clock: Clock, span: Span) -> bool:
    """`Best reps`: of several windows it may be all that was done, or the best of them."""
    return "best" in WORDS.findall(clock.things.talk.text[span.start : span.end].casefold())


def _unit(clock: Clock, done: Sequence[Done]) -> str:
    units = set()
    for one in done:
        for key in one.tasks:
            match clock.tasks[key]:
                case MeasureTask(unit=unit):
                    units.add(str(unit))
                case LiftTask():
                    units.add(clock.things.unit())
                case ListTask() if (one.kind == "time" or _times(clock, one)) and not _tail(one):
                    units.add("s")
                case _:
                    units.add("reps")
    return units.pop() if len(units) == 1 else "points"


def _times(clock: Clock, one: Done) -> bool:
    """Whether of each window the finish time of its list is taken, and all are added up."""
    takes = {take for take, _ in clock.draft.takes}
    tasks = [clock.tasks[key] for key in one.tasks]
    lists = all(isinstance(task, ListTask) and task.rounds is not None for task in tasks)
    if one.kind not in ("every", "windows") or "T_TIME" not in takes or not lists or one.stretch.puts_out:
        return False
    said = {span for take, span in clock.draft.takes if take == "T_TIME"}
    total = any("total" in clock.things.talk.text[span.start : span.end].casefold() for span in said)
    if "T_SUM" not in takes and not total and len(one.windows) > 1:
        asked = f"The score is a time, and there are {len(one.windows)} windows."
        clock.things.talk.ask("times", one.stretch.span, asked, [("sum", "The finish times of all of them, added up")])
    return True


def _tail(one: Done) -> bool:
    return any(group.role == "rest-of-time" for group in one.stretch.groups)


def _fits(take: str, clock: Clock, done: Sequence[Done], unit: str) -> bool:
    """Whether what is done has what the text says is the score."""
    tasks = [clock.tasks[key] for one in done for key in one.tasks]
    match take:
        case "T_TIME":
            return unit == "s"
        case "T_HEAVIEST":
            return all(isinstance(task, ListTask) for task in tasks)
        case "T_LOAD" | "T_LOADS":
            return all(isinstance(task, LiftTask) for task in tasks)
        case "T_CAL":
            lists = [task for task in tasks if isinstance(task, ListTask)]
            counted = any("cal" in (item.note or "").split(",")[0].split() for task in lists for item in task.items)
            return unit == "cal" or (counted and len(lists) == len(tasks))
        case "T_DIST":
            return unit == "m"
        case "T_ROUNDS" | "ROUND":
            return all(isinstance(task, ListTask) and task.rounds is None for task in tasks) and unit == "reps"
        case "T_DROP":
            return all(isinstance(task, CountTask) for task in tasks) and any(len(one.windows) > 1 for one in done)
        case "T_REPS" | "REP":
            lifted = all(isinstance(task, LiftTask) for task in tasks)
            return clock.draft.score_unit != "" or (unit in ("reps", "points") and not lifted)
        case "T_LOW" if sum(len(one.windows) for one in done) == 1 and not clock.draft.style:
            return False  # the least wins: that is another score
        case "T_BEST" if sum(len(one.windows) for one in done) == 1 and all(isinstance(task, ListTask) for task in tasks):
            return False  # `best round counts`, of a list that goes round
        case "T_LOW" | "T_BEST":
            return unit != "s" or any(isinstance(task, MeasureTask) for task in tasks)
        case _:
            return True


def _parts(clock: Clock, one: Done, takes: set[str]) -> list[Part]:
    if one.kind == "lift":
        return [_lift_part(clock, one, takes)]
    task = clock.tasks[one.tasks[0]]
    if "T_HEAVIEST" in takes:
        return [Part(take="heaviest", tasks=one.tasks)]
    if (one.kind == "time" or _times(clock, one)) and isinstance(task, ListTask) and not _tail(one):
        return [Part(take="time", tasks=one.tasks)]
    if len(one.windows) == 1:
        return [Part(take="best" if isinstance(task, MeasureTask) else "sum", tasks=one.tasks)]
    take: Take = (
        "worst"
        if "T_LOW" in takes
        else "best"
        if "T_BEST" in takes
        else "sum"
        if takes & (SUMS | {"T_POINTS"})
        else _asked(clock, one)
    )
    if "T_DROP" in takes:
        return [Part(take="sum", tasks=one.tasks, drop=1)]
    if take == "sum":
        return [Part(take="sum", tasks=(key,)) for key in one.tasks]
    return [Part(take=take, tasks=one.tasks)]


def _asked(clock: Clock, one: Done) -> Take:
    """How several windows make one score, where the text does not say."""
    counted = [clock.tasks[key] for key in one.tasks]
    targets = [task for task in counted if isinstance(task, CountTask) and task.target is not None]
    if one.stretch.puts_out:
        return "sum"
    span, number = one.stretch.span, len(one.windows)
    workers = {clock.windows[window].who for window in one.windows}
    if len(workers) == number:
        clock.things.talk.assume("What each member does is added up.", span)
        return "sum"
    answers = [("sum", "All windows added up"), ("worst", "The lowest window"), ("best", "The best window")]
    asks = all((isinstance(task, CountTask) and task.target) or (isinstance(task, ListTask) and task.rounds) for task in counted)
    if (targets and len(targets) == len(counted) == 1) or (asks and all_of_it(clock, one.stretch)):
        answers.insert(1, ("out", "Who misses a window is out"))
    told = clock.things.talk.ask("counts", span, f"What counts of {number} windows is not said.", answers)
    if told == "out" and not (targets and len(counted) == 1):
        clock.out = True
    elif told == "out":
        key = one.tasks[0]
        clock.tasks[key] = clock.tasks[key].model_copy(update={"miss_puts_out": True})
    return "worst" if told == "worst" else "best" if told == "best" else "sum"


def _lift_part(clock: Clock, one: Done, takes: set[str]) -> Part:
    task = clock.tasks[one.tasks[0]]
    alone = (clock.draft.members or 1) == 1
    if isinstance(task, LiftTask) and task.times_reps and len(one.windows) > 1 and takes & SUMS:
        return Part(take="sum", tasks=one.tasks)
    return Part(take="best" if alone else "member_best", tasks=one.tasks)


def _cap_adds(clock: Clock, timed: bool) -> Fraction | None:
    seconds = clock.draft.cap_adds
    if seconds is not None and not timed:
        clock.things.talk.red(Span(0, len(clock.things.talk.text)), "Seconds are added at a cap, where the finish time counts.")
    return None if seconds is None or not timed else Fraction(seconds)


def _every_part(clock: Clock, done: Sequence[Done], parts: int) -> bool:
    """Whether there is no total without a good lift in each; it is a total of lifts, else the words go nowhere."""
    lifts = parts > 1 and all(one.kind == "lift" for one in done)
    if clock.draft.every_part is not None and not lifts:
        clock.things.talk.red(clock.draft.every_part, "There is no total of several lifts.")
    elif lifts and clock.draft.every_part is None:
        clock.things.talk.assume("Who has no good lift in one part has the sum of the others, unless another is said.")
    return lifts and clock.draft.every_part is not None
