"""The doors of a real server under people who mean no good, each from addresses of their own, while judges go on judging."""

import json
import select
import socket
import ssl
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, suppress
from dataclasses import replace
from typing import Any

import pytest
from websockets.exceptions import ConnectionClosed
from websockets.sync.client import ClientConnection, connect

from app.listening.patient_socket import TOO_FAST
from app.live.presence import MOST_SOCKETS
from app.rehearsal.tablet import body_of
from app.web.limits import FRAME_BYTES, too_large
from tests.bench.crowd import Hand
from tests.faults.crowded import Hall, a_crowded_hall, a_line, address, asked, get, hang_up, in_secret, is_cut, read_until, vanish

pytestmark = pytest.mark.paced

CUT_WITHIN_S = 6.0  # after which nobody slow is left
FREED_WITHIN_S = 2.0
MOST_MB = 20.0
HALF_A_GREETING = bytes.fromhex("16030100c8010000c40303")


@pytest.fixture(scope="module")
def hall(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Hall]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("LANE_LEDGER_MARKS_PER_SECOND", "1000000")  # how fast these judges count is no matter here
        with a_crowded_hall(tmp_path_factory.mktemp("hall") / "data") as opened:
            yield opened


@pytest.fixture(autouse=True)
def _hang_up() -> Iterator[None]:
    yield
    hang_up()


class Judge:
    """A lane's tablet at its own address, on one kept connection."""

    def __init__(self, hall: Hall, lane: int) -> None:
        self._hand = Hand(hall.tablets[lane - 1], hall.port, time.time_ns() // 1000 % 1_000_000)
        self.line = a_line(hall.port, f"127.5.0.{lane}")

    def mark(self) -> bytes:
        """Sends one repetition; what the desk answers."""
        status, body = asked(self.line, self._hand.reps())
        assert status == 200 and b'"refused":[]' in body, body
        return body


def eventually(true: Callable[[], bool], within_s: float) -> bool:
    """Whether something is so before the time is over."""
    until = time.monotonic() + within_s
    while not true():
        if time.monotonic() > until:
            return False
        time.sleep(0.05)
    return True


def a_board(hall: Hall, source: str) -> tuple[int, socket.socket]:
    """A board's stream: the status of its answer and the line."""
    line = a_line(hall.port, source)
    line.sendall(get("/board/stream", hall.port))
    return int(read_until(line, b"\r\n\r\n").split()[1]), line


# --- slow ones ----------------------------------------------------------------------------------------------------------


def slow_head(hall: Hall, source: str) -> socket.socket:
    line = a_line(hall.port, source)
    line.sendall(b"GET /board HTTP/1.1\r\nHost: local")
    return line


def slow_body(hall: Hall, source: str) -> socket.socket:
    line = a_line(hall.port, source)
    line.sendall(Hand(hall.tablets[0], hall.port).request(b"x" * 3000)[:-2990])
    return line


def slow_body_that_is_answered_already(hall: Hall, source: str) -> socket.socket:
    line = a_line(hall.port, source)
    line.sendall(b"POST /marks HTTP/1.1\r\nHost: localhost\r\nContent-Length: 3000\r\n\r\nx")
    return line


def a_reader_who_reads_nothing(hall: Hall, source: str) -> socket.socket:
    line = a_line(hall.port, source, room=4096)
    line.sendall(get("/static/0/vendor/htmx.min.js", hall.port) * 8)
    return line


def half_a_greeting(hall: Hall, source: str) -> socket.socket:
    line = a_line(hall.https_port, source)
    line.sendall(HALF_A_GREETING)
    return line


def slow_head_in_secret(hall: Hall, source: str) -> socket.socket:
    line = in_secret(hall.https_port, source)
    line.sendall(b"GET /board HTTP/1.1\r\nHo")
    return line


SLOW = (
    slow_head,
    slow_body,
    slow_body_that_is_answered_already,
    a_reader_who_reads_nothing,
    half_a_greeting,
    slow_head_in_secret,
)


def drip(lines: Sequence[socket.socket]) -> None:
    """One more byte from everybody who is slow to send."""
    for line in lines:
        if isinstance(line, ssl.SSLSocket):
            continue
        with suppress(OSError):
            line.setblocking(False)
            line.send(b"a")


def test_three_hundred_slow_and_five_hundred_idle_ones_hold_up_nobody_and_the_slow_are_cut(hall: Hall) -> None:
    judge, resting, (_, board) = Judge(hall, 1), Judge(hall, 2), a_board(hall, "127.6.0.1")
    for one in (judge, resting):
        one.mark()
    idle = [a_line(hall.port, address(100 + n // 20)) for n in range(500)]
    for line in idle:
        line.sendall(get("/clock/now", hall.port))
    slow = [SLOW[n % len(SLOW)](hall, address(n // 20)) for n in range(300)]
    # Doors take connections in turn: these two are taken when all the others are.
    for last in (a_line(hall.port, "127.6.0.3"), in_secret(hall.https_port, "127.6.0.3")):
        assert asked(last, get("/trust/yes", hall.port))[0] == 200
    taken = time.monotonic()
    for _ in range(10):
        judge.mark()
        status, body = asked(a_line(hall.port, "127.6.0.2"), get("/board", hall.port))
        assert status == 200 and b"Pair on lane 1" in body
        drip(slow)
    deaf, left = slow[SLOW.index(a_reader_who_reads_nothing) :: len(SLOW)], list(slow)

    def nobody_slow_is_left() -> bool:
        left[:] = [line for line in left if not (is_reset(line) if line in deaf else is_cut(line))]
        return not left

    assert eventually(nobody_slow_is_left, taken + CUT_WITHIN_S - time.monotonic()), f"{len(left)} are left"
    assert not any(is_cut(line) for line in idle), "an idle line is nobody's harm"
    assert resting.mark(), "a kept connection that rested all the while"
    drained(board)
    judge.mark()
    assert b"event: board" in read_until(board, b"event: board"), "the stream that was open all the while"


def is_reset(line: socket.socket) -> bool:
    """Whether a line was ended although something waits to be read."""
    poll = select.poll()
    poll.register(line, 0)
    return bool(poll.poll(0))


def drained(line: socket.socket) -> bytes:
    """What has come so far."""
    line.setblocking(False)
    read = b""
    try:
        while more := line.recv(65536):
            read += more
    except OSError:
        pass
    line.settimeout(10)
    return read


# --- how many -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("secure", [False, True])
def test_the_forty_first_connection_of_an_address_is_refused_and_another_address_gets_in(hall: Hall, secure: bool) -> None:
    port = hall.https_port if secure else hall.port
    source = address(200 + secure)
    lines = [a_line(port, source) for _ in range(40)]
    one_more = a_line(port, source)
    said = one_more.recv(4096)
    assert said == b"" if secure else said.startswith(b"HTTP/1.1 503") and b"Too many connections" in said
    other = in_secret(port, address(202)) if secure else a_line(port, address(202))
    assert asked(other, get("/board", port))[0] == 200
    for line in lines:
        line.close()
    assert eventually(lambda: not is_cut(a_line(port, source)), 1)


def test_judges_at_a_full_address_are_let_in_once_they_are_known(hall: Hall) -> None:
    source = address(203)
    known = [a_line(hall.port, source) for _ in range(30)]
    for line in known:
        line.sendall(get("/lane/packet", hall.port, f"Cookie: ll_device={hall.tablets[0].token}\r\n"))
        assert b" 200 " in read_until(line, b"\r\n\r\n")
    strangers = [a_line(hall.port, source) for _ in range(40)]
    assert eventually(lambda: not any(is_cut(line) for line in strangers), 0), "known ones are not counted with them"


def test_streams_are_four_an_address_and_a_hundred_and_fifty_in_all_and_free_soon(hall: Hall) -> None:
    open_ones = []
    for number in range(38):
        open_ones += [a_board(hall, address(300 + number)) for _ in range(5 if number == 0 else 4)]
    statuses = [status for status, _ in open_ones]
    assert statuses[:5] == [200] * 4 + [503]
    # the last address finds two places free, and one that had four makes room for its third
    assert (statuses.count(200), statuses.count(503)) == (151, 2)
    for n, (_, line) in enumerate(open_ones):
        vanish(line) if n % 2 else line.close()
    fresh: list[socket.socket] = []

    def place() -> bool:
        status, line = a_board(hall, address(340 + len(fresh) // 4))
        if status == 200:
            fresh.append(line)
        return status == 200

    assert eventually(place, FREED_WITHIN_S) and all(place() for _ in range(149)), "every place is free again"


# --- sockets ------------------------------------------------------------------------------------------------------------


Sockets = Callable[[str, int], ClientConnection]


@pytest.fixture
def a_socket(hall: Hall) -> Iterator[Sockets]:
    """Opens the socket of a lane's tablet from an address, up to the server's hello."""
    with ExitStack() as stack:

        def opened(source: str, lane: int) -> ClientConnection:
            headers = {"Cookie": f"ll_device={hall.tablets[lane - 1].token}"}
            url, line = f"ws://localhost:{hall.port}/lane/socket", a_line(hall.port, source)
            socket = stack.enter_context(connect(url, sock=line, additional_headers=headers, compression=None, close_timeout=0.2))
            assert json.loads(socket.recv(timeout=10))["type"] == "hello"
            return socket

        yield opened


def end_of(opened: ClientConnection) -> tuple[int, str]:
    """With which code and words the server ends a socket."""
    with suppress(ConnectionClosed):
        while True:
            opened.recv(timeout=10)
    assert opened.close_code is not None
    return opened.close_code, opened.close_reason or ""


PING = json.dumps({"type": "ping", "t1": 1})
FLOODS: dict[str, tuple[Callable[[ClientConnection], Any], int, str]] = {
    "messages": (lambda opened: [opened.send(PING) for _ in range(2000)], 1008, TOO_FAST),
    "pings": (lambda opened: [opened.ping() for _ in range(2000)], 1008, TOO_FAST),
    "pieces": (lambda opened: opened.send("" for _ in range(2000)), 1008, TOO_FAST),
    "one message": (lambda opened: opened.send("x" * 70_000), 1009, too_large(FRAME_BYTES)),
}


@pytest.mark.parametrize("what", FLOODS)
def test_a_socket_that_is_flooded_is_closed_with_a_sentence_and_others_go_on(a_socket: Sockets, what: str) -> None:
    flood, code, sentence = FLOODS[what]
    other, opened = a_socket("127.5.1.1", 1), a_socket("127.5.1.2", 2)
    with suppress(ConnectionClosed, OSError):
        flood(opened)
    assert end_of(opened) == (code, sentence)
    other.send(PING)
    assert json.loads(other.recv(timeout=10))["type"] == "pong"


def test_a_tablet_that_comes_again_and_again_keeps_its_newest_sockets(a_socket: Sockets) -> None:
    opened = [a_socket("127.5.1.3", 3) for _ in range(MOST_SOCKETS + 1)]
    assert end_of(opened[0])[0] == 1013
    for one in opened[1:]:
        one.send(PING)
        assert json.loads(one.recv(timeout=10))["type"] == "pong"


def test_a_tablet_that_takes_nothing_of_its_news_is_cut_and_its_lane_goes_on(hall: Hall) -> None:
    """More is told to it than system and server keep for anybody; nobody else waits for it."""
    tablet = hall.tablets[3]
    deaf = a_line(hall.port, "127.5.1.4", room=4096)
    upgrade = "Connection: Upgrade\r\nUpgrade: websocket\r\nSec-WebSocket-Version: 13\r\n"
    key = "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n"
    deaf.sendall(get("/lane/socket", hall.port, f"{upgrade}{key}Cookie: ll_device={tablet.token}\r\n"))
    read_until(deaf, b'"hello"')
    other, own = Hand(replace(tablet, device="another"), hall.port), Hand(tablet, hall.port)
    judge = a_line(hall.port, "127.5.1.5")
    for batch in range(20):
        marks = [other.outbox.add("rep", 200 * batch + seq, 1_800_000_000_000) for seq in range(1, 201)]
        assert asked(judge, own.request(body_of(marks)))[0] == 200
    assert eventually(lambda: is_reset(deaf), 3 * CUT_WITHIN_S)
    Judge(hall, 4).mark()


# --- how much -----------------------------------------------------------------------------------------------------------


def pushed(line: socket.socket, head: bytes, part: bytes, times: int) -> bytes:
    """Sends a head, then a part again and again until the server has had enough; what it said."""
    said = b""
    try:
        line.sendall(head)
        for _ in range(times):
            line.sendall(part)
    except OSError:
        pass
    try:
        while more := line.recv(65536):
            said += more
    except OSError:
        pass
    return said


MB = b"x" * 1024 * 1024
HUGE = {
    "a body that says so": (b"POST /marks HTTP/1.1\r\nHost: localhost\r\nContent-Length: 209715200\r\n\r\n", MB, 200),
    "a body in pieces": (
        b"POST /pair HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n",
        b"100000\r\n" + MB + b"\r\n",
        200,
    ),
    "many headers": (
        b"GET /board HTTP/1.1\r\nHost: localhost\r\n",
        b"".join(b"x-%06d: %s\r\n" % (n, MB[:1000]) for n in range(1000)),
        64,
    ),
    "one header": (b"GET /board HTTP/1.1\r\nHost: localhost\r\nx-one: ", MB, 64),
    "a request line": (b"GET /", MB, 64),
}


@pytest.mark.parametrize("secure", [False, True])
@pytest.mark.parametrize("what", HUGE)
def test_what_is_huge_costs_little_memory(hall: Hall, what: str, secure: bool) -> None:
    head, part, times = HUGE[what]
    with hall.peak() as risen:
        line = in_secret(hall.https_port, address(401)) if secure else a_line(hall.port, address(400))
        said = pushed(line, head, part, times)
        assert risen() < MOST_MB
    assert said.startswith(b"HTTP/1.1 4") or not said
    Judge(hall, 3).mark()


def test_many_bodies_at_once_cost_bounded_memory(hall: Hall) -> None:
    """Each is within the limit, and none of them ends."""
    lines = [a_line(hall.port, address(420 + n // 30)) for n in range(120)]
    head = b"POST /desk/enter HTTP/1.1\r\nHost: localhost\r\nContent-Length: 260000\r\n\r\n"
    with hall.peak() as risen:
        for line in lines:
            line.setblocking(False)
            with suppress(OSError):
                line.send(head + MB[:250_000])
        Judge(hall, 4).mark()
        assert risen() < len(lines) * 0.6, "what is in the limit, and the lines themselves"
