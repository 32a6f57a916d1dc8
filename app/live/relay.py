"""The relay: how this server process hears what the others did, in order and without a gap, and tells them what it knows.

Changes are news in the database (store/news.py): what the relay has not heard it reads there, by number. Words are of the moment
(who is connected, what a screen should look at again) and are in no table. While the line is cut the process is deaf, says so,
trusts nothing that it remembers of devices, and reads the news with every beat, told or not.
"""

import asyncio
import json
import logging
import time
from collections import deque
from collections.abc import Sequence
from contextlib import suppress
from typing import Any, Protocol

from app.store import news
from app.store.database import Database
from app.store.line import MOST_BYTES, Line
from app.store.news import TOLD, News
from app.store.writer import StoreTrouble

log = logging.getLogger(__name__)

BEAT_S = 1.0
TRUSTED_S = 3 * BEAT_S  # so long after our own beat it is taken that nothing was missed: a process that was stopped misses all
DEAF_S = 6.0  # so long without hearing even our own beat
AGAIN_S = 0.5
CATCH_UP_S = 2.0
TOGETHER_S = 0.002  # notices that come so close together are taken over at once
FORGET_EVERY = 600  # beats


class Ears(Protocol):
    """What is done with what is heard. Everything is called on the event loop."""

    async def take_news(self, found: Sequence[News]) -> None:
        """Takes over changes that other processes made, in their order."""

    async def take_everything(self) -> int:
        """Reads the whole store anew; returns the number of the newest news in it."""

    def take_word(self, origin: str, kind: str, body: Any) -> None:
        """Takes a word of another process."""

    def beat(self, count: int) -> None:
        """Says what should be said every second."""

    def deaf(self, deaf: bool) -> None:
        """The line was cut, or is whole again."""


class Relay:
    """One process's part in a server of several. On SQLite it is alone: every method is then a matter of nothing."""

    def __init__(self, database: Database, number: int = 0) -> None:
        self.alone = database.file is not None
        self.deaf = not self.alone  # until the line is open and everything that came since the start was read
        self.behind = False  # somebody waited in vain for what others did, and it has not come since
        self._vain = 0  # how often somebody did
        self._database, self._number = database, number
        self._records = number
        self._own: set[int] = set()
        self._ears: Ears | None = None
        self._heard: deque[str] = deque()
        self._woken = asyncio.Event()
        self._read_on = False
        self._anew = self._hears = False
        self._last_beat = 0.0
        self._waiting: list[tuple[int, asyncio.Future[None]]] = []
        self._tasks: list[asyncio.Task[None]] = []
        self._line: Line | None = None

    def open(self, ears: Ears) -> None:
        """Begins to listen and to beat. On the event loop."""
        if self.alone:
            return
        loop = asyncio.get_running_loop()
        self._ears = ears
        self._last_beat = time.monotonic()

        def later(call: Any, *arguments: Any) -> None:
            with suppress(RuntimeError):  # the loop is closed: the process ends
                loop.call_soon_threadsafe(call, *arguments)

        self._line = Line(
            self._database.url,
            self._database.origin,
            heard=lambda word: later(self._hear, word),
            up=lambda: later(self._up),
            down=lambda: later(self._down),
        )
        self._line.open()
        self._tasks = [asyncio.create_task(self._take_over()), asyncio.create_task(self._keep_beating())]

    async def close(self) -> None:
        """Says goodbye, so that the others need not wait for silence, and ends."""
        if self._line is None:
            return
        self.say("bye")
        for task in self._tasks:
            task.cancel()
        await asyncio.gather(*self._tasks, return_exceptions=True)
        await asyncio.to_thread(self._line.close)
        self._line = None

    @property
    def number(self) -> int:
        """Of the newest news that this process has taken over."""
        return self._number

    @property
    def records(self) -> int:
        """Of the newest records that this process has taken over; processes that share a database count alike."""
        return self._records

    def done_here(self, number: int) -> None:
        """News of this process's own that it need not hear again: it has taken them over already."""
        if number > self._number:
            self._own.add(number)

    def records_as_of(self, number: int) -> bool:
        """Whether records that were read when the newest news had this number are not older than those at hand; notes them."""
        if number < self._records:
            return False
        self._records = number
        return True

    def hears(self) -> bool:
        """Whether what others did a moment ago has been heard here. Asked at the moment it matters: a process that was stopped
        for a while, by whatever, goes on with what comes to it before anything tells it how late it is."""
        return self.alone or not (self.deaf or time.monotonic() - self._last_beat > TRUSTED_S)

    async def caught_up(self) -> bool:
        """Waits until everything that was committed before this call, by whatever process, has been taken over here.

        Not for ever: false where the database can't be asked or the rest does not come. What is known here may lack some then.
        """
        if self.alone:
            return True
        vain = self._vain
        with suppress(StoreTrouble, TimeoutError):
            async with asyncio.timeout(CATCH_UP_S):
                newest = await self._database.aread(news.newest)
                if newest > self._number:
                    waiting: asyncio.Future[None] = asyncio.get_running_loop().create_future()
                    self._waiting.append((newest, waiting))
                    self._read_on = True
                    self._woken.set()
                    await waiting
                if self._vain == vain:  # all that was waited for in vain before this call has come
                    self.behind = False
                return True
        self._vain += 1
        self.behind = self._read_on = True
        self._woken.set()
        return False

    def say(self, kind: str, body: Any = None) -> bool:
        """Says a word to the other processes. False when it is too long."""
        return self._line is None or self._line.say(json.dumps([self._database.origin, kind, body], separators=(",", ":")))

    def say_many(self, kind: str, bodies: Sequence[Any]) -> None:
        """Says a list of things in as few words as they fit into."""
        some: list[Any] = []
        size = 0
        for body in bodies:
            length = len(json.dumps(body).encode())
            if some and size + length > MOST_BYTES - 200:
                self.say(kind, some)
                some, size = [], 0
            some.append(body)
            size += length + 2
        if some:
            self.say(kind, some)

    def _hear(self, word: str) -> None:
        self._heard.append(word)
        self._woken.set()

    def _up(self) -> None:
        self._read_on = self._hears = True  # whatever was told before the ear was there
        self._last_beat = time.monotonic()
        self._woken.set()

    def _down(self) -> None:
        self._hears = False
        self._set_deaf(True)

    def _set_deaf(self, deaf: bool) -> None:
        if deaf != self.deaf and self._ears is not None:
            self.deaf = deaf
            self._ears.deaf(deaf)

    async def _take_over(self) -> None:
        while True:
            await self._woken.wait()
            await asyncio.sleep(TOGETHER_S)
            self._woken.clear()
            heard = [self._heard.popleft() for _ in range(len(self._heard))]
            try:
                await self._take(heard)
            except StoreTrouble:  # read again as soon as it can be
                self._read_on = True
                asyncio.get_running_loop().call_later(AGAIN_S, self._woken.set)
            except Exception:
                log.exception("What other server processes did could not be taken over; everything is read anew")
                self._read_on = self._anew = True
                asyncio.get_running_loop().call_later(AGAIN_S, self._woken.set)

    async def _take(self, heard: Sequence[str]) -> None:
        """In the order heard; all news are read at the first that is not our own, which the later words follow."""
        for word in heard:
            if not word.startswith(TOLD):
                self._take_word(word)
                continue
            number, origin = word.removeprefix(TOLD).split(" ", 1)
            if self._read_on or int(number) <= self._number:
                continue
            if origin == self._database.origin and int(number) in self._own:
                self._pass(int(number))
            else:
                await self._read()
        if self._read_on:
            self._read_on = False
            await self._read()
            self.behind = False
            if self._hears:
                self._set_deaf(False)

    async def _read(self) -> None:
        assert self._ears is not None
        number, known = self._number, frozenset(self._own)
        found = await self._database.aread(lambda session: news.since(session, number, known))
        if self._anew or not found.complete or any(one.kind == "everything" for one in found.news):
            number = await self._ears.take_everything()
            self._own.clear()  # what this process stored since that reading was not in it, and is gone here until it is read too
            self._anew, self._number, self._read_on = False, 0, True
            self._pass(number)
            self._woken.set()
            return
        await self._ears.take_news(found.news)
        self._pass(max([self._number, *known, *(one.number for one in found.news)]))

    def _pass(self, number: int) -> None:
        self._number = max(self._number, number)
        self._own = {own for own in self._own if own > self._number}
        for wanted, waiting in self._waiting:
            if wanted <= self._number and not waiting.done():
                waiting.set_result(None)
        self._waiting = [one for one in self._waiting if not one[1].done()]

    def _take_word(self, word: str) -> None:
        assert self._ears is not None
        origin, kind, body = json.loads(word)
        if origin == self._database.origin:
            self._last_beat = time.monotonic()
            return
        self._ears.take_word(origin, kind, body)

    async def _keep_beating(self) -> None:
        """Our own beat comes back to us by the same way as the others' news: when it does not, we hear nothing."""
        assert self._ears is not None and self._line is not None
        count = 0
        while True:
            try:
                self._ears.beat(count)
                if time.monotonic() - self._last_beat > DEAF_S:
                    self._down()
                    self._last_beat = time.monotonic()
                    self._line.renew()
                if not self.hears():
                    self._read_on = True
                    self._woken.set()
                if count % FORGET_EVERY == FORGET_EVERY - 1:
                    self._database.submit(self._forget)
            except Exception:
                log.exception("A beat failed")
            count += 1
            await asyncio.sleep(BEAT_S)

    def _forget(self, session: Any) -> None:
        news.forget_old(session, time.time_ns() // 1_000_000)
