"""The doors every request comes through: which names may be asked for, who may write from where, how much, and with what headers.

Each door is a small ASGI application around the next one. None of them reads the database.
"""

import asyncio
import json
from collections.abc import Callable, Collection, Mapping
from functools import lru_cache
from http import HTTPStatus
from time import monotonic
from typing import Any
from urllib.parse import urlsplit

from starlette.applications import Starlette
from starlette.datastructures import Headers
from starlette.middleware.gzip import GZipMiddleware
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from app.lan.addresses import own_hosts
from app.web.limits import BodyLimit
from app.web.places import BELOW_STATIC

SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})
HOSTS_AGE_S = 5.0  # a laptop that joins another network is known by its new address within this time

WRONG_HOST = "This server does not answer to that name. Open the address that the desk shows."
NO_HOST = "The request names no host, or several."
FOREIGN_PAGE = "This came from a page on another site, so it was refused. Open the page from this server and try again."

POLICY = "; ".join(
    (
        "default-src 'self'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data:",
        "font-src 'self'",
        "connect-src 'self' {more}",
        "worker-src 'self'",
        "manifest-src 'self'",
        "object-src 'none'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
        "form-action 'self'",
    )
)

# same-origin rather than no-referrer: under no-referrer browsers send `Origin: null` with our own forms, and over plain HTTP on
# the LAN nothing else would tell them from a foreign page's. Nothing is told to other sites by either.
FIXED_HEADERS = {
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=(), payment=(), usb=(), screen-wake-lock=(self)",
}
# Browsers ignore this one over plain HTTP on the LAN, with an error in the console of every page.
SECURE_HEADERS = {"Cross-Origin-Opener-Policy": "same-origin"}
# What a session has to do with is kept by nobody; all else may be kept and is asked for anew each time.
KEPT_BY_NOBODY = (b"cache-control", b"no-store")
ASKED_ANEW = (b"cache-control", b"no-cache")
SESSION_MARK = "ll_"  # in every session cookie's name
# Scripts, styles and fonts run under the policy of the page that loads them. A lane screen has fifty of them, and on each the
# rest would be half a kilobyte that no browser reads. The service worker is none of them: it has a policy of its own.
PART_TYPES = (b"text/javascript", b"text/css", b"font/woff2")
PART_HEADERS = frozenset({b"x-content-type-options", b"cross-origin-resource-policy"})


def add_doors(
    app: Starlette,
    extra_hosts: tuple[str, ...],
    crowd: Callable[[ASGIApp], ASGIApp],
    bodies: Mapping[str, int],
    read_from_elsewhere: Collection[str],
) -> None:
    """Puts every door before an application: the headers outermost, because they belong on refusals too, then the `crowd`'s pace,
    then the host list. `bodies`: the addresses at which more or less than a form may come, with how many bytes at most.
    `read_from_elsewhere`: those that scripts of other origins may read, which themselves say by whom."""
    app.add_middleware(PackedPages)
    app.add_middleware(BodyLimit, most=bodies)
    app.add_middleware(SameOrigin, read_from_elsewhere=read_from_elsewhere)
    app.add_middleware(KnownHosts, hosts=lambda: own_hosts(extra_hosts))
    app.add_middleware(crowd)
    app.add_middleware(SecurityHeaders)


class SecurityHeaders:
    """Puts the content policy and its companions on every answer, and how long it may be kept. A page may set a header itself;
    then it stays."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Passes the request on and adds the headers to its answer."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        asked = Headers(scope=scope)
        ours = _headers(asked.get("host", ""), scope["scheme"] == "https")

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                set_already = dict(message["headers"])
                wanted = [pair for pair in ours if pair[0] in PART_HEADERS] if _is_part(scope, set_already) else ours
                private = SESSION_MARK in asked.get("cookie", "") or b"set-cookie" in set_already
                wanted = (*wanted, KEPT_BY_NOBODY if private else ASKED_ANEW)
                message["headers"] = [*message["headers"], *[pair for pair in wanted if pair[0] not in set_already]]
            await send(message)

        await self.app(scope, receive, send_with_headers)


class PackedPages:
    """Compresses what is fetched, and leaves event streams alone. Answers to writes are small and many: they go as they are."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app
        self._packing = GZipMiddleware(app, minimum_size=1000, compresslevel=5)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Passes the request on, through the packing if it fetches something."""
        packs = scope["type"] == "http" and scope["method"] == "GET"
        await (self._packing if packs else self.app)(scope, receive, send)


class KnownHosts:
    """Answers only to this machine's own names, so that no foreign name can be pointed at it (DNS rebinding).

    `hosts` gives the names; it is asked again, at most every few seconds, when an unknown one is named. That may ask a resolver,
    which can take seconds: it is done in a thread, once for all who wait for it, and nobody else waits.
    """

    def __init__(self, app: ASGIApp, hosts: Callable[[], frozenset[str]]) -> None:
        self.app = app
        self._find = hosts
        self._hosts = hosts()
        self._found_at = monotonic()
        self._looking: asyncio.Task[None] | None = None

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Passes a request for a known host on; refuses any other."""
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        named = Headers(scope=scope).getlist("host")
        host = host_name(named[0]) if len(named) == 1 else None
        if host is None:
            await refuse(scope, receive, send, 400, NO_HOST)
        elif host not in self._hosts and not await self._is_new(host):
            await refuse(scope, receive, send, 421, WRONG_HOST)
        else:
            await self.app(scope, receive, send)

    async def _is_new(self, host: str) -> bool:
        """Whether an unknown host is one of ours since the names were looked up."""
        if self._looking is None and monotonic() - self._found_at > HOSTS_AGE_S:
            self._looking = asyncio.create_task(self._look())
        if self._looking is not None:
            await asyncio.shield(self._looking)
        return host in self._hosts

    async def _look(self) -> None:
        try:
            self._hosts = await asyncio.to_thread(self._find)
        finally:
            self._found_at, self._looking = monotonic(), None


class SameOrigin:
    """Takes writes and sockets only from pages of this server (or from programs that are not browsers and hold a session), and
    gives other sites nothing but the page that a link leads to.

    Browsers name the page's origin with every write and socket, and with what a script fetches from elsewhere; the newer ones
    also say how the page relates to us and what they fetch for (Fetch Metadata, W3C).
    """

    def __init__(self, app: ASGIApp, read_from_elsewhere: Collection[str] = ()) -> None:
        self.app = app
        self._read_from_elsewhere = read_from_elsewhere

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Passes on what is our own or follows a link; refuses the rest."""
        if scope["type"] in ("http", "websocket") and not own_page(scope) and not self._may_be_read(scope):
            await refuse(scope, receive, send, 403, FOREIGN_PAGE)
        else:
            await self.app(scope, receive, send)

    def _may_be_read(self, scope: Scope) -> bool:
        """Whether a request that comes from elsewhere is a link that is followed, or asks for the one answer that our own plain
        pages read over HTTPS."""
        if scope["type"] != "http" or scope["method"] not in SAFE_METHODS:
            return False
        return scope["path"] in self._read_from_elsewhere or Headers(scope=scope).get("sec-fetch-mode") == "navigate"


def own_page(scope: Scope) -> bool:
    """Whether a request comes from a page of this very origin, as far as the browser tells."""
    headers = Headers(scope=scope)
    site = headers.get("sec-fetch-site")
    if site not in (None, "same-origin", "none"):
        return False
    origins = headers.getlist("origin")
    if not origins:
        return True
    scheme = {"ws": "http", "wss": "https"}.get(scope["scheme"], scope["scheme"])
    return len(origins) == 1 and origins[0].lower() == f"{scheme}://{headers.get('host', '').lower()}"


@lru_cache(maxsize=256)
def host_name(header: str) -> str | None:
    """The name in a Host header, in lower case and without its port; None if it is not one."""
    if not header or any(c in header for c in "/@?#\\ \t,"):
        return None
    try:
        parts = urlsplit(f"//{header}")
        name, _port = parts.hostname, parts.port
    except ValueError:
        return None
    if not name:
        return None
    return f"[{name}]" if ":" in name else name


async def refuse(scope: Scope, receive: Receive, send: Send, status: int, sentence: str, retry_s: int = 0) -> None:
    """Answers with a plain sentence: JSON for programs, text for people, a closed socket for sockets. retry_s: when to come
    again, in seconds."""
    if scope["type"] == "websocket":
        await receive()
        await send({"type": "websocket.close", "code": 1008, "reason": sentence[:120]})
        return
    content_type, body = refusal_body(Headers(scope=scope), status, sentence)
    headers = [(b"content-type", content_type), (b"content-length", str(len(body)).encode()), (b"cache-control", b"no-store")]
    if retry_s:
        headers.append((b"retry-after", str(retry_s).encode()))
    start: dict[str, Any] = {"type": "http.response.start", "status": status, "headers": headers}
    await send(start)
    await send({"type": "http.response.body", "body": body})


def refusal_body(headers: Headers, status: int, sentence: str) -> tuple[bytes, bytes]:
    """The type and the body of a refusal. Before the host is known no page is rendered: only words."""
    if "text/html" in headers.get("accept", ""):
        return b"text/plain; charset=utf-8", f"{status} {HTTPStatus(status).phrase}\n\n{sentence}\n".encode()
    return b"application/json", json.dumps({"sentence": sentence}, ensure_ascii=False).encode()


def content_policy(host: str, *more: str, films: bool = False) -> str:
    """What a page may load and whom its scripts may ask: this server, and `more` origins, which a page of its own names.

    films: it may play a file that somebody opened in the page itself. Such a file never leaves the browser.
    """
    policy = POLICY.format(more=" ".join(one for one in (_sockets(host), *more) if one)).replace(" ;", ";")
    return f"{policy}; media-src 'self' blob:" if films else policy


@lru_cache(maxsize=64)
def _headers(host: str, secure: bool) -> tuple[tuple[bytes, bytes], ...]:
    """The headers of every answer, as bytes; the policy names the host for sockets."""
    policy = {"Content-Security-Policy": content_policy(host)}
    named = policy | FIXED_HEADERS | (SECURE_HEADERS if secure else {})
    return tuple((name.lower().encode("latin-1"), value.encode("latin-1")) for name, value in named.items())


def _is_part(scope: Scope, headers: Mapping[bytes, bytes]) -> bool:
    path: str = scope["path"]
    return path.startswith(BELOW_STATIC) and headers.get(b"content-type", b"").startswith(PART_TYPES)


def _sockets(host: str) -> str:
    # 'self' covers sockets in today's browsers; older tablets want them named.
    return f"ws://{host} wss://{host}" if host_name(host) else ""
