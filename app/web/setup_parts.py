"""What all set-up pages share: the desk at the door, the page, the way back after a stored one."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import Protocol, TypeVar
from urllib.parse import quote, urlsplit

from fastapi import Depends, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from starlette.exceptions import HTTPException

from app.hall import plain
from app.hall.changing import change_roster
from app.hall.doing import done_to
from app.hall.forms import Typed
from app.hall.hall import Hall
from app.hall.heats import has_marks
from app.hall.lists import Undo
from app.hall.plain import K, PlainForm
from app.store.copies.undoing import FOLLOWING, Following, opened, put_back
from app.store.gateway import Plain
from app.store.refusals import InUse
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
UNDO = "/desk/undo"  # where an Undo button sends what it holds
STEP = "step"  # the field that holds it


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


@contextmanager
def following(at: str, *pictures: str) -> Iterator[Following]:
    """What is changed within it can be undone by `offer`. `at`: the page that shows it; `pictures`: of which entries it may touch
    the picture."""
    way = Following(at, pictures)
    before = FOLLOWING.set(way)
    try:
        yield way
    finally:
        FOLLOWING.reset(before)


def offer(way: Following, sentence: str) -> Undo:
    """The offer to undo what a sentence says."""
    return Undo(sentence, UNDO, ((STEP, way.step),))


async def undo(hall: Hall, step: str) -> str:
    """Puts back what a step took away or moved; returns the page that shows it. Raises InUse where that can't be, NotThere."""
    at, rows = await hall.database.aread(lambda session: opened(session, step))
    done_to(", ".join(dict.fromkeys(str(one.before["name"]) for one in rows if one.before and "name" in one.before)))
    for one in rows:
        if one.table == "event" and one.before and one.after and has_marks(hall, one.after["id"]):
            name = one.after["name"]
            raise InUse(f"{name} has marks by now. Change it on its own page: that shows first what it does to the results.")
    await change_roster(hall, lambda session: put_back(session, rows))
    return at


async def page_of(hall: Hall, step: str) -> str:
    """The page of a step that could not be undone; nothing for what is no step of this folder."""
    with suppress(InUse):
        return (await hall.database.aread(lambda session: opened(session, step)))[0]
    return ""


def undo_of(what: str, way: Following) -> Undo:
    """The offer to put back what was deleted."""
    return offer(way, f"{what} is deleted.")


def done(way: Following, path: str, show: Callable[[Undo], A], sentence: str = "Saved.") -> A | Response:
    """The answer to what was saved: a page that offers to undo it, where it took something away or moved it; else as `stored`."""
    return show(offer(way, sentence)) if way.step else stored(path)


def undo_of_move(what: str, way: Following, by: int) -> Undo:
    """The offer to move back what was moved up (-1) or down (1)."""
    return offer(way, f"{what} is moved {'up' if by < 0 else 'down'}.")


class Showing(Protocol):
    """A page that shows records, and a form with what was typed, what is wrong, what can be put back."""

    def __call__(self, request: Request, form: Typed, wrong: Wrong | None = None, undo: Undo | None = None) -> Response:
        """The page."""


async def saved(request: Request, of: PlainForm[K], key: str, show: Showing, path: str) -> Response:
    """Stores a plain record under its key, or without one a new one; a refused form is shown again."""
    form = await typed(request)
    async with shown_again(lambda wrong: show(request, {**form, "id": key}, wrong)):
        await plain.save(hall_of(request), of, form, key)
    return stored(path)


async def removed(request: Request, of: Plain[K], key: str, show: Showing, path: str) -> Response:
    """Removes a plain record and offers to put it back; `path` is the page that shows its kind."""
    async with shown_again(lambda wrong: show(request, {}, wrong)):
        with following(path) as way:
            gone = await plain.remove(hall_of(request), of, key)
    return show(request, {}, undo=undo_of(gone.name, way))


async def moved(request: Request, of: Plain[K], key: str, show: Callable[[Undo], Response], path: str) -> Response:
    """Moves a plain record up or down, and offers to move it back; `path` lists its kind."""
    by = step_of(await typed(request))
    with following(path) as way:
        name = await plain.move(hall_of(request), of, key, by)
    return show(undo_of_move(name, way, by)) if name else stored(path)


def in_path(key: str) -> str:
    """An id inside an address."""
    return quote(key, safe="")


def step_of(typed: Typed) -> int:
    """Which way a move button moves: -1 up, 1 down."""
    return -1 if typed.get("to") == "up" else 1
