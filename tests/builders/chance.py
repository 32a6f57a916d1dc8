"""Hypothesis draws sheets of marks, plain and odd: what a tablet may send, and what a broken one might."""

from dataclasses import replace
from typing import Any

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn, SearchStrategy

from app.rules.count.sheet_clock import SheetClock
from app.rules.records.holding import Hold
from app.rules.records.marks import Mark
from app.rules.records.receipts import Receipt
from app.rules.records.rulings import Ruling
from app.rules.values.units import Load
from app.rules.workout.formats import Format
from tests.builders.cast import FORMATS, Plain, Sheet, parsed, plain_load

LOADS = ["100 kg", "102.5 kg", "220 lb", "225 lb", "44 lb", "1005 lb", "225.5 lb"]
KINDS = ["rep", "rep", "rep", "norep", "lift", "lift", "racked", "finish", "measure", "strike", "stop", "note", "sign"]
KINDS += ["declare", "called", "begun", "loaded"]

amounts: SearchStrategy[str] = st.builds(
    lambda whole, part, zeros: f"{'0' * zeros}{whole}.{part}" if part else f"{'0' * zeros}{whole}",
    st.integers(0, 800),
    st.sampled_from(["", "0", "00", "5", "50", "25", "2500", "1234"]),
    st.integers(0, 2),
)
loads: SearchStrategy[Load] = st.builds(Load, amounts, st.sampled_from(["kg", "lb"]))

json_values: SearchStrategy[Any] = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=8,
)


@st.composite
def sheets(draw: DrawFn, format: Format, assignment: str = "asg_1") -> list[Plain]:
    """The marks of two tablets on one sheet; times and windows lie within the format and a little outside of it."""
    tablets = [Sheet(assignment, device=device) for device in ("tab-a", "tab-b")]
    marks: list[Plain] = []
    for _ in range(draw(st.integers(0, 25))):
        marks.append(draw(_one(format, tablets[draw(st.integers(0, 1))], [mark["id"] for mark in marks])))
    return marks


@st.composite
def _one(draw: DrawFn, format: Format, sheet: Sheet, ids: list[str]) -> Plain:
    edges = [w.start_ms for w in format.windows] + [w.end_ms for w in format.windows]
    near = st.sampled_from(edges).flatmap(lambda edge: st.integers(edge - 1_100, edge + 1_100))
    at = draw(near | st.integers(-2_000, format.length_ms + 2_000))
    win = draw(st.none() | st.integers(0, len(format.windows)))
    known = draw(st.sampled_from([*ids, "0" * 32]))
    return mark_of(sheet, draw(st.sampled_from(KINDS)), at, win, known, draw(st.sampled_from(LOADS)), draw(st.booleans()))


def mark_of(sheet: Sheet, kind: str, at: int, win: int | None, known: str, load: str, coin: bool) -> Plain:
    """A mark of a kind; known: the id of another that it names, where it names one. coin: of two ways to make it which."""
    match kind:
        case "declare":
            return sheet.declare(at, load, win)
        case "lift":
            return sheet.lift(at, load, coin, declared=known if coin else None, win=win)
        case "loaded":
            return sheet.mark(kind, at, win, load=plain_load(load), by="loader" if coin else "judge")
        case "called":
            return sheet.mark(kind, at, win, **({"declared": known} if coin else {"follows": False}))
        case "racked" | "begun":
            return sheet.mark(kind, at, win, **({"declared": known} if coin else {}))
        case "measure":
            return sheet.mark(kind, at, win, value="12.5" if coin else "99999")
        case "strike":
            return sheet.mark(kind, at, None, mark=known)
        case "stop":
            return sheet.mark(kind, at, None, why="Rope broke")
        case "note":
            return sheet.mark(kind, at, None, text="Looked tired")
        case "sign":
            return sheet.mark(kind, at, None, who="judge", name="Io" if coin else "Wren")
        case _:
            return sheet.mark(kind, at, win)


@st.composite
def shuffled(draw: DrawFn, marks: list[Mark]) -> list[Mark]:
    """The same marks in another order, some of them twice or three times, as retries over a bad network bring them."""
    again = draw(st.lists(st.sampled_from(marks), max_size=6)) if marks else []
    return draw(st.permutations([*marks, *again]))


@st.composite
def sheets_of_any(draw: DrawFn) -> tuple[Format, list[Mark]]:
    """A format of the cast and a sheet for it."""
    format = FORMATS[draw(st.sampled_from(sorted(FORMATS)))]
    return format, parsed(draw(sheets(format)))


@st.composite
def received(draw: DrawFn, marks: list[Mark]) -> list[Mark]:
    """The marks with receipts, numbered in this order: from the lane, a lifter's phone, the desk; on time, before, for no run."""
    seats = draw(st.lists(st.sampled_from(["lane", "lane", "lifter", "desk", None]), min_size=len(marks), max_size=len(marks)))
    late = draw(st.lists(st.sampled_from([0, 0, 400, 90_000, -2_000, None]), min_size=len(marks), max_size=len(marks)))
    return [
        mark if seat is None else replace(mark, receipt=Receipt(n, seat, None if ms is None else mark.at + ms, again=n % 7 == 0))
        for n, (mark, seat, ms) in enumerate(zip(marks, seats, late, strict=True), 1)
    ]


@st.composite
def clocks(draw: DrawFn, format: Format, marks: list[Mark]) -> SheetClock:
    """A clock for a sheet: held or not, shifted or not, with rulings on some of the marks."""
    at, held = draw(st.integers(0, format.length_ms)), draw(st.sampled_from([0, 800, 20_000, None]))
    holds = () if held == 0 else (Hold(at_ms=at, for_ms=held),)
    window, add = draw(st.integers(0, len(format.windows) - 1)), draw(st.sampled_from([-2, 3]))
    lift = next((mark.id for mark in marks if mark.kind == "lift"), "0" * 32)
    named = [mark.id for mark in marks[:2]] or ["0" * 32]
    made = {
        "reps": {"add": add, "window": window, "run": 1},
        "lift": {"mark": lift, "good": add > 0, "at": at},
        "admit": {"marks": named},
    }
    kinds = draw(st.lists(st.sampled_from(sorted(made)), max_size=2, unique=True))
    ruled = tuple(
        Ruling.model_validate(
            {"id": f"rul_{kind}", "kind": kind, "assignment": "asg_1", "by": "Ruth", "why": "Seen", "body": made[kind]}
        )
        for kind in kinds
    )
    return SheetClock(holds, draw(st.sampled_from([0, 0, 700])), ruled, given=draw(st.booleans()))
