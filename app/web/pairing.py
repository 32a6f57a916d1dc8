"""The doors for people: the desk's password, the desk's page of tablets, and the page on which a tablet is paired."""

from dataclasses import dataclass

from fastapi import APIRouter, Request
from starlette.exceptions import HTTPException
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from app.actions import devices, pairing
from app.actions.forms import BadForm
from app.actions.pairing import OpenInvitation, TooManyGuesses, WrongSecret
from app.actions.tablets import device_states, tablets
from app.actions.trusting import fingerprint_groups
from app.lan.addresses import best_address, is_loopback, lan_addresses
from app.lan.names import machine_name
from app.web.pages import hall_of, page, secure_of, wants_page
from app.web.qr import qr_image
from app.web.typed import typed
from app.web.who import (
    EVERYBODY,
    Desk,
    Who,
    client_address,
    desk_or_none,
    give_known,
    give_session,
    is_secure,
    known_token,
    lane_or_none,
    local_path,
    take_session,
)

routes = APIRouter()

SCREENS = {"lane": "/lane", "lifter": "/call"}
BECOMES = {
    ("lane", "lane"): "lane {}'s judging screen",
    ("lane", "second"): "lane {}'s second counter, beside its judge",
    ("lane", "third"): "lane {}'s third counter, beside its judge",
    ("lane", "shadow"): "lane {}'s shadow judge, beside its judge: the sheet is compared and changes no score by itself",
    ("lifter", "lane"): "lane {}'s call screen, for the lifter and the loaders",
}
TITLES = {
    ("lane", "lane"): "judging screen",
    ("lane", "second"): "second counter",
    ("lane", "third"): "third counter",
    ("lane", "shadow"): "shadow judge",
    ("lifter", "lane"): "call screen",
}


@dataclass(frozen=True, slots=True)
class EnterView:
    """The desk's door. `first`: there is no password yet. `ask_code`: it is not the laptop that asks. `prefilled`: the demo's."""

    first: bool
    ask_code: bool
    prefilled: str
    next: str
    wrong: str = ""


@dataclass(frozen=True, slots=True)
class InvitationView:
    """An invitation to be shown: what it makes, its QR code, the address and short code to type, other addresses to try.

    `fingerprint`: of the certificate that the device is asked to trust first, in groups; empty where there is none.
    """

    title: str
    qr: str
    address: str
    code: str
    others: tuple[str, ...]
    minutes: int
    near: bool
    fingerprint: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PairView:
    """The pairing page: what this browser is now, what was wrong with the typed code, and whether HTTPS was passed by."""

    now: str
    screen: str
    code: str = ""
    wrong: str = ""
    plain: bool = False


@routes.get("/desk/enter", dependencies=EVERYBODY)
async def enter_page(request: Request) -> Response:
    """Asks for the desk's password, or for a first one."""
    way = local_path(request.query_params.get("next", ""))
    if await desk_or_none(request) is not None:
        return RedirectResponse(way, 303)
    return await _enter(request, way)


@routes.post("/desk/enter", dependencies=EVERYBODY)
async def enter(request: Request) -> Response:
    """Sets the first password or checks the one that is set, and makes this browser a desk."""
    form = await typed(request)
    hall, address, way = hall_of(request), client_address(request), local_path(form.get("next", ""))
    try:
        if await pairing.password_is_set(hall):
            token = await pairing.log_in(hall, form.get("password", ""), address, known_token(request))
        else:
            again, code = form.get("again", ""), form.get("code", "")
            token = await pairing.set_first_password(hall, form.get("password", ""), again, address, code)
    except (BadForm, WrongSecret, TooManyGuesses) as wrong:
        if not wants_page(request):
            raise _refusal(wrong) from None
        return await _enter(request, way, wrong)
    answer = RedirectResponse(way, 303)
    give_session(request, answer, "desk", token)
    await give_known(request, answer)
    return answer


@routes.post("/desk/leave")
async def leave(request: Request, who: Desk) -> Response:
    """Logs this browser out of the desk."""
    await pairing.leave(hall_of(request), who)
    answer = RedirectResponse("/", 303)
    take_session(request, answer, "desk")
    return answer


@routes.get("/desk/tablets")
async def tablets_page(request: Request, who: Desk) -> HTMLResponse:
    """All paired devices by lane, and the buttons that invite another."""
    return await _tablets(request, who)


@routes.get("/desk/tablets/states")
async def states(request: Request, who: Desk) -> JSONResponse:
    """What each paired device last said."""
    return JSONResponse(await device_states(hall_of(request), who), headers={"cache-control": "no-store"})


@routes.post("/desk/tablets")
async def invite(request: Request, who: Desk) -> Response:
    """Makes an invitation and shows it: a QR code, and a short code for a tablet without a camera."""
    form = await typed(request)
    try:
        fresh = await pairing.invite(hall_of(request), form.get("role", ""), _number(form.get("lane", "")))
    except BadForm as wrong:
        if not wants_page(request):
            raise HTTPException(422, str(wrong)) from None
        return await _tablets(request, who, wrong=str(wrong), status=422)
    return await _tablets(request, who, invitation=_shown(request, fresh))


@routes.post("/desk/tablets/here")
async def pair_here(request: Request, who: Desk) -> Response:
    """Makes this very browser a lane's device beside the desk that it is: for a hall with one laptop, and for trying out."""
    form = await typed(request)
    hall = hall_of(request)
    try:
        fresh = await pairing.invite(hall, form.get("role", ""), _number(form.get("lane", "")))
        device, token = await pairing.pair(hall, fresh.token, client_address(request), await lane_or_none(request))
    except (BadForm, WrongSecret) as wrong:
        return await _tablets(request, who, wrong=str(wrong), status=422)
    answer = RedirectResponse(SCREENS[device.role], 303)
    give_session(request, answer, "lane", token)
    return answer


@routes.post("/desk/tablets/{device_id}/name")
async def name(request: Request, who: Desk, device_id: str) -> Response:
    """Gives a device a name."""
    try:
        await devices.name_device(hall_of(request), device_id, (await typed(request)).get("name", ""))
    except BadForm as wrong:
        return await _tablets(request, who, wrong=str(wrong), status=422)
    except devices.UnknownDevice as wrong:
        return await _tablets(request, who, wrong=str(wrong), status=404)
    return RedirectResponse("/desk/tablets", 303)


@routes.post("/desk/tablets/{device_id}/away")
async def away(request: Request, who: Desk, device_id: str) -> Response:
    """Ends a device's pairing at once."""
    try:
        await devices.send_away(hall_of(request), device_id)
    except devices.UnknownDevice as wrong:
        return await _tablets(request, who, wrong=str(wrong), status=404)
    return RedirectResponse("/desk/tablets", 303)


@routes.get("/pair", dependencies=EVERYBODY)
async def pair_page(request: Request) -> HTMLResponse:
    """Where a tablet is paired. A token in the fragment never reaches the server by itself: the page's script sends it."""
    return await _pair(request)


@routes.post("/pair/look", dependencies=EVERYBODY)
async def look(request: Request) -> JSONResponse:
    """What this browser would become by a token or code; nothing is used up."""
    form = await typed(request)
    try:
        promise = await pairing.look_at_invitation(
            hall_of(request), _secret(form), client_address(request), await lane_or_none(request)
        )
    except (WrongSecret, TooManyGuesses) as wrong:
        raise _refusal(wrong) from None
    becomes = BECOMES[promise.role, promise.sheet].format(promise.lane)
    return JSONResponse({"becomes": becomes, "competition": promise.competition, "gives_up": promise.gives_up})


@routes.post("/pair", dependencies=EVERYBODY)
async def pair(request: Request) -> Response:
    """Takes an invitation: this browser becomes a lane's device."""
    form = await typed(request)
    try:
        device, token = await pairing.pair(hall_of(request), _secret(form), client_address(request), await lane_or_none(request))
    except (WrongSecret, TooManyGuesses) as wrong:
        if not wants_page(request):
            raise _refusal(wrong) from None
        return await _pair(request, form.get("code", "")[:20], wrong)
    screen = SCREENS[device.role]
    answer: Response = RedirectResponse(screen, 303) if wants_page(request) else JSONResponse({"to": screen, "name": device.name})
    give_session(request, answer, "lane", token)
    return answer


async def _enter(request: Request, way: str, wrong: Exception | None = None) -> HTMLResponse:
    hall = hall_of(request)
    first = not await pairing.password_is_set(hall)
    ask_code = first and not is_loopback(client_address(request))
    if ask_code:
        pairing.show_first_code(hall)
    prefilled = pairing.DEMO_PASSWORD if hall.settings.demo else ""
    view = EnterView(first, ask_code, prefilled, way, str(wrong) if wrong else "")
    return _with_wait(page(request, "desk/enter.html", status=_status(wrong), view=view), wrong)


async def _tablets(
    request: Request, who: Who, invitation: InvitationView | None = None, wrong: str = "", status: int = 200
) -> HTMLResponse:
    view = await tablets(hall_of(request), who)
    answer = page(request, "desk/tablets.html", status=status, view=view, invitation=invitation, wrong=wrong)
    answer.headers["Cache-Control"] = "no-store"  # the page may show a fresh invitation
    return answer


async def _pair(request: Request, code: str = "", wrong: Exception | None = None) -> HTMLResponse:
    now = await lane_or_none(request)
    name, screen = (now.name, SCREENS.get(now.role, "")) if now else ("", "")
    view = PairView(name, screen, code, str(wrong) if wrong else "", _passes_by(request))
    return _with_wait(page(request, "pair/pair.html", status=_status(wrong), view=view), wrong)


def _passes_by(request: Request) -> bool:
    """Whether this page came over a plain connection though there is a secure one. The laptop itself needs none."""
    here = is_loopback(client_address(request)) or request.url.hostname == "localhost"
    return secure_of(request) is not None and not is_secure(request) and not here


def _shown(request: Request, fresh: OpenInvitation) -> InvitationView:
    hosts = _hosts(request)
    # With HTTPS beside it a device learns first to trust us: on a plain page, for it doesn't yet, which sends it on to pair.
    scheme, path = (request.url.scheme, "/pair") if secure_of(request) is None else ("http", "/trust")
    first, *others = (f"{scheme}://{host}{path}" for host in hosts)
    return InvitationView(
        title=f"Lane {fresh.lane}, {TITLES[fresh.role, fresh.sheet]}",
        qr=qr_image(f"{first}#{fresh.token}"),
        address=first,
        code=f"{fresh.code[:3]} {fresh.code[3:]}",
        others=tuple(others),
        minutes=fresh.minutes,
        fingerprint=fingerprint_groups(secure) if (secure := secure_of(request)) else (),
        near=hall_of(request).settings.host in ("127.0.0.1", "localhost", "::1"),
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


def _secret(form: dict[str, str]) -> str:
    return form.get("token", "") or form.get("code", "")


def _number(text: str) -> int | None:
    bare = text.strip()
    return int(bare) if bare.isascii() and bare.isdigit() and len(bare) < 4 else None


def _status(wrong: Exception | None) -> int:
    if wrong is None:
        return 200
    return 429 if isinstance(wrong, TooManyGuesses) else 403 if isinstance(wrong, WrongSecret) else 422


def _refusal(wrong: Exception) -> HTTPException:
    headers = {"Retry-After": str(wrong.wait_s)} if isinstance(wrong, TooManyGuesses) else None
    return HTTPException(_status(wrong), str(wrong), headers=headers)


def _with_wait(answer: HTMLResponse, wrong: Exception | None) -> HTMLResponse:
    if isinstance(wrong, TooManyGuesses):
        answer.headers["Retry-After"] = str(wrong.wait_s)
    answer.headers["Cache-Control"] = "no-store"
    return answer
