"""A heat that is run again: of whom the desk reads that a load is still to be declared, and what is put before people."""

from pathlib import Path

import pytest

from app.floor.run_again import undeclared_text
from app.hall.heats import opener_before
from app.rules.workout.formats import Format, Window
from tests.builders.cast import Plain, Sheet, a_competition, a_format, a_lift_task, load, plain_load, take
from tests.builders.halls import House, a_house

LANES = ("Anew", "Both", "Lifts", "Silent", "New", "Taken back")
GO_IS_NOT, FIRST, SECOND, OVER = None, 30_000, 65_000, 130_000  # moments of the heat clock


def two_lifts(bars: str) -> Format:
    """Two lifts of a pair, a minute each, with ten seconds between them, in which a change may not lower the load."""
    task = a_lift_task(bars=bars, lower_change="never")
    windows = (Window(start=0, seconds=60, task="work"), Window(start=60, seconds=10), Window(start=70, seconds=60, task="work"))
    made = a_format(task, take("member_best"), members=2, who="any", unit="kg")
    return made.model_copy(update={"windows": tuple(w.model_copy(update={"who": "any"}) if w.task else w for w in windows)})


def said(sheet: Sheet, member: int, text: str, win: int = 0) -> Plain:
    """A member's declaration."""
    return sheet.mark("declare", 1_000 + 70_000 * (win // 2), win, load=plain_load(text), by="lifter", member=member)


def a_day(bars: str) -> list[Plain]:
    """What was marked in run 1, and in run 2 by the first minute of it."""
    first = {lane: Sheet(f"asg_{n}", 1) for n, lane in enumerate(LANES, 1)}
    then = {lane: Sheet(f"asg_{n}", 2) for n, lane in enumerate(LANES, 1)}
    marks = [said(first[lane], member, "100 kg") for lane in LANES if lane != "New" for member in (1, 2)]
    marks += [said(first["Anew"], 1, "60 kg", 2), said(first["Silent"], 1, "95 kg")]
    marks += [said(then["Anew"], member, "101 kg") for member in ((1, 2) if bars == "each" else (1,))]
    marks += [said(then["Both"], 2, "102 kg"), said(then["New"], 1, "103 kg")]
    marks += [then["Lifts"].mark("lift", 9_000, 0, load=plain_load("99 kg"), good=True, member=member) for member in (1, 2)]
    gone = said(then["Taken back"], 1, "104 kg")
    return [*marks, gone, then["Taken back"].strike(2_000, gone)]


def named(house: House, heat_ms: int | None, run: int = 2) -> str:
    """The lanes that the desk reads of."""
    hall = house.app.state.hall
    text = undeclared_text(hall, hall.projection.roster.heats[0], run, heat_ms)
    return text.partition("declared anew: ")[2].partition(".")[0]


@pytest.mark.parametrize(("bars", "awaited"), [("one", "lanes 4, 6"), ("each", "lanes 2, 4, 6")])
def test_the_desk_reads_of_the_lanes_whose_lift_at_hand_has_an_opener_that_is_not_declared_anew(
    tmp_path: Path, bars: str, awaited: str
) -> None:
    runs = [{"heat": "heat", "number": 1, "state": "stopped"}, {"heat": "heat", "number": 2}]
    file = a_competition(two_lifts(bars), {"Open": LANES}, a_day(bars), runs)
    with a_house(tmp_path, file=file) as house:
        assert [named(house, ms) for ms in (GO_IS_NOT, FIRST)] == [awaited, awaited]
        assert named(house, SECOND) == "lane 1", "the first lift is over; a second one was known on one lane"
        assert named(house, OVER) == named(house, FIRST, run=1) == ""
        hall = house.app.state.hall
        silent = hall.projection.roster.heats[0].lanes[LANES.index("Silent")]
        assert opener_before(hall, silent, 2, 0, 1, False) == load("100 kg"), "95 kg was not let stand"
