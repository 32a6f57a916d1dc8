"""The desk's page of tablets: who is paired, inviting another, letting in whoever asks, sending away."""

from collections.abc import Awaitable
from dataclasses import dataclass

from fastapi import Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from app.doors import letting_in, pairing
from app.doors.coaches import club_choices
from app.doors.pairing import OpenInvitation
from app.doors.tablets import device_states, tablets
from app.doors.trusting import fingerprint_groups
from app.hall import devices
from app.hall.forms import BadForm, refuse
from app.hall.guessing import WrongSecret
from app.lan.addresses import best_address, is_loopback, lan_addresses
from app.lan.names import machine_name
from app.rules.records.seats import AT_LANES, AT_PLATFORMS, SEATS, Seat, seat_of
from app.web.pages import hall_of, page, secure_of, wants_page
from app.web.phones import qr_image
from app.web.refused import Wrong, shown_again, status_of
from app.web.rows import Rows
from app.web.shapes import TEXT, an_object, by_name
from app.web.typed import typed
from app.web.who import Desk, Who, caller_of, give_session, lane_proved

routes = Rows()


@dataclass(frozen=True, slots=True)
class InvitationView:
    """An invitation to be shown: what it makes, its QR code, the address and short code to type, other addresses to try.

    `fingerprint`: of the certificate that the device is asked to trust first, in groups; empty where there is none.
    `asks`: whether the desk is asked about whoever takes it.
    """

    title: str
    qr: str
    address: str
    code: str
    others: tuple[str, ...]
    minutes: int
    near: bool
    fingerprint: tuple[str, ...]
    asks: bool


@dataclass(frozen=True, slots=True)
class AskingView:
    """Somebody who waits: the word on their screen, what they would become, and where they are."""

    id: str
    word: str
    title: str
    browser: str
    address: str
    seconds: int


@routes.get("/desk/tablets")
async def tablets_page(request: Request, who: Desk) -> HTMLResponse:
    """All paired devices by lane, and the buttons that invite another."""
    return await _tablets(request, who)


@routes.get("/desk/tablets/states", answers=by_name(an_object(state=TEXT, words=TEXT, refused=TEXT, waits=TEXT)))
async def states(request: Request, who: Desk) -> JSONResponse:
    """What each paired device last said."""
    return JSONResponse(await device_states(hall_of(request), who), headers={"cache-control": "no-store"})


@routes.post("/desk/tablets", record=("device", "Invite a device"))
async def invite(request: Request, who: Desk) -> Response:
    """Makes an invitation and shows it: a QR code, and a short code for a tablet without a camera."""
    form = await typed(request)
    hall = hall_of(request)
    at_once = await letting_in.lets_in_at_once(hall)
    async with shown_again(lambda wrong: _tablets(request, who, wrong), BadForm if wants_page(request) else ()):
        fresh = await pairing.invite(hall, form.get("role", ""), _number(form.get("lane", "")), sure=at_once)
    return await invitation_shown(request, who, fresh)


async def invitation_shown(request: Request, who: Who, fresh: OpenInvitation) -> HTMLResponse:
    """The page of tablets with a fresh invitation on it."""
    return await _tablets(request, who, invitation=_shown(request, fresh))


@routes.get("/desk/tablets/asking", piece=True)
async def asking(request: Request, who: Desk) -> HTMLResponse:
    """Who waits to be let in, for a refresh."""
    answer = page(request, "doors/asking.html", asking=_asking(request))
    answer.headers["Cache-Control"] = "no-store"
    return answer


@routes.post("/desk/tablets/asking/{key}/in", record=("device", "Let a device in"))
async def let_in(request: Request, who: Desk, key: str) -> Response:
    """Lets a device in that shows the same word."""
    return await _answered(request, who, letting_in.let_in(hall_of(request), key))


@routes.post("/desk/tablets/asking/{key}/no", record=("device", "Turn a device away"))
async def turn_away(request: Request, who: Desk, key: str) -> Response:
    """Does not let a device in that nobody here holds."""
    return await _answered(request, who, letting_in.turn_away(hall_of(request), key))


async def _answered(request: Request, who: Who, answering: Awaitable[object]) -> Response:
    async with shown_again(lambda wrong: _tablets(request, who, wrong)):
        await answering
    return RedirectResponse("/desk/tablets", 303)


@routes.post("/desk/tablets/rule", record=("device", "Choose whether the desk confirms each device"))
async def rule(request: Request, who: Desk) -> Response:
    """Says whether the desk is asked about each device that has a code."""
    await letting_in.let_in_at_once(hall_of(request), (await typed(request)).get("at_once") == "yes")
    return RedirectResponse("/desk/tablets", 303)


@routes.post("/desk/tablets/here", record=("device", "Take a lane in the desk's own browser"))
async def pair_here(request: Request, who: Desk) -> Response:
    """Makes this very browser a lane's device beside the desk that it is: for a hall with one laptop, and for trying out."""
    form = await typed(request)
    hall = hall_of(request)
    try:
        fresh = await pairing.invite(hall, form.get("role", ""), _number(form.get("lane", "")), sure=True)
        taken = await pairing.pair(hall, fresh.token, caller_of(request), await lane_proved(request))
    except (BadForm, WrongSecret) as wrong:
        return await _tablets(request, who, refuse("", str(wrong)))
    answer = RedirectResponse(SEATS[fresh.seat].screen, 303)
    give_session(request, answer, "lane", taken.token)
    return answer


@routes.post("/desk/tablets/{device_id}/name", record=("device", "Name a device"))
async def name(request: Request, who: Desk, device_id: str) -> Response:
    """Gives a device a name."""
    async with shown_again(lambda wrong: _tablets(request, who, wrong)):
        await devices.name_device(hall_of(request), device_id, (await typed(request)).get("name", ""))
    return RedirectResponse("/desk/tablets", 303)


@routes.post("/desk/tablets/{device_id}/before/{maker}", record=("device", "Take in marks from an ended pairing"))
async def take_in(request: Request, who: Desk, device_id: str, maker: str) -> Response:
    """Takes in what a device holds that was made under a pairing that has ended."""
    async with shown_again(lambda wrong: _tablets(request, who, wrong)):
        await devices.take_in(hall_of(request), device_id, maker)
    return RedirectResponse("/desk/tablets", 303)


@routes.post("/desk/tablets/{device_id}/away", record=("device", "End a device's pairing"), even_so=True)
async def away(request: Request, who: Desk, device_id: str) -> Response:
    """Ends a device's pairing at once."""
    async with shown_again(lambda wrong: _tablets(request, who, wrong)):
        await devices.send_away(hall_of(request), device_id)
    return RedirectResponse("/desk/tablets", 303)


async def _tablets(
    request: Request, who: Who, wrong: Wrong | None = None, invitation: InvitationView | None = None
) -> HTMLResponse:
    view, at_once = await tablets(hall_of(request), who), await letting_in.lets_in_at_once(hall_of(request))
    views = {
        "view": view,
        "invitation": invitation,
        "wrong": str(wrong or ""),
        "asking": _asking(request),
        "at_once": at_once,
        "seats": AT_LANES,
        "platform_seats": AT_PLATFORMS,
        "clubs": club_choices(hall_of(request)),
    }
    answer = page(request, "doors/tablets.html", status=status_of(wrong), **views)
    answer.headers["Cache-Control"] = "no-store"  # the page may show a fresh invitation
    return answer


def _asking(request: Request) -> list[AskingView]:
    return [
        AskingView(
            one.id, one.word, _title(one.name, one.lane, seat_of(one.role, one.sheet)), one.browser, one.address, one.seconds
        )
        for one in letting_in.who_asks(hall_of(request))
    ]


def _title(name: str, lane: int | None, seat: Seat) -> str:
    return f"{name or SEATS[seat].place(lane)}, {SEATS[seat].title}"


def _shown(request: Request, fresh: OpenInvitation) -> InvitationView:
    hosts = _hosts(request)
    # With HTTPS beside it a device learns first to trust us: on a plain page, for it doesn't yet, which sends it on to pair.
    scheme, path = (request.url.scheme, "/pair") if secure_of(request) is None else ("http", "/trust")
    first, *others = (f"{scheme}://{host}{path}" for host in hosts)
    return InvitationView(
        title=_title(fresh.name, fresh.lane, fresh.seat),
        qr=qr_image(f"{first}#{fresh.token}"),
        address=first,
        code=f"{fresh.code[:3]} {fresh.code[3:]}",
        others=tuple(others),
        minutes=fresh.minutes,
        fingerprint=fingerprint_groups(secure) if (secure := secure_of(request)) else (),
        asks=not fresh.sure,
        near=not hall_of(request).settings.to_the_hall,
    )


def _hosts(request: Request) -> list[str]:
    """Under which names a tablet may open this server, best first: the one the desk uses, unless only the laptop knows it."""
    secure = secure_of(request)
    number = request.url.port if secure is None else secure.http_port
    port = f":{number}" if number else ""
    asked = request.url.hostname or ""
    name = asked if asked != "localhost" and not is_loopback(asked) else best_address()
    names = [f"[{name}]" if ":" in name else name, *lan_addresses(), machine_name()]
    return [f"{one}{port}" for one in dict.fromkeys(names) if one]


def _number(text: str) -> int | None:
    bare = text.strip()
    return int(bare) if bare.isascii() and bare.isdigit() and len(bare) < 4 else None
