"""Check-in at the door, for several volunteers at once on phones and tablets: the list, one athlete's card, ways back."""

from urllib.parse import urlencode

from fastapi import Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from app.hall.forms import BadForm, Reading, Typed
from app.hall.lists import Undo
from app.people.checkin import Door, door, see
from app.people.checkin_card import card, save_card
from app.web.pages import hall_of, page
from app.web.refused import Wrong, form_of, shown_again
from app.web.rows import Rows
from app.web.setup_parts import NAMED, Desk, in_path, setup_page
from app.web.typed import typed
from app.web.who import Who, is_secure

routes = Rows(dependencies=NAMED)
HERE = "/desk/checkin"
NAME_COOKIE = "ll_door"  # who stands at this door; not a secret and no proof, a name beside what was seen
NAME_SECONDS = 20 * 3600


@routes.get(HERE)
async def checkin_page(request: Request, who: Desk, q: str = "", show: str = "") -> Response:
    """The list, found by name, club or entry."""
    return await _list(request, who, q, show)


@routes.get("/desk/checkin/list", piece=True)
async def checkin_list(request: Request, who: Desk, q: str = "", show: str = "") -> Response:
    """The list without its frame, for a refresh."""
    return _rows(request, await door(hall_of(request), q, show), q, show)


@routes.post("/desk/checkin/name", record=("entry", "Enter the name at the door"))
async def name_volunteer(request: Request, who: Desk) -> Response:
    """Keeps the name of whoever stands at this door, on this browser."""
    read = Reading(await typed(request))
    name = read.optional("by", "Your name", 60)
    if read.problems:
        return await _list(request, who, "", "", BadForm(read.problems))
    back = RedirectResponse(HERE, 303)
    back.set_cookie(
        NAME_COOKIE,
        name.encode().hex(),
        max_age=NAME_SECONDS,
        path=HERE,
        httponly=True,
        samesite="lax",
        secure=is_secure(request),
    )
    return back


@routes.post("/desk/checkin/{key}/seen", record=("entry", "Check in an athlete or a waiver"))
async def note_seen(request: Request, who: Desk, key: str) -> Response:
    """Notes that somebody is here, or a waiver was seen, or takes that back."""
    form = await typed(request)
    q, show = form.get("q", ""), form.get("show", "")
    async with shown_again(lambda wrong: _list(request, who, q, show, wrong)):
        await see(hall_of(request), key, form.get("what", ""), form.get("yes") == "yes", _by(request, who))
    if request.headers.get("hx-request"):
        return _rows(request, await door(hall_of(request), q, show), q, show)
    return RedirectResponse(f"{HERE}?{urlencode({'q': q, 'show': show})}#at-{in_path(key)}", 303)


@routes.get("/desk/checkin/{key}")
async def card_page(request: Request, who: Desk, key: str) -> Response:
    """One athlete's card."""
    return await _card(request, key, {})


@routes.post("/desk/checkin/{key}", record=("entry", "Save what was measured at the door"))
async def store_card(request: Request, who: Desk, key: str) -> Response:
    """Stores what was changed on a card, and offers to put it back."""
    form = await typed(request)
    async with shown_again(lambda wrong: _card(request, key, form, wrong)):
        before = await save_card(hall_of(request), key, form, _by(request, who))
    back = {**before, **{f"sure-{name}": text for name, text in before.items()}}
    undo = Undo("The changes are saved.", f"{HERE}/{in_path(key)}", tuple(back.items())) if before else None
    return await _card(request, key, {}, undo=undo)


def _by(request: Request, who: Who) -> str:
    """The volunteer's name, as far as this browser knows it."""
    try:
        name = bytes.fromhex(request.cookies.get(NAME_COOKIE, "")[:400]).decode()
    except ValueError:
        name = ""
    read = Reading({"by": name})
    kept = read.optional("by", "The name", 60)
    return (kept if not read.problems else "") or who.name or "the desk"


def _rows(request: Request, view: Door, q: str, show: str) -> HTMLResponse:
    return page(request, "people/checkin_list.html", door=view, q=q, show=show)


async def _list(request: Request, who: Who, q: str, show: str, wrong: Wrong | None = None) -> Response:
    view = await door(hall_of(request), q, show)
    views = {"form": form_of({"q": q, "by": _by(request, who)}, wrong), "door": view, "q": q, "show": show}
    return setup_page(request, "people/checkin.html", HERE, "Check-in", wrong, **views)


async def _card(request: Request, key: str, form: Typed, wrong: Wrong | None = None, undo: Undo | None = None) -> Response:
    view = await card(hall_of(request), key)
    shown = form_of({**view.stored, **form}, wrong)
    return setup_page(request, "people/checkin_card.html", HERE, view.name, wrong, form=shown, card=view, undo=undo)
