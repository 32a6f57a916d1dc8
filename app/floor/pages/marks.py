"""POST /marks: the ledger's door for other clients, and for tablets whose own line fails. A plain route with a fast decoder."""

from typing import Any

import msgspec
from starlette.requests import ClientDisconnect, Request
from starlette.responses import JSONResponse, Response

from app.floor.taking import UNREADABLE, read_body, take
from app.rules.records.marks import MOST_MARKS
from app.web import roles
from app.web.roles import wears
from app.web.rows import Rows, Says
from app.web.shapes import MARK, TEXT, WHOLE, an_object, by_name, many
from app.web.who import NOT_PAIRED, desk_or_none, head_or_none, lane_or_none

routes = Rows(at_once=True)

JSON = "application/json"
NOT_JSON = "Marks are sent as JSON: the content type is application/json."
NOT_KEPT = {"cache-control": "no-store"}


SENT = an_object(marks=many(MARK) | {"maxItems": MOST_MARKS})
REFUSED = an_object(epoch={"type": ["integer", "null"]}, seq={"type": ["integer", "null"]}, sentence=TEXT)
HELD = {"device": TEXT, "held": by_name(WHOLE), "before": by_name(by_name(WHOLE))}
RECEIVED = {"type": ["object", "null"]}  # null: not taken, or it is not known any more
RECEIPT = an_object(boot=TEXT, **HELD, refused=many(REFUSED), doubled=many(REFUSED), aside=TEXT, receipts=many(RECEIVED))


_encoder = msgspec.json.Encoder()


@routes.plain("/marks", "POST", Says(takes=SENT, answers=RECEIPT, quick=True))
@wears(roles.LEDGER)
async def take_marks(request: Request) -> Response:
    """Stores a tablet's marks and answers, after the commit, with what is held and what was refused."""
    kind = request.headers.get("content-type", "")
    if kind != JSON and kind.partition(";")[0].strip().lower() != JSON:
        return _sentence(415, NOT_JSON)
    # A browser may be a lane's tablet and the desk at once: the page that marks from a film is the desk's, or the head judge's.
    if request.scope["query_string"] and request.query_params.get("seat") == "desk":
        who = await head_or_none(request)
    else:
        who = await lane_or_none(request) or await desk_or_none(request)
    if who is None:
        return _sentence(401, NOT_PAIRED)

    async def read() -> list[Any]:
        return read_body(await request.body())

    again = bool(request.scope["query_string"]) and request.query_params.get("again") == "1"  # the desk held them before
    try:
        told = await take(request.app.state.hall, who, read, again)
    except ClientDisconnect:  # a tablet lost its network in mid-sentence: nothing was stored, and it sends again
        return _sentence(400, UNREADABLE)
    more = {"retry-after": str(told.retry_s)} if told.retry_s else {}
    return Response(_encoder.encode(told.said), told.status, NOT_KEPT | more, JSON)


def _sentence(status: int, text: str) -> Response:
    return JSONResponse({"sentence": text}, status_code=status, headers=NOT_KEPT)
