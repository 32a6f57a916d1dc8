"""A meet of two flights on one platform, small; one of 24 lifters and three lifts is a bench (tests/bench/platform)."""

from pathlib import Path

from tests.builders.halls import a_house
from tests.builders.platform_meets import Size, by_hand, played, published, the_file

SIZE, SEED = Size(lifters=6, flight=3, attempts=2, lifts_s=(0, 4_200)), 7  # an hour for a lift, ten minutes between two


def test_a_meet_of_two_flights_is_called_judged_and_added_up_as_by_hand(tmp_path: Path) -> None:
    with a_house(tmp_path / "meet", file=the_file(SIZE, "Back squat\nDeadlift")) as house:
        expected = by_hand(played(house, SIZE, SEED), SIZE)
        assert published(house) == expected
        assert 0 < len(expected) < SIZE.lifters, "some have no good lift in one of them, and so no total"
