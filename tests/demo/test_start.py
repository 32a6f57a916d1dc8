"""Starting the demo: for this computer alone unless the hall is asked for, and what the terminal says of it."""

import socket
from collections.abc import Callable
from typing import Any

import pytest

from app.cli import main
from app.serving import welcome
from app.settings import Settings


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Callable[..., Settings]:
    """The settings that a command line would start with."""
    found: list[Settings] = []
    monkeypatch.setattr("app.serving.serve", lambda settings, started: found.append(settings) or 0)

    def ask(*words: str) -> Settings:
        assert main(["demo", *words]) == 0
        return found[-1]

    return ask


def test_the_demo_listens_on_this_computer_alone_unless_the_hall_is_asked_for(
    asked: Callable[..., Settings], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LANE_LEDGER_HOST", "0.0.0.0")  # what a real server was told says nothing of a demo
    assert asked().host == "127.0.0.1" and not asked().speaks_https
    assert asked("--hall").host == "0.0.0.0" and asked("--hall").speaks_https
    assert asked("--host", "192.0.2.3").host == "192.0.2.3"


@pytest.mark.parametrize(("host", "told"), [("127.0.0.1", True), ("0.0.0.0", False)])
def test_the_terminal_says_the_password_and_how_the_hall_is_let_in(
    host: str, told: bool, capsys: pytest.CaptureFixture[str]
) -> None:
    with socket.socket() as plain:
        plain.bind(("127.0.0.1", 0))
        doors: Any = type("Doors", (), {"plain": plain, "secure": None})
        welcome(Settings(host=host, demo=True, open_browser=False), doors, 1.0, "cedar-zebra-0042")
    said = capsys.readouterr().out
    assert "cedar-zebra-0042" in said and "/demo\n" in said
    assert ("python3 -m app demo --hall" in said) is told
