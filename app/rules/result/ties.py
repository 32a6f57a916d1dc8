"""The stated steps that break a tie, as sort keys: smaller is better, and None means the step can't tell."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from app.rules.count.fold_lifts import LiftTally
from app.rules.count.tally import Tally, WindowTally
from app.rules.result.scoring import Score
from app.rules.values.units import Load
from app.rules.workout.formats import Format, LiftTask, ScoreRule, TieStep

TieKey = tuple[int | Fraction, ...]

NEVER = (1,)  # sorts after every (0, value): who has nothing to show comes last


@dataclass(frozen=True, slots=True)
class Shown:
    """What a step may look at of one entry: the windows that its score takes from, the score itself, its bodyweight."""

    format: Format
    rule: ScoreRule
    windows: tuple[WindowTally, ...]
    score: Score
    bodyweight: Load | None

    @property
    def best(self) -> LiftTally | None:
        """The heaviest good lift, of equal ones the first."""
        tasks = {index: window.task for index, window in enumerate(self.format.windows)}
        lifts = [w.best for w in self.windows if w.best and isinstance(self.format.tasks[tasks[w.index] or ""], LiftTask)]
        return min(lifts, key=lambda lift: (-lift.load.kg, lift.at), default=None)


def tie_keys(format: Format, rule: ScoreRule, tally: Tally, score: Score, bodyweight: Load | None = None) -> tuple[TieKey, ...]:
    """One key for each tie step of the rule, in order. `bodyweight` is the entry's: its members' together, None if not
    weighed."""
    if not rule.ties:
        return ()
    taken = sorted({index for part in rule.parts for index in format.window_indexes(part)})
    shown = Shown(format, rule, tuple(tally.windows[index] for index in taken), score, bodyweight)
    return tuple(KEYS[step.kind](step, shown) for step in rule.ties)


def _count_at(step: TieStep, shown: Shown) -> TieKey:
    """More work done before the moment `at`, in seconds, comes first."""
    by = (step.at or 0) * 1000
    return (0, -sum(worth for window in shown.windows for at, worth, _ in window.reps if at < by))


def _time_of_count(step: TieStep, shown: Shown) -> TieKey:
    """Whose last repetition was sooner comes first."""
    times = [at for window in shown.windows for at, _, _ in window.reps]
    return (0, max(times)) if times else NEVER


def _best_lift(step: TieStep, shown: Shown) -> TieKey:
    """The heavier best lift comes first."""
    return NEVER if shown.best is None else (0, -shown.best.load.kg)


def _earlier_best(step: TieStep, shown: Shown) -> TieKey:
    """Who made the best lift sooner comes first."""
    return NEVER if shown.best is None else (0, shown.best.at)


def _bodyweight(step: TieStep, shown: Shown) -> TieKey:
    """The lighter entry comes first."""
    return NEVER if shown.bodyweight is None else (0, shown.bodyweight.kg)


def _part(step: TieStep, shown: Shown) -> TieKey:
    """The better value of one part of the score comes first."""
    value = shown.score.parts[step.part or 0].value
    return (0, -value if shown.rule.better == "more" else value)


# The function of each row of TIE_STEPS.
KEYS: Mapping[str, Callable[[TieStep, Shown], TieKey]] = {
    "count_at": _count_at,
    "time_of_count": _time_of_count,
    "best_lift": _best_lift,
    "earlier_best": _earlier_best,
    "bodyweight": _bodyweight,
    "part": _part,
}
