"""A referee's tablet that is replaced between the lights: what it still held comes later, and is no further try."""

from collections.abc import Mapping
from typing import Any

import pytest

from app.rules.count.sheet_clock import SheetClock
from app.rules.count.sheets import joined_tally, judged_sheets, refolding, with_bar
from app.rules.count.tally import Tally, fold
from app.rules.records.marks import parse_received
from app.rules.records.rulings import Ruling
from app.rules.values.units import Load
from app.rules.workout.formats import Format
from tests.builders.cast import Sheet, a_format, a_lift_task, load, take
from tests.vectors.judge_scenes import KINDS, Sheets, attempt, sheets
from tests.vectors.lift_scenes import lift

RISING: Format = a_format(
    a_lift_task(
        judges=3, attempts=3, tries_until_racked=False, order="lightest", declare_seconds=0, step_after_good=load("1 kg")
    ),
    take("best"),
    unit="kg",
)
GOOD = {"lane": True, "second": True, "third": False}


def _together(made: Sheets, admitted: str = "") -> Tally:
    ruling = Ruling(id="r", kind="admit", assignment="asg_1", body={"marks": [admitted or "0" * 32]}, by="Fay", why="seen")
    clock, marks = SheetClock(ruled=(ruling,)), {kind: [parse_received(mark) for mark in made[kind]] for kind in KINDS}
    found = {kind: fold(RISING, with_bar(kind, own, marks["lane"]), clock) for kind, own in marks.items()}
    tally = joined_tally(RISING, judged_sheets(RISING, found, refolding(RISING, marks, clock)))
    assert tally is not None
    return tally


def _again(by: Mapping[str, Sheet], made: Sheets, kind: str, good: bool, late_ms: int = 700) -> dict[str, Any]:
    """The same try, decided on the tablet that replaced a referee's."""
    (first,) = (mark for mark in made[kind] if mark["kind"] == "lift")
    named = {key: first["body"][key] for key in ("declared", "begun")}
    made[kind].append(lift(by[kind], first["at"] + late_ms, "100 kg", good, **named) | {"device": "tab-new"})
    return made[kind][-1]


def _heard(made: Sheets, kind: str, *numbers: int) -> None:
    lifts = [mark for mark in made[kind] if mark["kind"] == "lift"]
    for mark, number in zip(lifts, numbers, strict=True):
        mark["receipt"] = {"number": number, "seat": kind, "clock": mark["at"]}


def _next_load(tally: Tally) -> Load | None:
    coming = tally.windows[0].coming
    assert coming is not None and coming.number == 2
    return coming.auto


@pytest.mark.parametrize("kind", KINDS)
def test_one_decision_on_two_tablets_is_one(kind: str) -> None:
    by = sheets()
    made = attempt(by, 1_000, "100 kg", GOOD)
    _again(by, made, kind, GOOD[kind])
    tally = _together(made)
    assert [(one.good, one.lights) for one in tally.windows[0].lifts] == [(True, (True, True, False))]
    assert [flag.why for flag in tally.flags] == []
    assert _next_load(tally) == load("101 kg"), "a good lift, and no miss behind it"


@pytest.mark.parametrize(
    ("heard", "admits", "lights", "good"),
    [
        ((), "", (True, True, False), True),  # nobody knows which came first: the one that was made first
        ((1, 2), "", (True, True, False), True),
        ((2, 1), "", (True, False, False), False),  # the lights had told the other when it came
        ((1, 2), "new", (True, False, False), False),
        ((2, 1), "old", (True, True, False), True),
    ],
)
def test_of_two_unlike_decisions_the_one_that_was_heard_first_stands_until_a_ruling(
    heard: tuple[int, ...], admits: str, lights: tuple[bool, ...], good: bool
) -> None:
    by = sheets()
    made = attempt(by, 1_000, "100 kg", GOOD)
    (old,) = made["second"]
    new = _again(by, made, "second", False)
    if heard:
        _heard(made, "second", *heard)
    tally = _together(made, {"old": old["id"], "new": new["id"]}.get(admits, ""))
    assert [(one.good, one.lights) for one in tally.windows[0].lifts] == [(good, lights)]
    second, lane = ([parse_received(mark) for mark in made[kind]] for kind in ("second", "lane"))
    sheet = fold(RISING, with_bar("second", second, lane))
    stands = new if heard == (2, 1) else old
    assert [flag.mark for flag in sheet.flags if flag.why == "decided-twice"] == [old["id"] if stands is new else new["id"]]
    assert _next_load(tally) == load("101 kg" if good else "100 kg")


def test_a_bar_that_both_tablets_of_the_centre_saw_leave_left_once() -> None:
    by = sheets()
    made = attempt(by, 1_000, "100 kg", GOOD)
    said, begun = made["lane"][:2]
    seen_again = by["lane"].mark("begun", begun["at"] + 400, 0, declared=said["id"]) | {"device": "tab-new"}
    made["lane"].append(seen_again)  # the first had not been heard, so the others decide on this one
    for kind in ("second", "third"):
        for mark in made[kind]:
            mark["body"]["begun"] = seen_again["id"]
    new = _again(by, made, "lane", True)
    new["body"]["begun"] = seen_again["id"]
    tally = _together(made)
    assert [(one.good, one.lights, one.begun) for one in tally.windows[0].lifts] == [
        (True, (True, True, False), seen_again["id"])
    ]
    assert tally.flags == ()
    assert _next_load(tally) == load("101 kg")


def test_a_try_too_many_under_a_declaration_ends_no_further_attempt() -> None:
    by = sheets()
    made = attempt(by, 1_000, "100 kg", dict.fromkeys(KINDS, True))
    said = made["lane"][0]
    begun = by["lane"].mark("begun", 9_000, 0, declared=said["id"]) | {"device": "tab-new"}
    more = lift(by["lane"], 10_000, "100 kg", True, declared=said["id"], begun=begun["id"]) | {"device": "tab-new"}
    made["lane"] += [begun, more]
    tally = _together(made)
    assert [one.counts for one in tally.windows[0].lifts] == [True, False]
    assert _next_load(tally) == load("101 kg")
