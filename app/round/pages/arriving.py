"""What a gym's laptop sends to headquarters' server: its key's binding, a digest, the file, where its films are."""

from collections.abc import Callable
from hashlib import sha256
from typing import TypeVar

from fastapi import Request
from fastapi.responses import JSONResponse, Response
from starlette.concurrency import run_in_threadpool

from app.hall.hall import Hall
from app.round.at_hand import at_hand
from app.round.headquarters import Headquarters
from app.round.kept_records import NoRound
from app.round.taking.arriving import (
    Given,
    given_for,
    promise_in,
    refuse_unpromised,
    take_binding,
    take_file,
    take_films,
    take_promise,
    wanted_pieces,
)
from app.round.taking.coming_in import Coming, in_turn, spaces_of, spooled
from app.rules.round.kit import BadKit
from app.web.crowd import outside_the_gate
from app.web.pages import hall_of
from app.web.rows import Rows
from app.web.shapes import TEXT, TRUTH, WHOLE, an_object, many
from app.web.who import EVERYBODY

routes = Rows(dependencies=EVERYBODY)
T = TypeVar("T")
RECEIPTS = an_object(receipts=many(TEXT), wanted=TRUTH)


@routes.post(
    "/round/binding",
    record=("ruling", "Bind the key of a gym that sent it"),
    answers=an_object(bound=TEXT),
    takes_kb=4,
    even_so=True,
)
async def binding(request: Request) -> Response:
    """Binds a gym's key, by the file that its slip made; the answer names that by its SHA-256."""
    data = await request.body()
    await _done(request, lambda headquarters, now_ms: take_binding(headquarters, data, now_ms))
    return JSONResponse({"bound": sha256(data).hexdigest()})


@routes.post("/round/promise", record=("ruling", "Take a digest that a gym sent"), answers=RECEIPTS, takes_kb=4, even_so=True)
async def promise(request: Request) -> Response:
    """Takes the digest of a hand-in, and answers with the receipts for it."""
    data = await request.body()
    found = await _together(request, lambda hall: promise_in(hall, data))
    if isinstance(found, Given):
        return _told(found)
    async with outside_the_gate():  # the one who writes does so for all who wait
        given = await _together(request, lambda hall: take_promise(hall, found, data))
    return _told(given)


@routes.post(
    "/round/hand-in/{digest}",
    record=("file", "Take the file of a hand-in that a gym sent"),
    answers=RECEIPTS,
    takes_mb=129,
    even_so=True,
)
async def hand_in(request: Request, digest: str) -> Response:
    """Takes the file whose digest was promised, behind what its gym's key signed about its pieces, and answers with the receipts
    for it. Nothing is read of one that is here."""
    given = await _done(request, lambda headquarters, _: given_for(headquarters, digest))
    if not given.wanted:
        return _told(given)
    try:
        coming = Coming(request.stream())
        signed = await coming.pieces()
        wanted = await _done(request, lambda headquarters, _: wanted_pieces(headquarters, digest, signed))
        hall = hall_of(request)
        async with spooled(coming, wanted, spaces_of(hall.database).coming) as file:
            return _told(await in_turn(hall, file, wanted.bytes, lambda data, now: take_file(hall, digest, data, now)))
    except BadKit as wrong:
        raise NoRound(str(wrong)) from None


@routes.get("/round/hand-in/{digest}", answers=RECEIPTS)
async def receipts(request: Request, digest: str) -> Response:
    """The receipts that were given for a hand-in, for whoever knows its digest; wanted: its file is not here."""
    return _told(await _done(request, lambda headquarters, _: given_for(headquarters, digest)))


@routes.post(
    "/round/hand-in/{digest}/films",
    record=("file", "Keep where a gym's films are"),
    answers=an_object(films=WHOLE),
    takes_mb=2,
    even_so=True,
)
async def films(request: Request, digest: str) -> Response:
    """Keeps where a gym's films are, of a hand-in whose digest was promised."""
    await _done(request, lambda headquarters, _: refuse_unpromised(headquarters, digest))
    data = await request.body()
    return JSONResponse({"films": await _done(request, lambda headquarters, _: take_films(headquarters, data))})


def _told(given: Given) -> Response:
    told = {"receipts": [one.decode() for one in given.receipts], "wanted": given.wanted}
    return JSONResponse(told, headers={"Cache-Control": "no-store"})


async def _done(request: Request, do: Callable[[Headquarters, int], T]) -> T:
    def act(hall: Hall) -> T:
        with at_hand(hall) as headquarters:
            return do(headquarters, hall.time.wall_ms())

    return await _together(request, act)


async def _together(request: Request, do: Callable[[Hall], T]) -> T:
    """Does what asks for the headquarters by itself, so that others are not held up longer than they must be."""
    try:
        return await run_in_threadpool(do, hall_of(request))
    except BadKit as wrong:
        raise NoRound(str(wrong)) from None
