"""Cases of wall lines and tapes: the rule book's answers, which the lane screen must give as well."""

import random
from collections.abc import Callable
from fractions import Fraction
from typing import Any

from app.rules.records.markings import differ, wall_line
from app.rules.values.lengths import Length, tape_text


def _line(reach: str, unit: Any, drop_mm: str) -> str:
    return str(wall_line(Length(reach, unit), Length(drop_mm, "mm")))


CALLS: dict[str, Callable[..., Any]] = {
    "tape_text": lambda mm, unit: tape_text(Fraction(mm), unit),
    "wall_line": _line,
    "lines_differ": lambda one, other, tolerance: differ(Fraction(one), Fraction(other), Fraction(tolerance)),
}


def cases() -> list[dict[str, Any]]:
    """Round ones, ones at a boundary, and a mixture."""
    made: list[tuple[str, list[Any]]] = [
        *(
            ("tape_text", [mm, unit])
            for mm in ("0", "1", "25.4", "3.175", "1.5875", "1.58749", "1847.85", "2006.6")
            for unit in ("in", "cm")
        ),
        ("wall_line", ["80.625", "in", "115"]),
        ("wall_line", ["203", "cm", "62.5"]),
        ("lines_differ", ["2000", "2018.5", "18.5"]),
        ("lines_differ", ["2000", "2018.5001", "18.5"]),
        ("lines_differ", ["2018.5", "2000", "18.5"]),
        ("lines_differ", ["2000", "2000", "0"]),
    ]
    chance = random.Random(82)
    for _ in range(20):
        one, other = (str(Fraction(chance.randrange(12_000, 28_000), 10)) for _ in "ab")
        made += [("tape_text", [one, chance.choice(["in", "cm"])]), ("lines_differ", [one, other, "500"])]
    return [
        {"name": f"{call} {number}", "call": call, "args": args, "expect": CALLS[call](*args)}
        for number, (call, args) in enumerate(made)
    ]
