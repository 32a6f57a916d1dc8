"""A reviewer's page, behind a link of their own: the next film, what to look at, sealing. It holds no claim and no other look."""

from collections.abc import Callable

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from app.hall.doing import done_to
from app.hall.forms import BadForm, Typed
from app.hall.hall import Hall
from app.round.at_hand import at_hand
from app.round.film_list import kept_films
from app.round.headquarters import Headquarters
from app.round.kept_records import NoRound
from app.round.look_form import filled
from app.round.look_view import reviewer_page
from app.round.looks import give_back, next_look, open_look, reviewer_of, seal_sheet, sheet_of
from app.web.doors import content_policy
from app.web.pages import hall_of, page
from app.web.refused import Wrong, form_of, shown_again, status_of
from app.web.rows import Rows
from app.web.typed import typed
from app.web.who import LINK_HOLDER

routes = Rows(dependencies=LINK_HOLDER)
Act = Callable[[Headquarters, str, int], None]
NONE_OPEN = "You have no look open. What was typed was not sealed: its time was over, or it was sealed already."


@routes.get("/look/{token}")
async def look_page(request: Request, token: str) -> Response:
    """The look that is open, or a button for the next."""
    return await _page(request, token, {})


@routes.post("/look/{token}/next", record=("ruling", "Take a look at a film"), takes_kb=4)
async def take_next(request: Request, token: str) -> Response:
    """Gives the reviewer the next film; its time begins now."""

    def act(headquarters: Headquarters, reviewer: str, now_ms: int) -> None:
        headquarters.go_on(now_ms)
        next_look(headquarters, reviewer, kept_films(headquarters.data), now_ms)

    return await _done(request, token, {}, act)


@routes.post("/look/{token}/back", record=("ruling", "Give a look back"), takes_kb=4)
async def back(request: Request, token: str) -> Response:
    """Gives the film back, for somebody else."""
    return await _done(request, token, {}, give_back)


@routes.post("/look/{token}/seal", record=("ruling", "Seal a look"), takes_kb=16)
async def seal(request: Request, token: str) -> Response:
    """Seals what the reviewer saw, for ever."""
    form = await typed(request)

    def act(headquarters: Headquarters, reviewer: str, now_ms: int) -> None:
        look = open_look(headquarters.state, reviewer)
        if look is None or look.offer.look != form.get("look"):
            raise NoRound(NONE_OPEN)
        blank = sheet_of(headquarters.state, look, kept_films(headquarters.data))
        seal_sheet(headquarters, filled(blank, form), now_ms)
        headquarters.go_on(now_ms)

    return await _done(request, token, form, act)


async def _done(request: Request, token: str, form: Typed, act: Act) -> Response:
    """Does something as the reviewer whose link it is, and goes back to their page."""
    async with shown_again(lambda wrong: _page(request, token, form, wrong), (BadForm, NoRound)):
        await run_in_threadpool(_act, hall_of(request), token, act)
    return RedirectResponse(f"/look/{token}", 303)


def _act(hall: Hall, token: str, act: Act) -> None:
    with at_hand(hall) as headquarters:
        reviewer = reviewer_of(headquarters, token)
        done_to(headquarters.state.reviewers[reviewer].name)
        act(headquarters, reviewer, hall.time.wall_ms())


async def _page(request: Request, token: str, form: Typed, wrong: Wrong | None = None) -> Response:
    hall = hall_of(request)

    def read() -> object:
        with at_hand(hall) as headquarters:
            return reviewer_page(headquarters, reviewer_of(headquarters, token), hall.time.wall_ms())

    view = await run_in_threadpool(read)
    answer = page(request, "round/look.html", status=status_of(wrong), view=view, token=token, form=form_of(form, wrong))
    answer.headers["Content-Security-Policy"] = content_policy(request.headers.get("host", ""), films=True)
    answer.headers["Cache-Control"] = "no-store"  # whoever has the link needs no session, by which other pages are kept by nobody
    return answer
