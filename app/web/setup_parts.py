"""What all set-up pages share: the desk at the door, the page, the way back after a stored one."""

from urllib.parse import quote

from fastapi import Depends, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from starlette.exceptions import HTTPException

from app.hall.forms import Typed
from app.hall.lists import Undo
from app.web.pages import hall_of, page
from app.web.refused import Wrong, status_of
from app.web.who import Desk as Desk
from app.web.who import desk


async def named(request: Request) -> None:
    """Everything hangs on the competition: before it has a name, every other set-up page leads to its form."""
    if hall_of(request).projection.roster is None:
        raise HTTPException(303, "Name the competition first.", headers={"Location": "/desk/competition"})


# The desk first: nobody else is told anything, not even that there is no name yet.
NAMED = [Depends(desk), Depends(named)]


def setup_page(
    request: Request, template: str, here: str, title: str, wrong: Wrong | None = None, **views: object
) -> HTMLResponse:
    """A set-up page; `here` is its address in the bar. Says that something was stored if it was sent here for that."""
    saved = request.query_params.get("saved", "") == "yes" and request.method == "GET"
    view = {"undo": None, "saved": saved, **views}
    return page(request, template, status=status_of(wrong), here=here, title=title, **view)


def stored(path: str) -> Response:
    """Back to a page, which says that all is stored."""
    return RedirectResponse(f"{path}{'&' if '?' in path else '?'}saved=yes", 303)


def undo_of(what: str, action: str, fields: dict[str, str]) -> Undo:
    """The offer to put back what was deleted."""
    return Undo(f"{what} is deleted.", action, tuple(fields.items()))


def in_path(key: str) -> str:
    """An id inside an address."""
    return quote(key, safe="")


def step_of(typed: Typed) -> int:
    """Which way a move button moves: -1 up, 1 down."""
    return -1 if typed.get("to") == "up" else 1
