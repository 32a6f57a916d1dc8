"""Several counters on one lane: who may write what, what the desk and the board see of them, and when to count again."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.floor.floor import day
from app.floor.judging import BY_FILE, record_marks
from app.floor.lane_packet import lane_packet
from app.hall.views import Day
from app.live.presence import Report, Who
from app.review.flags import open_flags
from app.review.ruling import store, suppose
from app.rules.records.document import CompetitionFile, Run
from app.watch.board import board
from tests.builders.halls import Clocks, House, a_house
from tests.builders.meets import a_mark, a_meet, counted

JUDGE, SECOND, THIRD = (Who(f"dev_{sheet}", "lane", 1, sheet, sheet) for sheet in ("lane", "second", "third"))
LIFTER = Who("dev_lifter", "lifter", 1)
DESK = Who("dev_desk", "desk", None)


def running(seconds: int) -> CompetitionFile:
    """The meet with its first heat so many seconds in."""
    now = Clocks()
    go = Run(
        heat="heat_1", number=1, go_server_ms=now.server - seconds * 1000, go_wall_ms=now.wall - seconds * 1000, boot="boot-one"
    )
    return a_meet(done={}, events=0).model_copy(update={"runs": (go,)})


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with a_house(tmp_path, file=running(45)) as opened:
        yield opened


def write(house: House, who: Who, *marks: object) -> list[str]:
    """Sends marks as a device; returns the sentences of those refused."""
    return [one.sentence for one in house.do(record_marks, who, list(marks)).refused]


def the_day(house: House) -> Day:
    view = day(house.app.state.hall, "heat_1")
    assert view is not None
    return view


@pytest.mark.parametrize(
    ("who", "kind", "sentence"),
    [
        (JUDGE, "lane", ""),
        (SECOND, "second", ""),
        (THIRD, "third", ""),
        (DESK, "video", ""),
        (JUDGE, "second", "This device is the judge of lane 1, and this mark is for another sheet of it. " + BY_FILE),
        (SECOND, "lane", "This device is the second counter of lane 1, and this mark is for another sheet of it. " + BY_FILE),
        (THIRD, "video", "This device is the third counter of lane 1, and this mark is for another sheet of it. " + BY_FILE),
        (
            LIFTER,
            "second",
            "The lifter's device declares loads and reports the bar; everything else is for the judge to mark. " + BY_FILE,
        ),
    ],
)
def test_each_counter_writes_on_its_own_sheet_alone(house: House, who: Who, kind: str, sentence: str) -> None:
    assert write(house, who, a_mark(f"asg_11/1/{kind}", 1, "rep", 1_000)) == ([sentence] if sentence else [])
    assert len(house.marks()) == (0 if sentence else 1)


def test_a_counter_of_another_lane_is_refused_for_its_lane(house: House) -> None:
    other = Who("dev_x", "lane", 2, "", "second")
    assert write(house, other, a_mark("asg_11/1/second", 1, "rep", 1_000))[0].startswith(
        "This mark is for lane 1; this device is lane 2"
    )


def test_a_tablet_is_told_which_counter_it_is(house: House) -> None:
    hall = house.app.state.hall
    assert [lane_packet(hall, who, 1)["device"]["sheet"] for who in (JUDGE, SECOND, THIRD)] == ["lane", "second", "third"]


def test_the_desk_sees_each_counters_count_and_scores_them_as_one(house: House) -> None:
    write(house, JUDGE, *counted("asg_11/1/lane", (0, 0, 20)))
    assert (the_day(house).heat.lanes[0].now, the_day(house).heat.lanes[0].others) == ("20", "")
    write(house, SECOND, *counted("asg_11/1/second", (0, 0, 23)))
    write(house, THIRD, *counted("asg_11/1/third", (0, 0, 22)))
    row = the_day(house).heat.lanes[0]
    assert (row.now, row.others, row.score) == ("20", "second 23, third 22", "22.5 reps")


def test_the_board_counts_what_the_counters_make_together(house: House) -> None:
    write(house, JUDGE, *counted("asg_11/1/lane", (0, 0, 20)))
    write(house, SECOND, *counted("asg_11/1/second", (0, 0, 23)))
    view = board(house.app.state.hall)
    assert view is not None and view.floor is not None
    assert view.floor.lanes[0].score == "21.5" and '"21.5"' in view.floor.lanes[0].counts
    assert {row.entry: row.note for row in view.panels[0].rows}["Ada Quill"] == "", (
        "counters may differ by a tap while they count"
    )


def test_counts_too_far_apart_need_a_person_once_the_heat_is_over(house: House) -> None:
    write(house, JUDGE, *counted("asg_11/1/lane", (0, 0, 20)))
    write(house, SECOND, *counted("asg_11/1/second", (0, 0, 23)))
    assert not any("Recount" in need.sentence for need in the_day(house).needs)
    house.clocks.pass_ms(180_000)
    recount = next(need for need in the_day(house).needs if "Recount" in need.sentence)
    assert (recount.where, recount.link) == ("Swings, heat 1, lane 1", "/review/video?assignment=asg_11")
    assert recount.sentence == (
        "Recount window 1: Swings, 0:00 to 1:00: the counts are judge 20, second 23, too far apart to combine. "
        "Count it from video and rule whose count stands, or rerun the heat."
    )
    write(house, DESK, *counted("asg_11/1/video", (0, 0, 21)))
    assert any("Recount" in need.sentence for need in the_day(house).needs), "a film counts where somebody rules so"
    film = {"sheet": "asg_11/1/video", "windows": [0]}
    house.do(store, suppose(house.app.state.hall, [{"kind": "stand", "assignment": "asg_11", "body": film}]))
    assert not any("Recount" in need.sentence for need in the_day(house).needs)
    assert the_day(house).heat.lanes[0].score == "21 reps", "what the video says stands"


def test_a_silence_of_the_lane_judge_halves_nothing_and_waits_for_the_head_judge(house: House) -> None:
    write(house, JUDGE, *counted("asg_11/1/lane", (0, 0, 20)))
    write(house, SECOND, *counted("asg_11/1/second", (0, 0, 40)))
    assert the_day(house).heat.lanes[0].score == "40 reps"
    house.clocks.pass_ms(180_000)
    (told,) = (flag.sentence for flag in open_flags(house.app.state.hall) if flag.why == "away")
    assert told == (
        "No mark shows that the judge was at work from 0:09.5 to 1:00.0: what the second counter counted then, 20, is used "
        "for theirs."
    )


def test_any_counter_can_stop_the_lane(house: House) -> None:
    write(house, SECOND, a_mark("asg_11/1/second", 1, "stop", 30_000, None, why="Bell dropped on a foot"))
    need = the_day(house).needs[0]
    assert (need.urgency, need.sentence) == (1, "Stopped by the second counter: Bell dropped on a foot")
    view = board(house.app.state.hall)
    assert view is not None and view.floor is not None and view.floor.lanes[0].stopped


def test_a_counter_is_not_taken_for_the_judges_tablet(house: House) -> None:
    hall = house.app.state.hall
    hall.presence.arrived(SECOND, hall.time.server_ms(), lambda _: None)
    hall.presence.heard(SECOND.device_id, hall.time.server_ms(), Report(screen="lane"))
    assert the_day(house).heat.lanes[0].tablet.state.words == "None seen"
    hall.presence.arrived(JUDGE, hall.time.server_ms(), lambda _: None)
    assert the_day(house).heat.lanes[0].tablet.state.words == "Online"


def test_a_lane_is_shown_under_the_variant_it_does(house: House) -> None:
    assert [row.variant for row in the_day(house).heat.lanes] == [""] * 5 + ["Light bell"] * 3
