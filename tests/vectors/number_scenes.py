"""Scenes of numbers that were used twice, as a tablet that lost its memory and came back uses them."""

import json
import random
from collections.abc import Mapping, Sequence
from typing import Any

from app.rules.count.sheet_clock import SheetClock
from app.rules.count.tally import fold
from app.rules.records.marks import Mark, parse_mark
from app.rules.records.numbers import Counting, counting_of, find_doubles, number_of
from app.rules.records.seal import mark_print
from tests.builders.cast import FORMATS, Plain, Sheet
from tests.vectors.reference import tally_plain


def counting(marks: Sequence[Mark], told: Mapping[str, Any]) -> Counting:
    """Of numbers that were used twice, which mark counts: by what the desk decided (number to id), else none."""
    found = dict(counting_of(find_doubles(marks), (), ""))
    for mark in marks:
        decided = told.get("counting", {}).get("/".join(map(str, number_of(mark))))
        if decided is not None:
            found[number_of(mark)] = mark_print(mark) if decided == mark.id else found.get(number_of(mark), "")
    return found


def cases() -> list[dict[str, Any]]:
    """Named scenes, then sheets of which some numbers were used twice or three times, some of them decided."""
    sheet = Sheet()
    first, second, other = sheet.rep(1_000), sheet.rep(2_000), sheet.rep(3_000)
    again = {**second, "id": other["id"], "at": 2_500}
    note = sheet.mark("note", 4_000, text="Came back")
    strike = {**sheet.strike(5_000, first), "epoch": second["epoch"], "seq": second["seq"]}
    made = [
        _case("one number with two repetitions: neither counts", [first, second, again]),
        _case("one number with two repetitions, one decided on", [first, second, again], {_number(second): second["id"]}),
        _case("the same mark twice is one", [first, second, second]),
        _case("marks that differ in what is private alone are one", [first, note, {**note, "body": {"text": "Another"}}]),
        _case("one id that says two things", [first, second, {**second, "seq": 90, "at": 2_700}]),
        _case("a strike-out under a number that is used takes nothing back", [first, second, strike]),
        _case("decided for a mark that is not here", [first, second], {_number(second): "f" * 32}),
    ]
    chance = random.Random(71)
    return made + [_random(chance, number) for number in range(12)]


def _random(chance: random.Random, number: int) -> dict[str, Any]:
    sheet, key = Sheet(device=chance.choice(["tab-a", "tab-b"])), ["pair", "list", "ladder"][number % 3]
    marks = [sheet.mark(chance.choice(["rep", "rep", "norep"]), chance.randrange(60_000)) for _ in range(20)]
    for mark in chance.sample(marks, 4):
        other = sheet.rep(chance.randrange(60_000))
        marks.append({**other, "seq": mark["seq"]})
    decided = {_number(mark): mark["id"] for mark in chance.sample(marks, 2)}
    chance.shuffle(marks)
    return _case(f"numbers used twice on {key} {number}", marks, decided if number % 2 else {}, key)


def _number(mark: Plain) -> str:
    return f"{mark['device']}/{mark['epoch']}/{mark['seq']}"


def _case(name: str, marks: list[Plain], decided: Mapping[str, str] | None = None, key: str = "pair") -> dict[str, Any]:
    told = {"holds": [], "shift_ms": 0, "counting": dict(decided or {})}
    ledger = [parse_mark(mark) for mark in marks]
    tally = fold(FORMATS[key], ledger, SheetClock(counting=counting(ledger, told)))
    args = [json.loads(FORMATS[key].model_dump_json()), marks, told]
    return {"name": name, "call": "fold", "args": args, "expect": tally_plain(tally)}
