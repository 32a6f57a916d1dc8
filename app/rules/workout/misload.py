"""A bar that was loaded wrong: what was really on it, and what the event's rule makes of the try."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from typing import Literal

from app.rules.values.shapes import Base
from app.rules.values.units import Load, Rounding, decimal_text, round_to
from app.rules.workout.fields import Field

Outcome = Literal["keep", "again", "choose"]


class MisloadRule(Base):
    """What becomes of a try with another load on the bar than declared, by what was wrong and whether the lift was good.

    keep: it counts for what was really on the bar. again: it is void, and the declared load may be lifted again. choose: the
    lifter chooses; until they have, it is kept. `round_down` records a kept load down to the event's least step.
    """

    light_good: Outcome = "keep"
    light_missed: Outcome = "keep"
    heavy_good: Outcome = "keep"
    heavy_missed: Outcome = "keep"
    uneven_good: Outcome = "keep"
    uneven_missed: Outcome = "keep"
    round_down: bool = False


# International Powerlifting Federation, Technical Rules, on errors in loading (read in published text; editions differ, so each
# value is a parameter): too light and good, the lifter keeps it or takes the asked load again; too light and missed, again; too
# heavy and good, it is granted; too heavy and missed, again; uneven ends and good, the lifter chooses; and missed, again. A load
# between two steps is recorded down to the lower one.
POWERLIFTING = MisloadRule(
    light_good="choose",
    light_missed="again",
    heavy_good="keep",
    heavy_missed="again",
    uneven_good="choose",
    uneven_missed="again",
    round_down=True,
)
EVERY_TIME_AGAIN = MisloadRule(
    light_good="again",
    light_missed="again",
    heavy_good="again",
    heavy_missed="again",
    uneven_good="again",
    uneven_missed="again",
)
NAMED: Mapping[str, MisloadRule] = {"published": POWERLIFTING, "keep": MisloadRule(), "again": EVERY_TIME_AGAIN}


def misload_name(rule: MisloadRule) -> str:
    """The key of a rule in NAMED; `own` for another one."""
    return next((name for name, known in NAMED.items() if known == rule), "own")


@dataclass(frozen=True, slots=True)
class Misload:
    """What the rule makes of one try: the load that counts, the load that was on the bar, whether the try is void and may be made
    again, whether the lifter still has to choose."""

    load: Load
    actual: Load
    again: bool
    open: bool


def misload(rule: MisloadRule, step: Load, asked: Load, actual: Load, uneven: bool, good: bool, keep: bool | None) -> Misload:
    """Applies the rule to a try with `actual` on the bar where `asked` was declared, or with uneven ends. `keep` is what the
    lifter chose, None before that. A load as declared with even ends is no mis-load and is not asked about here."""
    wrong = "uneven" if uneven else "light" if actual < asked else "heavy"
    outcome: Outcome = getattr(rule, f"{wrong}_{'good' if good else 'missed'}")
    again = outcome == "again" or (outcome == "choose" and keep is False)
    credited = _recorded(actual, step) if rule.round_down and not again else actual
    return Misload(credited, actual, again, outcome == "choose" and keep is None)


def _recorded(actual: Load, step: Load) -> Load:
    """A load down to a whole number of steps, in the unit of the step; unchanged where it is one already."""
    if actual.kg % step.kg == 0:
        return actual
    return Load(decimal_text(round_to(actual.in_unit(step.unit), step.in_unit(step.unit), Rounding.DOWN)), step.unit)


AT_ROUND_END = "A lift repeated because the bar was loaded wrong comes at the end of its round."
AGAIN = {"at_once": "at once", "round_end": "at the end of the round"}
MISLOADS = {
    "published": "good and too heavy counts, good and too light is the lifter's choice, otherwise again",
    "keep": "what was really on it counts",
    "again": "the declared load is lifted again",
    "own": "as chosen below",
}
OUTCOMES = {"keep": "what was on it counts", "again": "lifted again", "choose": "the lifter chooses"}
case = partial(Field, MisloadRule, "lift-misload-", words=OUTCOMES)
MISLOAD_CASES = (  # what is read of a rule that is no named one
    case("light_good", "Too light, good lift", "{}, light and good"),
    case("light_missed", "Too light, no lift", "{}, light and missed"),
    case("heavy_good", "Too heavy, good lift", "{}, heavy and good"),
    case("heavy_missed", "Too heavy, no lift", "{}, heavy and missed"),
    case("uneven_good", "Uneven ends, good lift", "{}, uneven and good"),
    case("uneven_missed", "Uneven ends, no lift", "{}, uneven and missed"),
    case("round_down", "A load between two steps is recorded down to the lower one", "", words=None),
)
