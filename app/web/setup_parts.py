"""What all set-up pages share: the desk at the door, the page, the way back after a stored one."""

from collections.abc import Callable
from typing import Protocol, TypeVar
from urllib.parse import quote, urlsplit

from fastapi import Depends, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from starlette.exceptions import HTTPException

from app.hall import plain
from app.hall.forms import Typed
from app.hall.lists import Undo
from app.hall.plain import K, PlainForm
from app.store.gateway import Plain
from app.web.pages import hall_of, page
from app.web.refused import Wrong, shown_again, status_of
from app.web.typed import typed
from app.web.who import Desk as Desk
from app.web.who import desk

A = TypeVar("A", bound=Response)
NAMED_AT = "/desk/competition"
# That something was done is told to the page that follows by the answer that did it. Its address, which anybody can open again or
# send on, would say so of nothing.
DONE_COOKIE = "just_done"
DONE_SECONDS = 60  # a page that comes later than this no longer speaks of it


async def named(request: Request) -> None:
    """Everything hangs on the competition: before it has a name, every other set-up page leads to its form."""
    if hall_of(request).projection.roster is None:
        raise HTTPException(303, "Name the competition first.", headers={"Location": NAMED_AT})


# The desk first: nobody else is told anything, not even that there is no name yet.
NAMED = [Depends(desk), Depends(named)]


def setup_page(
    request: Request, template: str, here: str, title: str, wrong: Wrong | None = None, **views: object
) -> HTMLResponse:
    """A set-up page; `here` is its address in the bar. Says that something was stored if it was sent here for that."""
    view = {"undo": None, "saved": just_done(request), **views}
    return said_once(request, page(request, template, status=status_of(wrong), here=here, title=title, **view))


def stored(path: str) -> Response:
    """Back to a page, which says once that what was asked for is done."""
    answer = RedirectResponse(path, 303)
    answer.set_cookie(DONE_COOKIE, "yes", max_age=DONE_SECONDS, path=urlsplit(path).path, httponly=True, samesite="lax")
    return answer


def just_done(request: Request) -> bool:
    """Whether this page follows an answer of `stored` to this browser."""
    return request.method == "GET" and DONE_COOKIE in request.cookies


def said_once(request: Request, answer: A) -> A:
    """A page that has said what was done, and does not when it is opened again."""
    if just_done(request):
        answer.delete_cookie(DONE_COOKIE, path=request.url.path, httponly=True, samesite="lax")
    return answer


def undo_of(what: str, action: str, fields: dict[str, str]) -> Undo:
    """The offer to put back what was deleted."""
    return Undo(f"{what} is deleted.", action, tuple(fields.items()))


def undo_of_move(what: str, action: str, by: int) -> Undo:
    """The offer to move back what was moved up (-1) or down (1)."""
    gone, back = ("up", "down") if by < 0 else ("down", "up")
    return Undo(f"{what} is moved {gone}.", action, (("to", back),))


class Showing(Protocol):
    """A page that shows records, and a form with what was typed, what is wrong, what can be put back."""

    def __call__(self, request: Request, form: Typed, wrong: Wrong | None = None, undo: Undo | None = None) -> Response:
        """The page."""


async def saved(request: Request, of: PlainForm[K], key: str | None, show: Showing, path: str) -> Response:
    """Stores a plain record under its key, or (None) a new one or one that is put back; a refused form is shown again."""
    form = await typed(request)
    key = form.get("id", "") if key is None else key
    async with shown_again(lambda wrong: show(request, {**form, "id": key}, wrong)):
        await plain.save(hall_of(request), of, form, key)
    return stored(path)


async def removed(request: Request, of: PlainForm[K], key: str, show: Showing, path: str) -> Response:
    """Removes a plain record and offers to put it back, by posting its form to `path`."""
    async with shown_again(lambda wrong: show(request, {}, wrong)):
        gone = await plain.remove(hall_of(request), of.kind, key)
    return show(request, {}, undo=undo_of(gone.name, path, plain.way_back(hall_of(request), of, gone)))


async def moved(request: Request, of: Plain[K], key: str, show: Callable[[Undo], Response], path: str) -> Response:
    """Moves a plain record up or down, and offers to move it back; `path` lists its kind."""
    by = step_of(await typed(request))
    name = await plain.move(hall_of(request), of, key, by)
    return show(undo_of_move(name, f"{path}/{in_path(key)}/move", by)) if name else stored(path)


def in_path(key: str) -> str:
    """An id inside an address."""
    return quote(key, safe="")


def step_of(typed: Typed) -> int:
    """Which way a move button moves: -1 up, 1 down."""
    return -1 if typed.get("to") == "up" else 1
