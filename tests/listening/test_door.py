"""The doors stay open, whether a phone hangs up before it is taken or the system closes the socket under the server."""

import asyncio
import errno
import socket
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest

from app.listening import door
from app.listening.listeners import Doors, TwoDoors
from app.listening.ports import listen_on

LOOPS: list[Callable[[], asyncio.AbstractEventLoop]] = [asyncio.new_event_loop]
try:
    import uvloop

    LOOPS.append(uvloop.new_event_loop)
except ImportError:  # where there is none, the server does without too
    pass


class AsOnWindows(asyncio.SelectorEventLoop):
    """A loop as the one of Windows: every second connection is gone before it is taken, and its own server would end of that."""

    taken = 0

    async def sock_accept(self, sock: socket.socket) -> Any:
        peer, address = await super().sock_accept(sock)
        type(self).taken += 1
        if self.taken % 2:
            peer.close()
            raise ConnectionResetError(errno.ECONNRESET, "The specified network name is no longer available")
        return peer, address

    async def create_server(self, *_: Any, **__: Any) -> Any:
        raise AssertionError("ends for good at the first error of its listener")


async def hello(scope: Any, receive: Any, send: Any) -> None:
    """An application that greets."""
    if scope["type"] == "lifespan":
        while (await receive())["type"] != "lifespan.shutdown":
            await send({"type": "lifespan.startup.complete"})
        await send({"type": "lifespan.shutdown.complete"})
        return
    await send({"type": "http.response.start", "status": 200, "headers": [(b"content-length", b"5")]})
    await send({"type": "http.response.body", "body": b"hello"})


@contextmanager
def serving(listener: socket.socket, loop: Callable[[], asyncio.AbstractEventLoop]) -> Iterator[tuple[int, list[str]]]:
    """A server on a socket, in a thread; its port, and what its doors told."""
    told: list[str] = []
    ready = threading.Event()
    server = TwoDoors(hello, Doors(listener, opened=ready.set, told=told.append))

    def run() -> None:
        with asyncio.Runner(loop_factory=loop) as runner:
            runner.run(server.serve(sockets=[]))

    port = int(listener.getsockname()[1])
    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    assert ready.wait(10)
    try:
        yield port, told
    finally:
        server.should_exit = True
        thread.join(10)
        assert not thread.is_alive()


def greeted(port: int) -> bool:
    """Whether somebody who comes is answered."""
    try:
        with socket.create_connection(("127.0.0.1", port), timeout=2) as line:
            line.sendall(b"GET / HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n")
            answer = b""
            while read := line.recv(4096):
                answer += read
            return answer.endswith(b"hello")
    except OSError:
        return False


def test_who_hangs_up_before_being_taken_closes_nothing() -> None:
    with serving(listen_on("127.0.0.1", 0), AsOnWindows) as (port, told):
        assert [greeted(port) for _ in range(6)] == [False, True] * 3
    assert told == []


def test_while_it_serves_threads_hand_the_interpreter_on_soon() -> None:
    usual = sys.getswitchinterval()
    try:
        sys.setswitchinterval(0.005)  # Python's own
        with serving(listen_on("127.0.0.1", 0), asyncio.new_event_loop) as (port, _):
            assert greeted(port) and sys.getswitchinterval() <= 0.001
    finally:
        sys.setswitchinterval(usual)


@pytest.mark.parametrize("loop", LOOPS)
@pytest.mark.parametrize(
    "closed", [lambda listener: socket.close(listener.detach()), lambda listener: listener.shutdown(socket.SHUT_RDWR)]
)
def test_a_door_that_was_closed_is_opened_again_at_its_port_and_told(
    loop: Callable[[], asyncio.AbstractEventLoop], closed: Callable[[socket.socket], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(door, "LOOK_S", 0.05)
    listener = listen_on("127.0.0.1", 0)
    with serving(listener, loop) as (port, told):
        assert greeted(port)
        closed(listener)
        end = time.monotonic() + 10
        while not told and time.monotonic() < end:
            time.sleep(0.02)
        assert told[-1] == "" and greeted(port) and greeted(port)
    with pytest.raises(ConnectionRefusedError):
        socket.create_connection(("127.0.0.1", port), timeout=2)


def test_a_door_that_cant_be_opened_says_so_until_it_can(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(door, "LOOK_S", 0.05)
    monkeypatch.setattr(door, "AGAIN_S", 0.05)
    listener = listen_on("127.0.0.1", 0)
    whole, tries = door.listen_on, []

    def taken(*where: Any) -> socket.socket:
        tries.append(where)
        if len(tries) < 3:
            raise OSError(errno.EADDRINUSE, "Address already in use")
        return whole(*where)

    monkeypatch.setattr(door, "listen_on", taken)
    with serving(listener, asyncio.new_event_loop) as (port, told):
        listener.close()
        end = time.monotonic() + 10
        while told[-1:] != [""] and time.monotonic() < end:
            time.sleep(0.02)
        assert told == [f"Port {port} was closed by the system, and can't be opened (Address already in use)."] * 2 + [""]
        assert greeted(port)


def test_a_flood_that_never_ends_leaves_the_loop_to_others() -> None:
    """With somebody always waiting, taking them must not keep everybody else from their turn."""

    class Crowded(asyncio.SelectorEventLoop):
        async def sock_accept(self, sock: socket.socket) -> Any:
            return socket.socket(), ("127.0.0.1", 1)

    async def turns() -> int:
        listener, turns = listen_on("127.0.0.1", 0), 0

        async def take(peer: socket.socket) -> None:
            peer.close()

        running = asyncio.create_task(door.Door(listener, take).run())
        for _ in range(20):
            await asyncio.sleep(0)
            turns += 1
        running.cancel()
        await asyncio.gather(running, return_exceptions=True)
        return turns

    with asyncio.Runner(loop_factory=Crowded) as runner:
        assert runner.run(asyncio.wait_for(turns(), 10)) == 20
