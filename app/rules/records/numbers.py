"""One number of a tablet's life has one mark, and one id says one thing. Two marks that share either are doubles: both are kept,
and which of them counts never depends on which came first.

The one counts that a sign-off held or that the head judge named; of two such decisions the later. Without one neither counts.
Common practice, no source: what can't be known is for a person to decide.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from app.rules.records.marks import Mark
from app.rules.records.rulings import Ruling
from app.rules.records.seal import mark_print
from app.rules.records.signed import Held

Number = tuple[str, int, int]  # device, epoch, seq
Span = tuple[str, int, int, int]  # device, epoch, first and last seq of numbers without a gap
Counting = Mapping[Number, str]  # of each number that is doubled the print of the mark that counts, "" while none does

NO_DOUBLES: Counting = {}


def number_of(mark: Mark) -> Number:
    """Which number of which life of which tablet a mark has."""
    return (mark.device, mark.epoch, mark.seq)


@dataclass(slots=True)
class Through:
    """One life of one tablet: all numbers up to `last` are there, and `ahead` beyond a gap."""

    last: int = 0
    ahead: set[int] = field(default_factory=set)

    def has(self, seq: int) -> bool:
        """Whether number `seq` is there."""
        return 0 < seq <= self.last or seq in self.ahead

    def add(self, seq: int) -> None:
        """Notes that number `seq` is there; again is no matter."""
        if seq != self.last + 1:
            if seq > self.last:
                self.ahead.add(seq)
            return
        self.last = seq
        self._close_up()

    def has_any(self, first: int, last: int) -> bool:
        """Whether one of the numbers from `first` to `last` is there."""
        return first <= self.last or not self.ahead.isdisjoint(range(first, last + 1))

    def add_all(self, first: int, last: int) -> None:
        """Notes that these numbers are there, of which none was."""
        if first != self.last + 1:
            self.ahead.update(range(first, last + 1))
            return
        self.last = last
        self._close_up()

    def _close_up(self) -> None:
        while self.ahead and self.last + 1 in self.ahead:
            self.last += 1
            self.ahead.remove(self.last)


class Numbers:
    """The numbers that are there, of every life of every tablet; a gapless life takes the room of one number."""

    def __init__(self) -> None:
        self._lives: dict[str, dict[int, Through]] = {}

    def add(self, number: Number) -> bool:
        """Notes a number; whether it was new."""
        device, epoch, seq = number
        through = self._lives.setdefault(device, {}).setdefault(epoch, Through())
        if through.has(seq):
            return False
        through.add(seq)
        return True

    def add_all(self, spans: Sequence[Span]) -> bool:
        """Notes numbers of which none is given twice; whether all were new, or else none is noted."""
        lives = [(self._lives.setdefault(one, {}).setdefault(life, Through()), first, last) for one, life, first, last in spans]
        if any(through.has_any(first, last) for through, first, last in lives):
            return False
        for through, first, last in lives:
            through.add_all(first, last)
        return True

    def of(self, device: str) -> Mapping[int, Through]:
        """What there is of a tablet, by its lives."""
        return self._lives.get(device, {})


@dataclass(frozen=True, slots=True)
class Doubles:
    """Marks that share a number or an id and are not one: by their prints, in the order of these."""

    marks: Mapping[str, Mark]

    @property
    def numbers(self) -> frozenset[Number]:
        """The numbers that they carry: one, but where they share an id only."""
        return frozenset(map(number_of, self.marks.values()))


def spans_of(marks: Iterable[Mark]) -> tuple[Span, ...]:
    """The numbers of some marks, of which no two share one, as few spans as they make, in order."""
    found: list[Span] = []
    for device, epoch, seq in sorted(map(number_of, marks)):
        before = found[-1] if found else None
        if before is not None and before[:2] == (device, epoch) and before[3] == seq - 1:
            found[-1] = (device, epoch, before[2], seq)
        else:
            found.append((device, epoch, seq, seq))
    return tuple(found)


def find_doubles(marks: Iterable[Mark]) -> tuple[Doubles, ...]:
    """All doubles among some marks, whatever order these come in; one mark given twice is none."""
    first: dict[object, Mark] = {}
    shared: dict[object, dict[str, Mark]] = defaultdict(dict)
    for mark in marks:
        for key in (mark.id, number_of(mark)):
            known = first.setdefault(key, mark)
            if known is not mark and known != mark:
                shared[key] |= {mark_print(one): one for one in (known, mark)}
    return _joined(list(shared.values()))


def _joined(groups: Sequence[Mapping[str, Mark]]) -> tuple[Doubles, ...]:
    """Groups that have a mark in common are one."""
    found: list[dict[str, Mark]] = []
    for group in groups:
        touching = [one for one in found if not one.keys().isdisjoint(group)]
        found = [one for one in found if one not in touching]
        found.append({key: mark for one in (*touching, group) for key, mark in one.items()})
    # Marks that differ in what is private alone have one print: for every result they are one.
    doubles = [Doubles(dict(sorted(one.items()))) for one in found if len(one) > 1]
    return tuple(sorted(doubles, key=lambda one: min(one.marks)))


def counting_of(doubles: Sequence[Doubles], rulings: Sequence[Ruling], event: str) -> Counting:
    """Which of the doubles counts in an event by the rulings in force, given in the order made: its own sign-offs, and rulings on
    a number."""
    if not doubles:
        return NO_DOUBLES
    signed = [Held.of(ruling) if ruling.kind == "sign_off" and ruling.event == event else None for ruling in rulings]
    found: dict[Number, str] = {}
    for one in doubles:
        chosen = ""
        for ruling, held in zip(rulings, signed, strict=True):
            if ruling.kind == "number" and ruling.body["print"] in one.marks:
                chosen = str(ruling.body["print"])
            elif held is not None:
                under = [key for key, mark in one.marks.items() if held.proves(mark)]
                chosen = under[0] if len(under) == 1 else chosen
        found |= dict.fromkeys(one.numbers, chosen)
    return found


def counts(counting: Counting, mark: Mark) -> bool:
    """Whether a mark is the one of its number."""
    chosen = counting.get(number_of(mark))
    return chosen is None or chosen == mark_print(mark)
