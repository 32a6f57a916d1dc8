"""The desk's door: its password, set, asked for and changed; logging out."""

from dataclasses import dataclass

from fastapi import Request
from starlette.exceptions import HTTPException
from starlette.responses import HTMLResponse, RedirectResponse, Response

from app.doors import logins, pairing
from app.doors.demo_password import demo_password_at
from app.hall.forms import BadForm, FormView, Problem
from app.hall.guessing import TooManyGuesses, WrongSecret
from app.lan.addresses import is_loopback
from app.web.pages import hall_of, page, wants_page
from app.web.rows import Rows
from app.web.setup_parts import just_done, said_once, stored
from app.web.typed import typed
from app.web.who import (
    EVERYBODY,
    Desk,
    caller_of,
    client_address,
    desk_or_none,
    give_known,
    give_session,
    known_token,
    local_path,
    take_session,
)

routes = Rows()


@dataclass(frozen=True, slots=True)
class EnterView:
    """The desk's door. `first`: there is no password yet. `ask_code`: it is not the laptop that asks. `prefilled`: the demo's."""

    first: bool
    ask_code: bool
    prefilled: str
    next: str
    wrong: str = ""


@routes.get("/desk/enter", dependencies=EVERYBODY)
async def enter_page(request: Request) -> Response:
    """Asks for the desk's password, or for a first one."""
    way = local_path(request.query_params.get("next", ""))
    if await desk_or_none(request) is not None:
        return RedirectResponse(way, 303)
    return await _enter(request, way)


@routes.post("/desk/enter", dependencies=EVERYBODY, record=("login", "Log in at the desk"), takes_kb=4)
async def enter(request: Request) -> Response:
    """Sets the first password or checks the one that is set, and makes this browser a desk."""
    form = await typed(request)
    hall, caller, way = hall_of(request), caller_of(request), local_path(form.get("next", ""))
    try:
        if await logins.password_is_set(hall):
            token = await logins.log_in(hall, form.get("password", ""), caller, known_token(request), await desk_or_none(request))
        else:
            again, code = form.get("again", ""), form.get("code", "")
            token = await logins.set_first_password(hall, form.get("password", ""), again, caller, code)
    except (BadForm, WrongSecret, TooManyGuesses) as wrong:
        if not wants_page(request):
            raise refusal(wrong) from None
        return await _enter(request, way, wrong)
    answer = RedirectResponse(way, 303)
    give_session(request, answer, "desk", token)
    await give_known(request, answer)
    return answer


@routes.post("/desk/leave", record=("login", "Log out of the desk"), even_so=True)
async def leave(request: Request, who: Desk) -> Response:
    """Logs this browser out of the desk."""
    await pairing.leave(hall_of(request), who)
    answer = RedirectResponse("/", 303)
    take_session(request, answer, "desk")
    return answer


@routes.get("/desk/password")
async def password_page(request: Request, who: Desk) -> Response:
    """Where the desk's password is changed."""
    return _password(request)


@routes.post("/desk/password", record=("login", "Change the desk's password"))
async def change_password(request: Request, who: Desk) -> Response:
    """Changes the desk's password; every other login of the desk ends."""
    form = await typed(request)
    typed_now, fresh, again = (form.get(field, "") for field in ("now", "password", "again"))
    try:
        token = await logins.change_password(hall_of(request), who, typed_now, fresh, again, caller_of(request))
    except BadForm as wrong:
        return _password(request, wrong, wrong.problems)
    except (WrongSecret, TooManyGuesses) as wrong:
        return with_wait(_password(request, wrong, (Problem("now", str(wrong)),)), wrong)
    answer = stored("/desk/password")
    give_session(request, answer, "desk", token)
    return answer


def _password(request: Request, wrong: Exception | None = None, problems: tuple[Problem, ...] = ()) -> HTMLResponse:
    views = {"saved": just_done(request), "form": FormView({}, problems), "here": "/desk/tablets", "title": "The desk's password"}
    return said_once(request, page(request, "doors/desk_password.html", status=status_of(wrong), **views))


async def _enter(request: Request, way: str, wrong: Exception | None = None) -> HTMLResponse:
    hall = hall_of(request)
    first = not await logins.password_is_set(hall)
    ask_code = first and not is_loopback(client_address(request))
    if ask_code:
        logins.show_first_code(hall)
    prefilled = demo_password_at(hall, client_address(request))
    view = EnterView(first, ask_code, prefilled, way, str(wrong) if wrong else "")
    return with_wait(page(request, "doors/desk_enter.html", status=status_of(wrong), view=view), wrong)


def status_of(wrong: Exception | None) -> int:
    """429 for too many guesses, 403 for a wrong secret, 422 for a form that can't be taken."""
    if wrong is None:
        return 200
    return 429 if isinstance(wrong, TooManyGuesses) else 403 if isinstance(wrong, WrongSecret) else 422


def refusal(wrong: Exception) -> HTTPException:
    """A wrong secret as an answer for programs."""
    headers = {"Retry-After": str(wrong.wait_s)} if isinstance(wrong, TooManyGuesses) else None
    return HTTPException(status_of(wrong), str(wrong), headers=headers)


def with_wait(answer: HTMLResponse, wrong: Exception | None) -> HTMLResponse:
    """The page kept nowhere, and for how long to wait if that is what is wrong."""
    if isinstance(wrong, TooManyGuesses):
        answer.headers["Retry-After"] = str(wrong.wait_s)
    answer.headers["Cache-Control"] = "no-store"
    return answer
