"""A meet of two flights on one platform, small; one of 24 lifters and three lifts is a bench (tests/bench/platform)."""

from pathlib import Path

from tests.builders.halls import a_house
from tests.builders.platform_meets import Size, by_hand, played, published, the_file

SIZE, SEED = Size(lifters=6, flight=3, attempts=2, lifts_s=(0, 4_200)), 1  # an hour for a lift, ten minutes between two


def test_a_meet_of_two_flights_is_called_judged_and_added_up_as_by_hand(tmp_path: Path) -> None:
    with a_house(tmp_path / "meet", file=the_file(SIZE, "Back squat\nDeadlift")) as house:
        meet = played(house, SIZE, SEED)
        expected = by_hand(meet, SIZE)
        assert published(house) == expected
        tallies = [house.app.state.hall.projection.counting_tally(f"asg_{lane}") for lane in range(1, SIZE.lifters + 1)]
        flagged = [flag.mark for tally in tallies for flag in tally.flags if flag.why == "changes-over"]
        assert sorted(flagged) == sorted(meet.refused) and meet.refused
        assert 0 < len(expected) < SIZE.lifters, "some have no good lift in one of them, and so no total"
