"""What would pass: the least load, on the event's step, with which a lifter's next good lift passes each entry ahead.

Nothing is worked out backwards. A load is tried by ranking the standing as if it had been lifted, so every rule of the score, its
ties, its roundings, its penalties and its variants holds of itself; as a heavier good lift never ranks lower, the least load that
passes is found by halving.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from app.rules.count.fold_lifts import best_lift
from app.rules.count.lifting.judged import LiftTally
from app.rules.count.sheets import formats_by_assignment
from app.rules.count.tally import Tally, fold
from app.rules.records.document import Run
from app.rules.records.roster import Event, Heat, Roster
from app.rules.records.rulings import Ruling
from app.rules.result.results import EventResults, Row, Table, event_results
from app.rules.values.units import Load, decimal_text
from app.rules.workout.formats import Format, LiftTask, ScoreRule, Window
from app.rules.workout.typed_loads import MOST_LIFTED

TRIED = "0" * 32  # the id of a lift that nobody has made
MOST_AHEAD = 4


@dataclass(frozen=True, slots=True)
class Turn:
    """Whose next lift is asked about: the lane assignment, the window, the member if the window leaves that open; what the bar
    does not go below, None where it may."""

    assignment: str
    window: int
    member: int | None = None
    floor: Load | None = None


@dataclass(frozen=True, slots=True)
class Ahead:
    """An entry that stands before a lifter's, or level with it; `load` is the least that would pass it, None for out of reach."""

    entry: str
    name: str
    place: int
    level: bool
    load: Load | None


@dataclass(frozen=True, slots=True)
class WithGood:
    """Where a lifter's entry would stand in one score with a good lift: its place, whether it is shared, of how many, and the
    names of those whom it would go past, the best placed first."""

    place: int
    shared: bool
    of: int
    past: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Chase:
    """What a lifter chases in one score: the own place (None before a score), the leader and the nearest of those ahead in the
    order they stand, and how many more there are between them."""

    rule: ScoreRule
    place: int | None
    shared: bool
    ahead: tuple[Ahead, ...]
    more: int


def chase(
    roster: Roster,
    standing: EventResults,
    tallies: Mapping[str, Tally],
    rulings: Sequence[Ruling],
    turn: Turn,
    runs: Sequence[Run] = (),
) -> Chase | None:
    """What a lifter's next lift chases as the standing is, or None where no score takes a single load from the window.

    `tallies` are those that count, by assignment. The leader and the nearest ahead are worked out; `more` counts the rest.
    """
    found = _asked(roster, standing, turn)
    if found is None or found[0].rule.better == "less":
        return None
    table, mine, format, task = found
    before = [row for row in table.rows if row.place is not None and row.entry.id != mine.entry.id]
    ahead = [row for row in before if mine.place is None or (row.place or 0) <= mine.place]
    near = ahead if len(ahead) <= MOST_AHEAD else [ahead[0], *ahead[1 - MOST_AHEAD :]]
    small = _only(roster, standing.event.id, {mine.entry.id, *(row.entry.id for row in near)})
    own = tallies.get(turn.assignment) or fold(format, ())

    def places(load: Load) -> Mapping[str, int | None]:
        tried = {**tallies, turn.assignment: with_lift(format, own, turn, load)}
        return _places(event_results(small, standing.event.id, tried, rulings, runs), table, mine)

    loads = [_least(places, format, task, own, turn, row.entry.id, mine.entry.id) for row in near]
    return Chase(
        rule=table.rule,
        place=mine.place,
        shared=mine.shared,
        ahead=tuple(
            Ahead(row.entry.id, row.entry.name, row.place or 0, row.place == mine.place, load)
            for row, load in zip(near, loads, strict=True)
        ),
        more=len(ahead) - len(near),
    )


def with_good(
    roster: Roster,
    standing: EventResults,
    tallies: Mapping[str, Tally],
    rulings: Sequence[Ruling],
    turn: Turn,
    load: Load,
    runs: Sequence[Run] = (),
) -> WithGood | None:
    """What a good lift of one load would come to as the standing is: the standing is ranked as if it had been lifted. None where
    no score takes from the window, or the entry would have no place all the same."""
    found = _asked(roster, standing, turn)
    if found is None:
        return None
    table, mine, format, _ = found
    own = tallies.get(turn.assignment) or fold(format, ())
    tried = {**tallies, turn.assignment: with_lift(format, own, turn, load)}
    rows = _same(
        event_results(_by(roster, standing.event.id, table.rule), standing.event.id, tried, rulings, runs), table, mine
    ).rows
    now = next(row for row in rows if row.entry.id == mine.entry.id)
    if now.place is None:
        return None
    stood = mine.place or 0  # before every place: who had none goes past nobody by name
    others = (row for row in table.rows if row.entry.id != mine.entry.id and row.place is not None and row.place <= stood)
    before = {row.entry.id for row in others if row.score is not None and row.score.value}  # with nothing yet: no rival
    ranked = sorted((row for row in rows if row.place is not None), key=lambda row: row.place or 0)
    past = tuple(row.entry.name for row in ranked if row.entry.id in before and (row.place or 0) > now.place)
    return WithGood(now.place, now.shared, len(ranked), past)


def _asked(roster: Roster, standing: EventResults, turn: Turn) -> tuple[Table, Row, Format, LiftTask] | None:
    """The standing that a turn is about, the entry's row in it, and the lift; None where no score takes a single load from the
    window, or nobody knows how many repetitions there will be."""
    found = _own_table(standing, turn)
    format = formats_by_assignment(roster)[turn.assignment]
    task = format.tasks[format.windows[turn.window].task or ""]
    return None if found is None or not isinstance(task, LiftTask) or task.times_reps else (*found, format, task)


def _own_table(standing: EventResults, turn: Turn) -> tuple[Table, Row] | None:
    """The first standing that takes from the window and holds the lifter's entry, and the entry's row in it."""
    for table in standing.tables:
        takes = {index for part in table.rule.parts for index in standing.event.format.window_indexes(part)}
        row = next((row for row in table.rows if row.assignment == turn.assignment), None)
        if turn.window in takes and row is not None:
            return table, row
    return None


def _only(roster: Roster, event: str, entries: set[str]) -> Roster:
    """The roster with these entries alone: who stands where among them does not depend on the others."""
    heats = tuple(_heat_of(heat, entries) for heat in roster.heats if heat.event == event)
    return roster.model_copy(
        update={"entries": tuple(entry for entry in roster.entries if entry.id in entries), "heats": heats, "openers": ()}
    )


def _by(roster: Roster, event: str, rule: ScoreRule) -> Roster:
    """The roster with an event that has this score alone: the others are ranked for nothing."""

    def alone(one: Event) -> Event:
        return one.model_copy(update={"format": one.format.model_copy(update={"scores": (rule,)})})

    return roster.model_copy(update={"events": tuple(alone(one) if one.id == event else one for one in roster.events)})


def _heat_of(heat: Heat, entries: set[str]) -> Heat:
    return heat.model_copy(update={"lanes": tuple(lane for lane in heat.lanes if lane.entry in entries)})


def _places(results: EventResults, table: Table, mine: Row) -> Mapping[str, int | None]:
    return {row.entry.id: row.place for row in _same(results, table, mine).rows}


def _same(results: EventResults, table: Table, mine: Row) -> Table:
    """The table of other results that holds the same entry by the same rule."""
    return next(
        one for one in results.tables if one.rule.id == table.rule.id and any(row.entry.id == mine.entry.id for row in one.rows)
    )


def with_lift(format: Format, tally: Tally, turn: Turn, load: Load) -> Tally:
    """A tally as if the lifter had made one more good lift of this load, at the last moment of the window."""
    found, window = tally.windows[turn.window], format.windows[turn.window]
    member = turn.member if turn.member is not None else _only_member(window)
    lift = LiftTally(TRIED, None, load, 1, True, None, member, window.end_ms - 1, True)
    lifts = (*found.lifts, lift)
    made = replace(found, lifts=lifts, best=best_lift(lifts, times_reps=False))
    windows = tuple(made if one.index == turn.window else one for one in tally.windows)
    return replace(tally, windows=windows, any_marks=True)


def _only_member(window: Window) -> int | None:
    return window.who[0] if isinstance(window.who, tuple) and len(window.who) == 1 else None


def least_next(task: LiftTask, lifts: Sequence[LiftTally]) -> Load:
    """The least load that a lifter may declare next: the bar; where loads don't go down, the heaviest so far."""
    heaviest = max((lift.load for lift in lifts if not lift.again), default=task.bar)
    return task.bar if task.may_go_down else max(task.bar, heaviest)


def _least(
    places: Callable[[Load], Mapping[str, int | None]],
    format: Format,
    task: LiftTask,
    own: Tally,
    turn: Turn,
    target: str,
    mine: str,
) -> Load | None:
    """The least load on the step that passes, found by halving between what may be declared next and what anybody lifts."""
    step = task.step.in_unit(task.step.unit)
    lifts = [lift for lift in own.windows[turn.window].lifts if turn.member is None or lift.member in (None, turn.member)]
    least = max(least_next(task, lifts), turn.floor or task.bar)
    low = -(-least.in_unit(task.step.unit) // step)  # whole steps, up
    high = MOST_LIFTED.in_unit(task.step.unit) // step

    def passes(steps: int) -> bool:
        standing = places(Load(decimal_text(Fraction(steps) * step), task.step.unit))
        ours, theirs = standing[mine], standing[target]
        return ours is not None and theirs is not None and ours < theirs

    if low > high or not passes(high):
        return None
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if passes(middle) else (middle + 1, high)
    return Load(decimal_text(Fraction(high) * step), task.step.unit)
