"""Every case of tests/vectors, answered by the rule book.

tests/rules/test_vectors_in_browser.py asks the tablet's twins the same.
"""

import json
from collections.abc import Callable
from dataclasses import asdict
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from app.rules.count.clock import Offset, moment_at
from app.rules.count.sheet_clock import SheetClock
from app.rules.count.tally import fold
from app.rules.records.document import Run
from app.rules.records.holding import Hold, heat_time
from app.rules.records.marks import parse_received
from app.rules.records.moves import heat_state
from app.rules.round.tree import film_print
from app.rules.values.clock_times import clock_text, hours_text, minutes_text
from app.rules.values.shapes import load_plain
from app.rules.values.units import (
    BadMeasure,
    Load,
    Rounding,
    both_units,
    decimal_text,
    parse_load,
    plain_decimal,
    round_to,
    shown,
)
from app.rules.values.words import Catalogue
from app.rules.workout.formats import Format
from app.rules.workout.plates import PlateSet
from app.rules.workout.presets import PRESETS
from app.rules.workout.tasks import LiftTask
from tests.vectors import (
    again_scenes,
    authority_scenes,
    fault_scenes,
    lift_order_scenes,
    marking_scenes,
    number_scenes,
    plate_scenes,
    score_scenes,
    turn_scenes,
    typed_loads,
)
from tests.vectors.judge_scenes import together
from tests.vectors.lifting import declared_scenes, doubt_scenes, opener_scenes
from tests.vectors.make import MADE, text_of
from tests.vectors.preset_scenes import scenes
from tests.vectors.reference import SleepyOffset, moment_plain, tally_plain

VECTORS = Path(__file__).resolve().parents[1] / "vectors"


def _moment_at(format: Any, ms: int) -> Any:
    return moment_plain(moment_at(Format.model_validate(format), ms))


def _offset(exchanges: list[list[float]], drift_ppm: float, now: float, grain_ms: float = 0.0, slept: Any = None) -> list[float]:
    offset = SleepyOffset(drift_ppm=drift_ppm, grain_ms=grain_ms)
    for exchange in exchanges:
        offset.add(*exchange)
    if slept:
        offset.slept(*slept)
    return list(offset.estimate(now) or ())


def _heat_state(state: str, length: int, since_go: int, holds: list[Any]) -> str:
    run = Run.model_validate({"heat": "het_1", "number": 1, "state": state, "holds": holds})
    return heat_state(run, length, since_go, 0).value


def _rfc5905_offset(*stamps: float) -> list[float]:
    """What one exchange shows by the formulas of RFC 5905, section 8: the estimate, bound by half the round-trip delay."""
    offset = Offset(drift_ppm=0)
    offset.add(*stamps)
    middle, bound = offset.estimate(stamps[3]) or (0.0, 0.0)
    return [middle, 2 * bound]


def _judged_tally(format: Any, sheets: Any, clock: dict[str, Any] | None = None) -> Any:
    tally = together(Format.model_validate(format), sheets, (clock or {}).get("ruled", ()))
    return None if tally is None else tally_plain(tally)


def _fold(format: Any, marks: list[Any], clock: dict[str, Any] | None = None) -> Any:
    told = clock or {"holds": [], "shift_ms": 0}
    holds = tuple(Hold.model_validate(hold) for hold in told["holds"])
    ledger = [parse_received(mark) for mark in marks]
    ruled = (*declared_scenes.letting(told.get("admitted", ())).ruled, *doubt_scenes.rulings(told.get("ruled", ())))
    counting, given = number_scenes.counting(ledger, told), told.get("given", True)
    times = SheetClock(holds, told["shift_ms"], ruled, given=given, counting=counting)
    return tally_plain(fold(Format.model_validate(format), ledger, times))


def _load(plain: dict[str, Any]) -> Load:
    return Load(plain["amount"], plain["unit"])


def _spoken(make: Callable[..., Load]) -> Callable[..., dict[str, str]]:
    def answer(*args: Any) -> dict[str, str]:
        try:
            return load_plain(make(*args))
        except BadMeasure as wrong:
            return {"error": str(wrong)}

    return answer


def _compare(a: dict[str, Any], b: dict[str, Any]) -> int:
    return (_load(a) > _load(b)) - (_load(a) < _load(b))


def _film_print(length: int, piece: int) -> str:
    """Of a film of counted bytes. What is expected was worked out by RFC 6962's own definition, with hashlib."""
    film = bytes(n * 31 % 251 for n in range(length))
    return film_print(film[at : at + piece] for at in range(0, length, piece))


CALLS: dict[str, Callable[..., Any]] = {
    "film_print": _film_print,
    "moment_at": _moment_at,
    "offset": _offset,
    "heat_time": lambda ms, holds: asdict(heat_time(ms, [Hold.model_validate(hold) for hold in holds])),
    "rfc5905_offset": _rfc5905_offset,
    "heat_state": _heat_state,
    "fold": _fold,
    "judged_tally": _judged_tally,
    "load": _spoken(Load),
    "parse_load": _spoken(parse_load),
    "load_text": lambda load: _load(load).text(),
    "both_units": lambda load: both_units(_load(load)),
    "in_unit": lambda load, unit: str(_load(load).in_unit(unit)),
    "compare_loads": _compare,
    "on_step": lambda load, step: _load(load).kg % _load(step).kg == 0,
    "plain_decimal": plain_decimal,
    "round_to": lambda value, step, how: str(round_to(Fraction(value), Fraction(step), Rounding(how))),
    "decimal_text": lambda value, most: decimal_text(Fraction(value), most),
    "shown": shown,
    "minutes_text": minutes_text,
    "hours_text": hours_text,
    "clock_text": clock_text,
    "say_from": lambda catalogue, key, holes: Catalogue(**catalogue).say(key, **holes),
    **lift_order_scenes.CALLS,
    **opener_scenes.CALLS,
    **marking_scenes.CALLS,
    **plate_scenes.CALLS,
    **again_scenes.CALLS,
    **authority_scenes.CALLS,
    **fault_scenes.CALLS,
    **score_scenes.CALLS,
    **turn_scenes.CALLS,
    "typed_load_at": lambda text, task, unit, held, plates: typed_loads.answer(
        text, LiftTask.model_validate(task), unit, held, PlateSet.model_validate(plates)
    ),
    "typed_load": lambda text, task, unit, held: typed_loads.answer(text, LiftTask.model_validate(task), unit, held),
}


def cases() -> list[Any]:
    """All cases of all files, each named by its file and itself."""
    found = []
    for path in sorted(VECTORS.rglob("*.json")):
        for case in json.loads(path.read_text(encoding="utf-8")):
            found.append(pytest.param(case, id=f"{path.stem}: {case['name']}"))
    return found


@pytest.mark.parametrize("case", cases())
def test_the_rule_book_answers_as_the_vectors_say(case: dict[str, Any]) -> None:
    assert CALLS[case["call"]](*case["args"]) == case["expect"]


def test_a_sheet_of_every_preset_is_among_them() -> None:
    assert {one.preset for one in scenes().values()} == set(PRESETS)


@pytest.mark.parametrize("name", sorted(MADE))
def test_the_made_vectors_are_the_ones_that_are_kept(name: str) -> None:
    # When this fails after a change of the rules that is meant: python -m tests.vectors.make, and teach the tablet the same.
    assert (VECTORS / name).read_text(encoding="utf-8") == text_of(name)
