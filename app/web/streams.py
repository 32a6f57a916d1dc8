"""Event streams, and how many there may be: so many for an address, so many in all, the desk's beside the spectators'.

Whoever finds no place, or has to give one back, is told so at once and asks every few seconds instead: that costs less than a
line held open.
"""

import asyncio
from collections import Counter
from collections.abc import AsyncIterator, Callable, Mapping
from ipaddress import ip_address, ip_network

from starlette.requests import Request
from starlette.responses import StreamingResponse
from starlette.types import Receive, Scope, Send

from app.live.hub import Closed, Subscription
from app.settings import Settings
from app.web.doors import refuse
from app.web.lines import caller_of

DESK_STREAMS = 40  # a share of its own: no crowd can keep the desk from hearing
BEAT_S = 15.0  # silence between beats; watchers give a line up after missing two
BEAT = b": still here\nevent: beat\ndata: {}\n\n"
STREAM_HEADERS = {"Cache-Control": "no-store", "X-Accel-Buffering": "no"}
FULL = "Too many screens are following live. This one asks every few seconds instead."
TRY_AGAIN_S = 30

Cut = Callable[[], object]


class Places:
    """Places for streams: `in_all`, and `per_address` of them for each address but this computer's own.

    Once all are taken, whoever has more than others makes room for who has fewer: networks first, then the addresses of one. So
    no hall's screens, from however many addresses, keep another's out, nor does anybody keep out this computer's own.
    """

    def __init__(self, in_all: int, per_address: int) -> None:
        self._in_all, self._per_address = in_all, per_address
        self._open: dict[str, list[Cut]] = {}
        self._elsewhere: dict[str, Counter[str]] = {}

    def take(self, address: str, own: bool, cut: Cut) -> bool:
        """Takes a place if there is one, or one is made; says whether. `cut` is called when it has to be given back."""
        everywhere = self._everywhere()
        if not own and everywhere[address] >= self._per_address:
            return False
        if everywhere.total() >= self._in_all and not self._make_room(address, own, everywhere):
            return False
        self._open.setdefault(address, []).append(cut)
        return True

    def leave(self, address: str, cut: Cut) -> None:
        """Gives a place back; again is no matter."""
        mine = self._open.get(address, [])
        if cut in mine:
            mine.remove(cut)
        if not mine:
            self._open.pop(address, None)

    def _make_room(self, address: str, own: bool, everywhere: Counter[str]) -> bool:
        """Ends the newest stream of who has the most here, if who comes will not have more then."""
        networks: Counter[str] = Counter()
        for one, count in everywhere.items():
            networks[network_of(one)] += count
        most = max(self._open, key=lambda one: (networks[network_of(one)], everywhere[one]), default=None)
        if most is None:
            return False
        mine, theirs = network_of(address), network_of(most)
        fewer = everywhere[address] + 2 <= everywhere[most] if mine == theirs else networks[mine] + 2 <= networks[theirs]
        if not (fewer or (own and most != address)):
            return False
        cut = self._open[most][-1]
        self.leave(most, cut)
        cut()
        return True

    def _everywhere(self) -> Counter[str]:
        taken = Counter(self.here())
        for others in self._elsewhere.values():
            taken.update(others)
        return taken

    def here(self) -> dict[str, int]:
        """How many places each address has taken in this process."""
        return {address: len(cuts) for address, cuts in self._open.items()}

    def take_elsewhere(self, process: str, counts: Mapping[str, int]) -> None:
        """What is taken in another process of this server."""
        self._elsewhere[process] = Counter(counts)

    @property
    def taken(self) -> int:
        """How many places are taken."""
        return sum(self.here().values())


def network_of(address: str) -> str:
    """The network of an address, as a hall has one: the first three numbers of an IPv4 address, the first half of an IPv6 one.
    Common practice, no source."""
    try:
        found = ip_address(address)
    except ValueError:
        return address
    return str(ip_network((found, 24 if found.version == 4 else 64), strict=False))


def places(settings: Settings) -> dict[str, Places]:
    """The places of one server, for spectators and for the desk."""
    return {
        "public": Places(settings.streams, settings.streams_per_address),
        "desk": Places(DESK_STREAMS, DESK_STREAMS),
    }


async def turns(news: Subscription) -> AsyncIterator[bool]:
    """When a stream has to look: True at once and with all news, False where silence calls for a beat. Ends when there
    will be no more."""
    heard = True
    while True:
        yield heard
        try:
            await news.next(BEAT_S)
        except TimeoutError:
            heard = False
        except Closed:
            return
        else:
            heard = True


class Stream(StreamingResponse):
    """Server-sent events for one watcher, or a plain 503 where no place is left. The place is free when the watcher has gone."""

    def __init__(self, request: Request, events: AsyncIterator[bytes], share: str = "public") -> None:
        super().__init__(events, media_type="text/event-stream", headers=STREAM_HEADERS)
        self._places: Places = request.app.state.places[share]

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Streams, in a place of its own."""
        address, own = caller_of(scope)
        task = asyncio.current_task()
        place = _Held(task.cancel if task else lambda: False)
        if not self._places.take(address, own, place.give_back):
            await refuse(scope, receive, send, 503, FULL, retry_s=TRY_AGAIN_S)
            return
        try:
            await super().__call__(scope, receive, send)
        except asyncio.CancelledError:
            if task is None or not place.given_back:
                raise
            task.uncancel()
            await send({"type": "http.response.body", "body": b"", "more_body": False})
        finally:
            self._places.leave(address, place.give_back)


class _Held:
    """A place that one stream holds, until it is given back to somebody who has fewer."""

    def __init__(self, end: Callable[[], object]) -> None:
        self._end = end
        self.given_back = False

    def give_back(self) -> None:
        """Ends the stream."""
        self.given_back = True
        self._end()
