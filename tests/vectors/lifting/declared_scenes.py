"""Scenes of declarations that the event's rules do not let stand, and of a ruling that lets them count all the same."""

import json
import random
from collections.abc import Sequence
from typing import Any

from app.rules.count.lifting.next_attempt import REFUSALS
from app.rules.count.sheet_clock import SheetClock
from app.rules.count.tally import fold
from app.rules.records.marks import parse_received
from app.rules.records.rulings import Ruling
from app.rules.workout.formats import Format
from tests.builders.cast import FORMATS, Sheet
from tests.vectors.lift_scenes import DECLARING, mixture
from tests.vectors.lift_scenes import FORMATS as LIFTING
from tests.vectors.reference import tally_plain

Plain = dict[str, Any]


def letting(marks: Sequence[str]) -> SheetClock:
    """The clock of a sheet on which a ruling lets these marks count."""
    if not marks:
        return SheetClock()
    return SheetClock(ruled=(Ruling(id="r", kind="admit", assignment="asg", body={"marks": list(marks)}, by="Fay", why="seen"),))


def refused_on(format: Format, marks: Sequence[Plain]) -> list[str]:
    """The declarations that a sheet's rules keep out."""
    flags = fold(format, [parse_received(mark) for mark in marks]).flags
    return sorted({flag.mark for flag in flags if flag.why in REFUSALS})


def cases() -> list[Plain]:
    """Odd mixtures with some or all of what was refused let stand; and repetitions ahead of their time, one of two let count."""
    chance = random.Random(6)
    made = []
    for number in range(16):
        key, marks = DECLARING[number % len(DECLARING)], mixture(chance, Sheet())
        kept_out = refused_on(LIFTING[key], marks)
        some = kept_out if number % 4 == 0 else chance.sample(kept_out, len(kept_out) // 2)
        made.append(_case(f"{len(some)} of {len(kept_out)} let stand {number}, {key}", LIFTING[key], marks, some))
    sheet = Sheet()
    ahead = [sheet.rep(at) | {"receipt": {"number": n, "seat": "lane", "clock": 500}} for n, at in enumerate((50_000, 51_000), 1)]
    made.append(_case("one of two ahead of their time let count", FORMATS["pair"], ahead, [ahead[0]["id"]]))
    return made


def _case(name: str, format: Format, marks: list[Plain], admitted: list[str]) -> Plain:
    tally = fold(format, [parse_received(mark) for mark in marks], letting(admitted))
    clock = {"holds": [], "shift_ms": 0, "admitted": admitted}
    args = [json.loads(format.model_dump_json()), marks, clock]
    return {"name": name, "call": "fold", "args": args, "expect": tally_plain(tally)}
