"""The scale: what looks make of a claim. Those near it let it stand, else two that agree decide, else the median of several.

A median of three lets an inflated claim stand where two of three looks miss it: of claims that a look sees through in 85 of 100,
6 in 100, which was more than 1 in 100 of all who were invited. The median of seven lets 3 in 100 stand, at a tenth more looks at
the top, for only where two differ are there more than two (tests/rules/round/test_scale.py has the figures).

Source: the round's own rule, which the kit says to everybody before the first claim.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from app.rules.round.records import LookSealed
from app.rules.round.rule import EventRule, Rule

Score = Fraction | None  # None: the line is refused


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the looks so far give: an outcome and the score, None for a refused line; `more`: another look is needed."""

    outcome: Literal["stands", "adjusted", "refused", "more"]
    value: Score = None


def look_score(event: EventRule, look: LookSealed, word: str) -> Score:
    """The score that a look gives: a window or lift with a fault is not credited; a fault of the line refuses the line, and so
    does a film without its word or with another (`word`: the entry's, empty in a round without)."""
    if look.faults or (word and look.word != word):
        return None
    counted = [part.none if seen.faults else seen.value for part, seen in zip(event.parts, look.seen, strict=True)]
    return None if event.lacks(counted) else event.score(counted)


def near(rule: Rule, claim: Fraction, one: Score, other: Score) -> bool:
    """Whether two scores agree: within the greater of the rule's amount and its share of the claim; two refusals do."""
    if one is None or other is None:
        return one is other
    return abs(one - other) <= max(rule.near, rule.near_share * abs(claim))


def settle(rule: Rule, event: EventRule, claim: Fraction, looks: Sequence[Score]) -> Verdict:
    """What the scores of a line's sealed looks make of its claim; their order is no matter.

    All near the claim: it stands. Else two that agree give the better of the two, and more their median once none to come could
    move it farther than near, the better end of what is left open; a refusal is the worst there is. What that gives stands as the
    claim where it is near it.
    """
    if not looks:
        return Verdict("more")
    if all(near(rule, claim, claim, one) for one in looks):
        return Verdict("stands", claim)
    ordered = sorted(looks, key=lambda one: (one is None, Fraction(0) if one is None else event.worth(one)))
    if len(looks) == 2 and near(rule, claim, *looks):
        return _given(rule, claim, ordered[0])
    worst = rule.most_looks // 2  # where the median is if all looks to come are worse
    best = worst - (rule.most_looks - len(looks))  # and if all are better
    if best >= 0 and near(rule, claim, ordered[best], ordered[worst]):
        return _given(rule, claim, ordered[best])
    return Verdict("more")


def _given(rule: Rule, claim: Fraction, value: Score) -> Verdict:
    if value is None:
        return Verdict("refused")
    return Verdict("stands", claim) if near(rule, claim, claim, value) else Verdict("adjusted", value)
