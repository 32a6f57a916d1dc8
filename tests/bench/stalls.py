"""What keeps a server's event loop from going on: `python -m tests.bench.stalls FILE serve …` runs the server, and adds each
stall to the file as a line of JSON.

While the loop is at one thing nobody else is answered. A thread looks what that is; the time that counts is the processor's, so
that a machine with other things to do is not taken for a slow server.
"""

import asyncio
import gc
import json
import socket
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path
from types import FrameType

from app.cli import main
from app.listening.listeners import TwoDoors
from app.paths import CHECKOUT
from app.rehearsal.serving import free_port
from tests.bench.servers import Serving, serve_command, serving
from tests.bench.spectators.way import Made, note_versions, versions

LONG_S = 0.010  # so long nobody may wait
BEAT_S = 0.002
LOOK_EVERY_S = 0.004
INNERMOST = 3  # functions that are named of what ran


@dataclass(frozen=True, slots=True)
class Stall:
    """One stall: when it ended by the wall clock, how long it was by the clock and by the processor, in milliseconds, and what
    ran in it most of the time, the innermost function first."""

    at_s: float
    ms: float
    cpu_ms: float
    ran: str


class Watch:
    """Beats on the loop that it is started on, and looks from a thread what runs when the beat does not come."""

    def __init__(self, note: Callable[[Stall], None]) -> None:
        self._note = note
        self._seen: Counter[str] = Counter()
        self._over = False
        self._beat_at, self._cpu = time.perf_counter(), 0.0
        self._loop: asyncio.AbstractEventLoop | None = None
        self._thread = 0
        self._collecting_at = 0.0

    def start(self) -> None:
        """Begins, on the running loop."""
        self._loop, self._thread = asyncio.get_running_loop(), threading.get_ident()
        self._beat_at, self._cpu = time.perf_counter(), time.thread_time()
        self._beat()
        gc.callbacks.append(self._collects)
        threading.Thread(target=self._look, daemon=True, name="watch").start()

    def stop(self) -> None:
        """Ends."""
        self._over = True
        gc.callbacks.remove(self._collects)

    def _beat(self) -> None:
        now, cpu = time.perf_counter(), time.thread_time()
        late, took = now - self._beat_at - BEAT_S, cpu - self._cpu
        if late > LONG_S and took > LONG_S:
            ran = self._seen.most_common(1)
            self._note(Stall(time.time(), late * 1000, took * 1000, ran[0][0] if ran else "not seen"))
        self._seen.clear()
        self._beat_at, self._cpu = time.perf_counter(), time.thread_time()
        if not self._over and self._loop is not None:
            self._loop.call_later(BEAT_S, self._beat)

    def _collects(self, phase: str, told: dict[str, int]) -> None:
        """The collector of what is not used runs in whatever function it happens to; it is named itself."""
        if phase == "start":
            self._collecting_at = time.thread_time()
        elif (took := time.thread_time() - self._collecting_at) > LOOK_EVERY_S:
            self._seen[f"the collector, generation {told['generation']}"] += round(took / LOOK_EVERY_S) + 1

    def _look(self) -> None:
        while not self._over:
            time.sleep(LOOK_EVERY_S)
            frame = sys._current_frames().get(self._thread)
            if frame is not None and time.perf_counter() - self._beat_at > LOOK_EVERY_S:
                self._seen[_named(frame)] += 1


def _named(frame: FrameType | None) -> str:
    """The innermost functions of ours in a frame: `feed.py _pieces < feed.py _next`; of none of ours the innermost of all."""
    names: list[str] = []
    innermost = frame
    while frame is not None and len(names) < INNERMOST:
        path = Path(frame.f_code.co_filename)
        if path.is_relative_to(CHECKOUT) and ".venv" not in path.parts:
            names.append(f"{path.name} {frame.f_code.co_name}")
        frame = frame.f_back
    if not names and innermost is not None:
        names = [f"{Path(innermost.f_code.co_filename).name} {innermost.f_code.co_name}"]
    return " < ".join(names)


@dataclass(frozen=True, slots=True)
class Stalls:
    """The stalls of a server that is watched."""

    file: Path

    @property
    def made(self) -> list[Made]:
        """The versions of the board that it has made."""
        return versions(_versions_beside(self.file))

    def between(self, begin_s: float, end_s: float) -> list[Stall]:
        """Those that ended between two moments of the wall clock, in seconds."""
        lines = self.file.read_text(encoding="utf-8").splitlines() if self.file.exists() else []
        return [one for one in (Stall(**json.loads(line)) for line in lines) if begin_s <= one.at_s < end_s]


def told(stalls: Sequence[Stall]) -> str:
    """Stalls in words: how many, how long, what ran."""
    if not stalls:
        return "no stall"
    ran = Counter(one.ran for one in stalls)
    longest = max(one.cpu_ms for one in stalls)
    words = "; ".join(f"{count} times {what}" for what, count in ran.most_common(3))
    return f"{len(stalls)} stall{'s' * (len(stalls) > 1)}, the longest {longest:.0f} ms: {words}"


@contextmanager
def watched(data: Path) -> Iterator[tuple[Serving, Stalls]]:
    """The real server over a data folder, its loop watched."""
    port = free_port()
    with tempfile.TemporaryDirectory() as folder:
        stalls = Stalls(Path(folder) / "stalls")
        begin = (sys.executable, "-m", "tests.bench.stalls", str(stalls.file))
        with serving(serve_command(data, port, begin), port) as server:
            yield server, stalls


def _versions_beside(file: Path) -> Path:
    return file.with_name("versions")


def _serve(file: Path, arguments: Sequence[str]) -> int:
    opened = TwoDoors.startup

    def note(stall: Stall) -> None:
        with file.open("a", encoding="utf-8") as out:
            out.write(json.dumps(asdict(stall)) + "\n")

    async def startup(server: TwoDoors, sockets: list[socket.socket] | None = None) -> None:
        await opened(server, sockets)
        Watch(note).start()
        note_versions(_versions_beside(file))

    TwoDoors.startup = startup  # type: ignore[method-assign]
    return main(arguments)


if __name__ == "__main__":
    sys.exit(_serve(Path(sys.argv[1]), sys.argv[2:]))
