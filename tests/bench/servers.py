"""Servers for the benches: each a process of its own, as a competition has it, on a free port."""

import http.client
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from app.paths import CHECKOUT
from app.rehearsal.serving import free_port

PATIENCE_S = 30.0
ANY_PACE = {"LANE_LEDGER_MARKS_PER_SECOND": "1000000"}  # where more marks are sent than hands make
LOOK_EVERY_S = 0.004  # how often it is asked whether a server answers; bounds the error of a start's time


@dataclass(frozen=True, slots=True)
class Serving:
    """A server that answers. `started_s` is the time from its command to its first HTTP answer."""

    port: int
    pid: int
    started_s: float

    @property
    def url(self) -> str:
        """Its address. By this name browsers allow it what they allow a site with a certificate."""
        return f"http://localhost:{self.port}"


def serve_command(data: Path, port: int, python: Sequence[str] = ()) -> list[str]:
    """`serve` as the command line has it; `python` begins it differently, such as from outside .venv."""
    begin = python or (sys.executable, "-c", "import sys; from app.cli import main; sys.exit(main())")
    return [*begin, "serve", "--data", str(data), "--port", str(port), "--host", "127.0.0.1", "--no-browser"]


@contextmanager
def serving(
    command: Sequence[str], port: int, environment: Mapping[str, str] | None = None, patience_s: float = PATIENCE_S
) -> Iterator[Serving]:
    """Runs a server and ends it again. Raises RuntimeError when it ends by itself, TimeoutError when it does not answer."""
    begun = time.perf_counter()
    process = subprocess.Popen(command, cwd=CHECKOUT, stdout=subprocess.DEVNULL, env=environment)
    try:
        _wait(process, port, patience_s)
        yield Serving(port, process.pid, time.perf_counter() - begun)
    finally:
        process.terminate()
        try:
            process.wait(10)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


@contextmanager
def served(data: Path) -> Iterator[Serving]:
    """The real server over a data folder."""
    port = free_port()
    with serving(serve_command(data, port), port) as server:
        yield server


def get(port: int, path: str, headers: dict[str, str] | None = None) -> tuple[int, bytes]:
    """One request: the status and the body as it was sent, packed or not."""
    connection = http.client.HTTPConnection("localhost", port, timeout=PATIENCE_S)
    try:
        connection.request("GET", path, headers=headers or {})
        answer = connection.getresponse()
        return answer.status, answer.read()
    finally:
        connection.close()


def _wait(process: "subprocess.Popen[bytes]", port: int, patience_s: float) -> None:
    end = time.monotonic() + patience_s
    while time.monotonic() < end:
        try:
            get(port, "/")
        except OSError:
            if process.poll() is not None:
                raise RuntimeError(f"The server ended with code {process.returncode} before it answered.") from None
            time.sleep(LOOK_EVERY_S)
        else:
            return
    raise TimeoutError(f"No answer on port {port} after {patience_s:.0f} s.")
