"""Scenes of bars that left their rack about as an attempt's clock or the heat's ended, marked by clocks that may be off."""

import json
import random
from collections.abc import Iterable
from typing import Any

from app.rules.count.lifting.in_time import DOUBTS
from app.rules.count.sheet_clock import SheetClock
from app.rules.count.tally import fold
from app.rules.records.kinds import BODY
from app.rules.records.marks import parse_mark
from app.rules.records.rulings import Ruling
from tests.builders.cast import Sheet
from tests.vectors.lift_scenes import DECLARING, FORMATS, called, declare, lift, loaded, mixture
from tests.vectors.reference import tally_plain

Plain = dict[str, Any]
BOUNDS = (0, 3, 200, 2_000)  # of a clock's error, in ms: exact, a tablet on a good line, on a bad one, started by hand


def cases() -> list[Plain]:
    """An attempt each, near its end, some of them ruled on; and odd mixtures on clocks of every sort."""
    chance = random.Random(21)
    made = [_case(f"begun as time ended {number}", key, *_near(chance, key)) for number, key in enumerate(_TIMED * 5)]
    for number in range(12):
        key = sorted(FORMATS)[number % len(FORMATS)]
        marks = [mark | {"err": chance.choice([*BOUNDS, 20_000])} for mark in mixture(chance, Sheet())]
        made.append(_case(f"a mixture by clocks that may be off {number}, {key}", key, marks, ()))
    for number, key in enumerate(_TIMED * 3):
        made.append(_case(f"one clock all along {number}", key, _one_life(chance, _near(chance, key)[0]), ()))
    for number, key in enumerate(DECLARING * 8):
        marks = _changed(chance, key)
        lived = _one_life(chance, marks) if number % 3 == 2 else marks
        made.append(_case(f"declared as time ended {number}, {key}", key, lived, ()))
    found = {flag["why"] for one in made for flag in one["expect"]["flags"]}
    assert found >= {"change-doubt", "opener-doubt", "attempt-late"}, found
    assert any(flag["why"] in DOUBTS for one in made for flag in one["expect"]["flags"])
    return made


_TIMED = ("on the clock", "by the call", "one bar for all lanes")


def _near(chance: random.Random, key: str) -> tuple[list[Plain], tuple[Plain, ...]]:
    """One attempt that begins some ms before or after its time with the grace, by odd clocks; and perhaps a ruling on it."""
    sheet = Sheet()
    start = 0 if key == "on the clock" else 48_500 if chance.random() < 0.4 else 9_000  # one also ends near the bell
    said = declare(sheet, max(0, start - 1_000), "100 kg")
    told = (
        [] if key == "on the clock" else [called(sheet, start, said), loaded(sheet, start - 500, "100 kg", declared=said["id"])]
    )
    out = start + 11_000 + chance.choice([-2_500, -203, -4, -1, 0, 2, 5, 202, 2_500])
    begun = sheet.mark("begun", out, 0, declared=said["id"])
    done = lift(sheet, out + 1_500, "100 kg", chance.random() < 0.8, declared=said["id"])
    marks = [mark | {"err": chance.choice(BOUNDS)} for mark in [said, *told, begun, done]]
    ruled = {"mark": done["id"], "good": chance.random() < 0.7}
    return marks, (ruled,) if chance.random() < 0.3 else ()


def _changed(chance: random.Random, key: str) -> list[Plain]:
    """An opener, changed some ms before or after the rule's time for it, by odd clocks."""
    sheet, opener = Sheet(), key == "declared in time"
    said = declare(sheet, -1_000 if opener else 1_000, "100 kg")
    told = [] if opener else [called(sheet, 9_000, said), loaded(sheet, 8_500, "100 kg", declared=said["id"])]
    until = 0 if opener else 15_000
    changed = declare(sheet, until + chance.choice([-203, -4, 0, 1, 3, 150, 202, 1_900, 2_500]), "104 kg")
    return [mark | {"err": chance.choice(BOUNDS)} for mark in [said, *told, changed]]


def _one_life(chance: random.Random, marks: list[Plain]) -> list[Plain]:
    """The same marks by a clock that says in which of its lives they were made, mostly in one, and by how much it was moved."""
    made = []
    for mark in marks:
        moved = chance.choice((-150, -2, 0, 0, 2, 150))
        says = {"life": 1 + (chance.random() < 0.1), "moved": moved} if "life" in BODY[mark["kind"]] else {}
        made.append(mark | {"at": mark["at"] + (moved if says else 0), "body": mark["body"] | says})
    return made


def rulings(ruled: Iterable[Plain]) -> tuple[Ruling, ...]:
    """What a head judge ruled on lifts."""
    return tuple(Ruling(id="r", kind="lift", assignment="asg", body=body, by="Fay", why="seen") for body in ruled)


def _case(name: str, key: str, marks: list[Plain], ruled: tuple[Plain, ...]) -> Plain:
    tally = fold(FORMATS[key], [parse_mark(mark) for mark in marks], SheetClock(ruled=rulings(ruled)))
    clock = {"holds": [], "shift_ms": 0, "ruled": list(ruled)}
    args = [json.loads(FORMATS[key].model_dump_json()), marks, clock]
    return {"name": name, "call": "fold", "args": args, "expect": tally_plain(tally)}
