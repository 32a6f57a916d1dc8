"""A standing that is kept from record to record is the one that all lines give when they are sorted anew."""

from random import Random

import pytest

from app.rules.round.fold import fold, take
from app.rules.round.standing import standing, standing_if
from app.rules.round.state import RoundState
from tests.builders.rounds import facts_of, play
from tests.rules.round.test_round import parts

LOOKS = 12  # at the standings of a round, while its records come


@pytest.mark.parametrize("seed", range(12))
def test_what_is_kept_is_what_sorting_anew_gives(seed: int) -> None:
    facts = facts_of(seed)
    played, kept, chance = play(facts), RoundState(), Random(seed)
    looks = {*chance.sample(range(2, len(played.records)), LOOKS), len(played.records)}
    for number, record in enumerate(played.records, start=1):
        take(kept, record)
        if number in looks and kept.lines:
            anew = fold(played.records[:number])
            for part in parts(facts):
                assert list(standing(kept, *part)) == list(standing(anew, *part))
            _another_score_is_as_if_it_were_so(kept, anew, chance)


def _another_score_is_as_if_it_were_so(kept: RoundState, anew: RoundState, chance: Random) -> None:
    key = chance.choice(sorted(kept.lines))
    division, score = kept.lines[key].claim.division, chance.choice([None, kept.lines[key].claimed + chance.choice([-5, 0, 5])])
    told, before = standing_if(kept, key, score), list(standing(kept, division))
    anew.lines[key].value = score
    anew.orders = None
    anew.worked.clear()
    assert told == standing(anew, division).places
    assert list(standing(kept, division)) == before, "it is done to nothing"
