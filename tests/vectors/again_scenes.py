"""Cases for who judges again: the way back from the heat clock to a film, and whose word the bar is."""

from collections.abc import Callable
from typing import Any

from app.rules.count.sheets import with_bar
from app.rules.records.holding import Hold, since_go
from app.rules.records.marks import mark_plain, parse_mark
from app.rules.records.seats import SheetKind
from tests.builders.cast import Sheet

HOLDS = (Hold(at_ms=5_000, for_ms=2_000), Hold(at_ms=5_000, for_ms=500), Hold(at_ms=9_000))


def cases() -> list[dict[str, Any]]:
    """Every case, with Python's answer."""
    times = (-3_000, 0, 4_999, 5_000, 5_001, 9_000, 9_001, 60_000)
    plain = [hold.model_dump() for hold in HOLDS]
    made = [
        {"name": f"{n} holds back from {ms}", "call": "since_go", "args": [ms, plain[:n]], "expect": since_go(ms, HOLDS[:n])}
        for n in (0, 1, 3)
        for ms in times
    ]
    return made + [_bar(name, kind) for name, kind in (("a shadow judge", "shadow"), ("a film", "video"))]


def _bar(name: str, kind: SheetKind) -> dict[str, Any]:
    lane, own = Sheet(), Sheet(device="tab-b")
    bar, slip = lane.declare(1_000, "100 kg"), lane.declare(1_500, "900 kg")
    marks = [bar, slip, lane.strike(1_600, slip), lane.rep(2_000), lane.mark("begun", 9_000, declared=bar["id"])]
    marks += [lane.lift(20_000, "100 kg", False, declared=bar["id"]), lane.mark("racked", 25_000, declared=bar["id"])]
    again = [own.lift(20_400, "100 kg", True, declared=bar["id"])]
    found = with_bar(kind, [parse_mark(mark) for mark in again], [parse_mark(mark) for mark in marks])
    return {"name": f"the bar of {name}", "call": "with_bar", "args": [again, marks], "expect": [mark_plain(m) for m in found]}


def _bar_again(own: list[Any], lane: list[Any]) -> list[dict[str, Any]]:
    return [mark_plain(mark) for mark in with_bar("video", map(parse_mark, own), list(map(parse_mark, lane)))]


CALLS: dict[str, Callable[..., Any]] = {
    "since_go": lambda ms, holds: since_go(ms, [Hold.model_validate(hold) for hold in holds]),
    "with_bar": _bar_again,
}
