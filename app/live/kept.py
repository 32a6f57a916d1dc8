"""A dear answer, kept until something changes: made once however many ask, while marks come in a fifth of the time at most."""

import asyncio
import threading
from collections import OrderedDict
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from typing import Generic, TypeVar

SOON_S = 0.25  # whoever asks waits so long for the newest, and is given the one before otherwise
REST = 4  # times as long as it took to make, before it is made again for the sake of marks

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class _Made(Generic[T]):
    value: T
    decided: object
    version: int


class Kept(Generic[T]):
    """The newest value. Used on the event loop."""

    def __init__(self) -> None:
        self._made: _Made[T] | None = None
        self._making: asyncio.Task[None] | None = None
        self._rested_at = 0.0

    async def newest(self, decided: object, version: int, make: Callable[[], Awaitable[T]], *, exact: bool = False) -> T:
        """The value. decided: what people chose; nobody is given one that was made for anything else. version: of the marks;
        while they come in, a value may be older by five times what it takes to make, unless it is to be exact. Raises what `make`
        raises."""
        while True:
            made = self._made
            fits = made is not None and made.decided == decided and (made.version >= version or not exact)
            if made is not None and fits and made.version >= version:
                return made.value
            if self._making is None and (not fits or asyncio.get_running_loop().time() >= self._rested_at):
                self._making = asyncio.create_task(self._make(decided, version, make))
            if not fits and self._making is not None:
                await asyncio.shield(self._making)
            else:
                return await self._soon()

    async def _soon(self) -> T:
        if self._making is not None:
            await asyncio.wait({self._making}, timeout=SOON_S)
        if self._made is None:
            raise LookupError("Nothing is kept yet.")
        return self._made.value

    async def _make(self, decided: object, version: int, make: Callable[[], Awaitable[T]]) -> None:
        clock = asyncio.get_running_loop().time
        begun = clock()
        try:
            self._made = _Made(await make(), decided, version)
        finally:
            self._making, self._rested_at = None, clock() + REST * (clock() - begun)


class MadeOnce(Generic[T]):
    """What is made of things that never change, by their names: so many at most, the one not asked for longest goes. Threads may
    ask for one thing at the same time; then it is made twice, and either is as good."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._held: OrderedDict[str, T] = OrderedDict()
        self._lock = threading.Lock()

    def of(self, name: str, make: Callable[[], T]) -> T:
        """What is made of the thing of this name."""
        with self._lock:
            if name in self._held:
                self._held.move_to_end(name)
                return self._held[name]
        made = make()
        with self._lock:
            self._held[name] = made
            while len(self._held) > self._most:
                self._held.popitem(last=False)
        return made
