"""Who asks: sessions as cookies, and what a request must be to come further.

A browser can be a desk and a lane's tablet at once (one laptop, two tabs), so each has a cookie of its own.
"""

from typing import Annotated, Literal
from urllib.parse import quote

from fastapi import Depends, Request
from starlette.exceptions import HTTPException
from starlette.requests import HTTPConnection
from starlette.responses import Response

from app.hall.devices import Caller as Caller
from app.hall.devices import Who as Who
from app.hall.devices import hash_if_any, proved_by, who_is, whose
from app.hall.doing import done_by
from app.hall.known_here import remember_browser
from app.rules.records.seats import PLACED_ROLES
from app.web import roles
from app.web.browsers import browser_words
from app.web.pages import wants_page
from app.web.roles import wears

DESK_COOKIE = "ll_desk"
LANE_COOKIE = "ll_device"
REVIEW_COOKIE = "ll_review"
WAITS_COOKIE = "ll_waits"
KNOWN_COOKIE = "ll_known"  # opens nothing: it says that somebody has logged in here before, see hall/known_here.py
# Cookies know no port: over HTTPS the names differ, so that neither connection's session overwrites the other's. The prefix binds
# the cookie to this very host and to HTTPS (RFC 6265bis, 4.1.3): nobody on the network can slip another one in.
OVER_HTTPS = "__Host-"
KNOWN_SECONDS = 60 * 24 * 3600  # a season's weekend comes back with the same laptop

NO_DESK = "Only the desk can do this. Log in with the desk's password."
NO_HEAD = "Only the head judge and the desk can do this. Log in first."
NO_JUDGE = "Only a lane's judge and the desk can do this. Pair this device at the desk."
NOT_PAIRED = "This device isn't paired, or no longer. Pair it at the desk."

Seat = Literal["desk", "lane", "review", "waits"]  # waits: a browser that has asked to be a lane's
AT_A_LINE: tuple[Seat, Seat] = ("lane", "desk")


async def desk_or_none(request: HTTPConnection) -> Who | None:
    """The desk that asks, if it is one."""
    who = await who_is(request.app.state.hall, _token(request, "desk"), client_address(request))
    return who if who is not None and who.role == "desk" else None


async def lane_or_none(request: HTTPConnection) -> Who | None:
    """The lane's device that asks, if it is one."""
    who = await who_is(request.app.state.hall, _token(request, "lane"), client_address(request))
    return who if who is not None and who.role in PLACED_ROLES else None


class OnTheLine:
    """Whose line it is: a lane's device, or else the desk. What the browser has shown when the line opened is read once; whose it
    is, is asked of the sessions as they stand now, with every frame that brings marks."""

    def __init__(self, websocket: HTTPConnection) -> None:
        self._hall, self._address = websocket.app.state.hall, client_address(websocket)
        self._lane, self._desk = (hash_if_any(_token(websocket, seat)) for seat in AT_A_LINE)

    async def __call__(self) -> Who | None:
        """Who it is; None for a device that is welcome no more."""
        who = await whose(self._hall, self._lane, self._address)
        if who is not None and who.role in PLACED_ROLES:
            return who
        who = await whose(self._hall, self._desk, self._address)
        return who if who is not None and who.role == "desk" else None


async def lane_proved(request: HTTPConnection) -> str:
    """The id of the lane's device whose key this browser shows, though its pairing may have ended; else empty."""
    return await proved_by(request.app.state.hall, _token(request, "lane"))


@wears(roles.DESK)
async def desk(request: Request) -> Who:
    """The desk; anybody else is sent to log in, or told so."""
    who = await desk_or_none(request)
    if who is None:
        raise _turned_away(request, NO_DESK, f"{roles.DESK.asks_at}?next={quote(_way_back(request), safe='/')}")
    done_by(who)
    return who


async def head_or_none(request: HTTPConnection) -> Who | None:
    """Whoever may rule: the desk, or the head judge who came by a password of their own."""
    return await desk_or_none(request) or await review_or_none(request)


async def review_or_none(request: HTTPConnection) -> Who | None:
    """The head judge who asks by a login of their own."""
    who = await who_is(request.app.state.hall, _token(request, "review"), client_address(request))
    return who if who is not None and who.role == "review" else None


@wears(roles.HEAD_JUDGE)
async def head_judge(request: Request) -> Who:
    """Whoever may rule; anybody else is sent to log in, or told so."""
    who = await head_or_none(request)
    if who is None:
        raise _turned_away(request, NO_HEAD, f"{roles.HEAD_JUDGE.asks_at}?next={quote(_way_back(request), safe='/')}")
    request.state.seat = who.role
    done_by(who)
    return who


@wears(roles.LANE)
async def lane_or_desk(request: Request) -> Who:
    """A lane's device, its lifter's too, or else the desk; anybody else is sent to pair, or told so."""
    who = await lane_or_none(request) or await desk_or_none(request)
    if who is None:
        raise _turned_away(request, NOT_PAIRED, roles.LANE.asks_at)
    done_by(who)
    return who


@wears(roles.JUDGE)
async def judge_or_desk(request: Request) -> Who:
    """Who judges a lane, or else the desk; anybody else is sent to pair, or told so."""
    who = await lane_or_none(request)
    if who is None or who.role != "lane":
        who = await desk_or_none(request)
    if who is None:
        raise _turned_away(request, NO_JUDGE, roles.JUDGE.asks_at)
    done_by(who)
    return who


@wears(roles.READER)
async def everybody() -> None:
    """The public: nobody is asked who they are."""


@wears(roles.LINK)
async def link_holder() -> None:
    """Whoever holds an entry's own link; the page itself checks it."""


@wears(roles.DEMO)
async def demo_visitor() -> None:
    """Whoever looks at the demo."""


Desk = Annotated[Who, Depends(desk)]
Head = Annotated[Who, Depends(head_judge)]
Judge = Annotated[Who, Depends(judge_or_desk)]
Lane = Annotated[Who, Depends(lane_or_desk)]
EVERYBODY = [Depends(everybody)]
LINK_HOLDER = [Depends(link_holder)]
DEMO_VISITOR = [Depends(demo_visitor)]


def give_session(request: Request, response: Response, seat: Seat, token: str) -> None:
    """Hands a session to the browser, for as long as it lasts: out of reach of scripts, never sent with other sites' forms."""
    role = {"desk": "desk", "review": "review", "lane": "lane", "waits": "lane"}[seat]
    whole_ms, _ = request.app.state.hall.settings.session_ms(role)
    _set_cookie(request, response, _cookie(request, seat), token, whole_ms // 1000)


def _set_cookie(request: Request, response: Response, name: str, token: str, seconds: int) -> None:
    response.set_cookie(
        name,
        token,
        max_age=seconds,
        path="/",
        httponly=True,
        samesite="lax",
        secure=is_secure(request),
    )


def take_session(request: Request, response: Response, seat: Seat) -> None:
    """Takes a session back from the browser."""
    response.delete_cookie(_cookie(request, seat), path="/", secure=is_secure(request), httponly=True, samesite="lax")


def session_tokens(request: HTTPConnection) -> list[str]:
    """The session tokens that a request shows, of whichever seats."""
    seats: tuple[Seat, ...] = ("lane", "desk", "review")
    return [token for seat in seats if (token := _token(request, seat))]


def known_token(request: HTTPConnection) -> str:
    """What this browser holds from an earlier login."""
    return request.cookies.get(_known_cookie(request), "")


async def give_known(request: Request, response: Response) -> None:
    """Lets the browser that has just logged in be known from now on."""
    token = await remember_browser(request.app.state.hall, known_token(request))
    _set_cookie(request, response, _known_cookie(request), token, KNOWN_SECONDS)


def is_secure(request: HTTPConnection) -> bool:
    """Whether the connection is encrypted; a socket's scheme is wss then."""
    return request.scope["scheme"] in ("https", "wss")


def client_address(request: HTTPConnection) -> str:
    """The address that the connection comes from; forwarded ones are claims, and not believed."""
    return request.client.host if request.client else "unknown"


def caller_of(request: HTTPConnection) -> Caller:
    """Whose browser asks."""
    return Caller(client_address(request), browser_words(request.headers.get("user-agent", "")))


def waiting_token(request: HTTPConnection) -> str:
    """What a browser waits with that has asked to be let in."""
    return _token(request, "waits")


def local_path(path: str) -> str:
    """A way back that stays on the desk's and the head judge's pages of this server, whatever was asked for."""
    inside = path in ("/desk", "/review") or path.startswith(("/desk/", "/review/"))
    plain = path.isascii() and path.isprintable() and "\\" not in path and "//" not in path
    return path if inside and plain and not path.startswith((roles.DESK.asks_at, roles.HEAD_JUDGE.asks_at)) else "/desk"


def review_path(path: str) -> str:
    """The same for whoever came to rule."""
    way = local_path(path)
    return way if way.startswith("/review") else "/review"


def _cookie(request: HTTPConnection, seat: Seat) -> str:
    name = {"desk": DESK_COOKIE, "lane": LANE_COOKIE, "review": REVIEW_COOKIE, "waits": WAITS_COOKIE}[seat]
    return OVER_HTTPS + name if is_secure(request) else name


def _known_cookie(request: HTTPConnection) -> str:
    return OVER_HTTPS + KNOWN_COOKIE if is_secure(request) else KNOWN_COOKIE


def _token(request: HTTPConnection, seat: Seat) -> str:
    return request.cookies.get(_cookie(request, seat), "")


def _way_back(request: Request) -> str:
    return local_path(request.url.path) if request.method == "GET" else "/desk"


def _turned_away(request: Request, sentence: str, to: str) -> HTTPException:
    if wants_page(request):
        return HTTPException(303, sentence, headers={"Location": to, "Cache-Control": "no-store"})
    return HTTPException(401, sentence)
