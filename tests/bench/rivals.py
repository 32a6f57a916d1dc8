"""The servers that the ledger's door is measured beside, each a process: `python -m tests.bench.rivals KIND PORT DATA`.

whole: the app as it is. forgetful: the same app whose ledger answers without storing. bare: a Starlette route that parses the
body and answers, and a line that does so with frames, behind no doors: the most that either can do. plain: what one would
write first, a validated FastAPI route with an ORM session for each request, over the same tables with the same durability. Its
engine is the writer's own, one connection, so that no request waits for a busy file.

Nobody's hands send so fast as these tablets. Where it is measured how much the door bears, what each device may bring is lifted
by the setting for it (ANY_PACE in servers.py), and how many frames a line may carry here. Every check is made all the same.
"""

import sys
import time
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import Any

import msgspec
import uvicorn
from fastapi import FastAPI
from pydantic import BaseModel
from sqlmodel import Session
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route, WebSocketRoute
from starlette.types import ASGIApp
from starlette.websockets import WebSocket, WebSocketDisconnect

from app.listening import doorkeeper
from app.listening.listeners import Doors
from app.listening.opening import open_port
from app.live.servertime import this_machine
from app.server import create_app
from app.serving import run
from app.settings import Settings
from app.store.engines import writer_engine
from app.store.tables.main import MarkRow


def whole(data: Path) -> ASGIApp:
    """The app as it is served."""
    return create_app(Settings(data=data), this_machine())


def forgetful(data: Path) -> ASGIApp:
    """The app with a ledger that says yes and stores nothing."""
    app = create_app(Settings(data=data), this_machine())
    opened = app.router.lifespan_context

    def lifespan(of: Any) -> Any:
        return _Forgetting(opened(of), app)

    app.router.lifespan_context = lifespan
    return app


class _Forgetting:
    """The app's own lifespan, after which the ledger's append is replaced."""

    def __init__(self, inner: Any, app: FastAPI) -> None:
        self.inner, self.app = inner, app

    async def __aenter__(self) -> Any:
        state = await self.inner.__aenter__()

        async def append(marks: Any, received_wall_ms: int) -> tuple[()]:
            return ()

        self.app.state.hall.ledger.append = append
        return state

    async def __aexit__(self, *error: Any) -> Any:
        return await self.inner.__aexit__(*error)


class MarkIn(BaseModel):
    """A mark as a plain build would take it."""

    id: str
    sheet: str
    device: str
    epoch: int
    seq: int
    kind: str
    at: int
    err: int
    win: int | None = None
    body: dict[str, Any]


class MarksIn(BaseModel):
    """The body of a plain build's route."""

    marks: list[MarkIn]


def plain(data: Path) -> ASGIApp:
    """A thread-pool route, pydantic, an ORM session per request."""
    engine = writer_engine(Settings(data=data).database())
    app = FastAPI()

    @app.post("/marks")
    def take(sent: MarksIn) -> dict[str, int]:
        with Session(engine) as session:
            for mark in sent.marks:
                row = mark.model_dump() | {"id": bytes.fromhex(mark.id), "body": str(mark.body), "received_wall_ms": 0}
                session.add(MarkRow(**row))
            session.commit()
        return {"stored": len(sent.marks)}

    return app


async def _line(websocket: WebSocket) -> None:
    """A line as bare as it gets: each frame is parsed and answered."""
    await websocket.accept()
    with suppress(WebSocketDisconnect):
        while True:
            read = msgspec.json.decode(await websocket.receive_text())
            await websocket.send_text(msgspec.json.encode({"n": read["n"], "stored": len(read["marks"])}).decode())


async def _answer(request: Request) -> Response:
    read = msgspec.json.decode(await request.body())
    return Response(msgspec.json.encode({"stored": len(read["marks"])}), media_type="application/json")


def bare(data: Path) -> ASGIApp:
    """One route that parses and answers, and one line."""
    return Starlette(routes=[Route("/marks", _answer, methods=["POST"]), WebSocketRoute("/lane/socket", _line)])


KINDS: dict[str, Callable[[Path], ASGIApp]] = {"whole": whole, "forgetful": forgetful, "bare": bare, "plain": plain}
ANY_FRAMES = 1_000_000.0
OURS = ("whole", "forgetful")  # behind our doors; the others as uvicorn serves them


def main() -> None:
    """Serves one kind, as the real server is served, until the process is ended."""
    kind, port, data = sys.argv[1], int(sys.argv[2]), Path(sys.argv[3])
    if kind not in OURS:
        served = {"log_level": "warning", "access_log": False, "ws": "websockets-sansio", "ws_per_message_deflate": False}
        uvicorn.run(KINDS[kind](data), host="127.0.0.1", port=port, **served)
        return
    doorkeeper.Limits = partial(doorkeeper.Limits, frames_per_second=ANY_FRAMES, frames_at_once=ANY_FRAMES)  # type: ignore[assignment,misc]
    settings = Settings(data=data, host="127.0.0.1", port=port, open_browser=False)
    with open_port(settings.host, port) as listener:
        run(KINDS[kind](data), settings, Doors(listener), time.perf_counter(), str)


if __name__ == "__main__":
    main()
