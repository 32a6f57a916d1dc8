"""What a gym hands in is taken at once and checked by another process: whatever ends in between, it is found again."""

import asyncio
import os
import re
import signal
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.round.book_folder import recount_book, write_book
from app.round.checking import chain_faults, read_checked
from app.round.gym.film_notes import FilmNote, keep_notes
from app.round.hand_ins_again import all_again
from app.round.signing import GYM_KEY, key_in
from app.round.taking import check_apart, checker
from app.round.taking.check_apart import Found, found_in
from app.rules.round import records as r
from app.rules.round.fold import fold
from app.rules.round.guards import CLAIMED_OTHERWISE
from app.rules.round.hand_in import Receipt
from app.rules.round.kit import said_in
from app.rules.round.rule import Rule
from tests.builders.halls import STORE, a_house
from tests.builders.round_house import DIVISION, EVENT, PAGE, HandingIn, RoundHouse, a_round_house
from tests.faults.ground import Ground
from tests.faults.hearing import Said
from tests.faults.rounds import waiting_ground
from tests.faults.teller import Teller, Untrue

PATIENCE_S = 60  # a busy machine begins a process slowly


@pytest.fixture
def nobody_checks(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("app.server.LOOK_FOR_ROUND_S", 1e6)


@pytest.fixture
def there(tmp_path: Path) -> Iterator[RoundHouse]:
    with a_round_house(tmp_path, {}, drawn=False) as found:
        yield found


def a_gym(there: RoundHouse, number: int) -> HandingIn:
    folder = there.folder / f"gym-{number}"
    return HandingIn(there.headquarters, there.folder / "kit" / "round.kit", folder, number, there.house.clocks.wall)


def sends(there: RoundHouse, content: bytes) -> int:
    return there.house.desk().post("/desk/round/hand-in", files={"file": ("one", content)}, headers=PAGE).status_code


def states(there: RoundHouse) -> list[str]:
    return [one.state for one in there.headquarters.state.hand_ins.values()]


def says_truly(page: str, ground: Ground) -> set[str]:
    """Holds what headquarters' page says of files that wait against what its store has; the sentences that it said."""
    (said,) = re.findall(r'<p data-role="unchecked">(.*?)</p>', page)
    teller = Teller("files that wait", ground)
    teller.listen(lambda: [Said("round", 0, said, 0)])
    return set(teller.heard)


def wait_until_checked(there: RoundHouse) -> None:
    until = time.monotonic() + PATIENCE_S
    while "arrived" in states(there):
        assert time.monotonic() < until, "nobody checks it"
        time.sleep(0.05)


def test_a_request_takes_and_receipts_and_the_server_checks(there: RoundHouse, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(check_apart, "hand_in_faults", None)  # this process does not check
    honest = a_gym(there, 1).hand_in({"a": 12, "b": 9})
    assert sends(there, honest.content) == 303
    wait_until_checked(there)
    found = there.headquarters
    assert {key: line.claimed for key, line in found.state.lines.items()} == {(1001, EVENT): 12, (1002, EVENT): 9}
    told = [said_in(read_checked(one, "receipt").says, Receipt) for one in found.receipts()]
    assert [(one.what, one.hand_in, one.faults) for one in told] == [(what, honest.digest, ()) for what in ("arrived", "checked")]
    assert chain_faults(found.receipts(), found.state.key) == []
    assert "not checked yet" not in there.house.desk().get("/desk/round", headers=PAGE).text


def test_a_file_that_came_before_the_end_is_checked_after_the_next_start(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as nobody:
        nobody.setattr("app.server.LOOK_FOR_ROUND_S", 1e6)
        with a_round_house(tmp_path, {}, drawn=False) as first:
            gyms = [a_gym(first, number) for number in (1, 2)]
            for gym in gyms:
                assert sends(first, gym.hand_in({"a": 10 + gym.number}).content) == 303
            page = first.house.desk().get("/desk/round", headers=PAGE).text
            assert len(says_truly(page, waiting_ground(tmp_path / STORE))) == 1
            assert "Files that wait to be checked: 2. No line in them counts yet." in page and "1 not checked yet" in page
            assert not first.headquarters.state.lines
            clocks = first.house.clocks
    with a_house(tmp_path, competition=False, clocks=clocks) as house:
        again = RoundHouse(house, tmp_path, {})
        wait_until_checked(again)
        assert {key[0]: line.claimed for key, line in again.headquarters.state.lines.items()} == {1001: 11, 2001: 12}


def test_a_file_that_brings_the_process_down_is_said_to_wait(there: RoundHouse, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(checker, "MODULE", "app.there_is_no_such_module")
    assert sends(there, a_gym(there, 1).hand_in({"a": 12}).content) == 303
    until = time.monotonic() + PATIENCE_S
    while "Files that could not be checked here: 1." not in (page := there.house.desk().get("/desk/round", headers=PAGE).text):
        assert time.monotonic() < until, page
        time.sleep(0.05)
    assert states(there) == ["arrived"] and "1 not checked yet" in page
    assert len(says_truly(page, waiting_ground(there.folder / STORE, "a check that comes to nothing"))) == 1
    with pytest.raises(Untrue, match="could not be checked here"):
        says_truly(page, waiting_ground(there.folder / STORE))
    assert asyncio.run(checker.check_waiting(there.house.app.state.hall, checker.Apart())) == 0, "it is not tried again and again"


@pytest.mark.usefixtures("nobody_checks")
def test_one_process_checks_what_comes_one_by_one_and_ends_when_nothing_does(
    there: RoundHouse, monkeypatch: pytest.MonkeyPatch
) -> None:
    gym, hall = a_gym(there, 1), there.house.app.state.hall

    async def run() -> None:
        apart = checker.Apart()

        async def checked_by(reps: int) -> int:
            there.headquarters.take_in(gym.hand_in({"a": reps}).content, there.house.clocks.wall)
            assert await checker.check_waiting(hall, apart) == 1
            await apart.rest()
            return apart.pid

        first = await checked_by(11)
        assert first and await checked_by(12) == first
        os.kill(first, signal.SIGKILL)
        assert apart._process is not None
        await apart._process.wait()
        assert await checked_by(13) not in (0, first), "one that was killed meanwhile costs nobody a check"
        monkeypatch.setattr(checker, "IDLE_S", 0.0)
        await apart.rest()
        assert apart.pid == 0

    asyncio.run(run())
    assert states(there).count("arrived") == 0


@pytest.mark.usefixtures("nobody_checks")
def test_what_does_not_fit_or_can_not_be_read_is_unsound_and_the_book_says_why(
    there: RoundHouse, monkeypatch: pytest.MonkeyPatch
) -> None:
    headquarters, now = there.headquarters, there.house.clocks.wall
    headquarters.add([(r.Claim, {"entry": 1002, "event": EVENT, "division": DIVISION, "gym": 1, "parts": ("5", "4")})], now)
    gym = a_gym(there, 1)
    headquarters.catch_up()
    monkeypatch.setattr("app.round.kept_records.fold", None)  # what was taken of it is undone, and the round not folded again
    made = gym.hand_in({"a": 12, "b": 9})
    spaced = read_checked(made.content, "hand-in").says.replace(b'"gym":1', b'"gym": 1', 1)
    for content in (made.content, key_in(gym.folder, GYM_KEY, make=False).sign("hand-in", spaced)):
        took = headquarters.take_in(content, now)
        assert took.number == headquarters.receipts_given()
        headquarters.check_here(headquarters.unchecked()[0], now)
    first, second = headquarters.state.hand_ins.values()
    assert (first.state, first.faults) == ("unsound", (CLAIMED_OTHERWISE,))
    assert (second.state, second.faults) == ("unsound", ("This is not a hand-in file as it was written.",))
    assert [str(line.claimed) for line in headquarters.state.lines.values()] == ["9"]
    book = there.folder / "book"
    write_book(book, headquarters.records, headquarters.state, (), headquarters.receipts(), headquarters.hand_ins())
    found = recount_book(book)
    assert found.holds and not all_again(found, book).faults


@pytest.mark.usefixtures("nobody_checks")
def test_a_film_that_another_gym_handed_in_is_a_doubt_and_one_that_shows_two_of_one_gym_is_none(
    there: RoundHouse, monkeypatch: pytest.MonkeyPatch
) -> None:
    def odd_too(rule: Rule, opening: str, content: bytes) -> Found:
        found = found_in(rule, opening, content)
        return found.model_copy(update={"doubts": ((found.lines[0].entry, EVENT, "Its marks are odd."),)})

    monkeypatch.setattr("app.round.headquarters.found_in", odd_too)
    headquarters, now = there.headquarters, there.house.clocks.wall
    film = {"a": "ab" * 32, "b": "ab" * 32, "c": "cd" * 32}
    for number in (1, 2):
        gym, keys = a_gym(there, number), [(number * 1000 + n, EVENT) for n in (1, 2, 3)]
        named = [(key, name) for key, name in zip(keys, film, strict=True) if name != "c" or number == 1]
        keep_notes(gym.folder, [FilmNote(entry=key[0], event=key[1], print=film[name]) for key, name in named])
        headquarters.catch_up()
        headquarters.take_in(gym.hand_in({"a": 12, "b": 9, "c": 7}).content, now)
        headquarters.check_here(headquarters.unchecked()[0], now)
    told = {key[0]: line.doubt.why for key, line in headquarters.state.lines.items() if line.doubt}
    assert told == {
        1001: "Its marks are odd.",
        2001: "Its film is the same file as that of entry 1002. Its marks are odd.",
        2002: "Its film is the same file as that of entry 1002.",
    }
    again = fold(headquarters.records)
    assert not again.faults and again.lines == headquarters.state.lines
