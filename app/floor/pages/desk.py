"""The desk: the day, the heat at hand and its GO, what needs a person; live by server-sent events."""

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable
from functools import partial
from urllib.parse import quote

from fastapi import Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from app.floor import carrying, timing
from app.floor.floor import day
from app.hall import hand_clock
from app.hall.day_list import DayList, day_list
from app.hall.forms import BadForm, Typed
from app.hall.hall import Hall
from app.live.presence import closing_with
from app.plan.running import running
from app.rules.records.document import Run
from app.rules.records.moves import IllegalMove
from app.rules.records.rulings import Ruling
from app.web.lines import caller_of
from app.web.pages import hall_of, page, wants_page
from app.web.rows import Rows
from app.web.setup_parts import NAMED_AT
from app.web.shapes import SENTENCE
from app.web.streams import BEAT, Stream, turns
from app.web.typed import typed
from app.web.who import Desk, Who

routes = Rows()

NEWS_EVERY_S = 0.4  # least time between two looks: nobody reads faster
NEWS = b"event: desk\ndata: {}\n\n"

Act = Callable[[Hall, str, Typed], Awaitable[Run | Ruling]]


@routes.get("/desk")
async def desk_page(request: Request, who: Desk, heat: str = "") -> Response:
    """The desk's page. `heat` is the heat to have at hand; without it, the one whose turn it is."""
    if hall_of(request).projection.roster is None:
        return RedirectResponse(NAMED_AT, 303)
    return _day(request, heat)


@routes.get("/desk/floor", piece=True)
async def floor(request: Request, who: Desk, heat: str = "") -> Response:
    """The desk's page without its frame, for a refresh."""
    return _floor(request, heat)


@routes.post("/desk/heats/{heat_id}/go", record=("heat", "Give a heat its GO"), answers=SENTENCE)
async def go(request: Request, who: Desk, heat_id: str) -> Response:
    """Gives a heat its GO, some seconds ahead."""
    return await _moved(request, timing.go, heat_id)


@routes.post("/desk/heats/{heat_id}/abort", record=("heat", "Abort a heat"), answers=SENTENCE, even_so=True)
async def abort(request: Request, who: Desk, heat_id: str) -> Response:
    """Stops a heat, for a reason."""
    return await _moved(request, timing.abort, heat_id)


@routes.post("/desk/heats/{heat_id}/restart", record=("heat", "Restart a heat"), answers=SENTENCE)
async def restart(request: Request, who: Desk, heat_id: str) -> Response:
    """Stops a heat's run and gives it a new GO."""
    return await _moved(request, timing.restart, heat_id)


@routes.post("/desk/heats/{heat_id}/hold", record=("heat", "Hold a heat"), answers=SENTENCE, even_so=True)
async def hold(request: Request, who: Desk, heat_id: str) -> Response:
    """Lets a heat's clock stand."""
    return await _moved(request, timing.hold, heat_id)


@routes.post("/desk/heats/{heat_id}/go-on", record=("heat", "Resume a held heat"), answers=SENTENCE)
async def go_on(request: Request, who: Desk, heat_id: str) -> Response:
    """Lets a held heat's clock go on, some seconds ahead."""
    return await _moved(request, timing.go_on, heat_id)


@routes.post("/desk/lanes/{assignment}/shift", record=("heat", "Shift a lane that was started by hand"), answers=SENTENCE)
async def shift(request: Request, who: Desk, assignment: str) -> Response:
    """Moves what a lane's judge marked by a clock started by hand."""

    async def act(hall: Hall, heat_id: str, form: Typed) -> Ruling:
        return await hand_clock.shift(hall, assignment, form)

    place = hall_of(request).projection.place_of(assignment)
    return await _moved(request, act, place.heat.id if place else "")


@routes.post(
    "/desk/heats/{heat_id}/clock", record=("heat", "Set the clock of a heat from before the server started"), answers=SENTENCE
)
async def clock(request: Request, who: Desk, heat_id: str) -> Response:
    """Sets the clock of a heat whose GO was given before this computer was started, or on another."""
    return await _moved(request, carrying.decide, heat_id)


@routes.post("/desk/heats/{heat_id}/close", record=("heat", "Close a heat early"), answers=SENTENCE)
async def close(request: Request, who: Desk, heat_id: str) -> Response:
    """Ends a running heat before its last bell."""
    return await _moved(request, timing.close, heat_id)


async def _moved(request: Request, act: Act, heat_id: str) -> Response:
    """A refused move answers the desk as it stands, with the sentence: 422 for a bad form, 409 for what is not legal now."""
    refused, status = "", 200
    form = await typed(request) if request.headers.get("content-type") else {}  # a bare POST means the usual
    try:
        await act(hall_of(request), heat_id, form)
    except BadForm as wrong:
        refused, status = str(wrong), 422
    except IllegalMove as wrong:
        refused, status = str(wrong), 409
    if request.headers.get("hx-request"):
        return _floor(request, heat_id, refused, status)
    if not wants_page(request):
        return JSONResponse({"sentence": refused}, status_code=status)
    return _day(request, heat_id, refused, status) if refused else RedirectResponse(f"/desk?heat={quote(heat_id)}", 303)


@routes.get("/desk/stream")
async def stream(request: Request, who: Desk) -> Stream:
    """Says when to look again. What there is to see comes with the fragment, so nothing is ever missed."""
    return Stream(request, _news(hall_of(request), who), "desk")


async def _news(hall: Hall, who: Who) -> AsyncIterator[bytes]:
    with hall.hub.subscribe("desk", most=1) as news, closing_with(hall.presence, who.device_id, news):
        async for heard in turns(news):
            if not heard:
                yield BEAT
                continue
            yield NEWS
            await asyncio.sleep(NEWS_EVERY_S)


def _day(request: Request, heat: str, refused: str = "", status: int = 200) -> Response:
    hall = hall_of(request)
    late = running(hall).words
    asks_after = _asks_after(request)
    view = day(hall, heat)
    views = {"view": view, "wanted": heat, "refused": refused, "late": late, "asks_after": asks_after}
    return page(request, "floor/day.html", status=status, day_list=_day_list(hall), **views)


def _asks_after(request: Request) -> int | None:
    """After how many ms untouched the page asks before a GO; None at this computer: nothing delays one that is due."""
    minutes = hall_of(request).settings.go_asks_minutes
    _, here = caller_of(request.scope)
    return None if here or not minutes else round(minutes * 60_000)


def _floor(request: Request, heat: str, refused: str = "", status: int = 200) -> HTMLResponse:
    hall = hall_of(request)
    views = {"view": day(hall, heat), "wanted": heat, "refused": refused, "late": running(hall).words}
    answer = page(request, "floor/floor.html", status=status, day_list=_day_list(hall), **views)
    answer.headers["Cache-Control"] = "no-store"
    return answer


def _day_list(hall: Hall) -> Callable[[], DayList]:
    """The list of the day as it is now, seen from the desk, of which the fragment is a part."""
    return partial(day_list, hall, "/desk")
