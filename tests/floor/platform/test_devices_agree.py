"""Devices at a platform that were apart say the same once they hold the same marks, and so does the server.

Imitated devices with the platform screen's own state, and people who touch what their screens offer, by chance: devices.js.
"""

import json
from collections.abc import Mapping
from typing import Any

import pytest
from playwright.sync_api import Page

from app.rules.count.lift_order import BarLane, at_the_bar, bar_window, called_next
from app.rules.count.lifting.bar_floor import bar_floor
from app.rules.count.received import let_count
from app.rules.count.sheet_clock import SheetClock
from app.rules.count.sheets import joined_tally, judged_sheets, refolding, with_bar
from app.rules.count.tally import Tally, fold
from app.rules.records.marks import parse_received
from app.rules.records.rulings import Ruling
from app.rules.records.seats import AT_PLATFORMS, SheetKind, sheets_that
from app.rules.values.shapes import load_plain
from app.rules.workout.formats import Format
from tests.builders.halls import a_house
from tests.builders.platforms import a_meet, a_platform_file

MOVES = 600
TIMES = [900_000, 3_601_000, 4_300_000]  # in a lift, between two, in the next
PLAYED = "async (asked) => (await import('/tests/floor/platform/devices.js')).played(...asked)"
Packets = dict[str, dict[str, Any]]


@pytest.fixture(scope="module")
def packets(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Packets]:
    """What the seats of a platform are told of two flights of unequal size, the first on the floor, by both ways of the sport."""
    found = {}
    for preset in ("lifts_in_rounds", "rising_bar"):
        knobs = {} if preset == "lifts_in_rounds" else {"movements": "Power snatch\nPower clean"}
        with a_house(
            tmp_path_factory.mktemp(preset), file=a_platform_file(a_meet(preset, **knobs), lifters=8, flight=5)
        ) as house:
            house.desk().post("/desk/heats/heat_1/go", data={})
            house.clocks.pass_ms(10_000)
            found[preset] = {seat: house.tablet(1, seat).get("/lane/packet").json() for seat in AT_PLATFORMS}
    return found


@pytest.mark.parametrize(
    ("preset", "seed"), [("lifts_in_rounds", 9), ("lifts_in_rounds", 17), ("rising_bar", 15), ("rising_bar", 17)]
)
def test_devices_that_were_apart_agree_with_one_another_and_with_the_server(
    scripts: Page, packets: dict[str, Packets], preset: str, seed: int
) -> None:
    found = scripts.evaluate(PLAYED, [seed, packets[preset], MOVES, TIMES])
    assert sum(mark["kind"] == "lift" for mark in found["marks"]) > 5, "enough came to a lift"
    lanes = [
        lane for heat in packets[preset]["centre"]["heats"] if heat["run"] and (lane := lane_of(packets[preset], heat, found))
    ]
    for ms, devices in zip(TIMES, found["said"], strict=True):
        assert all(one == devices[0] for one in devices), f"at {ms} ms"
        assert json.loads(json.dumps(told(lanes, ms))) == devices[0], f"at {ms} ms"


@pytest.mark.parametrize(("bound_ms", "says"), [(10, ""), (4_000, "This clock may be 4 s off. Ask the desk.")])
def test_an_attempts_clock_that_was_started_on_a_tablet_whose_clock_is_unsure_is_unsure_on_all_screens(
    scripts: Page, packets: dict[str, Packets], bound_ms: int, says: str
) -> None:
    script = "async (asked) => (await import('/tests/floor/platform/devices.js')).started(...asked)"
    before, now, lifted = scripts.evaluate(script, [packets["lifts_in_rounds"], bound_ms])
    assert before == lifted == dict.fromkeys(AT_PLATFORMS, ""), "before the call, and once the bar has left"
    assert now == dict.fromkeys(AT_PLATFORMS, says)


def lane_of(packets: Packets, heat: Mapping[str, Any], found: Mapping[str, Any]) -> BarLane:
    """A lane as the server counts it, by the desk's marks and rulings."""
    format = Format.model_validate(packets["centre"]["events"][heat["event"]]["format"])
    assignment, entry = heat["assignment"]["id"], heat["assignment"]["entry"]["name"]
    ruled = found["rulings"].get(assignment, {"out": False, "ruled": [], "admitted": []})
    said = [("lift", body) for body in ruled["ruled"]]
    said += [("admit", {"marks": ruled["admitted"]})] if ruled["admitted"] else []
    rulings = [
        Ruling.model_validate({"id": f"rul_{n}", "kind": kind, "assignment": assignment, "body": body, "by": "Mo", "why": "-"})
        for n, (kind, body) in enumerate(said)
    ]
    clock = SheetClock(ruled=tuple(rulings))
    marks = {
        kind: [parse_received(mark) for mark in found["marks"] if mark["sheet"] == f"{assignment}/1/{kind}"]
        for kind in sheets_that("counts", "joined")
    }
    all_marks = [mark for own in marks.values() for mark in own]
    return BarLane(
        heat["assignment"]["lane"], entry, format, counted(format, marks, clock), all_marks, let_count(clock), ruled["out"]
    )


def counted(format: Format, marks: Mapping[SheetKind, Any], clock: SheetClock) -> Tally:
    """The lane's sheet by what three judges together decided."""
    sheets = {
        kind: fold(format, with_bar(kind, own, marks["lane"]), clock) for kind, own in marks.items() if own or kind == "lane"
    }
    joined = joined_tally(format, judged_sheets(format, sheets, refolding(format, marks, clock)))
    return fold(format, (), clock) if joined is None else joined


def told(lanes: list[BarLane], ms: int) -> dict[str, Any]:
    """What a device says of a platform at a moment."""
    at, window = at_the_bar(lanes), bar_window(lanes[0].format, ms)
    floor = None if window is None else bar_floor([lane.marks for lane in lanes], window)
    waiting = [
        [
            one.lot,
            one.who,
            load_plain(one.load),
            one.attempts,
            one.last_at,
            one.at_the_end,
            one.declared,
            one.automatic,
            one.least,
        ]
        for one in called_next(lanes, ms)
    ]
    return {
        "bar": at and at[0],
        "floor": floor and load_plain(floor),
        "waiting": [[*one[:-1], one[-1] and load_plain(one[-1])] for one in waiting],
        "lanes": [[lane.lot, windows_of(lane.tally), sorted(f"{f.mark} {f.why}" for f in lane.tally.flags)] for lane in lanes],
    }


def windows_of(tally: Tally) -> list[Any]:
    """Each window of a tally as devices.js tells it."""
    found = []
    for window in tally.windows:
        lifts = [
            [
                *(lift.mark, lift.declared, load_plain(lift.load), lift.good, lift.fault, lift.at, lift.counts, lift.again),
                *(lift.begun, lift.racked, lift.lights, lift.doubt),
            ]
            for lift in window.lifts
        ]
        named = (window.declaration, window.begun, window.waiting, window.since_ms, window.attempt_seconds)
        found.append([lifts, *named, window.best and window.best.mark])
    return found
