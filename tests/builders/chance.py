"""Hypothesis draws sheets of marks, plain and odd: what a tablet may send, and what a broken one might."""

from typing import Any

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn, SearchStrategy

from app.rules.records.marks import Mark
from app.rules.values.units import Load
from app.rules.workout.formats import Format
from tests.builders.cast import FORMATS, Plain, Sheet, parsed

LOADS = ["100 kg", "102.5 kg", "220 lb", "225 lb", "44 lb", "1005 lb", "225.5 lb"]
KINDS = ["rep", "rep", "rep", "norep", "declare", "lift", "lift", "racked", "finish", "measure", "strike", "stop", "note", "sign"]

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
    return _make(sheet, draw(st.sampled_from(KINDS)), at, win, known, draw(st.sampled_from(LOADS)), draw(st.booleans()))


def _make(sheet: Sheet, kind: str, at: int, win: int | None, known: str, load: str, coin: bool) -> Plain:
    match kind:
        case "declare":
            return sheet.declare(at, load, win)
        case "lift":
            return sheet.lift(at, load, coin, declared=known if coin else None, win=win)
        case "racked":
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
