"""The round for everybody: its heads, the published standing, and the proof of a line."""

from fastapi import Request
from fastapi.responses import JSONResponse, Response
from starlette.concurrency import run_in_threadpool

from app.round.at_hand import at_hand
from app.round.public_view import PublicRound, public_round
from app.rules.round.authority import authority_plain
from app.rules.round.moves import PUBLISHED, SIGNED
from app.rules.round.proving import BadProof, prove
from app.store.refusals import NotThere
from app.web.pages import hall_of, page
from app.web.rows import Rows
from app.web.shapes import OBJECT, TEXT, an_object, by_name
from app.web.who import EVERYBODY

routes = Rows(dependencies=EVERYBODY)
NOT_YET = "Lines are proven once the standing is published."


@routes.get("/round")
async def round_page(request: Request) -> Response:
    """The round as it is published."""
    hall = hall_of(request)

    def read() -> PublicRound:
        with at_hand(hall) as headquarters:
            return public_round(headquarters)

    return page(request, "round/public.html", view=await run_in_threadpool(read))


@routes.get("/round/authority.json", answers=by_name(OBJECT))
async def authority(request: Request) -> Response:
    """Who may say which record of a round, and when."""
    return JSONResponse(authority_plain())


@routes.get("/round/proof/{event}/{entry}.json", answers=an_object(file=TEXT, line=TEXT))
async def proof(request: Request, event: str, entry: str) -> Response:
    """The proof that a line stood on the roll, to be checked against its published root."""
    hall, number = hall_of(request), int(entry) if entry.isascii() and entry.isdecimal() and len(entry) < 10 else 0

    def read() -> bytes:
        with at_hand(hall) as headquarters:
            if headquarters.state.stage not in (PUBLISHED, SIGNED):
                raise NotThere(NOT_YET)
            try:
                return prove(headquarters.state, (number, event))
            except BadProof as wrong:
                raise NotThere(str(wrong)) from None

    return Response(await run_in_threadpool(read), media_type="application/json")
