"""The scale's odds, worked out exactly by the scale: how often an inflated claim stands, and an honest one is corrected."""

from collections.abc import Sequence
from fractions import Fraction

import pytest

from app.rules.round.rule import DivisionRule, EventRule, MostLooks, PartRule, Rule
from app.rules.round.scale import Score, settle

EVENT = EventRule(id="e", name="E", parts=(PartRule(name="All"),))
CLAIM = Fraction(400)
# The assumptions of the round's plan: a look sees through an inflated claim in 85 of 100, and is wrong about an honest one in 2.
SEES, WRONG = Fraction(85, 100), Fraction(2, 100)


def rule(most: MostLooks) -> Rule:
    divisions = (DivisionRule(id="d", name="D"),)
    return Rule(id="r", name="R", events=(EVENT,), divisions=divisions, deadline_ms=0, most_looks=most, top_looks=2)


def odds(most: MostLooks, corrects: Fraction) -> tuple[Fraction, Fraction]:
    """The chance that a claim of the top stands, and how many looks it has on average; corrects: the chance that a look does."""
    of, stands, looks = rule(most), Fraction(0), Fraction(0)
    open_yet: list[tuple[tuple[Score, ...], Fraction]] = [((), Fraction(1))]
    while open_yet:
        seen, chance = open_yet.pop()
        outcome = settle(of, EVENT, CLAIM, seen).outcome if len(seen) >= of.top_looks else "more"
        if outcome == "more":
            assert len(seen) < most, "the last look decides"
            open_yet += [((*seen, Fraction(360)), chance * corrects), ((*seen, CLAIM), chance * (1 - corrects))]
        else:
            stands += chance * (outcome == "stands")
            looks += chance * len(seen)
    return stands, looks


@pytest.mark.parametrize(
    ("most", "inflated", "honest"), [(3, "0.06075", "0.00118"), (5, "0.03799", "0.00045"), (7, "0.02929", "0.00040")]
)
def test_a_longer_scale_lets_fewer_inflated_claims_stand_and_corrects_fewer_honest_ones(
    most: MostLooks, inflated: str, honest: str
) -> None:
    stands, _ = odds(most, SEES)
    kept, looks = odds(most, WRONG)
    assert (f"{float(stands):.5f}", f"{float(1 - kept):.5f}") == (inflated, honest)
    assert looks < Fraction(213, 100), "two looks are nearly always enough for an honest line"


@pytest.mark.parametrize("most", [3, 5, 7, 9])
def test_looks_decide_as_soon_as_none_to_come_could_move_the_median_and_no_sooner(most: MostLooks) -> None:
    of = rule(most)
    for low in range(most + 1):
        for near in range(most + 1 - low):
            seen: Sequence[Score] = [*[Fraction(300)] * low, *[CLAIM] * near]
            sure = "adjusted" if low > most // 2 or (low, near) == (2, 0) else "stands" if near > most // 2 or not low else "more"
            assert settle(of, EVENT, CLAIM, seen).outcome == (sure if seen else "more")
