"""How a lane's count grew, stretch by stretch: nothing is lost between the stretches, whatever was marked."""

from hypothesis import given

from app.rules.agree.comparing import read_sheet
from app.rules.agree.pace import MOST_STRETCHES, STRETCHES_MS, pace, stretch_ms
from app.rules.count.tally import fold
from app.rules.records.marks import Mark
from app.rules.workout.formats import Format
from tests.builders.chance import sheets_of_any


@given(sheets_of_any())
def test_the_stretches_hold_all_that_the_tally_holds_and_follow_one_another(drawn: tuple[Format, list[Mark]]) -> None:
    format, marks = drawn
    tally = fold(format, marks)
    stretches = pace(format, tally, {"lane": read_sheet(format, marks)})
    for window in tally.windows:
        timed = format.windows[window.index]
        own = [one for one in stretches if one.window == window.index]
        if timed.task is None or format.tasks[timed.task].kind not in ("count", "list"):
            assert own == []
            continue
        assert sum(one.reps for one in own) == len(window.reps)
        assert sum(one.refused for one in own) == window.norep
        assert [one.so_far for one in own] == [sum(each.reps for each in own[: n + 1]) for n in range(len(own))]
        assert [one.start_ms for one in own] == [timed.start_ms, *(one.end_ms for one in own[:-1])][: len(own)]
        assert not own or own[-1].reps or own[-1].refused
    if stretch_ms(format) < STRETCHES_MS[-1]:
        assert all(sum(one.window == index for one in stretches) <= MOST_STRETCHES for index in range(len(format.windows)))
