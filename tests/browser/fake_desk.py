"""A desk that a test scripts: it stores marks as the ledger does, and loses, hangs or refuses when told to."""

import asyncio
import json
import mimetypes
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import uvicorn

from app.web.assets import ROWS_HOLE
from app.web.limits import FRAME_BYTES
from app.web.pages import rows_json

ROOT = Path(__file__).resolve().parents[2]
PAGE = b"<!doctype html><html lang=en><title>Empty</title></html>"
STARTED = 10.0  # seconds; a server that isn't up by then never will be


@dataclass
class FakeDesk:
    """What the desk holds, how it is to behave, and when (seconds, monotonic) marks came.

    plan: how to treat the next requests to /marks, in order; afterwards `manner`. Either is one of answer, lose (commit, then
    break the line), hang (commit, never answer), full (503), unpaired (401), slow down (429: again in a second), stranger
    (another web server answers). takes_frames: the line carries marks too; on_line: how to treat the next of these, in order:
    answer, lose, hang or full. framed: the batches that came so.
    """

    address: str = ""
    manner: str = "answer"
    plan: list[str] = field(default_factory=list)
    refuse: dict[int, str] = field(default_factory=dict)
    poison: set[int] = field(default_factory=set)
    doubled: set[tuple[int, int]] = field(default_factory=set)  # epochs and numbers under which it holds other marks
    marks: dict[str, dict[str, Any]] = field(default_factory=dict)
    batches: list[list[dict[str, Any]]] = field(default_factory=list)
    came: list[float] = field(default_factory=list)
    boot: str = "boot-1"
    device: str = "tab-a"  # whom it takes the tablet for
    ahead_ms: float = 5_000_000.0
    takes_sockets: bool = True
    tells_the_time: bool = True
    takes_frames: bool = False
    on_line: list[str] = field(default_factory=list)
    framed: list[list[dict[str, Any]]] = field(default_factory=list)
    sockets: "set[asyncio.Queue[dict[str, Any] | None]]" = field(default_factory=set)
    reports: list[dict[str, Any]] = field(default_factory=list)
    files: dict[str, tuple[str, bytes]] = field(default_factory=dict)
    loop: asyncio.AbstractEventLoop | None = None

    def held(self) -> dict[str, int]:
        """Epoch -> highest number with no gap below it, of the marks of the tablet."""
        through: dict[str, int] = {}
        mine = [mark for mark in self.marks.values() if mark["device"] == self.device]
        for mark in sorted(mine, key=lambda mark: (mark["epoch"], mark["seq"])):
            epoch = str(mark["epoch"])
            if mark["seq"] == through.get(epoch, 0) + 1:
                through[epoch] = mark["seq"]
        return through

    def held_word(self) -> dict[str, Any]:
        """The same as it is told: of whose marks it is."""
        return {"device": self.device, "held": self.held(), "before": {}}

    def server_ms(self) -> float:
        """The desk's own line of time."""
        return time.monotonic() * 1000 + self.ahead_ms

    def tell(self, message: dict[str, Any]) -> None:
        """Sends a message to every open socket."""
        self._each(message)

    def cut_sockets(self) -> None:
        """Breaks every open socket."""
        self._each(None)

    def _each(self, message: dict[str, Any] | None) -> None:
        assert self.loop is not None
        for queue in list(self.sockets):
            self.loop.call_soon_threadsafe(queue.put_nowait, message)

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        self.loop = asyncio.get_running_loop()
        if scope["type"] == "websocket":
            await self._socket(receive, send)
        elif scope["type"] == "http" and scope["path"] == "/marks":
            await self._marks(receive, send)
        elif scope["type"] == "http":
            await self._file(scope["path"], send)

    async def _marks(self, receive: Any, send: Any) -> None:
        body = b""
        while True:
            message = await receive()
            body += message.get("body", b"")
            if not message.get("more_body"):
                break
        batch = json.loads(body)["marks"]
        self.batches.append(batch)
        self.came.append(time.monotonic())
        manner = self.plan.pop(0) if self.plan else self.manner
        if manner == "stranger":
            await _answer(send, 200, b"<p>Sign in to this network", "text/html")
        elif manner == "slow down":
            await _json(send, 429, {"sentence": "Slower.", "retry_s": 1})
        elif manner in ("full", "unpaired"):
            status, sentence = (503, "The disk is full.") if manner == "full" else (401, "Not paired.")
            await _json(send, status, {"sentence": sentence})
        elif any(mark["seq"] in self.poison for mark in batch):
            await _json(send, 400, {"sentence": "The marks could not be read."})
        else:
            await self._commit(batch, manner, send)

    def _frame(self, said: dict[str, Any]) -> dict[str, Any] | None:
        """What a frame with marks is answered; nothing where the answer is lost."""
        self.framed.append(said["marks"])
        manner = self.on_line.pop(0) if self.on_line else "answer"
        if manner == "full":
            return {"type": "answer", "n": said["n"], "status": 503, "sentence": "The disk is full."}
        self._keep(said["marks"])
        if manner == "lose":
            self.cut_sockets()
        return {"type": "answer", "n": said["n"], "status": 200, **self._word(said["marks"])} if manner == "answer" else None

    async def _commit(self, batch: list[dict[str, Any]], manner: str, send: Any) -> None:
        self._keep(batch)
        if manner == "hang":
            await asyncio.sleep(60)
        elif manner == "lose":
            await send({"type": "http.response.start", "status": 200, "headers": [(b"content-length", b"999")]})
            await send({"type": "http.response.body", "body": b"{", "more_body": True})
        else:
            await _json(send, 200, {"boot": self.boot, **self._word(batch)})

    def _keep(self, batch: list[dict[str, Any]]) -> None:
        for mark in batch:
            if mark["seq"] not in self.refuse:
                self.marks.setdefault(mark["id"], mark)

    def _word(self, batch: list[dict[str, Any]]) -> dict[str, Any]:
        numbers = [(mark["epoch"], mark["seq"]) for mark in batch]
        refused = [{"epoch": life, "seq": n, "sentence": self.refuse[n]} for life, n in numbers if n in self.refuse]
        doubled = [{"epoch": life, "seq": n, "sentence": "Both are kept."} for life, n in numbers if (life, n) in self.doubled]
        order = list(self.marks)
        receipts = [{"number": order.index(one["id"]) + 1, "seat": "lane"} if one["id"] in self.marks else None for one in batch]
        return {**self.held_word(), "refused": refused, "doubled": doubled, "receipts": receipts}

    async def _socket(self, receive: Any, send: Any) -> None:
        await receive()
        if not self.takes_sockets:
            await send({"type": "websocket.close"})
            return
        await send({"type": "websocket.accept"})
        queue: asyncio.Queue[dict[str, Any] | None] = asyncio.Queue()
        self.sockets.add(queue)
        room = {"marks": FRAME_BYTES} if self.takes_frames else {}
        queue.put_nowait({"type": "hello", "boot": self.boot, **room, **self.held_word()})
        listening = asyncio.ensure_future(self._listen(receive, queue))
        while (message := await queue.get()) is not None:
            await send({"type": "websocket.send", "text": json.dumps(message)})
        self.sockets.discard(queue)
        listening.cancel()
        await send({"type": "websocket.close"})

    async def _listen(self, receive: Any, queue: "asyncio.Queue[dict[str, Any] | None]") -> None:
        while (event := await receive())["type"] == "websocket.receive":
            said = json.loads(event["text"])
            if said["type"] == "ping" and self.tells_the_time:
                now = self.server_ms()
                queue.put_nowait({"type": "pong", "t1": said["t1"], "t2": now, "t3": now})
            elif said["type"] == "marks":
                if (answer := self._frame(said)) is not None:
                    queue.put_nowait(answer)
            else:
                self.reports.append(said)
        queue.put_nowait(None)

    async def _file(self, path: str, send: Any) -> None:
        if path in self.files:
            kind, body = self.files[path]
            await _answer(send, 200, body, kind)
        elif path.startswith("/static/") and (ROOT / path[1:]).is_file():
            body = (ROOT / path[1:]).read_bytes().replace(ROWS_HOLE, rows_json())
            kind = "text/javascript" if path.endswith(".js") else mimetypes.guess_type(path)[0] or "text/plain"
            await _answer(send, 200, body, kind)
        elif path == "/":
            await _answer(send, 200, PAGE, "text/html")
        else:
            await _answer(send, 404, b"Nothing here.", "text/plain")


async def _json(send: Any, status: int, value: Any) -> None:
    await _answer(send, status, json.dumps(value).encode(), "application/json")


async def _answer(send: Any, status: int, body: bytes, kind: str) -> None:
    headers = [(b"content-type", kind.encode()), (b"content-length", str(len(body)).encode()), (b"cache-control", b"no-store")]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})


@contextmanager
def open_desk(desk: FakeDesk, port: int = 0) -> Iterator[str]:
    """Serves a fake desk; gives its address."""
    config = uvicorn.Config(
        desk,
        host="127.0.0.1",
        port=port,
        log_level="critical",
        lifespan="off",
        ws="websockets-sansio",
        timeout_graceful_shutdown=0,
    )
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    end = time.monotonic() + STARTED
    while not server.started and time.monotonic() < end:
        time.sleep(0.01)
    try:
        desk.address = f"http://127.0.0.1:{server.servers[0].sockets[0].getsockname()[1]}"
        yield desk.address
    finally:
        server.should_exit = server.force_exit = True
        thread.join(STARTED)
