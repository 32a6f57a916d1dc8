"""The head judge's pages: the queue of flags, one dispute at a time, what a ruling would do before it is made."""

from urllib.parse import quote, urlencode

from fastapi import Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from app.hall.forms import BadForm, Typed
from app.hall.hall import Hall
from app.hall.signed import signed_note
from app.review import ruling
from app.review.disputes import dispute, outcome, queue
from app.review.pages.name import name_of, remember_name
from app.review.what_if import Effect
from app.web.pages import hall_of, page
from app.web.refused import Wrong, shown_again
from app.web.rows import Rows
from app.web.setup_parts import NAMED_AT, just_done, said_once, stored
from app.web.typed import typed
from app.web.who import Head

routes = Rows()


@routes.get("/review")
def review(request: Request, who: Head) -> Response:
    """The queue of what waits for the head judge."""
    if hall_of(request).projection.roster is None:
        return RedirectResponse(NAMED_AT, 303)
    return page(request, "review/queue.html", here="/review", view=queue(hall_of(request)))


@routes.get("/review/lanes/{assignment}")
def lane(request: Request, who: Head, assignment: str, flag: str = "", made: str = "") -> Response:
    """One dispute; the query may hold a ruling put together by hand, whose effect is shown."""
    form = {name: value for name, value in request.query_params.items() if name not in ("flag", "made")}
    return said_once(request, _dispute(request, assignment, flag, form, made=made if just_done(request) else ""))


@routes.post("/review/lanes/{assignment}/rule", record=("ruling", "Make a ruling"))
async def rule(request: Request, who: Head, assignment: str) -> Response:
    """Makes the ruling that was chosen."""
    form = await typed(request)
    async with shown_again(lambda wrong: _dispute(request, assignment, form.get("flag", ""), form, wrong), BadForm):
        made = await ruling.rule(hall_of(request), form)
    return _back(request, assignment, form, ",".join(one.id for one in made if one.kind != "flag"))


@routes.post("/review/lanes/{assignment}/flag", record=("ruling", "Settle a flag"))
async def settle(request: Request, who: Head, assignment: str) -> Response:
    """Settles a flag with nothing changed, or sets it aside."""
    form = await typed(request)
    async with shown_again(lambda wrong: _dispute(request, assignment, form.get("flag", ""), form, wrong), BadForm):
        await ruling.set_aside(hall_of(request), form)
    return _back(request, assignment, form)


@routes.post("/review/lanes/{assignment}/undo/{ruling_id}", record=("ruling", "Take a ruling back"))
async def undo(request: Request, who: Head, assignment: str, ruling_id: str) -> Response:
    """Takes a ruling back by another."""
    form = await typed(request)
    async with shown_again(lambda wrong: _dispute(request, assignment, form.get("flag", ""), form, wrong), BadForm):
        made = await ruling.take_back(hall_of(request), ruling_id, form)
    return _back(request, assignment, form, made.id)


def _back(request: Request, assignment: str, form: Typed, made: str = "") -> Response:
    query = {name: value for name, value in (("flag", form.get("flag", "")), ("made", made or "flag")) if value}
    answer = stored(f"/review/lanes/{quote(assignment)}?{urlencode(query)}")
    remember_name(request, answer, form.get("by", ""))
    return answer


def _dispute(
    request: Request, assignment: str, flag: str, form: Typed, wrong: Wrong | None = None, made: str = ""
) -> HTMLResponse:
    hall = hall_of(request)
    known = {"by": name_of(request), **form}
    view = dispute(hall, assignment, flag, known, wrong.problems if isinstance(wrong, BadForm) else ())
    status = 422 if wrong or view.form.problems else 200
    done = _outcome(hall, assignment, made)
    views = {"view": view, "flag": flag, "done": done, "made": made, "signed_note": signed_note(hall, assignment)}
    return page(request, "review/dispute.html", status=status, here="/review", **views)


def _outcome(hall: Hall, assignment: str, made: str) -> Effect | None:
    ids = set(made.split(","))
    rulings = [one for one in hall.projection.rulings if one.id in ids]
    place = hall.projection.place_of(assignment)
    return outcome(hall, place, rulings) if rulings and place else None
