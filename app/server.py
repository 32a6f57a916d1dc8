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
from starlette.routing import Mount

from app.elsewhere import Elsewhere
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
from app.web import assets, pages
from app.web.crowd import Crowd
from app.web.doors import add_doors
from app.web.fresh import Fresh
from app.web.later import Pages
from app.web.places import STATIC
from app.web.refused import tell_refusals
from app.web.scan import modules
from app.web.streams import places

log = logging.getLogger(__name__)

OF_THE_DEMO = "app.demo."
SENTENCES = {
    404: "There is no such page here. Go back, or start from the board.",
    405: "That can't be done at this address.",
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

    found = [module for module in modules() if settings.demo or not module.name.startswith(OF_THE_DEMO)]
    app = Pages(found, title="Lane Ledger", docs_url=None, redoc_url=None, openapi_url=None, lifespan=lifespan)
    app.state.secure = secure
    app.state.places = places(settings)
    app.add_rows(assets.routes.rows)
    app.router.routes.append(Mount(STATIC, assets.VersionedStatic()))
    app.add_exception_handler(HTTPException, _http_error)  # type: ignore[arg-type]
    app.add_exception_handler(RequestValidationError, _bad_request)  # type: ignore[arg-type]
    tell_refusals(app)
    app.add_exception_handler(StoreTrouble, _store_trouble)
    app.add_exception_handler(ClientDisconnect, _gone)
    app.add_exception_handler(Exception, _broken)
    if settings.on_server:
        app.add_middleware(Fresh, as_it_is=app.where(lambda says: says.as_it_is))
    crowd = partial(Crowd, per_second=settings.pages_per_second, cheap=app.where(lambda says: says.cheap))
    names = tuple(name for name in (settings.name,) if name)
    names = tuple(name for name in (settings.name,) if name)
    add_doors(app, names, crowd, app.takes_files(), app.where(lambda says: says.from_elsewhere))
    return app


async def _start_demo(hall: Hall) -> asyncio.Task[None]:
    from app.demo import floor  # a tenth of a second: only a demo needs its cast

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
