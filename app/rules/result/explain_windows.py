"""The first half of an explanation: what each window holds, which marks counted, which were taken back, which did not count
and why."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from app.rules.count.counter_words import away_words, unlike_words
from app.rules.count.counters import counters_in
from app.rules.count.flags import FLAGS, told_of
from app.rules.count.joined import joined_tally
from app.rules.count.lift_words import lights_text, misload_text
from app.rules.count.lifting.judged import LiftTally
from app.rules.count.tally import Tally, WindowTally
from app.rules.records.marks import Mark
from app.rules.records.seats import SHEETS, SheetKind
from app.rules.result.ties import reached
from app.rules.values.clock_times import clock_ms_text, exact_text
from app.rules.values.units import both_units, decimal_text
from app.rules.values.words import decimal, known, say
from app.rules.workout.faults import fault_name
from app.rules.workout.formats import Format, LiftTask, ListTask, MeasureTask
from app.rules.workout.joining import join_counts
from app.rules.workout.words import JOINS, lower_name, member_letter, window_text


@dataclass(frozen=True, slots=True)
class Line:
    """One fact: its words, the marks it speaks of, and whether it goes into the score."""

    text: str
    marks: tuple[str, ...] = ()
    counts: bool = True


@dataclass(frozen=True, slots=True)
class Step:
    """One step of an explanation."""

    title: str
    lines: tuple[Line, ...]


def window_steps(
    format: Format,
    sheets: Mapping[SheetKind, Tally],
    marks: Mapping[SheetKind, Sequence[Mark]],
    counted: Tally | None = None,
) -> Iterator[Step]:
    """A step for each window of work, then one for marks that stand in no window. `counted` is what counts of the sheets, as
    the rulings have it; without rulings it follows from the sheets."""
    lane = counted or joined_tally(format, sheets)
    if lane is None:
        return
    told: set[str] = set()
    by_id = {mark.id: mark for mark in marks.get("lane", ())}
    placed = _by_window(format, by_id, lane)
    for window in lane.windows:
        if format.windows[window.index].task is not None:
            lines = list(_window_lines(format, window, sheets))
            lines += _mark_lines(format, window.index, lane, by_id, placed.get(window.index, []))
            told.update(mark for mark in placed.get(window.index, []))
            yield Step(window_text(format, window.index), tuple(lines))
    rest = [mark for mark in by_id if mark not in told]
    if lines := _mark_lines(format, None, lane, by_id, rest):
        yield Step(say("In no window of work"), tuple(lines))


def _by_window(format: Format, by_id: Mapping[str, Mark], tally: Tally) -> dict[int, list[str]]:
    """Marks by the window they name, else the one their time falls in; only for telling them together."""
    placed: dict[int, list[str]] = {}
    for mark in sorted(by_id.values(), key=lambda mark: mark.order):
        index = mark.win
        if index is None:
            index = next((i for i, w in enumerate(format.windows) if w.task and w.start_ms <= mark.at < w.end_ms), None)
        if index is not None and index < len(tally.windows):
            placed.setdefault(index, []).append(mark.id)
    return placed


def _window_lines(format: Format, window: WindowTally, sheets: Mapping[SheetKind, Tally]) -> Iterator[Line]:
    yield from _whose_lines(window)
    task = format.tasks[format.windows[window.index].task or ""]
    if isinstance(task, LiftTask):
        yield from (_lift_line(format, window.index, lift) for lift in window.lifts)
        if window.best is not None:
            yield Line(say("Best good lift: {load}", load=decimal(both_units(window.best.load))), (window.best.mark,))
    elif isinstance(task, MeasureTask):
        shown = (
            say("nothing measured")
            if window.measure is None
            else say("Measured: {number} {unit}", number=decimal(decimal_text(window.measure, 6)), unit=task.unit)
        )
        yield Line(shown)
    else:
        yield Line(
            say("{reps} marked", reps=say("repetitions", n=window.count))
            + (say(", target {target}", target=window.target) if window.target else "")
        )
        if window.credited != window.count and window.joined is None:
            yield Line(say("{reps} credited", reps=say("repetitions", n=window.credited)))
        if isinstance(task, ListTask):
            yield from _list_lines(window)
        yield from _point_lines(format, window)
        if window.joined is not None:
            yield from _counter_lines(format, window, window.joined, sheets)


def _whose_lines(window: WindowTally) -> Iterator[Line]:
    """Whose sheet counts, where it is not simply the lane judge's, and what is in doubt about the others."""
    for kind in window.by:
        if SHEETS[kind].does == "compared":
            yield Line(say("By ruling, {sheet} counts here", sheet=known(SHEETS[kind].sheet)))
        elif kind == "paper":
            yield Line(say("Totals read out or written down count here: they are more than the tablet sent"))
    yield from map(Line, (*away_words(window), *unlike_words(window)))


def _list_lines(window: WindowTally) -> Iterator[Line]:
    if window.finish_ms is not None:
        yield Line(say("finished.opening", time=decimal(exact_text(Fraction(window.finish_ms, 1000)))))
    elif window.left is not None:
        yield Line(say("Not finished: {reps} left", reps=say("repetitions", n=window.left)))


def _point_lines(format: Format, window: WindowTally) -> Iterator[Line]:
    """When the points were reached at which a time may part equal scores."""
    for (index, taps), point in format.timed_points().items():
        if index == window.index:
            at = reached(window, taps)
            since = None if at is None else exact_text(Fraction(at - format.windows[index].start_ms, 1000))
            words = point.words()
            yield Line(
                say("point.missed", point=words) if since is None else say("point.reached", point=words, time=decimal(since))
            )


def _counter_lines(format: Format, window: WindowTally, joined: Fraction, sheets: Mapping[SheetKind, Tally]) -> Iterator[Line]:
    counts = list(counters_in(format, sheets, window.index).counts.values())
    if len(counts) < 2:
        return
    made = join_counts(format.counters, counts)
    shown = ", ".join(map(decimal_text, counts))
    yield Line(
        say(
            "Counters {shown}: {how} is {number}",
            shown=shown,
            how=known(JOINS[format.counters.how]),
            number=decimal_text(made.count),
        )
    )
    if joined != made.count:
        yield Line(say("{number} of them count", number=decimal_text(joined)))
    if made.recount:
        yield Line(say("More than {recount_beyond} apart: to be counted again", recount_beyond=format.counters.recount_beyond))


def _lift_line(format: Format, index: int, lift: LiftTally) -> Line:
    fault = lower_name(known(fault_name(format, index, lift.fault)))
    outcome = say("lift.was_good") if lift.good else f"{say('lift.was_no')}, {fault}"
    whose = f"{member_letter(lift.member)}: " if lift.member is not None and format.members > 1 else ""
    load, at = decimal(both_units(lift.load)), decimal(clock_ms_text(lift.at))
    load = (
        say("{load} for {reps} at {time}", load=load, reps=lift.reps, time=at)
        if lift.reps > 1
        else say("{load} at {time}", load=load, time=at)
    )
    text = f"{whose}{load}: {outcome}{lights_text(lift)}{misload_text(lift)}"
    return Line(text, (lift.mark,), lift.good and lift.counts)


def _mark_lines(format: Format, index: int | None, tally: Tally, by_id: Mapping[str, Mark], marks: Sequence[str]) -> list[Line]:
    """No-reps by fault, marks taken back, odd marks with the reason. `index`: the window that they stand in, if any."""
    lines = []
    struck = [mark for mark in marks if mark in tally.struck]
    noreps = [by_id[mark] for mark in marks if by_id[mark].kind == "norep" and mark not in tally.struck]
    named = {mark.id: fault_name(format, index, mark.body.get("fault"), mark.body.get("movement")) for mark in noreps}
    said = {mark: lower_name(known(name)) for mark, name in named.items()}
    for fault, number in sorted(Counter(said.values()).items()):
        ids = tuple(mark for mark, name in said.items() if name == fault)
        lines.append(Line(say("no_reps_of", n=number, fault=fault), ids, False))
    for mark in struck:
        lines.append(
            Line(
                say("Taken back: {kind} at {time}", kind=by_id[mark].kind, time=decimal(clock_ms_text(by_id[mark].at))),
                (mark,),
                False,
            )
        )
    for flag in told_of(tally.flags):
        if flag.mark in marks and flag.mark not in struck:
            row, at = FLAGS[flag.why], decimal(clock_ms_text(by_id[flag.mark].at))
            lines.append(Line(say("At {time}: {why}", time=at, why=known(row.sentence)), (flag.mark,), not row.keeps_out))
    return lines
