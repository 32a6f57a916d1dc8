"""An entry's own page, behind its link: what it claims, what became of it, its appeal."""

from collections.abc import Callable

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from app.hall.forms import BadForm, Typed
from app.hall.hall import Hall
from app.round.at_hand import at_hand
from app.round.entries import Claimant, Draft, answer, appeal, claim_in, claimant_of, draft, take_claim
from app.round.entry_view import EntryPage, entry_page
from app.round.headquarters import Headquarters
from app.round.kept_records import Took
from app.store.refusals import NotThere, Refusal
from app.web.crowd import outside_the_gate
from app.web.pages import hall_of, page
from app.web.refused import Wrong, form_of, shown_again, status_of
from app.web.rows import ONLY_LOOKS, Rows
from app.web.typed import typed
from app.web.who import LINK_HOLDER

routes = Rows(dependencies=LINK_HOLDER)
Act = Callable[[Headquarters, Claimant, int], Took | None]


@routes.get("/claim/{token}")
async def claim_page(request: Request, token: str) -> Response:
    """What is claimed, and what became of it."""
    return await _page(request, token, {})


@routes.post("/claim/{token}/look", record=ONLY_LOOKS, takes_kb=16)
async def check(request: Request, token: str) -> Response:
    """Shows whether a claim is complete, before it goes."""
    form, hall = await typed(request), hall_of(request)

    def read() -> Draft:
        with at_hand(hall) as headquarters:
            return draft(headquarters, claimant_of(headquarters, token), form)

    async with shown_again(lambda wrong: _page(request, token, form, wrong), (BadForm, Refusal)):
        made = await run_in_threadpool(read)
    return await _page(request, token, form, made=made)


@routes.post("/claim/{token}/send", record=("ruling", "Send a claim by an entry's own link"), takes_kb=16, even_so=True)
async def send_claim(request: Request, token: str) -> Response:
    """Takes a claim, and answers with its receipt's number."""
    form, hall = await typed(request), hall_of(request)
    async with shown_again(lambda wrong: _page(request, token, form, wrong), (BadForm, Refusal)):
        made, act = await run_in_threadpool(claim_in, hall, token, form)
        async with outside_the_gate():  # the one who writes does so for all who wait
            took = await run_in_threadpool(take_claim, hall, made, act)
    return _after(token, took)


def _after(token: str, took: Took | None) -> Response:
    return RedirectResponse(f"/claim/{token}{f'?receipt={took.number}' if took else ''}", 303)


@routes.post("/claim/{token}/appeal", record=("ruling", "Appeal by an entry's own link"), takes_kb=16, even_so=True)
async def file_appeal(request: Request, token: str) -> Response:
    """Files an appeal."""
    form = await typed(request)
    return await _act(request, token, form, lambda hq, who, now: appeal(hq, who, form, now))


@routes.post("/claim/{token}/answer", record=("ruling", "Answer an invitation by an entry's own link"), takes_kb=4, even_so=True)
async def say_whether(request: Request, token: str) -> Response:
    """Says whether the entry comes; who declines makes room for the next at once."""
    form = await typed(request)

    def act(headquarters: Headquarters, who: Claimant, now_ms: int) -> None:
        answer(headquarters, who, form, now_ms)
        headquarters.go_on(now_ms)

    return await _act(request, token, form, act)


async def _act(request: Request, token: str, form: Typed, act: Act) -> Response:
    def do(hall: Hall) -> None:
        with at_hand(hall) as headquarters:
            act(headquarters, claimant_of(headquarters, token), hall.time.wall_ms())

    return await _done(request, token, form, do)


async def _done(request: Request, token: str, form: Typed, do: Callable[[Hall], Took | None]) -> Response:
    async with shown_again(lambda wrong: _page(request, token, form, wrong), (BadForm, Refusal)):
        took = await run_in_threadpool(do, hall_of(request))
    return _after(token, took)


async def _page(request: Request, token: str, form: Typed, wrong: Wrong | None = None, made: Draft | None = None) -> Response:
    hall = hall_of(request)
    if isinstance(wrong, NotThere):
        raise wrong

    def read() -> EntryPage:
        with at_hand(hall) as headquarters:
            who, asked = claimant_of(headquarters, token), request.query_params.get("receipt", "")
            number = int(asked) if asked.isascii() and asked.isdecimal() and len(asked) < 10 else 0
            return entry_page(headquarters, who, hall.time.wall_ms(), number)

    views = {"view": await run_in_threadpool(read), "token": token, "form": form_of(form, wrong), "made": made}
    answer = page(request, "round/claim.html", status=status_of(wrong), **views)
    answer.headers["Cache-Control"] = "no-store"  # whoever has the link needs no session, by which other pages are kept by nobody
    return answer
