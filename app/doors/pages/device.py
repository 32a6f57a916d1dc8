"""The page on which a tablet or phone is paired: what it would become, and waiting until the desk lets it in."""

from dataclasses import dataclass
from typing import TypeVar

from fastapi import Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from app.doors import letting_in, pairing
from app.doors.pages.desk_login import refusal, status_of, with_wait
from app.hall.guessing import TooManyGuesses, WrongSecret
from app.lan.addresses import is_loopback
from app.rules.records.seats import SEATS, seat_row
from app.rules.values.words import known
from app.web.pages import hall_of, page, secure_of, wants_page
from app.web.rows import ONLY_LOOKS, Rows
from app.web.shapes import TEXT, an_object
from app.web.typed import typed
from app.web.who import (
    EVERYBODY,
    Who,
    caller_of,
    client_address,
    give_session,
    is_secure,
    lane_or_none,
    lane_proved,
    take_session,
    waiting_token,
)

routes = Rows()
A = TypeVar("A", bound=Response)

LOOK_AGAIN = "3; url=/pair"  # seconds until a page without scripts looks again


@dataclass(frozen=True, slots=True)
class PairView:
    """The pairing page: what this browser is now, what was wrong with the typed code, whether HTTPS was passed by,
    and the word to tell the desk while it waits."""

    now: str
    screen: str
    code: str = ""
    wrong: str = ""
    plain: bool = False
    word: str = ""


@routes.get("/pair", dependencies=EVERYBODY, spoken=True)
async def pair_page(request: Request) -> Response:
    """Where a tablet is paired. A token in the fragment never reaches the server by itself: the page's script sends it."""
    answer = await letting_in.asked(hall_of(request), waiting_token(request))
    if answer.who is not None:
        return _arrived(request, RedirectResponse(_screen(answer.who), 303))
    shown = await _pair(request, wrong=WrongSecret(answer.sentence) if answer.sentence else None, word=answer.word)
    if answer.state == "no":
        take_session(request, shown, "waits")
    return shown


@routes.get("/pair/waiting", dependencies=EVERYBODY, spoken=True)
async def waiting(request: Request) -> JSONResponse:
    """How it stands with this browser, which has asked to be let in."""
    answer = await letting_in.asked(hall_of(request), waiting_token(request))
    told = {"state": answer.state, "word": answer.word, "sentence": answer.sentence}
    plain = JSONResponse(told | {"to": _screen(answer.who) if answer.who else ""}, headers={"Cache-Control": "no-store"})
    if answer.who is not None:
        return _arrived(request, plain)
    if answer.state == "no":
        take_session(request, plain, "waits")
    return plain


def _arrived(request: Request, answer: A) -> A:
    """The token that this browser waited with is its session from now on."""
    give_session(request, answer, "lane", waiting_token(request))
    take_session(request, answer, "waits")
    return answer


@routes.post(
    "/pair/look",
    dependencies=EVERYBODY,
    record=ONLY_LOOKS,
    answers=an_object(becomes=TEXT, competition=TEXT, gives_up=TEXT),
    takes_kb=4,
    spoken=True,
)
async def look(request: Request) -> JSONResponse:
    """What this browser would become by a token or code; nothing is used up."""
    form = await typed(request)
    try:
        promise = await pairing.look_at_invitation(
            hall_of(request), _secret(form), client_address(request), await lane_or_none(request)
        )
    except (WrongSecret, TooManyGuesses) as wrong:
        raise refusal(wrong) from None
    becomes = known(SEATS[promise.seat].becomes).format(promise.lane)
    return JSONResponse({"becomes": becomes, "competition": promise.competition, "gives_up": promise.gives_up})


@routes.post(
    "/pair",
    dependencies=EVERYBODY,
    record=("device", "Take an invitation"),
    answers=an_object(to=TEXT, name=TEXT),
    takes_kb=4,
)
async def pair(request: Request) -> Response:
    """Takes an invitation: this browser becomes a lane's device, or waits until the desk lets it in."""
    form = await typed(request)
    try:
        taken = await pairing.pair(hall_of(request), _secret(form), caller_of(request), await lane_proved(request))
    except (WrongSecret, TooManyGuesses) as wrong:
        if not wants_page(request):
            raise refusal(wrong) from None
        return await _pair(request, form.get("code", "")[:20], wrong)
    to, name = (_screen(taken.device), taken.device.name) if taken.device else ("/pair", "")
    told = {"to": to, "name": name, "word": taken.word}
    answer: Response = RedirectResponse(to, 303) if wants_page(request) else JSONResponse(told)
    give_session(request, answer, "lane" if taken.device else "waits", taken.token)
    return answer


async def _pair(request: Request, code: str = "", wrong: Exception | None = None, word: str = "") -> HTMLResponse:
    now = await lane_or_none(request)
    name, screen = (now.name, _screen(now)) if now else ("", "")
    view = PairView(name, screen, code, str(wrong) if wrong else "", _passes_by(request), word)
    answer = with_wait(page(request, "doors/pair.html", status=status_of(wrong), view=view), wrong)
    if word:
        answer.headers["Refresh"] = LOOK_AGAIN
    return answer


def _screen(who: Who) -> str:
    return seat_row(who.role, who.sheet).screen


def _passes_by(request: Request) -> bool:
    """Whether this page came over a plain connection though there is a secure one. The laptop itself needs none."""
    here = is_loopback(client_address(request)) or request.url.hostname == "localhost"
    return secure_of(request) is not None and not is_secure(request) and not here


def _secret(form: dict[str, str]) -> str:
    return form.get("token", "") or form.get("code", "")
