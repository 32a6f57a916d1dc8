"""The stated steps that break a tie, as sort keys: smaller is better, and None means the step can't tell."""

from fractions import Fraction

from app.rules.count.fold_lifts import LiftTally
from app.rules.count.tally import Tally, WindowTally
from app.rules.result.scoring import Score
from app.rules.values.units import Load
from app.rules.workout.formats import Format, LiftTask, ScoreRule, TieStep

TieKey = tuple[int | Fraction, ...]

NEVER = (1,)  # sorts after every (0, value): who has nothing to show comes last


def tie_keys(format: Format, rule: ScoreRule, tally: Tally, score: Score, bodyweight: Load | None = None) -> tuple[TieKey, ...]:
    """One key for each tie step of the rule, in order. `bodyweight` is the entry's: its members' together, None if not
    weighed."""
    return tuple(_key(format, rule, step, tally, score, bodyweight) for step in rule.ties)


def tie_text(step: TieStep) -> str:
    """A tie step in words, as the brief and the explanation show it."""
    match step.kind:
        case "count_at":
            minutes, seconds = divmod(step.at or 0, 60)
            return f"more done by {minutes}:{seconds:02d}"
        case "time_of_count":
            return "reached the same count sooner"
        case "best_lift":
            return "heavier best lift"
        case "earlier_best":
            return "made the best lift sooner"
        case "bodyweight":
            return "lighter bodyweight"
        case "part":
            return f"better in part {(step.part or 0) + 1} of the score"


def _key(format: Format, rule: ScoreRule, step: TieStep, tally: Tally, score: Score, bodyweight: Load | None) -> TieKey:
    windows = [tally.windows[i] for i in sorted({i for part in rule.parts for i in format.window_indexes(part)})]
    match step.kind:
        case "count_at":
            by = (step.at or 0) * 1000
            return (0, -sum(worth for window in windows for at, worth, _ in window.reps if at < by))
        case "time_of_count":
            times = [at for window in windows for at, _, _ in window.reps]
            return (0, max(times)) if times else NEVER
        case "best_lift" | "earlier_best":
            best = _best(format, windows)
            if best is None:
                return NEVER
            return (0, -best.load.kg if step.kind == "best_lift" else best.at)
        case "bodyweight":
            return NEVER if bodyweight is None else (0, bodyweight.kg)
        case "part":
            value = score.parts[step.part or 0].value
            return (0, -value if rule.better == "more" else value)


def _best(format: Format, windows: list[WindowTally]) -> LiftTally | None:
    lifts = [w.best for w in windows if w.best and isinstance(format.tasks[format.windows[w.index].task or ""], LiftTask)]
    return min(lifts, key=lambda lift: (-lift.load.kg, lift.at), default=None)
