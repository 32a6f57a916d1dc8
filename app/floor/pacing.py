"""At what pace devices bring marks: asked before a request is read, owed while its marks are stored, earned by the heat time that
they cover. The desk itself brings files and papers, and is not slowed."""

import asyncio
from collections.abc import Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, nullcontext
from math import ceil

from app.floor.sent_marks import said
from app.hall.devices import Who
from app.hall.hall import Hall
from app.live.allowance import Stretch
from app.rules.records.authority import AUTHORITY
from app.rules.records.marks import Mark, SheetKey
from app.rules.records.seats import seat_of
from app.rules.values.words import say

REFUSED_LATE_S = 2.0  # who asks again at once, whatever it is told, does so slowly
OF_A_DOUBLE = 50  # marks: for one under a number that is taken all marks are looked through
OF_NOTHING = 20  # and a message that can't be read, or brings too many, was read all the same
OF_ONE_ASIDE = 10  # and one that waits for a ruling is looked at by a person


class TooFast(ValueError):
    """Raised when a device brings marks faster than people make them; nothing of the request is stored. Its text is the sentence
    to show; wait_s: when to try again, in seconds."""

    def __init__(self, wait_ms: int) -> None:
        self.wait_s = ceil(wait_ms / 1000)
        super().__init__(say("marks.too_fast", n=self.wait_s))


async def keep_pace(hall: Hall, who: Who) -> None:
    """Raises TooFast for a device that has to wait, after a while."""
    if not _is_paced(who):
        return
    wait_ms = hall.allowances.wait_ms(who.device_id, hall.time.server_ms())
    if wait_ms:
        await asyncio.sleep(REFUSED_LATE_S)
        raise TooFast(wait_ms)


def bringing(hall: Hall, who: Who, raw_marks: Sequence[object]) -> AbstractContextManager[None]:
    """While a device's marks are stored. Raises TooFast where it has come to owe some since it was let begin."""
    if not _is_paced(who):
        return nullcontext()
    now_ms = hall.time.server_ms()
    if wait_ms := hall.allowances.wait_ms(who.device_id, now_ms):
        raise TooFast(wait_ms)
    ids = (key for raw in raw_marks if isinstance(key := said(raw, "id"), str))
    return hall.allowances.bringing(who.device_id, now_ms, len(raw_marks), ids, hall.projection.named)


def brought(hall: Hall, who: Who, sheets: Mapping[str, Sequence[Mark]], doubled: int, aside: int) -> None:
    """A device's marks are stored, by their sheets: they earn what they cover, and what gives more work is owed for."""
    if not _is_paced(who):
        return
    now_ms = hall.time.server_ms()
    hall.allowances.covers(who.device_id, now_ms, _stretches(hall, sheets))
    if more := OF_A_DOUBLE * doubled + OF_ONE_ASIDE * aside:
        hall.allowances.owes(who.device_id, now_ms, more)


def wasted(hall: Hall, who: Who) -> None:
    """What a device sent was read for nothing: that gave work as well."""
    if _is_paced(who):
        hall.allowances.owes(who.device_id, hall.time.server_ms(), OF_NOTHING)


def _is_paced(who: Who) -> bool:
    return not AUTHORITY[seat_of(who.role, who.sheet)].brings


def _stretches(hall: Hall, sheets: Mapping[str, Sequence[Mark]]) -> Iterator[Stretch]:
    """The heat time that marks cover, sheet by sheet: within the event's length, and what the desk's clock has come to. Of the
    runs that the desk never gave, an entry's are one: nobody begins a heat by hand many times over."""
    for sheet, marks in sheets.items():
        ground = hall.projection.grounds.of(sheet)
        if ground is None:
            continue
        clocks = [mark.receipt.clock for mark in marks if mark.receipt is not None and mark.receipt.clock is not None]
        until = min(ground.length_ms, max(0, *clocks)) if clocks else ground.length_ms
        heat = sheet if clocks else SheetKey(ground.key.assignment, 0, ground.key.kind).text()
        times = [mark.at for mark in marks]
        low, high = min(max(0, min(times)), until), min(max(0, max(times)), until)
        yield Stretch(heat, low, high, bool(clocks))
