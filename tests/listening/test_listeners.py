"""The plain door: HTTP as usual, and a TLS greeting held for a second, by which a tablet knows that somebody is there."""

import socket
import time
from collections.abc import Iterator

import pytest

from app.listening.patient import HOLD_SECONDS
from app.rehearsal.serving import free_port
from tests.test_serving import a_server

CLIENT_HELLO = bytes.fromhex("16030100c8010000c40303") + b"\x00" * 190


@pytest.fixture(scope="module")
def port(tmp_path_factory: pytest.TempPathFactory) -> Iterator[int]:
    free = free_port()
    with a_server(tmp_path_factory.mktemp("data"), free):
        yield free


def said(port: int, *parts: bytes, up_to: bytes = b"") -> tuple[bytes, float]:
    """What comes back for some bytes until the line is closed or these words came, and after how many seconds that was."""
    with socket.create_connection(("127.0.0.1", port), timeout=10) as line:
        begun = time.monotonic()
        for part in parts:
            line.sendall(part)
            time.sleep(0.05)
        answer = b""
        while read := line.recv(65536):
            answer += read
            if up_to and up_to in answer:
                break
        return answer, time.monotonic() - begun


def test_a_tls_greeting_is_held_and_then_hung_up_on_without_a_word(port: int) -> None:
    answer, seconds = said(port, CLIENT_HELLO, b"and more of it")
    assert answer == b"" and HOLD_SECONDS * 0.9 < seconds < HOLD_SECONDS + 3


def test_a_request_in_pieces_is_answered_at_once(port: int) -> None:
    answer, seconds = said(port, b"GET /trust/yes HTTP/1.1\r\nHost: localhost\r\n", b"Connection: close\r\n\r\n")
    assert answer.startswith(b"HTTP/1.1 200") and answer.endswith(b'{"lane_ledger":true}') and seconds < HOLD_SECONDS


def test_other_noise_is_refused_at_once(port: int) -> None:
    answer, seconds = said(port, b"\x15\x03\x01\x00\x02\x02\x28")
    assert answer.startswith(b"HTTP/1.1 400") and seconds < HOLD_SECONDS


def test_a_socket_is_opened_through_the_same_door(port: int) -> None:
    ask = (
        b"GET /lane/socket HTTP/1.1\r\nHost: localhost\r\nConnection: Upgrade\r\nUpgrade: websocket\r\n"
        b"Sec-WebSocket-Version: 13\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n\r\n"
    )
    answer, _ = said(port, ask, up_to=b"isn't paired")
    assert answer.startswith(b"HTTP/1.1 101") and b"isn't paired" in answer
