"""Pages that are the same for everybody: made once for all who ask meanwhile, in slices that let judges through, and packed once.

Before, each of two hundred phones that opened the results had the running heat counted anew for itself, and every lane waited.
"""

import asyncio
import gzip
import hashlib
from collections import OrderedDict
from collections.abc import Awaitable, Callable
from dataclasses import dataclass

from fastapi import Request
from fastapi.responses import Response
from markupsafe import Markup

from app.hall.hall import Hall
from app.live.hub import BOARD_EVERY_S
from app.live.slices import Slices
from app.rules.values.words import in_force
from app.web.crowd import outside_the_gate
from app.web.pages import hall_of, templates

HTML, JSON = "text/html; charset=utf-8", "application/json"
MOST_BYTES = 8 * 1024 * 1024  # of packed pages that are kept
MOST_PIECES = 500
REST = 4  # times as long as it took to make a page, before it is made again
INLINE = 32 * 1024  # bytes that are packed in half a millisecond; more in a thread, which lets go of the interpreter meanwhile

Make = Callable[[Slices], Awaitable[bytes]]


@dataclass(frozen=True, slots=True)
class Sent:
    """A page as it is sent: packed, and the name of what it says."""

    packed: bytes
    tag: str


@dataclass(frozen=True, slots=True)
class _Made:
    """A page, of which state of things it is, and when its making began (seconds of the loop's clock)."""

    sent: Sent
    state: object
    begun: float


@dataclass(slots=True)
class _Page:
    made: _Made | None = None
    making: "asyncio.Task[_Made] | None" = None
    rests_until: float = 0.0


class Same:
    """A state of things that is told by one object: equal only to that of the very same one."""

    def __init__(self, of: object) -> None:
        self._of = of

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and other._of is self._of

    __hash__ = None  # type: ignore[assignment]


class Shared:
    """The pages of one hall by language and address, the newest of each; what nobody asks for goes first. Used on the loop."""

    def __init__(self, hall: Hall) -> None:
        self.hall = hall
        self._pages: OrderedDict[str, _Page] = OrderedDict()
        # One at a time here and one aside: however many different pages are asked for, a judge waits for one slice of one.
        self._turns = {False: asyncio.Lock(), True: asyncio.Lock()}
        self._pieces: OrderedDict[tuple[str, str], tuple[object, Markup]] = OrderedDict()

    async def newest(self, address: str, state: Callable[[], object], make: Make, *, aside: bool = False) -> Sent:
        """A page that is no older than this call. state: of what it shows; while it is the same, the page is not made again, and
        else no more often than boards are told, however many ask. aside: it is made in a thread, for it takes long. Raises what
        `make` raises, to all who wait for it."""
        clock = asyncio.get_running_loop().time
        asked, page = clock(), self._pages.setdefault(address, _Page())
        while page.made is None or (page.made.begun < asked and page.made.state != state()):
            if page.making is None:
                page.making = asyncio.create_task(self._make(address, page, state, make, aside))
            async with outside_the_gate():
                await asyncio.shield(page.making)
        if address in self._pages:
            self._pages.move_to_end(address)
        return page.made.sent

    def piece(self, template: str, macro: str, key: str, view: object) -> Markup:
        """What a template's macro draws of a view, drawn anew only when the view of this key has changed."""
        key = f"{in_force().language} {key}"
        held = self._pieces.get((template, key))
        if held is None or held[0] != view:
            held = self._pieces[template, key] = (view, getattr(templates().get_template(template).module, macro)(view))
        self._pieces.move_to_end((template, key))
        while len(self._pieces) > MOST_PIECES:
            self._pieces.popitem(last=False)
        return held[1]

    async def _make(self, address: str, page: _Page, state: Callable[[], object], make: Make, aside: bool) -> _Made:
        clock = asyncio.get_running_loop().time
        try:
            await asyncio.sleep(page.rests_until - clock())
            async with self._turns[aside]:
                begun, now = clock(), state()
                page.made = _Made(await _packed(await make(Slices())), now, begun)
                took = clock() - begun
                page.rests_until = max(begun + BOARD_EVERY_S, clock() + REST * took)
                await asyncio.sleep(0 if aside else took)  # so that all pages together take half of the loop's time at most
            return page.made
        except BaseException:
            self._pages.pop(address, None)
            raise
        finally:
            page.making = None
            self._let_go()

    def _let_go(self) -> None:
        sizes = {address: len(page.made.sent.packed) for address, page in self._pages.items() if page.made is not None}
        total = sum(sizes.values())
        for address, size in sizes.items():
            if total <= MOST_BYTES:
                return
            del self._pages[address]
            total -= size


async def _packed(body: bytes) -> Sent:
    tag = hashlib.blake2b(body, digest_size=9).hexdigest()
    packed = gzip.compress(body, 5, mtime=0) if len(body) <= INLINE else await asyncio.to_thread(gzip.compress, body, 5, mtime=0)
    return Sent(packed, f'"{tag}"')


def shared_of(request: Request) -> Shared:
    """The shared pages of this server's hall."""
    state, hall = request.app.state, hall_of(request)
    shared: Shared | None = getattr(state, "shared_pages", None)
    if shared is None or shared.hall is not hall:
        shared = state.shared_pages = Shared(hall)
    return shared


async def shared_answer(
    request: Request, state: Callable[[], object], make: Make, media_type: str = HTML, *, aside: bool = False
) -> Response:
    """A page that does not depend on who asks, as an answer; 304 for a browser that has it."""
    sent = await shared_of(request).newest(f"{in_force().language} {request.url.path}", state, make, aside=aside)
    headers = {"ETag": sent.tag, "Vary": "Accept-Encoding"}
    if request.headers.get("if-none-match") == sent.tag:
        return Response(status_code=304, headers=headers)
    if "gzip" in request.headers.get("accept-encoding", ""):
        return Response(sent.packed, media_type=media_type, headers=headers | {"Content-Encoding": "gzip"})
    return Response(gzip.decompress(sent.packed), media_type=media_type, headers=headers)


async def drawn(request: Request, slices: Slices, name: str, **views: object) -> bytes:
    """A template as bytes, drawn in slices. It is told no more of who asks than any other page for everybody."""
    parts = templates().get_template(name).generate(demo=hall_of(request).settings.demo, seat="", **views)
    return "".join(await slices.all_of(parts)).encode()
