"""The ledger's door, by whichever way marks come: as a request of their own, or as a frame on the line that a tablet holds open.

Both ways say the same: what is held and what was refused, or one sentence why nothing was taken; never before the commit.
"""

import json
from collections.abc import Awaitable, Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import msgspec

from app.floor.judging import TooManyMarks, record_marks
from app.floor.pacing import TooFast, keep_pace, wasted
from app.floor.sent_marks import SentMark
from app.hall.devices import Who
from app.hall.hall import Hall
from app.store.writer import StoreTrouble

UNREADABLE = 'The marks could not be read. They are JSON of the form {"marks": [ … ]}.'
TAKEN, UNREAD, TOO_MANY, LATER, TROUBLE = 200, 400, 413, 429, 503  # as HTTP has them; a frame's answer says the same


class BadBody(ValueError):
    """Raised when what was sent is not JSON of the form {"marks": [ … ]}; its text is the sentence to show."""


@dataclass(frozen=True, slots=True)
class Told:
    """What whoever sent marks is told: the status, and what else as JSON values. retry_s: when to come again, in seconds."""

    status: int
    said: Mapping[str, object]
    retry_s: int = 0


class Sent(msgspec.Struct, tag="marks"):
    """Marks as they are sent: {"marks": [ … ]}. As a frame they have a type, and a number that comes back with the answer; again:
    the desk held them before."""

    marks: msgspec.Raw
    n: int = 0
    again: bool = False

    async def listed(self) -> list[Any]:
        """The marks, as `take` reads them. Raises BadBody."""
        return read_list(self.marks)


class _Body(msgspec.Struct):
    """What a tablet sends as a request."""

    marks: msgspec.Raw


_body = msgspec.json.Decoder(_Body)
_marks, _plain_marks = msgspec.json.Decoder(list[SentMark]), msgspec.json.Decoder(list[Any])


async def take(hall: Hall, who: Who, read: Callable[[], Awaitable[Sequence[object]]], again: bool) -> Told:
    """Stores what `read` gives, and says what came of it, after the commit. It is not read before the device's turn has come, for
    a flood that is refused must cost nothing either."""
    try:
        await keep_pace(hall, who)
        answer = await record_marks(hall, who, await read(), again)
    except (BadBody, TooManyMarks) as wrong:
        wasted(hall, who)
        return Told(UNREAD if isinstance(wrong, BadBody) else TOO_MANY, {"sentence": str(wrong)})
    except TooFast as wrong:
        return _later(wrong)
    except StoreTrouble as wrong:
        return told_of_trouble(wrong)
    return Told(TAKEN, answer.plain())


async def in_its_turn(hall: Hall, who: Who, text: str) -> Sent | Told | None:
    """Reads a frame that the fast decoder could not: one mark with half a character may be all that is wrong with it. That takes
    long, so it waits for the device's turn and is owed for. None if it brings no marks; what to say if the turn has not come."""
    try:
        await keep_pace(hall, who)
    except TooFast as wrong:
        return _later(wrong)
    wasted(hall, who)
    return read_frame(text)


def told_of_trouble(wrong: StoreTrouble) -> Told:
    """What is said where the store could not take marks, or could not say whose they are."""
    return Told(TROUBLE, {"sentence": str(wrong)})


def _later(wrong: TooFast) -> Told:
    return Told(LATER, {"sentence": str(wrong), "retry_s": wrong.wait_s}, wrong.wait_s)


def read_body(body: bytes) -> list[Any]:
    """The marks in a body, each a SentMark or plain JSON values. Raises BadBody.

    What the fast decoder can't read is tried again with the lenient one, so that one mark with half a character or a number
    out of range is refused by itself and does not hold up the others.
    """
    try:
        return read_list(_body.decode(body).marks)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError):
        pass
    read = _leniently(body)
    return _listed(read.get("marks") if isinstance(read, dict) else None)


def read_list(marks: msgspec.Raw) -> list[Any]:
    """The same of the list alone, which a frame holds."""
    for decoder in (_marks, _plain_marks):
        try:
            return decoder.decode(marks)
        except (msgspec.DecodeError, UnicodeDecodeError, RecursionError):
            pass
    return _listed(_leniently(bytes(marks)))


def read_frame(text: str) -> Sent | None:
    """A frame with marks that the fast decoder could not read; None if it is none. Its list may be anything."""
    try:
        read = _leniently(text.encode("utf-8", "replace"))
    except BadBody:
        return None
    if not isinstance(read, dict) or read.get("type") != "marks":
        return None
    number = read.get("n")
    marks = msgspec.Raw(json.dumps(read.get("marks")).encode())
    return Sent(marks, number if isinstance(number, int) else 0, read.get("again") is True)


def _leniently(body: bytes) -> Any:
    try:
        return json.loads(body.decode("utf-8"))
    except (ValueError, RecursionError):
        raise BadBody(UNREADABLE) from None


def _listed(marks: Any) -> list[Any]:
    if not isinstance(marks, list):
        raise BadBody(UNREADABLE)
    return marks
