"""The server: the only place where the parts are wired together."""

import asyncio
import logging
from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from functools import partial

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect
from starlette.responses import Response
from starlette.routing import Mount, Route

from app.elsewhere import Elsewhere
from app.floor.pages import lane
from app.floor.pages.marks import take_marks
from app.hall.hall import Hall
from app.keep.backups import keep_backing_up
from app.lan.secure import Secure
from app.live.hub import Hub
from app.live.presence import Presence
from app.live.projection import Projection
from app.live.relay import Relay
from app.live.servertime import ServerTime
from app.rules.records.marks import Mark
from app.settings import Settings
from app.store.database import Database
from app.store.ledger import Ledger, stored
from app.store.writer import StoreTrouble
from app.watch.pages import board
from app.web import assets, pages
from app.web.acts import Recorded
from app.web.crowd import Crowd
from app.web.doors import add_doors
from app.web.fresh import Fresh
from app.web.later import Pages
from app.web.quick import QuickWay
from app.web.refused import tell_refusals
from app.web.streams import places

log = logging.getLogger(__name__)

SENTENCES = {
    404: "There is no such page here. Go back, or start from the board.",
    405: "That can't be done at this address.",
}

# Judges and the public need these from the first moment.
AT_ONCE = (board.routes, lane.routes)

# Loaded when one of their pages is first asked for: by module of app.web, and under which addresses its pages lie. In this order;
# of two that take the same address the earlier one has it.
ON_DEMAND = {
    "watch.pages.clock": ("/clock",),
    "keep.pages.health": ("/health",),
    "results.pages.results": ("/results", "/results.json", "/podium", "/overall", "/halls", "/halls.json"),
    "compose.pages.brief": ("/brief",),
    "plan.pages.timetable": ("/timetable", "/timetable.ics"),
    "floor.pages.desk": ("/desk",),
    "review.pages.review": ("/review", "/protest"),
    "people.pages.checkin": ("/desk/checkin",),
    "people.pages.import_file": ("/desk/entries/file",),  # before the entries, one of which it would be taken for
    "people.pages.entries": ("/desk/entries",),
    "people.pages.judges": ("/desk/judges",),
    "compose.pages.composer": ("/desk/events/dry-run", "/desk/events/new", "/desk/events/{key}/dry-run"),
    "compose.pages.events": ("/desk/events",),
    "compose.pages.variants": ("/desk/events/{key}/variants",),
    "results.pages.halls": ("/desk/halls",),
    "compose.pages.plates": ("/desk/plates",),
    "plan.pages.heats": ("/desk/heats",),
    "compose.pages.markings": ("/desk/events/{key}/markings",),
    "people.pages.openers": ("/desk/events/{key}/openers",),
    "results.pages.overall": ("/desk/overall",),
    "plan.pages.plan": ("/desk/plan",),
    "plan.pages.cut": ("/desk/cut",),
    "people.pages.competition": (
        "/desk/setup",
        "/desk/competition",
        "/desk/divisions",
        "/desk/clubs",
        "/desk/people",
        "/desk/athletes",
    ),
    "results.pages.exports": (
        *("/desk/competition.json", "/desk/import", "/desk/openapi.json", "/desk/overall.csv", "/desk/results-copy.zip"),
        "/desk/results.csv",
    ),
    "keep.pages.backups": ("/desk/backups",),
    "floor.pages.paper": ("/desk/paper",),
    "keep.pages.done": ("/desk/done", "/desk/done.csv"),
    "floor.pages.practice": ("/desk/practice", "/ten", "/train"),
    "doors.pages.pairing": ("/pair", "/desk/enter", "/desk/leave", "/desk/password", "/desk/tablets"),
    "doors.pages.trust": ("/trust",),
    "review.pages.compare": ("/review/compare",),
    "floor.pages.video": ("/review/video",),
}


def create_app(settings: Settings, time: ServerTime, secure: Secure | None = None, first_code: str = "") -> FastAPI:
    """The whole application over the data that `settings` names; `time` is the clock it lives by, `secure` its HTTPS if it
    has one, `first_code` the code of the first password where several processes share one."""

    @asynccontextmanager
    async def lifespan(app: FastAPI) -> AsyncIterator[None]:
        hall = open_hall(settings, time, first_code)
        app.state.hall = hall
        playing = backing_up = None
        try:
            playing = await _start_demo(hall) if settings.demo else None
            backing_up = asyncio.create_task(keep_backing_up(hall))
            Elsewhere(hall, app.state.places).open()
            yield
        finally:
            if backing_up is not None:
                backing_up.cancel()
            if playing is not None:
                playing.cancel()
            hall.planner.close()
            hall.hub.close()
            await hall.relay.close()
            hall.database.close()

    app = Pages(title="Lane Ledger", docs_url=None, redoc_url=None, openapi_url=None, lifespan=lifespan)
    app.state.secure = secure
    app.state.places = places(settings)
    # Every mark comes through here, by a quick way past the table (below); in the table it stands for the rest, first in line.
    app.router.routes.append(Route("/marks", take_marks, methods=["POST"]))
    for routes in AT_ONCE:
        app.include_router(routes)
    for module, below in ON_DEMAND.items():
        app.add_later(f"app.{module}", below)
    if settings.demo:
        app.add_later("app.demo.seats", ("/demo",))
    app.router.routes.append(Route("/sw.js", assets.service_worker))
    app.router.routes.append(Mount("/static", assets.VersionedStatic()))
    app.add_exception_handler(HTTPException, _http_error)  # type: ignore[arg-type]
    app.add_exception_handler(RequestValidationError, _bad_request)  # type: ignore[arg-type]
    tell_refusals(app)
    app.add_exception_handler(StoreTrouble, _store_trouble)
    app.add_exception_handler(ClientDisconnect, _gone)
    app.add_exception_handler(Exception, _broken)
    if settings.on_server:
        app.add_middleware(Fresh)
    app.add_middleware(Recorded)
    add_doors(app, tuple(name for name in (settings.name,) if name), partial(Crowd, per_second=settings.pages_per_second))
    app.quick = QuickWay(app, "/marks", take_marks)
    return app


async def _start_demo(hall: Hall) -> asyncio.Task[None]:
    from app.demo import floor  # only a demo needs its cast

    if hall.projection.roster is None:
        await floor.fill(hall)
    return asyncio.create_task(floor.play(hall))


def open_hall(settings: Settings, time: ServerTime, first_code: str = "") -> Hall:
    """Opens the store, reads it once, and ties the live parts to the ledger."""
    database = Database(settings.database())
    there = database.read(stored)
    ledger = Ledger(database, there.held)
    projection = Projection()
    hub = Hub()
    projection.load(there.roster, there.runs, there.rulings, there.marks)
    relay = Relay(database, there.number)

    def on_new(new: Sequence[Mark]) -> None:
        projection.apply(new)
        hub.tell_here("board")
        hub.tell_here("desk")

    ledger.on_new, ledger.on_told = on_new, relay.done_here
    return Hall(settings, database, ledger, projection, hub, Presence(first_code), time, relay)


async def _http_error(request: Request, error: HTTPException) -> Response:
    plain = (
        isinstance(error.detail, str) and error.detail and error.detail != "Not Found" and error.detail != "Method Not Allowed"
    )
    text = error.detail if plain else SENTENCES.get(error.status_code, "That could not be done.")
    answer = pages.sentence(request, error.status_code, text)
    answer.headers.update(error.headers or {})
    return answer


async def _bad_request(request: Request, error: RequestValidationError) -> Response:
    first = error.errors()[0]
    field = " ".join(str(part) for part in first["loc"] if part not in ("body", "query", "path"))
    return pages.sentence(request, 422, f"{field or 'The request'}: {first['msg']}.")


async def _store_trouble(request: Request, error: Exception) -> Response:
    """The store can't take anything just now, or can't be asked: whoever sent it tries again."""
    answer = pages.sentence(request, 503, str(error))
    answer.headers["Retry-After"] = "2"
    return answer


async def _gone(request: Request, error: Exception) -> Response:
    """Whoever asked went away in the middle: nothing broke, and nobody hears the answer."""
    return Response(status_code=400)


async def _broken(request: Request, error: Exception) -> Response:
    log.exception("A request failed: %s %s", request.method, request.url.path, exc_info=error)
    return pages.sentence(request, 500, "Something went wrong in the server. Nothing was half done; try again.")
