"""A tablet's line: one socket that it holds open for its clock, its reports, its marks, and the news of its lane.

Doors, headers and cookie are paid once, when it opens. Whose it is, is asked of the sessions in memory with every frame that
brings marks, so it may write what a request of that moment may; a device that is sent away hears why, and its line closes.
"""

import asyncio
import logging
from collections.abc import Awaitable, Callable
from contextlib import suppress
from dataclasses import replace
from functools import partial
from typing import Annotated, Any

import anyio
import msgspec
from fastapi import WebSocket
from starlette.websockets import WebSocketDisconnect

from app.floor.carrying import heard
from app.floor.knowing import told_to
from app.floor.lane_packet import caller_state
from app.floor.taking import Sent, Told, in_its_turn, take, told_of_trouble
from app.floor.turns import turns_of
from app.hall.devices import Who, held_by, of_device
from app.hall.hall import Hall
from app.hall.told import told_now
from app.live.hub import RESYNC, Subscription
from app.live.platforms import lanes_of, with_entries
from app.live.presence import Report
from app.store.devices import MOST_BEFORE
from app.store.writer import StoreTrouble
from app.web.limits import FRAME_BYTES
from app.web.who import NOT_PAIRED

log = logging.getLogger(__name__)

SENT_AWAY = 4401  # close code: this device is not paired (any more)
UNREADABLE = 1007
GOING_AWAY = 1001
TRY_AGAIN = 1013
MOST_REASON = 120  # of what a closed line says, in bytes: the protocol takes 123
NOT_UNDERSTOOD = "That was not understood: this line takes pings, reports and marks, as JSON."
ONE_TOO_MANY = "This device has newer lines open."
LEFT_OUT = frozenset({"boot", "before", "refused", "doubled", "aside"})  # of an answer: the hello said it, or it says nothing
WAITING = 1  # frames with marks that wait while those of one are stored; what comes beyond is left with the network


WORD = "^[A-Za-z0-9_-]*$"  # a report says keys, never sentences
RUN = "^([A-Za-z0-9_-]{1,40}/[0-9]{1,4})?$"
MOST_MS = 2**53 - 1
Key = Annotated[str, msgspec.Meta(max_length=40, pattern=WORD)]


class Ping(msgspec.Struct, tag="ping"):
    """A time stamp of the tablet's own clock, to be sent back."""

    t1: float


class Said(msgspec.Struct, tag="report"):
    """What a tablet says of itself, see Report."""

    outbox: Annotated[int, msgspec.Meta(ge=0, le=10_000_000)] = 0
    kept: Annotated[int, msgspec.Meta(ge=0, le=10_000_000)] = 0
    bound_ms: Annotated[int, msgspec.Meta(ge=0, le=86_400_000)] | None = None
    heat: Annotated[str, msgspec.Meta(max_length=40, pattern=WORD)] | None = None
    screen: Annotated[str, msgspec.Meta(max_length=20, pattern=WORD)] = ""
    clock: Annotated[str, msgspec.Meta(max_length=20, pattern=WORD)] = ""
    trouble: Annotated[str, msgspec.Meta(max_length=20, pattern=WORD)] = ""
    missing: Annotated[int, msgspec.Meta(ge=0, le=10_000_000)] = 0
    go_of: Annotated[str, msgspec.Meta(max_length=50, pattern=RUN)] = ""
    go_ms: Annotated[int, msgspec.Meta(ge=-MOST_MS, le=MOST_MS)] | None = None
    go_bound_ms: Annotated[int, msgspec.Meta(ge=0, le=86_400_000)] = 0
    refused: Annotated[int, msgspec.Meta(ge=0, le=10_000_000)] = 0
    before: Annotated[dict[Key, Annotated[int, msgspec.Meta(ge=1, le=10_000_000)]], msgspec.Meta(max_length=MOST_BEFORE)] = {}

    def report(self) -> Report:
        """The same for the desk's eyes."""
        return Report(**msgspec.structs.asdict(self))


_decoder: msgspec.json.Decoder[Ping | Said | Sent] = msgspec.json.Decoder(Ping | Said | Sent)
_encode = msgspec.json.Encoder().encode


class Line:
    """One open socket: what comes in and what goes out run side by side until either ends.

    `asks` says whose it is as the sessions stand at that moment; None for a device that is welcome no more. `knows_all`: what is
    held of its marks is known here, and the greeting says it; else the tablet would take back what another process has.
    """

    def __init__(
        self,
        websocket: WebSocket,
        hall: Hall,
        who: Who,
        lane: int | None,
        asks: Callable[[], Awaitable[Who | None]],
        *,
        knows_all: bool,
    ) -> None:
        self._socket, self._hall, self._lane, self._asks = websocket, hall, lane, asks
        self._seat = (who.device_id, who.role, who.lane, who.sheet)
        self._who, self._knows_all = replace(who, lane=lane), knows_all
        self._turns: dict[str, Any] | None = None  # of a coach's lifters, as they were told last
        self._brought: asyncio.Queue[Sent | str | None] = asyncio.Queue(WAITING)
        self._farewell: asyncio.Future[str] = asyncio.get_running_loop().create_future()

    async def run(self) -> None:
        """Greets, then listens and tells until the line ends."""
        presence, now = self._hall.presence, self._hall.time.server_ms
        presence.arrived(self._who, now(), self._send_away)
        self._say_who_is_there()
        topics, mine = self._topics(), self._who.device_id
        taking = asyncio.create_task(self._take_all())  # not one of the parts: what is being stored is told to the lane's others
        try:
            with suppress(WebSocketDisconnect, RuntimeError), self._hall.hub.subscribe(*topics, of=mine) as news:
                # Subscribed before the greeting, so that nothing falls between the two.
                hello = {"type": "hello", "boot": self._hall.time.boot, "marks": FRAME_BYTES}
                await self._send(hello | (held_by(self._hall, self._who) if self._knows_all else {"device": mine}))
                await self._until_the_end(news)
        finally:
            presence.left(mine, self._send_away)
            self._say_who_is_there()
            await self._end(taking)

    def _topics(self) -> list[str]:
        """What is told to a device: of its lanes, what is for it alone, and to a coach whatever may move the order of lifting."""
        lanes = lanes_of(self._hall, self._who) or ((self._lane,) if self._lane is not None else ())
        own = [of_device(self._who.device_id), *(["board"] if with_entries(self._who) else [])]
        return [*(f"lane:{lane}" for lane in lanes), *own]

    def _say_who_is_there(self) -> None:
        """The desk lists all devices; a lane hears whether its lifter can declare."""
        self._hall.hub.publish("desk", {"type": "devices"})
        if self._who.role == "lifter":
            said = {"type": "caller", "caller": caller_state(self._hall, self._lane), "told": told_now(self._hall)}
            self._hall.hub.publish(f"lane:{self._lane}", said)

    async def _until_the_end(self, news: Subscription) -> None:
        async with anyio.create_task_group() as parts:

            async def play(part: Callable[[], Awaitable[None]]) -> None:
                with suppress(WebSocketDisconnect, RuntimeError):  # the tablet is gone; it comes back by itself
                    await part()
                parts.cancel_scope.cancel()  # one part's end is the end of the line

            for part in (self._listen, partial(self._tell, news), self._part):
                parts.start_soon(play, part)

    async def _listen(self) -> None:
        while True:
            try:
                text = await self._socket.receive_text()
            except KeyError:  # bytes where text belongs
                await self._socket.close(UNREADABLE, NOT_UNDERSTOOD)
                return
            t2 = self._hall.time.fine_ms()
            said = _read(text)
            if isinstance(said, Ping | Said):
                await self._answer(said, t2)
            else:
                await self._brought.put(said)

    async def _answer(self, said: Ping | Said, t2: float) -> None:
        now = self._hall.time
        if isinstance(said, Said):
            self._hall.presence.heard(self._who.device_id, now.server_ms(), said.report())
            if said.go_ms is not None:
                heat, _, number = said.go_of.partition("/")
                await heard(self._hall, heat, int(number or 0))
            return
        self._hall.presence.heard(self._who.device_id, now.server_ms())
        await self._send({"type": "pong", "t1": said.t1, "t2": t2, "t3": now.fine_ms()})

    async def _take_all(self) -> None:
        """Takes marks, frame after frame, beside everything else: a ping is not held up by a disk."""
        while (sent := await self._brought.get()) is not None and not self._farewell.done():
            try:
                await self._take(sent)
            except (WebSocketDisconnect, RuntimeError):
                pass  # the tablet is gone, and sends again what was not answered
            except Exception:
                log.exception("Marks on a line could not be taken")  # what is not answered comes as a request

    async def _take(self, said: Sent | str) -> None:
        try:
            who = await self._asks()
        except StoreTrouble as wrong:
            await self._tell_of(0 if isinstance(said, str) else said.n, told_of_trouble(wrong))
            return
        if who is None or (who.device_id, who.role, who.lane, who.sheet) != self._seat:
            self._send_away(NOT_PAIRED)
            return

        sent = await in_its_turn(self._hall, who, said) if isinstance(said, str) else said
        if isinstance(sent, Sent):
            await self._tell_of(sent.n, await take(self._hall, who, sent.listed, sent.again))
        elif sent is None:
            await self._socket.close(UNREADABLE, NOT_UNDERSTOOD)
        else:
            await self._tell_of(0, sent)

    async def _tell_of(self, number: int, told: Told) -> None:
        said = {name: value for name, value in told.said.items() if name not in LEFT_OUT or (value and name != "boot")}
        await self._send({"type": "answer", "n": number, "status": told.status, **said})

    async def _end(self, taking: "asyncio.Task[None]") -> None:
        """Lets what is being stored come to its end; what waits behind it is dropped, and was never answered."""
        while not self._brought.empty():
            self._brought.get_nowait()
        self._brought.put_nowait(None)
        await asyncio.wait({taking})  # whoever ends the line in the middle of this does not end that

    async def _tell(self, news: Subscription) -> None:
        async for message in news:
            if message is RESYNC or (message and message.get("type") == "packet"):
                await self._look_again(news)
            if (told := self._for_this_device(message)) is not None:
                await self._send(told)
        await self._socket.close(GOING_AWAY, "The server is going down.")

    async def _look_again(self, news: Subscription) -> None:
        """A start list may have given its platform more lanes, the desk a coach others to stand for."""
        if with_entries(self._who):
            who = await self._asks()
            still = who is not None and who.device_id == self._who.device_id  # the browser may be a desk as well
            self._who = replace(self._who, entries=who.entries if who is not None and still else ())
            self._hall.presence.stands(self._who)
        news.also(*self._topics())

    def _for_this_device(self, message: Any) -> dict[str, Any] | None:
        """Its own marks are no news to a device; after missed messages it fetches everything again."""
        if message is RESYNC:
            return {"type": "packet"}
        if not message or "type" not in message:  # the word to all boards that something has changed
            return self._turns_moved()
        if message["type"] == "caller" and with_entries(self._who):
            return None  # whether a lane's own phone is here is for its judge
        if message["type"] != "marks":
            return dict(message)
        others = [mark for mark in message["marks"] if mark["device"] != self._who.device_id]
        others = told_to(self._hall, self._who, others)
        return {"type": "marks", "marks": others} if others else None

    def _turns_moved(self) -> dict[str, Any] | None:
        before, self._turns = self._turns, turns_of(self._hall, self._who)
        return None if before == self._turns else {"type": "turns", "turns": self._turns, "told": told_now(self._hall)}

    async def _part(self) -> None:
        sentence = await self._farewell
        if sentence:
            await bye(self._socket, sentence)
        else:
            await self._socket.close(TRY_AGAIN, ONE_TOO_MANY)

    def _send_away(self, sentence: str) -> None:
        if not self._farewell.done():
            self._farewell.set_result(sentence)

    async def _send(self, message: dict[str, Any]) -> None:
        await self._socket.send_text(_encode(message).decode())


async def bye(websocket: WebSocket, sentence: str) -> None:
    """Says why a line is closed, and closes it."""
    await websocket.send_text(_encode({"type": "bye", "sentence": sentence}).decode())
    await websocket.close(SENT_AWAY)


async def not_now(websocket: WebSocket, trouble: StoreTrouble) -> None:
    """Closes a line of which nobody can say just now whose it is; the tablet opens it again."""
    await websocket.close(TRY_AGAIN, str(trouble)[:MOST_REASON])


def _read(text: str) -> Ping | Said | Sent | str:
    """What a frame says; itself if the fast decoder can't read it."""
    try:
        return _decoder.decode(text)
    except (msgspec.DecodeError, UnicodeError, RecursionError):
        return text
