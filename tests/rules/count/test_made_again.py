"""A lift that is made again because its bar was loaded wrong, found once the bar was racked and the next lifter called; and a
lift that the jury calls good by then. Platforms of two, by the sport's two ways."""

from typing import Any

import pytest

from app.rules.count.lift_order import BarLane, Waiting, called_next
from app.rules.count.sheet_clock import SheetClock
from app.rules.count.tally import fold
from app.rules.records.marks import parse_mark
from app.rules.records.rulings import Ruling
from app.rules.workout.formats import Format, LiftTask, Window
from tests.builders.cast import Plain, Sheet, a_format, a_lift_task, load, plain_load, take
from tests.builders.platforms import a_meet
from tests.vectors.lift_scenes import STRICT

ASKED = "100 kg"


def _meet(preset: str) -> Format:
    made = a_meet(preset, movements="Clean and jerk" if preset == "rising_bar" else "Deadlift")
    tasks = {key: task.model_copy(update={"judges": 1}) for key, task in made.tasks.items() if isinstance(task, LiftTask)}
    return made.model_copy(update={"tasks": tasks})


class Bar:
    """What marshal, loaders and a referee say of two lifters' lifts, a second after another."""

    def __init__(self, preset: str) -> None:
        self.format, self.now, self.ruled = _meet(preset), 10_000, list[Ruling]()
        self.sheets = {lot: Sheet(f"asg_{lot}") for lot in (1, 2)}
        self.marks: dict[int, list[Plain]] = {1: [], 2: []}

    def put(self, lot: int, kind: str, **body: Any) -> Plain:
        self.now += 1_000
        self.marks[lot].append(self.sheets[lot].mark(kind, self.now, 0, **body))
        return self.marks[lot][-1]

    def declares(self, lot: int, text: str) -> Plain:
        return self.put(lot, "declare", load=plain_load(text), by="desk")

    def calls(self, lot: int, said: Plain) -> None:
        self.put(lot, "called", declared=said["id"], follows=False)

    def loads(self, lot: int, said: Plain, text: str, by: str = "loader") -> Plain:
        return self.put(lot, "loaded", load=plain_load(text), by=by, declared=said["id"])

    def lifts(self, lot: int, said: Plain, good: bool, racked: bool = True) -> Plain:
        self.calls(lot, said)
        self.loads(lot, said, f"{said['body']['load']['amount']} kg")
        begun = self.put(lot, "begun", declared=said["id"])
        done = self.put(lot, "lift", load=said["body"]["load"], good=good, declared=said["id"], begun=begun["id"])
        if racked:
            self.put(lot, "racked", declared=said["id"])
        return done

    def tally(self, lot: int) -> Any:
        return fold(self.format, [parse_mark(mark) for mark in self.marks[lot]], SheetClock(ruled=tuple(self.ruled)))

    def waiting(self) -> list[Waiting]:
        lanes = [
            BarLane(lot, str(lot), self.format, self.tally(lot), [parse_mark(mark) for mark in own])
            for lot, own in self.marks.items()
        ]
        return list(called_next(lanes, self.now))


@pytest.mark.parametrize("preset", ["rising_bar", "lifts_in_rounds"])
@pytest.mark.parametrize("racked", [True, False])
@pytest.mark.parametrize("found", ["before the rack", "after the next was called"])
def test_who_lifts_again_waits_with_the_load_that_was_asked_for_and_on_a_bar_of_its_own(
    preset: str, racked: bool, found: str
) -> None:
    bar = Bar(preset)
    first, other = bar.declares(1, ASKED), bar.declares(2, "110 kg")
    bar.lifts(1, first, False, racked=False)
    if found == "before the rack":
        bar.loads(1, first, "98 kg", by="judge")
    if racked:
        bar.put(1, "racked", declared=first["id"])
    if found != "before the rack":
        bar.calls(2, other)
        bar.loads(1, first, "98 kg", by="judge")
    again = next(one for one in bar.waiting() if one.lot == 1)
    assert (again.load, again.declared, again.least) == (load(ASKED), first["id"], None)
    assert again.at_the_end is (preset == "lifts_in_rounds")
    bar.lifts(1, first, True, racked)
    window = bar.tally(1).windows[0]
    assert [(one.load.text(), one.again, one.counts) for one in window.lifts] == [("98 kg", True, False), (ASKED, False, True)]
    assert window.coming.number == 2
    assert {flag.why for flag in bar.tally(1).flags} == {"loaded-wrong", "misload-again"}


def test_a_bar_that_was_found_right_after_all_is_not_lifted_again() -> None:
    bar = Bar("rising_bar")
    first = bar.declares(1, ASKED)
    bar.lifts(1, first, True)
    bar.loads(1, first, "98 kg", by="judge")
    bar.loads(1, first, ASKED, by="judge")
    assert [one.counts for one in bar.tally(1).windows[0].lifts] == [True]
    (waits,) = bar.waiting()
    assert (waits.load, waits.automatic) == (load("101 kg"), True)


def test_whoever_declared_the_same_again_declares_more_where_the_jury_calls_the_lift_good() -> None:
    bar = Bar("rising_bar")
    missed = bar.lifts(1, bar.declares(1, ASKED), False)
    bar.declares(2, "110 kg")
    bar.declares(1, ASKED)
    assert [(one.lot, one.least) for one in bar.waiting()] == [(1, None), (2, None)]
    body = {"mark": missed["id"], "good": True}
    bar.ruled.append(Ruling(id="r", kind="lift", assignment="asg_1", body=body, by="Fay", why="the jury"))
    assert [(one.lot, one.least) for one in bar.waiting()] == [(1, load("101 kg")), (2, None)]
    bar.declares(1, "101 kg")
    assert [(one.lot, one.load, one.least) for one in bar.waiting()] == [(1, load("101 kg"), None), (2, load("110 kg"), None)]


def test_at_a_bar_each_what_was_told_of_the_bar_stays_with_its_try_though_the_other_has_lifted_since() -> None:
    task = a_lift_task(bars="each", misload=STRICT, attempt_seconds=20, again_seconds=180)
    pair = a_format(task, take("member_best"), members=2, unit="kg")
    pair = pair.model_copy(update={"windows": (Window(start=0, seconds=600, task="work"),)})
    sheet, now = Sheet(), 0
    marks: list[Plain] = []

    def put(kind: str, **body: Any) -> Plain:
        nonlocal now
        now += 1_000
        marks.append(sheet.mark(kind, now, 0, **body))
        return marks[-1]

    def lifts(said: Plain, good: bool) -> None:
        put("begun", declared=said["id"])
        put("lift", load=said["body"]["load"], good=good, declared=said["id"])

    mine, theirs = (put("declare", load=plain_load(text), by="lifter", member=n) for n, text in ((1, ASKED), (2, "80 kg")))
    lifts(mine, False)
    put("loaded", load=plain_load("98 kg"), by="judge", declared=mine["id"])
    lifts(theirs, True)
    put("loaded", load=plain_load(ASKED), by="loader", declared=mine["id"])
    now += 60_000  # of the three minutes more
    lifts(mine, True)
    tally = fold(pair, [parse_mark(mark) for mark in marks], SheetClock())
    lifted = [(one.member, one.again, one.counts and one.good) for one in tally.windows[0].lifts]
    assert lifted == [(1, True, False), (2, False, True), (1, False, True)]
