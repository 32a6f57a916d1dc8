"""Marks to tally: one sheet's marks added up, window by window, with what was struck and what is odd.

The tally of a set of marks is one value, whatever order they arrive in, however often, in whatever batches. What came of the
marks so far can be kept, so that one more costs what it changes. Most stand alone: what a repetition, a refusal, a finish or a
measure is worth depends on no other mark, only the window in which it lies has to be told. What a judge takes back, what is done
at a bar and who signs is looked at together (together.py), anew when one of these comes: they are few. A sheet is added up whole
in the same way, from nothing: there is no second scorer.
static/js/rules/tally.js is its twin on the tablet; both pass tests/vectors/tally.json.
"""

from bisect import bisect_left, insort
from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from math import inf
from types import MappingProxyType
from typing import Any

from app.rules.count.beyond import TOO_MANY, Room, in_order_of_receipt, receipt_number
from app.rules.count.fold_windows import OpenWindow
from app.rules.count.lifting.verdicts import Verdict
from app.rules.count.placing import place, said_member
from app.rules.count.received import ahead_of, let_count
from app.rules.count.settling import member_of, settled, within
from app.rules.count.sheet_clock import PLAIN, SheetClock, on_heat_clock
from app.rules.count.tally_shape import Flag, Tally, WindowTally, presence
from app.rules.count.together import Together, looked_at
from app.rules.records.kinds import PLACED, ROWS, Kind
from app.rules.records.marks import Mark
from app.rules.workout.formats import Format, Window

__all__ = ["Flag", "Folding", "Tally", "WindowTally", "fold", "member_of"]

NO_VERDICTS: Mapping[str, Verdict] = MappingProxyType({})
STEP = 100  # marks that are looked at in one step
ALONE: frozenset[Kind] = frozenset(kind for kind, row in ROWS.items() if not (row.of_the_bar or row.folded) and row.locks is None)


def fold(
    format: Format, marks: Iterable[Mark], clock: SheetClock = PLAIN, verdicts: Mapping[str, Verdict] = NO_VERDICTS
) -> Tally:
    """Adds up the marks of one sheet under a format, read by its clock: when it was held, how a start by hand is shifted, what
    the head judge ruled on its marks, and which of them were there when the event was signed off. `verdicts` are what several
    judges together decided about tries, by their marks."""
    folding = Folding(format, clock, verdicts)
    folding.take(marks)
    return folding.tally()


class Folding:
    """The marks of one sheet under a format, read by its clock. `verdicts` are what several judges together decided about tries,
    by their marks."""

    def __init__(self, format: Format, clock: SheetClock = PLAIN, verdicts: Mapping[str, Verdict] = NO_VERDICTS) -> None:
        self.format, self.clock = format, clock
        self._let, self._room = let_count(clock), Room(format)
        self._first: dict[str, Mark] = {}  # of each id the mark that counts, at the time that its tablet gave it
        self._to_do: deque[str] = deque()
        self._begun, self._newest = False, -1
        self._missing: set[str] = set()  # marks that were named before they came
        self._moved: dict[str, Mark] = {}  # those that have another moment on the true heat clock
        self._into: dict[str, int] = {}  # how far into a hold
        self._odd: dict[str, list[Flag]] = {}  # what is odd about marks that stand alone
        self._waiting: dict[str, Flag] = {}  # marks that wait for a ruling
        self._together: dict[str, Mark] = {}
        self._stale, self._looked = False, Together()
        self._struck_alone: frozenset[str] = frozenset()
        self._stops: list[Mark] = []
        self._judged = False
        work = [i for i, window in enumerate(format.windows) if window.task is not None]
        self._windows = {i: OpenWindow(format, i, clock.ruled, verdicts, self._let) for i in work}
        self._signs: list[int] | None = []  # None: to be gathered anew
        self._settled: dict[int, tuple[WindowTally, int | None, int | None, WindowTally]] = {}
        self._flags: SortedFlags | None = SortedFlags()  # None: to be gathered anew
        self._out: list[Flag] = []  # of marks that came after the entry was out

    def take(self, marks: Iterable[Mark]) -> bool:
        """Takes more marks, in any order, also such as it has. False where what came of the others can't be kept: then this is of
        no more use, and the sheet is added up from nothing."""
        new: list[Mark] = []
        for mark in self.clock.within(marks):
            one = replace(mark, receipt=None) if mark.id in self._let and mark.receipt is not None else mark
            known = self._first.get(one.id)
            if known is not None and (known is one or not _goes_before(one, known)):
                continue
            if self._begun and (known is not None or one.id in self._missing):
                return False
            self._first[one.id] = one
            if known is None:
                new.append(one)
        return self._in_turn(new)

    def steps(self) -> Iterator[None]:
        """Does what is left to do, with a pause after each small piece. Whoever stops half-way may begin again."""
        self._begun = True
        while self._to_do:
            for _ in range(min(STEP, len(self._to_do))):
                self._put(self._first[self._to_do.popleft()])
            yield
        if self._stale:
            self._look()
            yield
        for window in self._windows.values():
            if not window.fresh:
                window.settle()
                self._signs = self._flags = None
                yield

    def tally(self) -> Tally:
        """The marks added up."""
        for _ in self.steps():
            pass
        made = [self._windows[i].tally if i in self._windows else WindowTally(i) for i in range(len(self.format.windows))]
        windows, out = settled(self.format, made, self._within)
        looked = self._looked
        judged = {*looked.struck_out.values(), *(i for i, window in self._windows.items() if window.signs)}
        return Tally(
            windows=windows,
            stops=tuple(mark.id for mark in self._stops if mark.id not in looked.struck),
            signed=_signed(looked.signatures),
            flags=self._flagged(out),
            struck=tuple(sorted(looked.struck)),
            any_marks=self._judged or looked.judged,
            seen=presence(self.format, judged, self._all_signs(), looked.signatures),
        )

    def _in_turn(self, new: list[Mark]) -> bool:
        """Lines marks up to be looked at; where one seat has made very many, in the order of their receipts. Whether that can be
        done."""
        numbers = [receipt_number(mark.receipt) for mark in new if mark.receipt is not None]
        newest = max(numbers, default=-1)
        if not self._room.matters(len(self._first)):
            self._to_do.extend(mark.id for mark in new)
        elif not self._begun:
            self._to_do = deque(mark.id for mark in in_order_of_receipt(self._first.values()))
        elif numbers and min(numbers) <= self._newest:
            return False
        else:
            self._to_do.extend(mark.id for mark in in_order_of_receipt(new))
        self._newest = max(self._newest, newest)
        return True

    def _put(self, mark: Mark) -> None:
        if mark.kind == "strike" and mark.body["mark"] not in self._first:
            self._missing.add(mark.body["mark"])
        waits = ahead_of(mark, self._first, self.clock) or (None if self._room.takes(mark) else TOO_MANY)
        if waits is not None:
            self._waiting[mark.id] = Flag(mark.id, waits)
            self._flag([self._waiting[mark.id]])
            return
        now, into = on_heat_clock(mark, self.clock)
        if now is not mark:
            self._moved[mark.id] = now
        if into:
            self._into[mark.id] = into
        if mark.kind in ALONE:
            self._stand(now)
            if mark.kind == "stop":
                insort(self._stops, now, key=lambda stop: stop.order)
        else:
            self._together[mark.id] = now
            self._stale = True

    def _stand(self, mark: Mark) -> None:
        """A mark that stands alone takes its place, if it has one."""
        if mark.kind not in PLACED:
            return
        self._judged = True
        odd: list[Flag] = []
        index = place(self.format, mark, said_member(mark, {}), self._into.get(mark.id), odd)
        if odd:
            self._odd[mark.id] = odd
        added = None if index is None else self._windows[index].put(mark)
        if odd or added:
            self._flag([*odd, *(added or ())])
        if added is not None and self._signs is not None:
            _put_in(self._signs, mark.at)

    def _look(self) -> None:
        """Looks anew at the marks that stand together, and at what they take back."""
        names = {mark.body["mark"] for mark in self._together.values() if mark.kind == "strike"}
        there = (mark for key in names if (mark := self._first.get(key)) is not None and self._is_alone(mark))
        alone = {mark.id: self._moved.get(mark.id, mark) for mark in there}
        looked = self._looked = looked_at(self.format, self.clock, self._together, alone, self._into)
        struck = looked.struck & alone.keys()
        for key in self._struck_alone - struck:
            self._stand(alone[key])
        for key in struck - self._struck_alone:
            self._odd.pop(key, None)
        for index in {looked.struck_out[key] for key in struck - self._struck_alone if key in looked.struck_out}:
            self._windows[index].drop(struck)
        self._struck_alone, self._stale = struck, False
        self._signs = self._flags = None
        for index, window in self._windows.items():
            window.look(looked.standing.get(index, []), looked.taken_back.get(index, []))

    def _is_alone(self, mark: Mark) -> bool:
        return mark.kind in ALONE and mark.id not in self._waiting

    def _within(self, place: Window, window: WindowTally, most: int | None, target: int | None) -> WindowTally:
        """What settling makes of a window, kept while it is the same."""
        held = self._settled.get(window.index)
        if held is None or held[0] is not window or held[1:3] != (most, target):
            held = self._settled[window.index] = (window, most, target, within(place, window, most, target))
        return held[3]

    def _all_signs(self) -> list[int]:
        if self._signs is None:
            self._signs = sorted(self._looked.signs.union(*(window.signs for window in self._windows.values())))
        return self._signs

    def _flag(self, odd: Iterable[Flag]) -> None:
        if self._flags is not None:
            for flag in odd:
                self._flags.put(flag, self._order(flag.mark))

    def _flagged(self, out: list[Flag]) -> tuple[Flag, ...]:
        """All flags in the order of their marks; not what a ruling added, for nobody marked that."""
        if self._flags is None or out != self._out:
            self._out = out
            odd = (flag for flags in self._odd.values() for flag in flags)
            every = (flag for window in self._windows.values() for flag in window.flags)
            found = {*self._waiting.values(), *odd, *self._looked.flags, *out, *every}
            self._flags = SortedFlags((flag, self._order(flag.mark)) for flag in found if flag.mark in self._first)
        return tuple(self._flags.flags)

    def _order(self, key: str) -> tuple[Any, ...]:
        """Where a mark stands among the others: as it was heard, else by its own time."""
        heard = self._looked.heard.get(key)
        if heard is None and key not in self._together:
            heard = self._moved.get(key)
        return (heard or self._first[key]).order


class SortedFlags:
    """Flags, each once, in the order of their marks, by which each is given."""

    def __init__(self, flags: Iterable[tuple[Flag, Any]] = ()) -> None:
        keyed = sorted(((order, flag.why), flag) for flag, order in flags)
        self._keys = [key for key, _ in keyed]
        self.flags = [flag for _, flag in keyed]

    def put(self, flag: Flag, order: Any) -> None:
        """Puts one into its place."""
        key = (order, flag.why)
        at = len(self._keys) if not self._keys or self._keys[-1] < key else bisect_left(self._keys, key)
        if at == len(self._keys) or self._keys[at] != key:
            self._keys.insert(at, key)
            self.flags.insert(at, flag)


def _put_in(moments: list[int], at: int) -> None:
    """Puts a moment into its place, once."""
    if not moments or moments[-1] < at:
        moments.append(at)
    elif moments[bisect_left(moments, at)] != at:
        insort(moments, at)


def _goes_before(mark: Mark, other: Mark) -> bool:
    """Whether of two marks under one id this one is taken. The store refuses a second mark under a used id; here the choice only
    has to be the same everywhere. Of one mark with two receipts the first receipt stands; one that is known goes before none, for
    what waits must not come to count by a copy that has forgotten when it came."""
    return _canonical(mark) < _canonical(other)


def _canonical(mark: Mark) -> tuple[Any, ...]:
    return (
        mark.order,
        mark.sheet,
        mark.kind,
        mark.err,
        -1 if mark.win is None else mark.win,
        repr(sorted(mark.body.items(), key=str)),
        mark.receipt.number if mark.receipt else inf,
    )


def _signed(signatures: Iterable[Mark]) -> tuple[tuple[str, str], ...]:
    latest: dict[str, str] = {}
    for mark in signatures:
        latest[mark.body["who"]] = mark.body.get("name", "")  # a public file says that, not who
    return tuple(sorted(latest.items()))
