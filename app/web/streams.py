"""Event streams, and how many there may be: so many for an address, so many in all, the desk's beside the spectators'.

Whoever finds no place is told so at once and asks every few seconds instead: that costs less than a line held open.
"""

from collections import Counter
from collections.abc import AsyncIterator, Mapping

from starlette.requests import Request
from starlette.responses import StreamingResponse
from starlette.types import Receive, Scope, Send

from app.settings import Settings
from app.web.doors import refuse
from app.web.lines import caller_of

DESK_STREAMS = 40  # a share of its own: no crowd can keep the desk from hearing
STREAM_HEADERS = {"Cache-Control": "no-store", "X-Accel-Buffering": "no"}
FULL = "Too many screens are following live. This one asks every few seconds instead."
TRY_AGAIN_S = 30


class Places:
    """Places for streams: `in_all`, and `per_address` of them for each address but this computer's own."""

    def __init__(self, in_all: int, per_address: int) -> None:
        self._in_all, self._per_address = in_all, per_address
        self._taken: Counter[str] = Counter()
        self._elsewhere: dict[str, Counter[str]] = {}

    def take(self, address: str, own: bool) -> bool:
        """Takes a place if there is one; says whether."""
        everywhere = [self._taken, *self._elsewhere.values()]
        if sum(taken.total() for taken in everywhere) >= self._in_all:
            return False
        if not own and sum(taken[address] for taken in everywhere) >= self._per_address:
            return False
        self._taken[address] += 1
        return True

    def leave(self, address: str) -> None:
        """Gives a place back."""
        self._taken[address] -= 1
        if self._taken[address] <= 0:
            del self._taken[address]

    def here(self) -> dict[str, int]:
        """How many places each address has taken in this process."""
        return dict(self._taken)

    def take_elsewhere(self, process: str, counts: Mapping[str, int]) -> None:
        """What is taken in another process of this server."""
        self._elsewhere[process] = Counter(counts)

    @property
    def taken(self) -> int:
        """How many places are taken."""
        return self._taken.total()


def places(settings: Settings) -> dict[str, Places]:
    """The places of one server, for spectators and for the desk."""
    return {
        "public": Places(settings.streams, settings.streams_per_address),
        "desk": Places(DESK_STREAMS, DESK_STREAMS),
    }


class Stream(StreamingResponse):
    """Server-sent events for one watcher, or a plain 503 where no place is left. The place is free when the watcher has gone."""

    def __init__(self, request: Request, events: AsyncIterator[bytes], share: str = "public") -> None:
        super().__init__(events, media_type="text/event-stream", headers=STREAM_HEADERS)
        self._places: Places = request.app.state.places[share]

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Streams, in a place of its own."""
        address, own = caller_of(scope)
        if not self._places.take(address, own):
            await refuse(scope, receive, send, 503, FULL, retry_s=TRY_AGAIN_S)
            return
        try:
            await super().__call__(scope, receive, send)
        finally:
            self._places.leave(address)
