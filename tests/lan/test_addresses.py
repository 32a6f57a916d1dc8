"""Where only a resolver tells this laptop's addresses, nobody waits for it after the first time."""

import socket
import threading
import time

import pytest

from app.lan import addresses


@pytest.fixture
def resolver(monkeypatch: pytest.MonkeyPatch) -> tuple[threading.Event, list[str]]:
    """A system without a table of addresses, whose resolver answers when it is let, with what stands in a list."""
    answers, told = threading.Event(), ["192.0.2.7"]

    def slowly(_: str) -> tuple[str, list[str], list[str]]:
        assert answers.wait(20)
        return "", [], list(told)

    monkeypatch.setattr(addresses, "_by_kernel_table", list)
    monkeypatch.setattr(addresses, "_by_route", list)
    monkeypatch.setattr(addresses, "_NAMED", addresses._Kept(addresses._resolved))
    monkeypatch.setattr(socket, "gethostbyname_ex", slowly)
    return answers, told


def test_a_slow_resolver_holds_nobody_up_and_its_news_come(
    resolver: tuple[threading.Event, list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    answers, told = resolver
    answers.set()
    assert addresses.lan_addresses() == ["192.0.2.7"], "the first answer is waited for"
    answers.clear()
    told[:] = ["192.0.2.8"]
    monkeypatch.setattr(addresses, "NAMED_AGE_S", 0.0)
    begun = time.perf_counter()
    assert addresses.lan_addresses() == ["192.0.2.7"] == addresses.lan_addresses()
    assert time.perf_counter() - begun < 1
    answers.set()
    until = time.monotonic() + 10
    while addresses.lan_addresses() != ["192.0.2.8"] and time.monotonic() < until:
        time.sleep(0.01)
    assert addresses.lan_addresses() == ["192.0.2.8"]


def test_a_resolver_that_does_not_answer_keeps_a_start_only_so_long(
    resolver: tuple[threading.Event, list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(addresses, "FIRST_ANSWER_S", 0.05)
    assert addresses.lan_addresses() == []
    resolver[0].set()
