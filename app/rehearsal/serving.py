"""The real server in a process of its own, on a port of its own, that can be killed as a battery kills a laptop."""

import os
import secrets
import signal
import socket
import subprocess
import sys
import time
from collections import deque
from collections.abc import Sequence
from pathlib import Path

from app.paths import CHECKOUT, in_checkout

PATIENCE_S = 30.0
FROM_PORT, SYSTEMS_PORTS = 20_000, 32_768  # no system gives a line that goes out a port below the second
MOST_PORTS = 20  # that are tried
MOST_HELD = 32  # ports that were told and stay held, as file numbers
HELD = deque[int]()
COMMAND = (sys.executable, "-c", "import sys; from app.cli import main; sys.exit(main())")


class ServerGone(RuntimeError):
    """Raised when the server's process has ended or does not answer; its text is the sentence to show."""


class ServerProcess:
    """`serve` over a data folder. `host` is the address that it listens on and is reached by."""

    def __init__(self, data: Path, port: int, host: str = "127.0.0.1", command: Sequence[str] = COMMAND) -> None:
        self.port, self.host = port, host
        self._command = [
            *command,
            "serve",
            "--data",
            str(data),
            "--port",
            str(port),
            "--host",
            host,
            "--no-browser",
            "--no-https",
        ]
        self._process: subprocess.Popen[bytes] | None = None

    @property
    def url(self) -> str:
        """Where it is reached."""
        return f"http://{self.host}:{self.port}"

    def start(self) -> float:
        """Starts it and returns after how many seconds it answered. Raises ServerGone, and leaves none running then."""
        begun = time.perf_counter()
        quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL, "cwd": CHECKOUT if in_checkout() else None}
        self._process = subprocess.Popen(self._command, **quiet)  # type: ignore[call-overload]
        while time.perf_counter() - begun < PATIENCE_S:
            if answers(self.host, self.port):
                return time.perf_counter() - begun
            if self._process is not None and self._process.poll() is not None:
                raise ServerGone(f"The server ended with code {self._process.returncode} before it answered.")
            time.sleep(0.01)
        self.kill()
        raise ServerGone(f"The server did not answer within {PATIENCE_S:.0f} s.")

    @property
    def pid(self) -> int:
        """The running process."""
        assert self._process is not None, "it is not running"
        return self._process.pid

    @property
    def ended(self) -> int | None:
        """The exit code of a process that has ended by itself; None while it runs."""
        return None if self._process is None else self._process.poll()

    def kill(self) -> None:
        """Ends it as a power cut does."""
        if self._process is not None:
            self._process.kill()
            self._process.wait()
            self._process = None

    def stop(self) -> None:
        """Ends it as Ctrl-C does."""
        if self._process is not None:
            self._process.send_signal(signal.SIGINT if os.name != "nt" else signal.SIGTERM)
            try:
                self._process.wait(PATIENCE_S)
            finally:
                self.kill()


def answers(host: str, port: int) -> bool:
    """Whether somebody answers requests there."""
    try:
        with socket.create_connection((host, port), timeout=2) as line:
            line.sendall(f"GET /board/time HTTP/1.0\r\nHost: {host}:{port}\r\n\r\n".encode())
            return line.recv(12).startswith(b"HTTP/1.1 200")
    except OSError:
        return False


def free_port(host: str = "127.0.0.1", wanted: int = 0) -> int:
    """A port that nobody uses at this moment: the one that is wanted, if it is free.

    Another is below those that a system gives to lines that go out: one of them may be some browser's before a server has it. On
    Linux it stays held until as many others were given: no second one who asks here is told the same before a server has it.
    """
    tried = (FROM_PORT + secrets.randbelow(SYSTEMS_PORTS - FROM_PORT) for _ in range(MOST_PORTS))
    return next(filter(None, (_bound(host, port) for port in (wanted or next(tried), *tried, 0))))


def _bound(host: str, port: int) -> int:
    """A port that could be had for a moment (of port 0: any), or 0."""
    with socket.socket() as probe:
        try:
            probe.bind((host, port))
        except OSError:
            return 0
        given = int(probe.getsockname()[1])
        if sys.platform == "linux":
            _hold(probe)
        return given


def _hold(probe: socket.socket) -> None:
    """Keeps a port from whoever asks here next, and from no server: one that reuses an address, as all do, may listen where a
    socket that does so too is bound and does not listen; a probe does not reuse it."""
    probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    HELD.append(probe.detach())
    if len(HELD) > MOST_HELD:
        os.close(HELD.popleft())
