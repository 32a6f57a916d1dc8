"""What a sign-off holds: of each tablet's life which marks, as a chain of their digests, so that what was signed can be proven;
and how the overall standing was made.

A sign-off of an older version names the numbers only. It holds as it held, but can't prove which mark a number stood for; and one
from before version 3 of the competition file does not say how the overall standing was made.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from typing import Any, Self

from app.rules.records.marks import Mark
from app.rules.records.overall_rule import OverallRule
from app.rules.records.rulings import Ruling
from app.rules.records.seal import Printed, by_tablet, fingerprints, head_of, mark_print

PRINT = 16  # hex digits of the print of one mark: nobody makes another mark of the same 64 bits; the head proves all together

Ranges = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Life:
    """What is held of one life of a tablet: its numbers and, but in an old sign-off, the print of each and the head of all."""

    numbers: Ranges
    prints: Mapping[int, str] | None = None
    head: str = ""

    @property
    def count(self) -> int:
        """How many marks are held of it."""
        return sum(last - first + 1 for first, last in self.numbers)


@dataclass(frozen=True, slots=True)
class Held:
    """The marks that a sign-off holds, by the life of a tablet (`device/epoch`). Two of one sign-off are equal."""

    sign_off: str
    lives: Mapping[str, Life] = field(compare=False)

    @classmethod
    def of(cls, ruling: Ruling) -> Self | None:
        """What a sign-off holds; None of one that opened the event again."""
        if ruling.body["state"] != "signed":
            return None
        return cls(ruling.id, {life: _read(said) for life, said in ruling.body["marks"].items()})

    @property
    def proven(self) -> bool:
        """Whether it holds digests; one of an older version names numbers only."""
        return all(life.prints is not None for life in self.lives.values())

    @property
    def count(self) -> int:
        """How many marks it holds."""
        return sum(life.count for life in self.lives.values())

    def holds(self, mark: Mark) -> bool:
        """Whether a mark is one of those that were there. By the number alone where the sign-off says no more."""
        life = self.lives.get(f"{mark.device}/{mark.epoch}")
        if life is None:
            return False
        if life.prints is not None:
            return life.prints.get(mark.seq) == mark_print(mark)[:PRINT]
        return any(first <= mark.seq <= last for first, last in life.numbers)

    def proves(self, mark: Mark) -> bool:
        """Whether a mark is proven to have been there: by its digest."""
        life = self.lives.get(f"{mark.device}/{mark.epoch}")
        return life is not None and life.prints is not None and self.holds(mark)


def overall_of(ruling: Ruling) -> tuple[bool, OverallRule | None]:
    """Whether a sign-off says how the overall standing was made, and the rule; None where there was to be none."""
    said = ruling.body.get("overall")
    return "overall" in ruling.body, None if said is None else OverallRule.model_validate(said)


def marks_held(marks: Iterable[Mark]) -> dict[str, dict[str, str]]:
    """What a sign-off says of the marks that it holds: of each tablet's life (`device/epoch`) their numbers as ranges, such as
    `1-345,347`, the print of each in that order, and the head of their chain."""
    return {f"{device}/{epoch}": _said(given) for (device, epoch), given in sorted(by_tablet(fingerprints(marks)).items())}


def _said(given: Sequence[Printed]) -> dict[str, str]:
    numbers = _ranges([mark.seq for mark, _ in given])
    return {"numbers": numbers, "prints": "".join(one.hex()[:PRINT] for _, one in given), "head": head_of(given)}


def _ranges(numbers: Sequence[int]) -> str:
    runs = []
    for _, group in groupby(enumerate(numbers), key=lambda pair: pair[1] - pair[0]):
        run = [number for _, number in group]
        runs.append(str(run[0]) if len(run) == 1 else f"{run[0]}-{run[-1]}")
    return ",".join(runs)


def _read(said: Any) -> Life:
    if isinstance(said, str):
        return Life(_numbers(said))
    numbers, prints = _numbers(said["numbers"]), said["prints"]
    each = [number for first, last in numbers for number in range(first, last + 1)]
    return Life(numbers, {number: prints[at * PRINT : (at + 1) * PRINT] for at, number in enumerate(each)}, said["head"])


def _numbers(text: str) -> Ranges:
    return tuple(_bounds(part) for part in text.split(","))


def _bounds(text: str) -> tuple[int, int]:
    first, _, last = text.partition("-")
    return int(first), int(last or first)


def held_faults(held: Held, marks: Iterable[Mark]) -> list[str]:
    """What of the marks that were signed can't be shown any more, as sentences; empty when all of it can."""
    there = by_tablet(one for one in fingerprints(marks) if held.holds(one[0]))
    faults = []
    for name, life in sorted(held.lives.items()):
        device, _, epoch = name.rpartition("/")
        given = there.get((device, int(epoch)), [])
        if len(given) < life.count:
            faults.append(f"Tablet {device}: marks that were signed are missing, {life.count - len(given)} of {life.count}.")
        elif life.prints is not None and head_of(given) != life.head:
            faults.append(f"Tablet {device}: its marks are not those that were signed.")
    return faults
