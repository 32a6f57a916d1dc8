"""Two hundred guesses at every secret: few are looked at, none holds up those whose hall it is."""

import asyncio
import time
from collections.abc import Awaitable, Callable
from typing import Any

import pytest

from app.doors import logins, pairing
from app.hall.devices import Caller
from app.hall.guessing import TooManyGuesses, WrongSecret
from app.hall.hall import Hall
from app.live import kept
from app.live.guesses import HOUR_MS, MINUTE_MS, MOST_IN_ALL, MOST_PER_ADDRESS
from tests.builders.halls import ON_THE_LAN, PASSWORD, House

GUESSES = 200
HEAD = "four odd little words"
ONE = [ON_THE_LAN] * GUESSES
MANY = [f"198.51.100.{n % 200}" for n in range(GUESSES)]
PAGE = {"accept": "text/html"}

Guess = Callable[[Hall, int, str], Awaitable[object]]


def _at_the_desk(hall: Hall, n: int, address: str) -> Awaitable[object]:
    return logins.log_in(hall, f"wrong guess {n}", Caller(address))


def _at_the_review(hall: Hall, n: int, address: str) -> Awaitable[object]:
    return logins.log_in_head(hall, f"wrong guess {n}", Caller(address))


def _at_a_code(hall: Hall, n: int, address: str) -> Awaitable[object]:
    return pairing.pair(hall, f"{n:06}", Caller(address), None)


def _at_the_first_code(hall: Hall, n: int, address: str) -> Awaitable[object]:
    wrong = f"{(int(hall.presence.first_code) + 1 + n) % 10**6:06}"
    return logins.set_first_password(hall, PASSWORD, PASSWORD, Caller(address), wrong)


async def _all_at_once(hall: Hall, guess: Guess, addresses: list[str]) -> list[object]:
    """What became of each guess; all of them are under way at the same time."""
    return await asyncio.gather(*(guess(hall, n, address) for n, address in enumerate(addresses)), return_exceptions=True)


@pytest.fixture
def hashes(monkeypatch: pytest.MonkeyPatch) -> dict[str, int]:
    """How often a password was really compared with its hash, and how many at the same time."""
    counted, real = {"compared": 0, "now": 0, "at_once": 0}, logins._matches

    def matches(stored: str, password: str) -> bool:
        counted["compared"] += 1
        counted["now"] += 1
        counted["at_once"] = max(counted["at_once"], counted["now"])
        try:
            time.sleep(0.001)  # long enough for a second one to be seen
            return real(stored, password)
        finally:
            counted["now"] -= 1

    monkeypatch.setattr(logins, "_matches", matches)
    return counted


@pytest.mark.parametrize(("addresses", "looked_at"), [(ONE, MOST_PER_ADDRESS), (MANY, MOST_IN_ALL)], ids=["one", "200"])
@pytest.mark.parametrize("guess", [_at_the_desk, _at_the_review, _at_a_code, _at_the_first_code])
def test_of_two_hundred_guesses_at_one_instant_few_are_looked_at(
    house: House, hashes: dict[str, int], guess: Guess, addresses: list[str], looked_at: int
) -> None:
    if guess is not _at_the_first_code:
        house.desk()
        house.do(logins.set_head_password, HEAD, HEAD)
    told = house.do(_all_at_once, guess, addresses)
    assert sum(isinstance(one, WrongSecret) for one in told) == looked_at
    assert sum(isinstance(one, TooManyGuesses) for one in told) == GUESSES - looked_at
    compared = {_at_the_desk: looked_at, _at_the_review: 2 * looked_at}.get(guess, 0)
    assert hashes["compared"] == compared, "the review's door compares with its own password and with the desk's"
    assert hashes["at_once"] <= 1, "each takes 64 MiB: never two at a time"


def test_an_address_has_its_few_tries_again_an_hour_later_and_no_sooner(house: House, hashes: dict[str, int]) -> None:
    house.desk()
    for minute in range(120):
        told = house.do(_all_at_once, _at_the_desk, [ON_THE_LAN] * 10)
        if minute in (0, 60):
            assert sum(isinstance(one, WrongSecret) for one in told) == MOST_PER_ADDRESS
        house.clocks.pass_ms(MINUTE_MS)
    assert hashes["compared"] == 2 * MOST_PER_ADDRESS


def test_no_storm_of_guesses_locks_out_laptop_known_browser_or_session(house: House) -> None:
    desk, known = house.desk(), house.browser("192.0.2.10")
    assert known.post("/desk/enter", data={"password": PASSWORD}).status_code == 303
    held = known.cookies["ll_known"]
    tablet, invitation = house.tablet(1), house.invitation(2)
    for guess in (_at_the_desk, _at_the_review, _at_a_code):
        house.do(_all_at_once, guess, MANY)
        house.do(_all_at_once, guess, ["192.0.2.10"] * 50)
    stranger = house.browser("192.0.2.11")
    refused = stranger.post("/desk/enter", data={"password": PASSWORD}, headers=PAGE)
    assert refused.status_code == 429 and "Try again in 60 minutes" in refused.text and refused.headers["retry-after"] == "3600"
    assert house.browser().post("/desk/enter", data={"password": PASSWORD}).status_code == 303, "the laptop itself"
    assert known.post("/desk/leave").status_code == 303 and known.cookies["ll_known"] == held
    assert known.post("/desk/enter", data={"password": PASSWORD}).status_code == 303, "a browser that is known here"
    assert known.post("/review/enter", data={"password": PASSWORD}).status_code == 303
    assert desk.get("/desk").status_code == 200 and tablet.get("/lane/packet").status_code == 200
    assert house.browser("192.0.2.12").post("/pair", json={"token": invitation.token}).status_code == 200, "a QR code"


def test_wrong_codes_lock_no_code_that_was_made_since_and_none_is_guessed_at_more_often(house: House) -> None:
    old = house.invitation(1)
    told = house.do(_all_at_once, _at_a_code, MANY)
    assert sum(isinstance(one, WrongSecret) for one in told) == MOST_IN_ALL
    stranger = house.browser(MANY[0])
    assert stranger.post("/pair", json={"code": old.code}).status_code == 429
    house.clocks.pass_ms(1)
    fresh = house.invitation(1)
    assert stranger.post("/pair", json={"code": old.code}).status_code == 403, "too many have guessed at this one"
    assert stranger.post("/pair", json={"code": fresh.code}).status_code == 200
    house.clocks.pass_ms(1)
    house.invitation(2)
    told = house.do(_all_at_once, _at_a_code, MANY)
    assert sum(isinstance(one, WrongSecret) for one in told) == MOST_IN_ALL, "no more at this one either"
    house.clocks.pass_ms(1)
    newest = house.invitation(3)
    told = house.do(_all_at_once, _at_a_code, ONE)
    assert sum(isinstance(one, WrongSecret) for one in told) == MOST_PER_ADDRESS, "nor from one address"
    assert house.browser(ON_THE_LAN).post("/pair", json={"code": newest.code}).status_code == 429
    assert house.browser(MANY[1]).post("/pair", json={"code": newest.code}).status_code == 200


def test_a_storm_of_codes_has_the_store_asked_for_the_newest_one_once_a_second(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    looked, look = list[int](), pairing.newest_invitation
    monkeypatch.setattr(pairing, "newest_invitation", lambda session, wall_ms: looked.append(wall_ms) or look(session, wall_ms))
    monkeypatch.setattr(kept, "REST", 0)  # a look that took long is rested from in real time, and the second is imitated
    house.invitation(1)
    for _ in range(3):
        house.do(_all_at_once, _at_a_code, MANY)
    assert len(looked) == 1
    house.clocks.pass_ms(1000)
    house.do(_all_at_once, _at_a_code, MANY)
    assert len(looked) == 2
    house.invitation(2)
    assert house.browser(ON_THE_LAN).post("/pair", json={"code": house.invitation(3).code}).status_code == 200, "made just now"


def test_a_known_browser_has_few_tries_of_its_own_and_an_invented_cookie_none(house: House, hashes: dict[str, int]) -> None:
    house.desk()
    known = house.browser(ON_THE_LAN)
    assert known.post("/desk/enter", data={"password": PASSWORD}).status_code == 303
    hashes["compared"] = 0
    statuses = [known.post("/desk/enter", data={"password": f"guess {n} of mine"}).status_code for n in range(20)]
    assert statuses == [403] * MOST_PER_ADDRESS + [429] * 15 and hashes["compared"] == MOST_PER_ADDRESS
    liar = house.browser("192.0.2.99")
    for n in range(20):
        liar.cookies.set("ll_known", f"invented-{n}")
        liar.post("/desk/enter", data={"password": f"guess {n} of mine"})
    assert hashes["compared"] == 2 * MOST_PER_ADDRESS


def test_the_laptop_waits_a_minute_at_most(house: House) -> None:
    house.desk()
    laptop = house.browser()
    statuses = [laptop.post("/desk/enter", data={"password": f"slip {n} of mine"}).status_code for n in range(6)]
    assert statuses == [403] * 5 + [429]
    house.clocks.pass_ms(20_000)
    assert laptop.post("/desk/enter", data={"password": PASSWORD}).json()["sentence"].endswith("Try again in 40 seconds.")
    house.clocks.pass_ms(40_000)
    assert laptop.post("/desk/enter", data={"password": PASSWORD}).status_code == 303


def test_the_known_cookie_opens_nothing_and_is_stored_as_a_hash_only(house: House, tmp_path: Any) -> None:
    desk = house.desk()
    held = desk.cookies["ll_known"]
    answer = house.browser(ON_THE_LAN).post("/desk/enter", data={"password": PASSWORD})
    said = next(one for one in answer.headers.get_list("set-cookie") if one.startswith("ll_known="))
    assert "HttpOnly" in said and "SameSite=lax" in said
    thief = house.browser(ON_THE_LAN)
    thief.cookies.set("ll_known", held)
    for path in ("/desk", "/review", "/lane/packet"):
        assert thief.get(path).status_code == 401, path
    stored = b"".join(path.read_bytes() for path in tmp_path.iterdir() if path.is_file())
    assert held.encode() not in stored


def test_guesses_are_forgotten_after_their_span(house: House) -> None:
    house.desk()
    house.do(_all_at_once, _at_the_desk, MANY)
    house.clocks.pass_ms(HOUR_MS)
    assert house.browser("192.0.2.11").post("/desk/enter", data={"password": PASSWORD}).status_code == 303
