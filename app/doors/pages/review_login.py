"""The head judge's door: a password of its own, or the desk's; set at the desk, left by a button."""

from fastapi import Request
from fastapi.responses import RedirectResponse, Response

from app.doors import logins, pairing
from app.doors.demo_password import demo_password_at
from app.hall.forms import BadForm
from app.hall.guessing import TooManyGuesses, WrongSecret
from app.web.pages import hall_of, page
from app.web.refused import Wrong, form_of, shown_again, status_of
from app.web.rows import Rows
from app.web.setup_parts import just_done, said_once, stored
from app.web.typed import typed
from app.web.who import (
    EVERYBODY,
    Desk,
    Head,
    caller_of,
    client_address,
    give_known,
    give_session,
    head_or_none,
    known_token,
    review_or_none,
    review_path,
    take_session,
)

routes = Rows()


@routes.get("/review/enter", dependencies=EVERYBODY)
async def enter_page(request: Request) -> Response:
    """Asks for a password; before the desk has one, the desk comes first."""
    way = review_path(request.query_params.get("next", ""))
    if await head_or_none(request) is not None:
        return RedirectResponse(way, 303)
    if not await logins.password_is_set(hall_of(request)):
        return RedirectResponse(f"/desk/enter?next={way}", 303)
    return _enter(request, way)


@routes.post("/review/enter", dependencies=EVERYBODY, record=("login", "Log in to review"), takes_kb=4)
async def enter(request: Request) -> Response:
    """Checks the password and lets this browser rule."""
    form = await typed(request)
    way = review_path(form.get("next", ""))
    try:
        password, caller, was = form.get("password", ""), caller_of(request), await review_or_none(request)
        token = await logins.log_in_head(hall_of(request), password, caller, known_token(request), was)
    except (WrongSecret, TooManyGuesses) as wrong:
        return _enter(request, way, str(wrong), 429 if isinstance(wrong, TooManyGuesses) else 403)
    answer = RedirectResponse(way, 303)
    give_session(request, answer, "review", token)
    await give_known(request, answer)
    return answer


def _enter(request: Request, way: str, wrong: str = "", status: int = 200) -> Response:
    prefilled = demo_password_at(hall_of(request), client_address(request))
    return page(request, "doors/review_enter.html", status=status, next=way, wrong=wrong, prefilled=prefilled)


@routes.post("/review/leave", record=("login", "Log out of review"), even_so=True)
async def leave(request: Request, who: Head) -> Response:
    """This browser rules no longer."""
    answer = RedirectResponse("/board", 303)
    if who.role == "review":
        await pairing.leave(hall_of(request), who, "This browser has logged out of review.")
        take_session(request, answer, "review")
    return answer


@routes.get("/review/password")
async def password_page(request: Request, who: Desk) -> Response:
    """Where the desk gives the head judge a password."""
    return await _password(request)


@routes.post("/review/password", record=("login", "Set the head judge's password"))
async def set_password(request: Request, who: Desk) -> Response:
    """Sets the head judge's password."""
    form = await typed(request)
    async with shown_again(lambda wrong: _password(request, wrong), BadForm):
        await logins.set_head_password(hall_of(request), form.get("password", ""), form.get("again", ""))
    return stored("/review/password")


async def _password(request: Request, wrong: Wrong | None = None) -> Response:
    known = await logins.head_password_is_set(hall_of(request))
    views = {"known": known, "saved": just_done(request), "form": form_of({}, wrong)}
    shown = page(
        request,
        "doors/review_password.html",
        status=status_of(wrong),
        here="/review",
        title="The head judge's password",
        **views,
    )
    return said_once(request, shown)
