"""A start waits for its port while a server before it lets go, and says what is the matter with one that can't be had."""

import errno
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest

from app.listening import opening
from app.listening.opening import HTTPS_FLAG, PortTrouble, open_port


@contextmanager
def taken(answer: bytes = b"") -> Iterator[socket.socket]:
    """A port that something listens on; with an answer it is alive, without one it is about to end."""
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        listener.listen()

        def serve() -> None:
            try:
                line, _ = listener.accept()
            except OSError:
                return
            with line:
                line.sendall(answer)

        if answer:
            threading.Thread(target=serve, daemon=True).start()
        yield listener


def test_port_0_means_any_that_is_free() -> None:
    with open_port("127.0.0.1", 0) as listener:
        assert listener.getsockname()[1] > 0


def test_an_address_of_another_machine_is_refused() -> None:
    with pytest.raises(PortTrouble, match="has no address"):
        open_port("198.51.100.7", 0)


def test_a_port_is_taken_before_the_server_is_ready() -> None:
    with open_port("127.0.0.1", 0) as listener, pytest.raises(PortTrouble, match="already in use"):
        open_port("127.0.0.1", listener.getsockname()[1])


def test_a_port_that_is_about_to_be_free_is_waited_for(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(opening, "ANSWERS_WITHIN_S", 0.1)
    with taken() as before:
        port = before.getsockname()[1]
        threading.Timer(0.5, before.close).start()
        with open_port("127.0.0.1", port, patience_s=20) as listener:
            assert listener.getsockname()[1] == port
    assert capsys.readouterr().err == f"Port {port} is not free yet. Trying again for 20 s.\n"


def test_a_port_at_which_a_server_is_alive_is_not_waited_for() -> None:
    begun = time.perf_counter()
    with taken(b"HTTP/1.1 200 OK\r\n\r\n") as alive, pytest.raises(PortTrouble, match="perhaps by another Lane Ledger"):
        open_port("127.0.0.1", alive.getsockname()[1], patience_s=20)
    assert time.perf_counter() - begun < 5


def test_waiting_comes_to_an_end(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(opening, "ANSWERS_WITHIN_S", 0.1)
    with taken() as silent, pytest.raises(PortTrouble, match="already in use"):
        open_port("127.0.0.1", silent.getsockname()[1], patience_s=0.5)


@pytest.fixture
def refused(monkeypatch: pytest.MonkeyPatch) -> Callable[[OSError, int, str], str]:
    """What is said when the system refuses a port in some way; it is imitated, for it is another system's."""

    def said(wrong: OSError, port: int, flag: str = opening.PORT_FLAG) -> str:
        def refuse(host: str, number: int) -> socket.socket:
            raise wrong

        monkeypatch.setattr(opening, "listen_on", refuse)
        with pytest.raises(PortTrouble) as told:
            open_port("0.0.0.0", port, flag, patience_s=20)
        return str(told.value)

    return said


def test_a_port_that_windows_has_set_aside_has_its_own_sentence(refused: Callable[..., str]) -> None:
    said = refused(PermissionError(errno.EACCES, "An attempt was made to access a socket in a way forbidden"), 8765)
    assert said.startswith("The system has reserved port 8765") and "excludedportrange" in said
    assert "administrator" in refused(PermissionError(errno.EACCES, "Permission denied"), 80)


@pytest.mark.parametrize("number", [errno.EADDRINUSE, 10048])
def test_no_port_is_offered_without_a_word_on_paired_tablets_nor_that_of_https(
    number: int, refused: Callable[..., str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(opening, "somebody_answers", lambda host, port: True)
    said = refused(OSError(number, "in use"), 8765)
    assert "Paired tablets find this laptop at this port only" in said
    assert "--port 8775" in said and "8766" not in said
    secure = refused(OSError(number, "in use"), 8766, HTTPS_FLAG)
    assert secure.startswith("Port 8766, for HTTPS, is already in use") and "--https-port 8776, or --no-https" in secure
    assert "--port 8775" in refused(OSError(number, "in use"), 65535)


def test_another_trouble_is_told_as_the_system_tells_it(refused: Callable[..., str]) -> None:
    assert "can't be opened: [Errno 24] Too many open files" in refused(OSError(errno.EMFILE, "Too many open files"), 8765)
