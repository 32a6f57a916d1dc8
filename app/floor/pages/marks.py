"""POST /marks: the ledger's door. A plain route with a fast decoder, because every mark of every lane comes through it."""

import json
from typing import Any

import msgspec
from starlette.requests import ClientDisconnect, Request
from starlette.responses import JSONResponse, Response

from app.floor.judging import TooManyMarks, record_marks
from app.floor.pacing import TooFast, keep_pace
from app.rules.records.marks import MOST_MARKS
from app.store.writer import StoreTrouble
from app.web import roles
from app.web.roles import wears
from app.web.rows import Rows, Says
from app.web.shapes import MARK, TEXT, WHOLE, an_object, by_name, many
from app.web.who import NOT_PAIRED, desk_or_none, head_or_none, lane_or_none

routes = Rows(at_once=True)

JSON = "application/json"
NOT_JSON = "Marks are sent as JSON: the content type is application/json."
UNREADABLE = 'The marks could not be read. They are JSON of the form {"marks": [ … ]}.'


SENT = an_object(marks=many(MARK) | {"maxItems": MOST_MARKS})
REFUSED = an_object(epoch={"type": ["integer", "null"]}, seq={"type": ["integer", "null"]}, sentence=TEXT)
HELD = {"device": TEXT, "held": by_name(WHOLE), "before": by_name(by_name(WHOLE))}
RECEIPT = an_object(boot=TEXT, **HELD, refused=many(REFUSED), doubled=many(REFUSED), aside=TEXT)


class Body(msgspec.Struct):
    """What a tablet sends."""

    marks: list[Any]


class BadBody(ValueError):
    """Raised when a body is not JSON of the form {"marks": [ … ]}; its text is the sentence to show."""


_decoder = msgspec.json.Decoder(Body)
_encoder = msgspec.json.Encoder()


@routes.plain("/marks", "POST", Says(takes=SENT, answers=RECEIPT, as_it_is=True, quick=True))
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
    try:
        await keep_pace(request.app.state.hall, who)
        raw_marks = read_body(await request.body())
        again = bool(request.scope["query_string"]) and request.query_params.get("again") == "1"  # the desk held them before
        answer = await record_marks(request.app.state.hall, who, raw_marks, again)
    except BadBody as wrong:
        return _sentence(400, str(wrong))
    except ClientDisconnect:  # a tablet lost its network in mid-sentence: nothing was stored, and it sends again
        return _sentence(400, UNREADABLE)
    except TooManyMarks as wrong:
        return _sentence(413, str(wrong))
    except TooFast as wrong:
        return _later(wrong)
    except StoreTrouble as wrong:
        return _sentence(503, str(wrong))
    return Response(_encoder.encode(answer.plain()), media_type=JSON, headers={"cache-control": "no-store"})


def read_body(body: bytes) -> list[Any]:
    """The raw marks in a body. Raises BadBody.

    What the fast decoder can't read is tried again with the lenient one, so that one mark with half a character or a number
    out of range is refused by itself and does not hold up the others.
    """
    try:
        return _decoder.decode(body).marks
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError):
        pass
    try:
        read = json.loads(body.decode("utf-8"))
    except (ValueError, RecursionError):
        raise BadBody(UNREADABLE) from None
    marks = read.get("marks") if isinstance(read, dict) else None
    if not isinstance(marks, list):
        raise BadBody(UNREADABLE)
    return marks


def _later(wrong: TooFast) -> Response:
    """What a device is told that has to wait: the sentence, and in how many seconds it may come again."""
    answer = {"sentence": str(wrong), "retry_s": wrong.wait_s}
    return JSONResponse(answer, status_code=429, headers={"cache-control": "no-store", "retry-after": str(wrong.wait_s)})


def _sentence(status: int, text: str) -> Response:
    return JSONResponse({"sentence": text}, status_code=status, headers={"cache-control": "no-store"})
