"""Spectators who mean no good, from addresses of their own: the whole of 127.0.0.0/8 is this machine, and each counts apart."""

import socket
import ssl
import struct
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from app.live.servertime import this_machine
from app.rehearsal.serving import free_port
from app.rehearsal.tablet import Seat
from tests.bench.hall import heat_under_way, lanes_roster
from tests.browser.server_process import ServerProcess

HERE = "127.0.0.1"
PATIENCE_S = 10.0
TRUSTING = ssl._create_unverified_context()  # who attacks looks at no certificate


def address(number: int) -> str:
    """A spectator's address."""
    return f"127.7.{number // 250}.{number % 250 + 1}"


class Hall:
    """A server process with both doors and a heat on the floor, a paired tablet on each lane."""

    def __init__(self, server: ServerProcess, https_port: int, tablets: list[Seat]) -> None:
        self.server, self.https_port, self.tablets = server, https_port, tablets
        self.port = int(server.url.rpartition(":")[2])

    @property
    def rss_mb(self) -> float:
        """The resident memory of the server now."""
        return self._memory("VmRSS")

    @contextmanager
    def peak(self) -> Iterator[Callable[[], float]]:
        """Tells by how many megabytes the server's resident memory rose at most since this was entered."""
        Path(f"/proc/{self.server.pid}/clear_refs").write_text("5", encoding="utf-8")  # forgets the peak so far, see proc(5)
        before = self.rss_mb
        yield lambda: self._memory("VmHWM") - before

    def _memory(self, what: str) -> float:
        for line in Path(f"/proc/{self.server.pid}/status").read_text(encoding="utf-8").splitlines():
            if line.startswith(what):
                return int(line.split()[1]) / 1024
        raise AssertionError(f"no {what}")


@contextmanager
def a_crowded_hall(folder: Path, lanes: int = 4) -> Iterator[Hall]:
    """A started server over a heat under way."""
    tablets = heat_under_way(folder, lanes_roster(lanes, 1200), this_machine(), since_go_s=30)
    https_port = free_port("")
    server = ServerProcess(folder, flags=("--https-port", str(https_port)))
    server.start()
    try:
        yield Hall(server, https_port, tablets)
    finally:
        server.kill()


_lines: list[socket.socket] = []


def a_line(port: int, source: str, room: int = 0) -> socket.socket:
    """A connection from one of this machine's many addresses, with `room` bytes for what comes in (0: the system's choice)."""
    line = socket.socket()
    _lines.append(line)
    line.settimeout(PATIENCE_S)
    if room:
        line.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, room)
    line.bind((source, 0))
    line.connect((HERE, port))
    return line


def in_secret(port: int, source: str) -> ssl.SSLSocket:
    """The same, encrypted."""
    line = TRUSTING.wrap_socket(a_line(port, source))
    _lines.append(line)
    return line


def hang_up() -> None:
    """Closes every line that was opened here."""
    while _lines:
        _lines.pop().close()


def vanish(line: socket.socket) -> None:
    """Ends a connection with a reset, as a killed browser's machine does."""
    line.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
    line.close()


def read_until(line: socket.socket, end: bytes) -> bytes:
    """What comes up to and with `end`. Raises ConnectionError when the line is closed before."""
    read = b""
    while end not in read:
        more = line.recv(65536)
        if not more:
            raise ConnectionError(f"closed after {read[-200:]!r}")
        read += more
    return read


def asked(line: socket.socket, request: bytes) -> tuple[int, bytes]:
    """One request on an open line: the status and the body of its answer, by its content-length."""
    line.sendall(request)
    head = read_until(line, b"\r\n\r\n")
    start, _, body = head.partition(b"\r\n\r\n")
    length = next(int(h[15:]) for h in start.split(b"\r\n") if h.lower().startswith(b"content-length:"))
    while len(body) < length:
        body += line.recv(65536)
    return int(start.split()[1]), body


def get(path: str, port: int, more: str = "") -> bytes:
    """A plain GET."""
    return f"GET {path} HTTP/1.1\r\nHost: localhost:{port}\r\n{more}\r\n".encode()


def is_cut(line: socket.socket) -> bool:
    """Whether the server has closed a line, without waiting."""
    line.setblocking(False)
    try:
        while line.recv(65536):
            pass
        return True
    except (BlockingIOError, ssl.SSLWantReadError):
        return False
    except OSError:
        return True
