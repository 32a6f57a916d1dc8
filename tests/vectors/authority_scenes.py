"""Cases for the table of authority: every seat on every kind of sheet with every kind of mark, and at which moment a mark is."""

from collections.abc import Callable, Sequence
from typing import Any

from app.rules.records.authority import MOMENTS, effect_of, moment_of
from app.rules.records.kinds import KINDS, ROWS
from app.rules.records.marks import Mark
from app.rules.records.seats import SEATS, SHEET_KINDS, seat_of
from app.rules.workout.formats import Format
from tests.builders.cast import FORMATS

MINE, ANOTHERS = "dev_mine", "dev_anothers"
Trial = tuple[str, str, str, str]  # kind, whose word (by); of a strike-out: who made what it names, and of which kind that is


def trials() -> list[Trial]:
    """Each kind of mark in every way that the table can tell apart."""
    made: list[Trial] = []
    for kind in KINDS:
        if kind == "strike":
            made += [(kind, "", device, struck) for device in (MINE, ANOTHERS) for struck in ("loaded", "declare", "rep")]
            made.append((kind, "", "", ""))
        elif "by" in ROWS[kind].says:
            made += [(kind, by, "", "") for by in ROWS[kind].said_by]
        else:
            made.append((kind, "", "", ""))
    return made


def cases() -> list[dict[str, Any]]:
    """Every case, with Python's answer."""
    made = []
    for seat, row in SEATS.items():
        device = {"id": MINE, "role": row.role, "sheet": row.sheet}
        for sheet in SHEET_KINDS:
            args = [device, sheet, [list(trial) for trial in trials()]]
            made.append({"name": f"{seat} on {sheet}", "call": "effects", "args": args, "expect": _effects(*args)})
    return made + [_moments(key, FORMATS[key]) for key in sorted(FORMATS)]


def _moments(key: str, format: Format) -> dict[str, Any]:
    edges = sorted({edge for window in format.windows for edge in (window.start_ms, window.end_ms)})
    times = sorted({-60_000, *(at for edge in edges for at in (edge - 1, edge, edge + 1))})
    args = [format.model_dump(mode="json"), times]
    return {"name": f"moments of {key}", "call": "moments", "args": args, "expect": _moments_of(format, times)}


def _moments_of(format: Format, times: list[int]) -> list[list[str]]:
    return [[moment_of(format, at, False), moment_of(format, at, True)] for at in times]


def a_trial(sheet: str, trial: Sequence[str]) -> tuple[Mark, Mark | None]:
    """The mark of a trial, and the one that it names."""
    kind, by, device, struck = trial
    about = _mark(sheet, struck, device, {}) if struck else None
    return _mark(sheet, kind, MINE, {"by": by} if by else {}), about


def _mark(sheet: str, kind: Any, device: str, body: dict[str, Any]) -> Mark:
    return Mark(f"{1:032x}", f"asg_1/1/{sheet}", device, 1, 1, kind, 0, 0, None, body)


def _effects(device: dict[str, str], sheet: str, given: list[list[str]]) -> list[list[str]]:
    seat = seat_of(device["role"], device["sheet"])
    made = [a_trial(sheet, trial) for trial in given]
    return [[effect_of(seat, device["id"], mark, about, moment) for moment in MOMENTS] for mark, about in made]


CALLS: dict[str, Callable[..., Any]] = {
    "effects": _effects,
    "moments": lambda format, times: _moments_of(Format.model_validate(format), times),
}
