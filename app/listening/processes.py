"""Several server processes behind one address: a parent that opens the doors, starts the children and starts a dead one again.

The parent serves nobody. It has everything imported and forks, so that a new child answers within a moment. Each child has a
listening socket of its own on the one port, and the system deals the connections out; the parent keeps all of them open, so that
what has been dealt to a child that dies waits for the next one and is not refused.
"""

import gc
import os
import signal
import socket
import sys
import threading
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from typing import NoReturn

from app.listening.ports import listen_on

LOOK_S = 0.05
GOODBYE_S = 10.0  # how long a child may take to end before it is made to
SETTLED_S = 10.0  # one that has lived so long is started again at once when it dies
PAUSES_S = (0.0, 0.5, 1.0, 2.0, 5.0)
FAILED = 3  # a child's exit code when it has told why it can't start

NOT_HERE = "a start on Windows refuses several processes"


@dataclass
class Child:
    """One place for a process: its number, who has it now, since when, and how often it has died young."""

    number: int
    pid: int = 0
    since: float = 0.0
    young: int = 0
    again_at: float = 0.0


@dataclass
class Processes:
    """Runs `work(number)` in so many processes until told to stop. `work` calls `ready` (given to it) once it answers."""

    count: int
    work: Callable[[int, Callable[[], None]], int]
    opened: Callable[[], None]
    children: list[Child] = field(default_factory=list)
    _stopping: bool = False
    _life: int = field(default=-1, init=False)  # the ends of two pipes: open for as long as this process lives,
    _hold: int = field(default=-1, init=False)
    _ready: int = field(default=-1, init=False)  # and what each child says on it when it answers
    _say_ready: int = field(default=-1, init=False)

    def run(self) -> int:
        """Starts all, watches over them, and ends them all: 0, or 1 when the first start failed."""
        if sys.platform == "win32":
            raise AssertionError(NOT_HERE)
        self._life, self._hold = os.pipe()  # a child whose parent is gone reads the end of it, and ends too
        self._ready, self._say_ready = os.pipe()
        os.set_blocking(self._ready, False)
        before = {number: signal.signal(number, self._stop) for number in (signal.SIGINT, signal.SIGTERM)}
        self.children = [Child(number) for number in range(self.count)]
        try:
            for child in self.children:
                self._start(child)
            return self._watch()
        finally:
            self._end_all()
            for number, handler in before.items():
                signal.signal(number, handler)
            for end in (self._life, self._hold, self._ready, self._say_ready):
                os.close(end)

    def _watch(self) -> int:
        waiting = self.count
        while not self._stopping:
            time.sleep(LOOK_S)
            if waiting > 0:
                waiting -= self._heard_ready()
                if waiting <= 0:
                    self.opened()
            for child, code in self._ended():
                if waiting > 0 and code == FAILED:
                    return 1  # it has said why
                self._tell(child, code)
            for child in self.children:
                if not child.pid and time.monotonic() >= child.again_at:
                    self._start(child)
        return 0

    def _start(self, child: Child) -> None:
        if sys.platform == "win32":
            raise AssertionError(NOT_HERE)
        sys.stdout.flush()
        sys.stderr.flush()
        child.pid, child.since = os.fork(), time.monotonic()
        if not child.pid:
            self._be(child)

    def _be(self, child: Child) -> NoReturn:
        """In the child: the work, and then the end; nothing of the parent's is run."""
        code = FAILED
        try:
            os.close(self._hold)
            os.close(self._ready)
            signal.signal(signal.SIGTERM, signal.SIG_DFL)
            signal.signal(signal.SIGINT, signal.default_int_handler)
            threading.Thread(target=self._end_with_parent, daemon=True).start()
            code = self.work(child.number, self._answers)
        except KeyboardInterrupt:
            code = 0
        except Exception as wrong:
            print(wrong, file=sys.stderr, flush=True)
        finally:
            with suppress(Exception):
                sys.stdout.flush()
                sys.stderr.flush()
            os._exit(code)

    def _answers(self) -> None:
        """A child says that it answers."""
        os.write(self._say_ready, b"r")

    def _end_with_parent(self) -> None:
        os.read(self._life, 1)
        os.kill(os.getpid(), signal.SIGTERM)

    def _heard_ready(self) -> int:
        try:
            return len(os.read(self._ready, 64))
        except BlockingIOError:
            return 0

    def _ended(self) -> list[tuple[Child, int]]:
        """Children that have ended since the last look, and how: an exit code, or minus the signal."""
        if sys.platform == "win32":
            raise AssertionError(NOT_HERE)
        ended = []
        for child in self.children:
            if not child.pid:
                continue
            pid, status = os.waitpid(child.pid, os.WNOHANG)
            if pid:
                child.pid = 0
                ended.append((child, os.waitstatus_to_exitcode(status)))
        return ended

    def _tell(self, child: Child, code: int) -> None:
        lived = time.monotonic() - child.since
        child.young = 0 if lived > SETTLED_S else child.young + 1
        pause = PAUSES_S[min(child.young, len(PAUSES_S)) - 1] if child.young else 0.0
        child.again_at = time.monotonic() + pause
        how = f"was ended by signal {-code}" if code < 0 else f"ended with code {code}"
        print(f"Server process {child.number + 1} {how}. It is started again.", file=sys.stderr, flush=True)

    def _stop(self, _number: int, _frame: object) -> None:
        self._stopping = True

    def _end_all(self) -> None:
        if sys.platform == "win32":
            raise AssertionError(NOT_HERE)
        for child in self.children:
            self._send(child, signal.SIGTERM)
        until = time.monotonic() + GOODBYE_S
        while any(child.pid for child in self.children) and time.monotonic() < until:
            self._ended()
            time.sleep(LOOK_S)
        for child in self.children:
            self._send(child, signal.SIGKILL)
        while any(child.pid for child in self.children):
            self._ended()
            time.sleep(LOOK_S)

    def _send(self, child: Child, number: int) -> None:
        if child.pid:
            with suppress(ProcessLookupError):
                os.kill(child.pid, number)


def sockets_for(count: int, first: socket.socket) -> list[socket.socket]:
    """So many listening sockets on the port of `first`, which is closed: nobody else has the port, that was tried with it.

    Where the system can't deal connections out between sockets, all children take from one.
    """
    host, port = first.getsockname()[:2]
    if sys.platform != "linux":
        return [first] * count
    first.close()
    return [listen_on(host, port, shared=True) for _ in range(count)]


def keep_only(number: int, doors: Sequence[socket.socket]) -> socket.socket:
    """In a child: its own socket; the others' are closed here, or connections would be dealt to where nobody looks."""
    for place, door in enumerate(doors):
        if place != number and door is not doors[number]:
            door.close()
    return doors[number]


def settle_parent() -> None:
    """What is imported by now is shared with the children: the collector leaves it alone, and so it stays shared."""
    gc.collect()
    gc.freeze()
