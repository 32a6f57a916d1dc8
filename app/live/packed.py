"""Sheets that nobody marks any more, packed: their marks in some 25 bytes each, and their tallies without them.

A mark as an object, with its places on the sheet and among the ids, takes half a kilobyte, and a tally's repetitions another
quarter. What is packed is read again whenever it is asked for, and is the same to the letter.
"""

import sys
import zlib
from array import array
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Any, cast, overload

import msgspec

from app.rules.count.tally import Tally, WindowTally
from app.rules.records.kinds import Kind
from app.rules.records.marks import ID, NO_BODY, Mark
from app.rules.records.receipts import Receipt
from app.rules.records.seats import Seat

ID_BYTES = 16
LEVEL = 6
FULL, SLOTS = 48_000, 1 << 16  # ids in one table, and its places
Rep = tuple[int, int, int | None]


def pack(marks: Iterable[Mark]) -> bytes:
    """Marks of one sheet in their order, column by column: what grows from mark to mark as steps, which are small and alike."""
    rows = list(marks)
    receipts = [mark.receipt for mark in rows]
    known = [one for one in receipts if one is not None]
    columns = (
        [mark.device for mark in rows],
        [mark.epoch for mark in rows],
        _steps([mark.seq for mark in rows]),
        [mark.kind for mark in rows],
        _steps([mark.at for mark in rows]),
        [mark.err for mark in rows],
        [mark.win for mark in rows],
        [dict(mark.body) for mark in rows],
        [one is not None for one in receipts],
        _steps([one.number for one in known]),
        [(one.seat, one.wall, one.again, one.clock is None) for one in known],
        _steps([one.clock or 0 for one in known]),
    )
    ids = b"".join(bytes.fromhex(mark.id) for mark in rows)
    return len(rows).to_bytes(4) + ids + zlib.compress(msgspec.msgpack.encode(columns), LEVEL)


def unpack(sheet: str, packed: bytes, only: Collection[str] | None = None) -> dict[str, Mark]:
    """The marks of a packed sheet by id, in the order in which they were packed; `only` those of some ids, which costs little."""
    device, epoch, seq, kind, at, err, win, body, known, number, said, clock = _columns(packed)
    receipts = _receipts(_sums(number), said, _sums(clock))
    told = (next(receipts) if has else None for has in known)
    rows = zip(ids_in(packed), device, epoch, _sums(seq), kind, _sums(at), err, win, body, told, strict=True)
    sheet = sys.intern(sheet)
    return {
        key: Mark(key, sheet, sys.intern(by), life, n, cast(Kind, sys.intern(what)), when, bound, where, more or NO_BODY, receipt)
        for key, by, life, n, what, when, bound, where, more, receipt in rows
        if only is None or key in only
    }


def ids_in(packed: bytes) -> Iterator[str]:
    """The ids of the marks of a packed sheet."""
    end = 4 + int.from_bytes(packed[:4]) * ID_BYTES
    return (packed[start : start + ID_BYTES].hex() for start in range(4, end, ID_BYTES))


def moments_in(packed: bytes) -> list[int]:
    """The times of the marks of a packed sheet, in ms on the heat clock, as they were packed."""
    return _sums(_columns(packed)[4])


def bodies_in(packed: bytes) -> list[dict[str, Any]]:
    """What the marks of a packed sheet say besides their kind and time, as they were packed."""
    bodies: list[dict[str, Any]] = _columns(packed)[7]
    return bodies


def _columns(packed: bytes) -> Any:
    end = 4 + int.from_bytes(packed[:4]) * ID_BYTES
    return msgspec.msgpack.decode(zlib.decompress(packed[end:]))


def _receipts(numbers: Iterable[int], said: Iterable[Sequence[Any]], clocks: Iterable[int]) -> Iterator[Receipt]:
    for number, (seat, wall, again, unknown), clock in zip(numbers, said, clocks, strict=True):
        yield Receipt(number, cast(Seat, sys.intern(seat)), None if unknown else clock, wall, again)


def _steps(values: Sequence[int]) -> list[int]:
    return [after - before for before, after in zip((0, *values), values, strict=False)]


def _sums(steps: Iterable[int]) -> list[int]:
    total = 0
    return [total := total + step for step in steps]


class Ids:
    """Under which number each of many ids was put: 16 bytes for an id, and no moment at which all are put elsewhere. Ids that
    look alike share a place, so a number is only where to look."""

    def __init__(self) -> None:
        self._tables: list[tuple[array[int], array[int]]] = []
        self._left = 0

    def put(self, key: str, number: int) -> None:
        """Notes that an id is to be looked for under a number."""
        if number not in self.under(key):
            self._put(_short(key), number)

    def put_new(self, packed: bytes, number: int) -> None:
        """Notes all ids of a packed sheet, of which none was put under this number yet."""
        words = array("Q", packed[4 : 4 + int.from_bytes(packed[:4]) * ID_BYTES])
        if sys.byteorder == "little":
            words.byteswap()
        for begin, end in zip(words[::2], words[1::2], strict=True):
            self._put((end ^ begin) or 1, number)

    def _put(self, mark: int, number: int) -> None:
        if not self._left:
            self._tables.append((array("Q", bytes(8 * SLOTS)), array("I", bytes(4 * SLOTS))))
            self._left = FULL
        self._left -= 1
        marks, numbers = self._tables[-1]
        at = mark % SLOTS
        while marks[at]:
            at = (at + 1) % SLOTS
        marks[at], numbers[at] = mark, number

    def under(self, key: str) -> list[int]:
        """The numbers under which an id may be; none if it was never put, or is none."""
        if not self._tables or not ID.fullmatch(key):
            return []
        mark, found = _short(key), list[int]()
        for marks, numbers in self._tables:
            at = mark % SLOTS
            while marks[at]:
                if marks[at] == mark:
                    found.append(numbers[at])
                at = (at + 1) % SLOTS
        return found


def _short(key: str) -> int:
    """Eight bytes of an id, never 0: its end, which is chance, and what tells the moments of its beginning apart."""
    return (int(key[16:], 16) ^ int(key[:16], 16)) or 1


class Reps(Sequence[Rep]):
    """Repetitions in order, each a moment, what it is worth and whose it is: equal to the tuple that they are, in a tenth of the
    room."""

    __slots__ = ("_at", "_rest")

    def __init__(self, reps: Sequence[Rep]) -> None:
        self._at = array("q", [at for at, _, _ in reps])
        rest = [(worth, member) for _, worth, member in reps]
        self._rest = rest[:1] if len(set(rest)) == 1 else rest

    def __len__(self) -> int:
        return len(self._at)

    @overload
    def __getitem__(self, at: int) -> Rep: ...
    @overload
    def __getitem__(self, at: slice) -> tuple[Rep, ...]: ...
    def __getitem__(self, at: int | slice) -> Rep | tuple[Rep, ...]:
        return tuple(self)[at] if isinstance(at, slice) else (self._at[at], *self._rest[at if len(self._rest) > 1 else 0])

    def __iter__(self) -> Iterator[Rep]:
        rest = self._rest if len(self._rest) > 1 else self._rest * len(self._at)
        return ((at, *one) for at, one in zip(self._at, rest, strict=True))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Sequence) and tuple(self) == tuple(other)

    def __hash__(self) -> int:
        return hash(tuple(self))


def without_marks(tally: Tally) -> Tally:
    """A tally as whoever shows it needs it. What joins several counters' sheets asks for their marks, and so for a tally anew."""
    return replace(tally, windows=tuple(map(_slim, tally.windows)), seen=replace(tally.seen, signs=()))


def _slim(window: WindowTally) -> WindowTally:
    return replace(window, marked=(), reps=Reps(window.reps)) if window.reps or window.marked else window
