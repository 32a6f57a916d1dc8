"""The hub: who wants to hear of what. Messages go to bounded queues; one that falls behind is told to fetch everything again.

Everything happens on the event loop. A publisher on another thread is brought over to it, so that no queue needs a lock.
"""

import asyncio
from collections import deque
from collections.abc import AsyncIterator, Callable, Mapping, Sequence
from types import TracebackType
from typing import Any, Final, Self

# A board is told at most six times a second: faster than that nobody reads, and slower a tap in a busy hall would be seen on
# the board later than the quarter of a second that is promised.
BOARD_EVERY_S = 0.15
AT_ONCE = 8  # of those who are told in turns: what they are sent takes a millisecond or two
MOST_WAITING = 256  # messages held for one slow subscriber; past that it starts afresh


class Resync:
    """The message that a subscriber gets in place of the messages it was too slow to take."""

    def __repr__(self) -> str:
        return "RESYNC"


RESYNC: Final = Resync()
SCREENS: Final = "screens"  # nothing is told on it: whoever follows it is a board, a wall or a clock that somebody has open


class Closed(Exception):
    """Raised by `next` when the hub has closed: the server is going down, or the subscriber left."""


class Subscription:
    """One subscriber's queue on some topics, `of` whom. Use it as a context manager: leaving it unsubscribes."""

    def __init__(self, hub: "Hub", topics: Sequence[str], most: int, of: str = "") -> None:
        self.topics, self.of = topics, of
        self._hub = hub
        self._most = most
        self._waiting: deque[Any] = deque()
        self._woken = asyncio.Event()
        self._closed = False

    def put(self, message: Any) -> None:
        """Queues a message, once if it comes by several topics; a full queue is emptied and holds RESYNC alone."""
        if self._waiting and self._waiting[-1] is message:
            return
        if len(self._waiting) >= self._most:
            self._waiting.clear()
            message = RESYNC
        self._waiting.append(message)
        self._woken.set()

    def also(self, *topics: str) -> None:
        """Follows these topics too, from now on."""
        self.topics = tuple(dict.fromkeys((*self.topics, *topics)))
        self._hub._joined(self, topics)

    async def next(self, seconds: float | None = None) -> Any:
        """The next message. Raises TimeoutError after `seconds` of silence, Closed when there will be no more."""
        while not self._waiting:
            if self._closed:
                raise Closed
            self._woken.clear()
            async with asyncio.timeout(seconds):
                await self._woken.wait()
        return self._waiting.popleft()

    def close(self) -> None:
        """Takes no more messages; whoever waits is woken."""
        self._closed = True
        self._hub._left(self)
        self._woken.set()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        self.close()

    async def __aiter__(self) -> AsyncIterator[Any]:
        while True:
            try:
                yield await self.next()
            except Closed:
                return


class Hub:
    """Topics and their subscribers: "board", "desk", "lane:<n>", "device:<id>", and the screens that are open.

    `paced` names the topics of which only the newest message matters, with the least seconds between two of them: the first goes
    out at once, those that follow too soon are merged into one.
    """

    def __init__(self, paced: Mapping[str, float] | None = None) -> None:
        self._paced = {"board": BOARD_EVERY_S} if paced is None else dict(paced)
        self._subscribers: dict[str, set[Subscription]] = {}
        self._held_back: dict[str, Any] = {}
        self._last_sent: dict[str, float] = {}
        self._loop: asyncio.AbstractEventLoop | None = None
        self._closed = False
        self.elsewhere: Callable[[str, Any], None] | None = None  # tells the hubs of other processes, where there are any

    def subscribe(self, *topics: str, most: int = MOST_WAITING, of: str = "") -> Subscription:
        """A new subscription, from now on; `of` whom, where some news is none to some. Must be called on the event loop."""
        self._loop = asyncio.get_running_loop()
        subscription = Subscription(self, topics, most, of)
        if self._closed:
            subscription.close()
        else:
            self._joined(subscription, topics)
        return subscription

    def watchers(self, topic: str) -> int:
        """How many subscribers a topic has."""
        return len(self._subscribers.get(topic, ()))

    def hears(self, topic: str, but: str) -> bool:
        """Whether anybody in this process follows a topic `but` one."""
        return any(one.of != but for one in self._subscribers.get(topic, ()))

    def publish(self, topic: str, message: Any = None) -> None:
        """Tells all subscribers of a topic, in every server process. May be called from any thread."""
        self.tell_here(topic, message)
        if self.elsewhere is not None:
            self.elsewhere(topic, message)

    def tell_here(self, topic: str, message: Any = None) -> None:
        """Tells the subscribers in this process: for what every process finds out by itself. May be called from any thread."""
        loop = self._loop
        if loop is None or loop.is_closed():
            return  # nobody has ever subscribed in this loop
        if _running_loop() is loop:
            self._offer(topic, message)
        else:
            loop.call_soon_threadsafe(self._offer, topic, message)

    async def tell_in_turns(self, topic: str, message: Any = None) -> None:
        """Tells the subscribers in this process a few in each turn of the loop, so that others get theirs between."""
        for number, subscription in enumerate(tuple(self._subscribers.get(topic, ()))):
            if number % AT_ONCE == 0:
                await asyncio.sleep(0)
            subscription.put(message)

    def close(self) -> None:
        """Ends every subscription, so that open streams let the server go down."""
        self._closed = True
        for subscribers in list(self._subscribers.values()):
            for subscription in list(subscribers):
                subscription.close()

    def _offer(self, topic: str, message: Any) -> None:
        every = self._paced.get(topic)
        if every is None:
            self._send(topic, message)
            return
        assert self._loop is not None
        waiting = topic in self._held_back
        self._held_back[topic] = message
        if not waiting:
            wait = self._last_sent.get(topic, float("-inf")) + every - self._loop.time()
            if wait <= 0:
                self._release(topic)
            else:
                self._loop.call_later(wait, self._release, topic)

    def _release(self, topic: str) -> None:
        assert self._loop is not None
        self._last_sent[topic] = self._loop.time()
        self._send(topic, self._held_back.pop(topic))

    def _send(self, topic: str, message: Any) -> None:
        for subscription in tuple(self._subscribers.get(topic, ())):
            subscription.put(message)

    def _joined(self, subscription: Subscription, topics: Sequence[str]) -> None:
        if not self._closed:
            for topic in topics:
                self._subscribers.setdefault(topic, set()).add(subscription)

    def _left(self, subscription: Subscription) -> None:
        for topic in subscription.topics:
            subscribers = self._subscribers.get(topic)
            if subscribers is not None:
                subscribers.discard(subscription)
                if not subscribers:
                    del self._subscribers[topic]


def _running_loop() -> asyncio.AbstractEventLoop | None:
    try:
        return asyncio.get_running_loop()
    except RuntimeError:
        return None
