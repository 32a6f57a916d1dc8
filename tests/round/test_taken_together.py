"""What many send at once is taken in one transaction: each by itself refused or given a receipt, none before it is kept."""

import threading
import time
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from hashlib import sha256
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest

from app.hall.hall import Hall
from app.round import at_hand
from app.round.at_hand import take_hand_in
from app.round.checking import came_in, chain_faults, chain_head, read_checked
from app.round.entries import link_of
from app.round.kept_records import FILE_GONE, NoRound, Took
from app.round.signing import GYM_KEY, key_in
from app.round.taking import checker
from app.rules.round.hand_in import Receipt
from app.rules.round.kit import Promise, said_in, says_of
from app.rules.round.rule import HOUR
from app.rules.round.short import known_as
from app.store.files.folder import Folder, files_of
from app.store.writer import StoreFull
from app.web.lines import LINE
from tests.builders.halls import ON_THE_LAN, TestClient
from tests.builders.round_house import DIVISION, EVENT, HandingIn, RoundHouse, a_round_house
from tests.web.test_crowd import ALine

PATIENCE_S = 60
HERE_ALREADY = "Only a promised hand-in can arrive: this one is arrived."


@pytest.fixture
def there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[RoundHouse]:
    """A round whose hand-ins nobody checks."""
    monkeypatch.setattr("app.server.LOOK_FOR_ROUND_S", 1e6)
    with a_round_house(tmp_path, {}, drawn=False) as found:
        yield found


@pytest.fixture
def hall(there: RoundHouse) -> Hall:
    found: Hall = there.house.app.state.hall
    return found


def hand_ins(there: RoundHouse, many: int) -> list[bytes]:
    """So many of gym 1, each of another day."""
    gym = HandingIn(there.headquarters, there.folder / "kit" / "round.kit", there.folder / "gym", 1, there.house.clocks.wall)
    return [gym.hand_in({"a": 5 + n}).content for n in range(many)]


def all_at_once(hall: Hall, files: list[bytes]) -> list["Future[Took | None]"]:
    """Sends files at a moment at which somebody else has the headquarters; what came of each."""
    kept = at_hand._kept(hall)
    with ThreadPoolExecutor(len(files)) as pool, kept.lock:
        sent = [pool.submit(take_hand_in, hall, content, hall.time.wall_ms()) for content in files]
        until = time.monotonic() + PATIENCE_S
        while len(kept.waiting) < len(files):
            assert time.monotonic() < until, "not all wait"
            time.sleep(0.01)
    return sent


def test_all_that_wait_are_taken_in_one_transaction_and_each_has_its_own_answer(there: RoundHouse, hall: Hall) -> None:
    files = hand_ins(there, 5)
    before = hall.database.commits
    sent = all_at_once(hall, [*files, files[0]])
    assert hall.database.commits == before + 1
    took = [one.result() for one in sent if one.exception() is None]
    assert [str(one.exception()) for one in sent if one.exception() is not None] == [HERE_ALREADY], "one was sent twice"
    found = there.headquarters
    receipts = found.receipts()
    assert sorted(one.number for one in took if one) == [1, 2, 3, 4, 5] and chain_faults(receipts, found.state.key) == []
    for one, content in zip(sent, files, strict=False):
        if one.exception() is None and (receipt := one.result()) is not None:
            assert said_in(read_checked(receipt.receipt, "receipt").says, Receipt).hand_in == came_in(content).digest
            assert receipt.receipt == receipts[receipt.number - 1] and receipt.head == chain_head([receipt.receipt])
    assert found.state.faults == [] and set(found.unchecked()) == {came_in(one).digest for one in files}
    assert {found.hand_in(came_in(one).digest) for one in files} == set(files)


def stranger(there: RoundHouse) -> TestClient:
    """A browser that is nobody's: few of those are served at a time."""

    async def over_a_line(scope: Any, receive: Any, send: Any) -> None:
        await there.house.app({**scope, "extensions": {LINE: ALine()}}, receive, send)

    client = TestClient(over_a_line, base_url="http://localhost", client=(ON_THE_LAN, 40_000), follow_redirects=False)
    client.portal = there.house.inside.portal  # the loop that the hall lives in
    return client


def test_digests_and_claims_that_come_while_others_are_kept_all_wait_for_the_next_transaction(
    there: RoundHouse, hall: Hall
) -> None:
    gym = HandingIn(there.headquarters, there.folder / "kit" / "round.kit", there.folder / "gym", 1, there.house.clocks.wall)
    key, of = key_in(gym.folder, GYM_KEY, make=False), there.headquarters.state.rules.id
    digests = [sha256(f"{n}".encode()).hexdigest() for n in (0, 1, 2, 2)]  # one is sent twice: both have its one receipt
    sent = [("/round/promise", key.sign("promise", says_of(Promise(round=of, gym=1, hand_in=one)))) for one in digests]
    own = link_of(there.headquarters, 1001, DIVISION)
    claim = urlencode({"event": EVENT, "count-0": "11", "count-1": "9"}).encode()
    kind = {"content-type": "application/x-www-form-urlencoded"}
    with at_hand.at_hand(hall):
        pass  # it is read once, at the first request of all
    kept, before = at_hand._kept(hall), hall.database.commits
    with ThreadPoolExecutor(5) as pool:
        with kept.lock:
            asked = [
                pool.submit(stranger(there).post, path, content=content, headers=kind)
                for path, content in (*sent, (f"{own}/send", claim))
            ]
            until = time.monotonic() + PATIENCE_S
            while len(kept.waiting) < len(asked):
                assert time.monotonic() < until, "one waits for those before, and is not among those who wait for the next"
                time.sleep(0.01)
        answers = [one.result() for one in asked]
    assert [one.status_code for one in answers] == [200] * 4 + [303] and hall.database.commits == before + 1
    found = there.headquarters
    receipts = [one.encode() for answer in answers[:4] for one in answer.json()["receipts"]]
    assert len(receipts) == 4 and receipts[2] == receipts[3] and len(set(receipts)) == 3
    assert set(receipts) < set(found.receipts()) and chain_faults(found.receipts(), found.state.key) == []
    assert {said_in(read_checked(one, "receipt").says, Receipt).hand_in for one in receipts} == {
        known_as(one, found.state.hand_ins) for one in digests
    }


def test_a_disk_that_does_not_keep_them_gives_nobody_a_receipt_and_what_is_sent_again_is_taken(
    there: RoundHouse, hall: Hall, monkeypatch: pytest.MonkeyPatch
) -> None:
    files, first = hand_ins(there, 4), hand_ins_of_another(there)
    assert take_hand_in(hall, first, hall.time.wall_ms()) is not None

    def full() -> None:
        raise StoreFull

    with monkeypatch.context() as no_room:
        no_room.setattr(hall.database._writer, "_ready", full)
        assert [type(one.exception()) for one in all_at_once(hall, files)] == [StoreFull] * 4
    assert len(there.headquarters.state.hand_ins) == 1 and there.headquarters.receipts_given() == 1
    with at_hand.at_hand(hall) as headquarters:
        assert headquarters.state == there.headquarters.state, "it has forgotten what was not kept"
    assert {one.exception() for one in all_at_once(hall, files)} == {None}
    assert chain_faults(there.headquarters.receipts(), there.headquarters.state.key) == []


def hand_ins_of_another(there: RoundHouse) -> bytes:
    gym = HandingIn(there.headquarters, there.folder / "kit" / "round.kit", there.folder / "other", 2, there.house.clocks.wall)
    return gym.hand_in({"a": 9}).content


def test_no_receipt_is_given_for_a_file_that_is_not_there(there: RoundHouse, hall: Hall) -> None:
    (content,) = hand_ins(there, 1)
    with at_hand.at_hand(hall) as headquarters:
        act = headquarters.arrival(came_in(content), len(content), there.house.clocks.wall)
        headquarters.write([act])
    with pytest.raises(NoRound, match=FILE_GONE):
        act.outcome()
    assert there.headquarters.receipts_given() == 0


def test_what_comes_too_late_leaves_no_file(there: RoundHouse, hall: Hall) -> None:
    (content,) = hand_ins(there, 1)
    there.house.clocks.pass_ms(HOUR + 1)
    with pytest.raises(NoRound, match="past the deadline"):
        take_hand_in(hall, content, hall.time.wall_ms())
    assert list(hall.database.files.digests()) == []


def test_a_file_that_went_is_told_is_not_tried_again_and_comes_back_when_it_is_sent_again(there: RoundHouse, hall: Hall) -> None:
    files = hand_ins(there, 1)
    assert take_hand_in(hall, files[0], hall.time.wall_ms()) is not None
    assert hall.database.file is not None
    (place,) = files_of(hall.database.file).rglob(came_in(files[0]).digest)
    place.write_bytes(b"something else")
    assert there.headquarters.hand_ins and list(there.headquarters.hand_ins()) == []
    assert checker._next(hall) is None
    assert "Files that could not be checked here: 1." in there.house.desk().get("/desk/round").text
    with pytest.raises(NoRound, match=HERE_ALREADY):
        take_hand_in(hall, files[0], hall.time.wall_ms())
    assert Folder(files_of(hall.database.file)).get(came_in(files[0]).digest) == files[0]


def test_readers_never_see_what_is_not_kept_yet(there: RoundHouse, hall: Hall, monkeypatch: pytest.MonkeyPatch) -> None:
    (content,), held, seen = hand_ins(there, 1), threading.Event(), list[int]()
    commits = threading.Event()

    def slow() -> None:
        held.set()
        assert commits.wait(PATIENCE_S)

    def look() -> None:
        with at_hand.at_hand(hall) as headquarters:
            seen.append(len(headquarters.state.hand_ins))

    with ThreadPoolExecutor(2) as pool, monkeypatch.context() as slowly:
        slowly.setattr(hall.database._writer, "_ready", slow)
        taken = pool.submit(take_hand_in, hall, content, hall.time.wall_ms())
        assert held.wait(PATIENCE_S)
        looked = pool.submit(look)
        assert not taken.done() and not looked.done()
        commits.set()
        assert taken.result() is not None
        looked.result()
    assert seen == [1]
