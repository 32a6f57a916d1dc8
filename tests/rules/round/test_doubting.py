"""Doubts: from a gym's marks and from all claims, told with their reason; they change no score and few looks are for them."""

from dataclasses import replace
from fractions import Fraction
from random import Random

import pytest

from app.rules.records.document import CompetitionFile
from app.rules.records.marks import Mark
from app.rules.round import records as r
from app.rules.round.doubting import doubts_of, is_too_even
from app.rules.round.due import due_now
from app.rules.round.films import doubts_left
from app.rules.round.guards import roll_root
from app.rules.round.rule import HOUR, DivisionRule, DoubtRule, EventRule, PartRule, Rule
from app.rules.round.standing import standing
from tests.builders.mixed_day import a_mixed_day, an_entry, counted
from tests.builders.rounds import DEADLINE, Played
from tests.round.test_hand_in import EVENT

RULE = DoubtRule()
LINE = (1001, EVENT.id)


def judged(*times: int, fastest_ms: int | None = 300) -> CompetitionFile:
    """A gym's day of one entry whose swings were counted at these times."""
    swing = counted(1).movements["swing"].model_copy(update={"fastest_ms": fastest_ms})
    event = EVENT.model_copy(update={"format": counted(1).model_copy(update={"movements": {"swing": swing}})})
    day = a_mixed_day([an_entry("solo1", "solo", 1)], [event], {event.id: ["solo1"]}, {(event.id, "solo1"): len(times)})
    marks: list[Mark] = [replace(mark, at=at) for mark, at in zip(day.marks, times, strict=True)]
    return day.model_copy(update={"marks": tuple(marks)})


def by_hand(count: int, seed: int) -> list[int]:
    """Times of repetitions as a judge taps them: some 1.5 s apart, with a spread of a tenth of a second."""
    chance, at = Random(seed), 0.0
    return [round(at := at + chance.gauss(1_500, 100)) for _ in range(count)]


def test_marks_give_a_doubt_where_they_come_too_fast_or_too_evenly_for_a_hand() -> None:
    assert doubts_of(RULE, judged(*by_hand(40, 1)), 1) == {}
    quick = [1_000, 1_200, 2_600, 2_800, 4_100]
    said = doubts_of(RULE, judged(*quick), 1)
    assert said == {LINE: "Window 1: 2 of 5 repetitions came faster than the movement is believed to allow."}
    assert doubts_of(RULE, judged(*quick, fastest_ms=None), 1) == {}
    said = doubts_of(RULE, judged(*range(1_000, 31_000, 1_500)), 1)
    assert said == {LINE: "Window 1: 20 repetitions came more evenly than a hand makes them."}
    assert doubts_of(RULE, judged(*range(1_000, 13_000, 1_000)), 1) == {}, "of twelve repetitions there are eleven gaps"


@pytest.mark.parametrize("spread", [0, 20, 40, 200])
def test_too_even_is_below_a_share_of_the_middle_gap_that_the_kit_says(spread: int) -> None:
    times = [1_000 * n + (spread if n % 2 else 0) for n in range(30)]  # the gaps are of two kinds in turn, 2 x spread apart
    rested = [*times[:20], *(at + 9_000 for at in times[20:])]
    for even in (Fraction(1, 50), Fraction(1, 10)):
        expected = 2 * spread < even * (1_000 + spread)  # 15 of the 29 gaps are the longer ones
        assert is_too_even(DoubtRule(even=even), times) == is_too_even(DoubtRule(even=even), rested) == expected


def test_a_claim_far_better_than_its_division_is_doubted_and_that_changes_no_score_and_few_looks() -> None:
    game = Played(None, now=HOUR)  # type: ignore[arg-type]
    events = (EventRule(id="e", name="E", parts=(PartRule(name="All"),)),)
    divisions = (DivisionRule(id="d", name="D"), DivisionRule(id="f", name="F"))
    knobs = {"doubts": RULE, "draw_least": 30, "deadline_ms": DEADLINE}
    game.say(r.Opened, rule=Rule(id="r", name="R", events=events, divisions=divisions, **knobs))  # type: ignore[arg-type]
    claims = {"d": [50, 52, 53, 55, 56, 140, 1], "f": [10, 11, 90]}
    entry = 0
    for gym, (division, counts) in enumerate(claims.items(), start=1):
        game.say(r.Gym, gym=gym, name=f"Gym {gym}")
        for count in counts:
            entry += 1
            game.say(r.Claim, entry=entry, event="e", division=division, gym=gym, parts=(count,), film=True)
    game.now = DEADLINE + 1
    game.say(r.Roll, root=roll_root(game.state), lines=entry)
    game.say(r.Draw, dice="1" * 40, witnesses=("Perrin Vale",))
    before = list(standing(game.state, "d"))
    (kind, said), *others = due_now(game.state, game.now)
    assert (kind, said["entry"], others) == (r.Doubt, 6, []), "not the one far below, and of three nothing can be said"
    assert said["why"] == "140 is far better than the middle of its division: modified z-score 19.6."
    assert game.say(kind, **said) and list(standing(game.state, "d")) == before
    assert doubts_left(game.state) == 0
    asked = due_now(game.state, game.now)
    assert {kind for kind, _ in asked} == {r.Asked} and {one["reason"] for _, one in asked} == {"draw"}
