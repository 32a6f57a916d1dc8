"""The real application on a real port, in a thread, that a test can stop and start again."""

import asyncio
import threading
import time
from collections.abc import Coroutine, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import uvicorn
from sqlmodel import Session

from app.doors.pairing import invite
from app.floor.lane_packet import run_plain
from app.hall.changing import change, look_again
from app.hall.hall import Hall
from app.hall.told import told_now
from app.live.servertime import ServerTime, this_machine
from app.rehearsal.serving import free_port
from app.results.competition_file import write_file
from app.results.publishing import import_file
from app.rules.records.document import CompetitionFile, Run
from app.rules.records.holding import Hold
from app.rules.records.marks import parse_mark
from app.rules.result.sealing import sealed
from app.server import create_app
from app.settings import Settings
from app.store.kinds import RUNS
from app.watch.pages.feed import TOLD
from app.web.streams import Places

PATIENCE_S = 20.0


class HallServer:
    """One data folder, served on one port for as long as it is started; by a `host` of 0.0.0.0 to the network too. time: by which
    it lives, this machine's where none is given."""

    def __init__(
        self, folder: Path, host: str = "127.0.0.1", demo: bool = False, port: int = 0, time: ServerTime | None = None
    ) -> None:
        self._host, self._time = host, time
        self._settings = Settings(data=folder, open_browser=False, demo=demo)
        self._port = port or free_port(host)
        self.url = f"http://localhost:{self._port}"

    def another(self, folder: Path) -> "HallServer":
        """Another laptop at the same address."""
        return HallServer(folder, self._host, port=self._port)

    def start(self) -> None:
        """Serves, and returns when it answers."""
        self._app = create_app(self._settings, self._time or this_machine())
        self._server = uvicorn.Server(
            uvicorn.Config(self._app, host=self._host, port=self._port, log_level="critical", timeout_graceful_shutdown=1)
        )
        self._thread = threading.Thread(target=self._serve, daemon=True)
        self._thread.start()
        until = time.monotonic() + PATIENCE_S
        while not self._server.started:
            assert self._thread.is_alive() and time.monotonic() < until, "the server did not start"
            time.sleep(0.02)

    def stop(self) -> None:
        """Stops serving, if it still does; open streams are cut."""
        if not self._thread.is_alive():
            return
        self._loop.call_soon_threadsafe(self.hall.hub.close)
        self._server.should_exit = True
        self._thread.join(PATIENCE_S)

    @property
    def hall(self) -> Hall:
        """The hall that is served."""
        hall: Hall = self._app.state.hall
        return hall

    def watchers(self) -> int:
        """How many streams of the board are open."""
        return self.hall.hub.watchers(TOLD)

    def fill(self, places: int) -> None:
        """Lets this many spectators follow live, and no more."""
        self._app.state.places["public"] = Places(places, places)

    def mark(self, marks: Sequence[dict[str, Any]]) -> None:
        """Appends marks as a lane's request would."""
        parsed = [parse_mark(mark) for mark in marks]
        self.run(self.hall.ledger.append(parsed, self.hall.time.wall_ms()))

    def tell(self, topic: str, message: dict[str, Any]) -> None:
        """Tells everybody who follows a topic."""

        async def publish() -> None:
            self.hall.hub.publish(topic, message)

        self.run(publish())

    def go_was(self, since_ms: int, holds: Sequence[Hold] = (), heat: str = "heat_1", lanes: Sequence[int] = (1,)) -> None:
        """The heat's GO was so long ago, less than nothing for one to come: at the desk, and for everybody at these lanes."""
        self.run(_set_go(self.hall, heat, since_ms, tuple(holds), lanes))

    def token(self, lane: int) -> str:
        """The token of a fresh invitation for a lane's judge."""
        return str(self.run(invite(self.hall, "lane", lane, sure=True)).token)

    def read(self, file: CompetitionFile) -> None:
        """Reads a competition file into the empty server."""
        self.run(import_file(self.hall, write_file(sealed(file))))

    def _serve(self) -> None:
        self._loop = asyncio.new_event_loop()
        self._loop.run_until_complete(self._server.serve())
        self._loop.run_until_complete(self._hang_up())
        self._loop.close()

    async def _hang_up(self) -> None:
        """Ends the connections that are still closing: left to itself, one would be an error of whichever test comes after."""
        for line in list(getattr(self._loop, "_transports", {}).values()):
            line.abort()
        await asyncio.sleep(0.1)  # and hears that they are gone

    def run(self, work: Coroutine[Any, Any, Any]) -> Any:
        """What some work of the hall comes to, done where the hall lives."""
        return asyncio.run_coroutine_threadsafe(work, self._loop).result(PATIENCE_S)


async def _set_go(hall: Hall, heat: str, since_ms: int, holds: tuple[Hold, ...], lanes: Sequence[int]) -> None:
    earlier = next((run for run in hall.projection.runs if run.heat == heat), None)
    go = {"go_server_ms": hall.time.server_ms() - since_ms, "go_wall_ms": hall.time.wall_ms() - since_ms}
    number = 1 if earlier is None else earlier.number
    run = Run(heat=heat, number=number, boot=hall.time.boot, holds=holds, **go)

    def store(session: Session) -> None:
        RUNS.put(session, run)

    await change(hall, store)
    for lane in lanes:
        hall.hub.publish(f"lane:{lane}", {"type": "run", "heat": heat, "told": told_now(hall), **run_plain(hall, run)})
    look_again(hall)


@contextmanager
def served(folder: Path, file: CompetitionFile | None, demo: bool = False) -> Iterator[HallServer]:
    """A started server that holds a competition, or none yet, or the demo."""
    server = HallServer(folder, demo=demo)
    server.start()
    try:
        if file is not None:
            server.read(file)
        yield server
    finally:
        server.stop()
