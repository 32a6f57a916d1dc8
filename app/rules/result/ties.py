"""The stated steps that break a tie, as sort keys: smaller is better, and None means the step can't tell."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from app.rules.count.lifting.judged import LiftTally
from app.rules.count.tally import Tally, WindowTally
from app.rules.result.lift_ties import Asked, Gone, Making, asked_of, making
from app.rules.result.scoring import Score, Term, heaviest_line
from app.rules.values.units import Load
from app.rules.workout.formats import Format, LiftTask, ListTask, Part, ScoreRule, TieStep

TieKey = tuple[int | Fraction, ...]

NEVER = (1,)  # sorts after every (0, value): who has nothing to show comes last


@dataclass(frozen=True, slots=True)
class Shown:
    """What a step may look at of one entry: the windows that its score takes from, the score itself, its bodyweight; when its
    heat had its GO, None where all are of one heat."""

    format: Format
    rule: ScoreRule
    windows: tuple[WindowTally, ...]
    score: Score
    bodyweight: Load | None
    gone: Gone | None = None

    @property
    def best(self) -> LiftTally | None:
        """The heaviest good lift that counts, of equal ones the first."""
        lifts = [lift for window in self.windows for lift in window.lifts if lift.good and lift.counts]
        return min(lifts, key=lambda lift: (-lift.load.kg, lift.at), default=None)


TieFunction = Callable[[TieStep, Shown], TieKey]


def tie_keys(
    format: Format, rule: ScoreRule, tally: Tally, score: Score, bodyweight: Load | None = None, gone: Gone | None = None
) -> tuple[TieKey, ...]:
    """One key for each tie step of the rule, in order. `bodyweight` is the entry's: its members' together, None if not
    weighed; `gone`: when its heat had its GO, where others of another heat may be level with it."""
    if not rule.ties:
        return ()
    taken = sorted({index for part in rule.parts for index in format.window_indexes(part)})
    shown = Shown(format, rule, tuple(tally.windows[index] for index in taken), score, bodyweight, gone)
    return tuple(KEYS[step.kind](step, shown) for step in rule.ties)


def _count_at(step: TieStep, shown: Shown) -> TieKey:
    """More work done before the moment `at`, in seconds, comes first."""
    by = (step.at or 0) * 1000
    return (0, -sum(worth for window in shown.windows for at, worth, _ in window.reps if at < by))


def _time_at(step: TieStep, shown: Shown) -> TieKey:
    """Who was sooner at a stated point of the work comes first; who never got there comes last."""
    if step.point is None:
        return NEVER
    index, taps = shown.format.place_of(shown.rule, step.point)
    at = next((reached(window, taps) for window in shown.windows if window.index == index), None)
    return NEVER if at is None else (0, at)


def reached(window: WindowTally, taps: int) -> int | None:
    """When so many taps of a window were done, in ms on the heat clock; None before."""
    return window.reps[taps - 1][0] if len(window.reps) >= taps else None


def _time_of_count(step: TieStep, shown: Shown) -> TieKey:
    """Who reached sooner what the score takes comes first: what was done in windows that it leaves out says nothing."""
    windows = {window.index: window for window in shown.windows}
    parts = zip(shown.rule.parts, shown.score.parts, strict=True)
    terms = [(part, made.terms[i]) for part, made in parts if part.weight for i in made.taken]
    moments = [_reached(shown.format, part, term, windows[term.window]) for part, term in terms]
    times = [at for at in moments if at is not None]
    return (0, max(times)) if times else NEVER


def _reached(format: Format, part: Part, term: Term, window: WindowTally) -> int | None:
    """The moment at which a window's repetitions came to what is taken of them, in ms on the heat clock. None where none do."""
    task = format.tasks[format.windows[window.index].task or ""]
    if part.take == "heaviest" and isinstance(task, ListTask):
        found = heaviest_line(task, len(window.reps))
        return None if found is None else window.reps[found[1] - 1][0]
    own = part.take == "member_best" and format.members > 1
    reps = [(at, worth) for at, worth, member in window.reps if not own or member == term.member]
    wanted = term.raw if term.raw_unit == "reps" else window.counted
    if not wanted:
        return None
    done = 0
    for at, worth in reps:
        done += worth
        if done >= wanted:
            return at
    return reps[-1][0] if reps else None


def _best_lift(step: TieStep, shown: Shown) -> TieKey:
    """The heavier best lift comes first."""
    return NEVER if shown.best is None else (0, -shown.best.load.kg)


def _earlier_best(step: TieStep, shown: Shown) -> TieKey:
    """Who made the best lift sooner comes first."""
    return NEVER if shown.best is None else (0, shown.best.at)


def _made(shown: Shown, part: int | None = None) -> Iterator[Making | None]:
    """The lifts that made what is taken of all parts, or of one."""
    windows = {window.index: window for window in shown.windows}
    for number, (rule, made) in enumerate(zip(shown.rule.parts, shown.score.parts, strict=True)):
        if part not in (None, number):
            continue
        for term in (made.terms[i] for i in made.taken):
            task = shown.format.tasks[shown.format.windows[term.window].task or ""]
            if isinstance(task, LiftTask):
                yield making(task, windows[term.window], term.member, rule.take == "member_best")


def _by_lifts(asked: Asked, of_part: bool = False) -> TieFunction:
    """The step that compares what is asked of the lifts that made the score, added up: less comes first."""

    def key(step: TieStep, shown: Shown) -> TieKey:
        found = asked_of(_made(shown, step.part if of_part else None), asked)
        return NEVER if found is None else (0, sum(found))

    return key


def _by_previous(of_part: bool = False) -> TieFunction:
    """The step that compares the attempts before the lifts that made the score, the last one first: the lighter comes first."""

    def key(step: TieStep, shown: Shown) -> TieKey:
        found = list(_made(shown, step.part if of_part else None))
        if not found or None in found:
            return NEVER
        return (0, *(load for one in found if one is not None for load in one.previous()))

    return key


def _total_first(step: TieStep, shown: Shown) -> TieKey:
    """Who made the whole score sooner comes first, in the competition: of two heats by their GOs."""
    found = asked_of(_made(shown), lambda one: one.lift.at)
    if found is None:
        return NEVER
    return (0, max(found)) if shown.gone is None else (0, *shown.gone.moment(max(found)))


def _lower_part(step: TieStep, shown: Shown) -> TieKey:
    """The lower value of one part of the score comes first."""
    return (0, shown.score.parts[step.part or 0].value)


def _bodyweight(step: TieStep, shown: Shown) -> TieKey:
    """The lighter entry comes first."""
    return NEVER if shown.bodyweight is None else (0, shown.bodyweight.kg)


def _part(step: TieStep, shown: Shown) -> TieKey:
    """The better value of one part of the score comes first."""
    value = shown.score.parts[step.part or 0].value
    return (0, -value if shown.rule.better == "more" else value)


# The function of each row of TIE_STEPS.
KEYS: Mapping[str, TieFunction] = {
    "count_at": _count_at,
    "time_at": _time_at,
    "time_of_count": _time_of_count,
    "best_lift": _best_lift,
    "earlier_best": _earlier_best,
    "bodyweight": _bodyweight,
    "part": _part,
    "lower_part": _lower_part,
    "total_first": _total_first,
    "fewer_attempts": _by_lifts(Making.attempt),
    "attempt_of_part": _by_lifts(Making.attempt, of_part=True),
    "previous_attempts": _by_previous(),
    "previous_of_part": _by_previous(of_part=True),
    "tries_at_best": _by_lifts(Making.tries_at_its_load),
    "fewer_misses": _by_lifts(Making.misses),
}
