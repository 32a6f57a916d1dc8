"""Scenes of a platform: lifters on lanes that share a bar, three referees; who is at the bar, and who is called next."""

import json
import random
from collections.abc import Callable
from typing import Any

from app.rules.count.lift_order import BarClock, BarLane, at_the_bar, bar_clock, called_lift, called_next
from app.rules.records.marks import parse_mark
from app.rules.values.shapes import load_plain
from app.rules.workout.formats import Format, Window
from app.rules.workout.tasks import LiftOrder
from tests.builders.cast import Sheet, a_format, a_lift_task, load, take
from tests.vectors.judge_scenes import KINDS, Sheets, together
from tests.vectors.lift_scenes import STRICT

NAMES = ("Ada", "Bo", "Cy", "Di")
WINDOW_MS = 60_000
MS = (None, -1_000, 30_000, 59_999, 60_000, 70_000, 200_000)


def a_platform(order: LiftOrder, judges: int) -> Format:
    """Two lifts on one bar, a minute each, with ten seconds between them."""
    ways: dict[str, Any] = {
        "rounds": {"again_when": "round_end", "declare_seconds": 6, "changes": 0, "last_changes": 1, "lower_change": "never"},
        "lightest": {"declare_seconds": 0, "changes": 2, "bar_rises": True, "auto_step": load("1 kg"), "change_left_seconds": 3},
    }
    timed = {"attempt_seconds": 9, "again_seconds": 6, "again_less_seconds": 2}
    task = a_lift_task(order=order, judges=judges, misload=STRICT, tries_until_racked=False, attempts=3, **ways[order], **timed)
    made = a_format(task, take("best"), unit="kg")
    windows = (Window(start=0, seconds=60, task="work"), Window(start=60, seconds=10), Window(start=70, seconds=60, task="work"))
    return made.model_copy(update={"windows": windows})


class Walk:
    """A session played by chance: what marshal, loaders and referees mark, on the lane whose lifter it is about."""

    def __init__(self, seed: int) -> None:
        self.chance, self.let_stand = random.Random(seed), seed % 8 == 2  # a ruling lets all loads stand
        self.out = 1 if seed % 5 == 4 else 0  # the lot of a lifter who withdrew in the middle
        lots = range(1, self.chance.randint(2, len(NAMES)) + 1)
        self.sheets = {lot: {kind: self._sheet(lot, kind) for kind in KINDS} for lot in lots}
        self.marks: dict[int, Sheets] = {lot: {kind: [] for kind in KINDS} for lot in lots}

    @staticmethod
    def _sheet(lot: int, kind: str) -> Sheet:
        sheet = Sheet(f"asg_{lot}", device=f"tab-{kind}")
        sheet.sheet = f"asg_{lot}/1/{kind}"
        return sheet

    def put(self, lot: int, sheet: str, kind: str, at: int, win: int, **body: Any) -> dict[str, Any]:
        """One mark on one of a lane's sheets."""
        mark = self.sheets[lot][sheet].mark(kind, at, win, **body)
        self.marks[lot][sheet].append(mark)
        return mark

    def declared(self, lot: int, at: int, win: int) -> dict[str, Any]:
        """Loads of a few steps, so that some are equal."""
        load = {"amount": str(100 + 5 * self.chance.randint(0, 3)), "unit": "kg"}
        return self.put(lot, "lane", "declare", at, win, load=load, by="desk")

    def play(self, win: int, from_ms: int) -> None:
        """Everybody declares, then some are called and lift; some calls and lifts are taken back, some bars loaded wrong."""
        standing = {lot: self.declared(lot, from_ms + lot, win) for lot in self.sheets}
        for number in range(1, self.chance.randint(2, 7)):
            at, lot = from_ms + 5_000 * number, self.chance.choice(sorted(self.sheets))
            said = standing[lot]
            called = self.put(lot, "lane", "called", at, win, declared=said["id"])
            called["err"] = 1_000 * number  # by a clock that is known so well
            if self.chance.random() < 0.2:
                self.put(lot, "lane", "strike", at + 200, win, mark=called["id"])
            elif self.chance.random() < 0.2:
                standing[lot] = self.declared(lot, at + 300, win)
            elif self.chance.random() < 0.8:
                self.lift(lot, said, at + 1_000, win)
                if self.chance.random() < 0.5:
                    standing[lot] = self.declared(lot, at + 4_000, win)

    def lift(self, lot: int, said: dict[str, Any], at: int, win: int) -> None:
        """The bar leaves, some of the three decide, it is racked or not yet."""
        begun, load = self.put(lot, "lane", "begun", at, win, declared=said["id"]), said["body"]["load"]
        for late, kind in enumerate(self.chance.sample(KINDS, self.chance.randint(0, 3))):
            body = {"load": load, "good": self.chance.random() < 0.6, "declared": said["id"], "begun": begun["id"]}
            self.put(lot, kind, "lift", at + 500 + 100 * late, win, **body)
        if self.chance.random() < 0.8:
            self.put(lot, "lane", "racked", at + 1_500, win, declared=said["id"])
        if self.chance.random() < 0.3:
            wrong = {"amount": "97.5", "unit": "kg"}
            self.put(lot, "lane", "loaded", at + 2_000, win, load=wrong, by="judge", declared=said["id"])

    def lanes(self) -> list[dict[str, Any]]:
        """The lanes as a case tells them."""
        said = {lot: [mark["id"] for mark in sheets["lane"] if mark["kind"] == "declare"] for lot, sheets in self.marks.items()}
        let = {lot: marks if self.let_stand else [] for lot, marks in said.items()}
        return [
            {"lot": lot, "who": NAMES[lot - 1], "sheets": sheets, "admitted": let[lot], "out": lot == self.out}
            for lot, sheets in self.marks.items()
        ]


def cases() -> list[dict[str, Any]]:
    """Sessions by both orders, with one referee and three, asked before GO, in each window, between them and after."""
    made = []
    for seed in range(32):
        format = a_platform("rounds" if seed % 2 else "lightest", 3 if seed % 4 < 2 else 1)
        walk = Walk(seed)
        walk.play(0, 0)
        if seed % 3 == 0:
            walk.play(2, 70_000)
        args = [json.loads(format.model_dump_json()), walk.lanes(), list(MS)]
        made.append({"name": f"session {seed}", "call": "platform", "args": args, "expect": platform(*args)})
    return made


def platform(plain: Any, lanes: list[dict[str, Any]], times: list[int | None]) -> list[Any]:
    """Who is at the bar; then, at each moment, how their clock runs, who of those who wait is called, and all who wait in the
    order in which they are called."""
    format = Format.model_validate(plain)
    there = [_lane(format, lane) for lane in lanes]
    return [
        _bar(at_the_bar(there)),
        *([_clock(bar_clock(there, ms)), *_waiting(there, ms)] for ms in times),
    ]


def _waiting(there: list[BarLane], ms: int | None) -> list[Any]:
    order = called_next(there, ms)
    called = called_lift(order, there)
    return [called.lot if called else None, *(_told(one) for one in order)]


def _lane(format: Format, lane: dict[str, Any]) -> BarLane:
    tally = together(format, lane["sheets"])
    assert tally is not None
    marks = [parse_mark(mark) for kind in KINDS for mark in lane["sheets"][kind]]
    return BarLane(lane["lot"], lane["who"], format, tally, marks, lane["admitted"], lane["out"])


def _clock(found: BarClock | None) -> Any:
    return [found.lot, found.since_ms, found.over_ms, found.bound_ms] if found else None


def _bar(found: tuple[int, str] | None) -> Any:
    return list(found) if found else None


def _told(one: Any) -> list[Any]:
    least = load_plain(one.least) if one.least else None
    known = [one.lot, one.who, load_plain(one.load), one.attempts, one.last_at, one.at_the_end, one.declared]
    return [*known, one.automatic, least]


CALLS: dict[str, Callable[..., Any]] = {"platform": platform}
