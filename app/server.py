"""The server: the only place where the parts are wired together."""

import asyncio
import logging
from collections.abc import AsyncIterator, Awaitable, Callable, Sequence
from contextlib import asynccontextmanager, suppress
from functools import partial

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from sqlmodel import Session
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect
from starlette.responses import Response
from starlette.routing import Mount

from app.doors.demo_password import new_demo_password
from app.elsewhere import Elsewhere
from app.floor.carrying import carry_over
from app.hall.hall import Hall
from app.keep.at_rest import keep_packed
from app.keep.awake import keep_awake
from app.keep.backups import keep_backing_up
from app.lan.secure import Secure
from app.live.allowance import Allowances
from app.live.hub import Hub
from app.live.presence import Presence
from app.live.projection import Projection
from app.live.relay import Relay
from app.live.servertime import ServerTime
from app.rules.records.marks import Mark
from app.rules.values.hands import PER_SECOND
from app.settings import Settings
from app.store.copies import held
from app.store.database import Database
from app.store.ledger import Ledger, Stored, stored
from app.store.rounds import has_round
from app.store.writer import StoreTrouble
from app.watch.bar_turns import keep_turning
from app.web import assets, pages
from app.web.crowd import Crowd
from app.web.doors import add_doors
from app.web.later import Pages
from app.web.places import STATIC
from app.web.reached import WayIn
from app.web.refused import tell_refusals
from app.web.scan import modules
from app.web.streams import places

log = logging.getLogger(__name__)

OF_THE_DEMO = "app.demo."
ANEW = "The demo has started again. Choose a role again."
LOOK_FOR_ROUND_S = 2.0  # a round may be begun by command while the server runs
FAREWELL_S = 0.2  # for those words to reach whoever is paired
SENTENCES = {
    404: "There is no such page here. Go back, or start from the board.",
    405: "That can't be done at this address.",
}


def create_app(settings: Settings, time: ServerTime, secure: Secure | None = None, first_code: str = "") -> FastAPI:
    """The whole application over the data that `settings` names; `time` is the clock it lives by, `secure` its HTTPS if it
    has one, `first_code` the code of the first password where several processes share one."""

    demo_password = new_demo_password() if settings.demo else ""

    @asynccontextmanager
    async def lifespan(app: FastAPI) -> AsyncIterator[None]:
        app.state.hall = open_hall(settings, time, first_code, demo_password)
        playing = app.state.backing_up = awake = packing = turning = checking = None
        try:
            playing = await _start_demo(app, time) if settings.demo else None
            app.state.backing_up = asyncio.create_task(keep_backing_up(app.state.hall))
            awake = asyncio.create_task(keep_awake(app.state.hall))
            packing = asyncio.create_task(keep_packed(lambda: app.state.hall))
            turning = asyncio.create_task(keep_turning(lambda: app.state.hall))
            checking = asyncio.create_task(_check_hand_ins(app))
            Elsewhere(app.state.hall, app.state.places).open()
            yield
        finally:
            for task in (app.state.backing_up, playing, awake, packing, turning, checking):
                if task is not None:
                    task.cancel()
            if checking is not None:
                await asyncio.gather(checking, return_exceptions=True)  # it ends a process of its own
            await close_hall(app.state.hall)

    found = [module for module in modules() if settings.demo or not module.name.startswith(OF_THE_DEMO)]
    app = Pages(found, title="Lane Ledger", docs_url=None, redoc_url=None, openapi_url=None, lifespan=lifespan)
    app.state.secure = secure
    app.state.told = lambda sentence: app.state.hall.reached.door(sentence, time.wall_ms())
    app.state.places = places(settings)
    app.add_rows(assets.routes.rows)
    app.router.routes.append(Mount(STATIC, assets.VersionedStatic()))
    app.add_exception_handler(HTTPException, _http_error)  # type: ignore[arg-type]
    app.add_exception_handler(RequestValidationError, _bad_request)  # type: ignore[arg-type]
    tell_refusals(app)
    app.add_exception_handler(StoreTrouble, _store_trouble)
    app.add_exception_handler(ClientDisconnect, _gone)
    app.add_exception_handler(Exception, _broken)
    crowd = partial(Crowd, per_second=settings.pages_per_second, cheap=app.where(lambda says: says.cheap))
    names = tuple(name for name in (settings.name,) if name)
    add_doors(app, names, crowd, app.bodies(), app.where(lambda says: says.from_elsewhere))
    app.add_middleware(WayIn)
    return app


async def _start_demo(app: FastAPI, time: ServerTime) -> asyncio.Task[None]:
    """Fills the demo's hall, and plays it from now on: when its day is over, another begins."""
    from app.demo import filling, floor  # a tenth of a second: only a demo needs its cast

    hall: Hall = app.state.hall
    if hall.projection.roster is None:
        await filling.fill(hall)

    async def play() -> None:
        while True:
            await floor.play(app.state.hall)
            await begin_anew(app, time, filling.fill)

    return asyncio.create_task(play())


async def _check_hand_ins(app: FastAPI) -> None:
    """Where a round is kept here, checks what gyms hand in; what does that is loaded only then."""
    there = False
    while not there:
        await asyncio.sleep(LOOK_FOR_ROUND_S)
        with suppress(StoreTrouble):  # the desk hears of it by itself
            there = await app.state.hall.database.aread(has_round)
    from app.round.taking.checker import keep_checking

    await keep_checking(lambda: app.state.hall)


async def begin_anew(app: FastAPI, time: ServerTime, fill: Callable[[Hall], Awaitable[None]]) -> None:
    """Puts a hall that was filled afresh in the place of a demo's, whose store goes. Whoever is paired takes a seat again.

    The fresh store is filled beside the old one; from the moment the old one closes nothing else runs until the fresh one is
    open.
    """
    old: Hall = app.state.hall
    settings, file = old.settings, old.settings.store_file
    beside = file.with_name(f"anew-{file.name}")
    fresh = open_hall(settings.model_copy(update={"database_url": f"sqlite:///{beside.absolute().as_posix()}"}), time)
    await fill(fresh)
    await close_hall(fresh)
    app.state.backing_up.cancel()
    await part(old)
    for seen in old.presence.here():
        old.presence.forget(seen.device.device_id, ANEW)
    await asyncio.sleep(FAREWELL_S)
    shut(old)
    for gone in file.parent.glob(f"{file.name}*"):
        held.remove(gone)
    held.replace(beside, file)
    for left in file.parent.glob(f"{beside.name}*"):
        held.remove(left)
    app.state.hall = open_hall(settings, time, demo_password=old.demo_password)
    app.state.backing_up = asyncio.create_task(keep_backing_up(app.state.hall))


async def part(hall: Hall) -> None:
    """Ends what goes on beside a hall."""
    await hall.relay.close()
    await hall.planner.close()


def shut(hall: Hall) -> None:
    """Ends what lives of a hall, and closes its store."""
    hall.hub.close()
    hall.database.close()


async def close_hall(hall: Hall) -> None:
    """The same, after the word to other processes and the end of a search."""
    await part(hall)
    shut(hall)


def open_hall(settings: Settings, time: ServerTime, first_code: str = "", demo_password: str = "") -> Hall:
    """Opens the store, reads it once, and ties the live parts to the ledger."""
    database = Database(settings.database())
    projection, hub = Projection(), Hub()

    def read(session: Session) -> Stored:
        there = stored(session)
        projection.load(there.roster, there.runs, there.rulings, there.marks, there.kept)
        return there

    there = database.read(read)
    ledger = Ledger(database, there.held)
    carry_over(database, projection, time)
    relay = Relay(database, there.number)

    def on_new(new: Sequence[Mark]) -> None:
        projection.apply(new)
        hub.tell_here("board")
        hub.tell_here("desk")

    ledger.on_new, ledger.on_told = on_new, relay.done_here
    presence, allowances = Presence(first_code), Allowances(settings.marks_per_second or PER_SECOND)
    hall = Hall(settings, database, ledger, projection, hub, presence, time, relay, allowances, demo_password=demo_password)

    def on_reached() -> None:
        relay.say("reached", hall.reached.plain())
        hub.publish("desk", {"type": "reached"})

    hall.reached.told = on_reached
    return hall


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
    return pages.sentence(request, 500, "Something went wrong on the server. Nothing was half done: try again.")
