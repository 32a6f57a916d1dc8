"""The demo's own plan keeps the rules that the demo shows."""

from app.demo.cast import demo_file
from app.demo.judges import with_judges


def test_every_lane_of_the_demo_has_a_judge_of_another_club_who_stands_nowhere_else() -> None:
    whole = with_judges(demo_file(("10:00", "10:30", "11:00")))
    judges = {judge.id: judge for judge in whole.judges}
    clubs = {athlete.id: athlete.club for athlete in whole.athletes}
    members = {entry.id: entry.members for entry in whole.entries}
    for heat in whole.heats:
        own = [judges[lane.judge_id or ""] for lane in heat.lanes]
        assert len({judge.id for judge in own}) == len(heat.lanes) == 4
        assert all(judge.name == lane.judge for judge, lane in zip(own, heat.lanes, strict=True))
        for judge, lane in zip(own, heat.lanes, strict=True):
            assert judge.club is None or judge.club not in {clubs[member] for member in members[lane.entry]}
    assert whole.day is not None and whole.model_validate(whole.model_dump()) == whole
