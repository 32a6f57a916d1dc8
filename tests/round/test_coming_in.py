"""A gym's file at headquarters' door: read no further than it is the one that was promised, and few at once."""

import asyncio
import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest

from app.round.checking import read_checked
from app.round.gym.handing_in import pieces_of, promise_of
from app.round.signing import GYM_KEY, SigningKey, key_in
from app.round.taking import coming_in
from app.round.taking.coming_in import MOST_BEFORE, NoSpace, Space
from app.rules.round.kit import PIECE_BYTES, Pieces, pieces_in, said_in, says_of
from tests.builders.round_house import HandingIn, RoundHouse, a_round_house

REPS = {f"solo{n}": 20 + n for n in range(1, 13)}
LARGE = 128 * 1024 * 1024


class Sender:
    """A request whose body comes chunk by chunk, as a web server hands it on: how much of it was asked for, and the answer."""

    def __init__(self, there: RoundHouse, digest: str, chunks: Sequence[bytes]) -> None:
        self.read, self.status, self._body = 0, 0, b""
        self._chunks = list(reversed(chunks))
        path = f"/round/hand-in/{digest}"
        told = {"host": "localhost", "accept": "application/json", "transfer-encoding": "chunked"}
        scope: dict[str, Any] = {"type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "POST"}
        scope |= {"scheme": "http", "path": path, "raw_path": path.encode(), "query_string": b"", "root_path": ""}
        scope |= {"headers": [(name.encode(), said.encode()) for name, said in told.items()]}
        scope |= {"client": ("192.0.2.9", 40_000), "server": ("localhost", 80)}
        there.house.do(lambda _: there.house.app(scope, self._receive, self._send))

    async def _receive(self) -> dict[str, Any]:
        chunk = self._chunks.pop() if self._chunks else b""
        self.read += len(chunk)
        return {"type": "http.request", "body": chunk, "more_body": bool(self._chunks)}

    async def _send(self, message: Any) -> None:
        self.status = message.get("status", self.status)
        self._body += message.get("body", b"")

    @property
    def said(self) -> Any:
        return json.loads(self._body)


class Gym:
    """A gym that has promised its hand-in."""

    def __init__(self, there: RoundHouse, folder: Path) -> None:
        self.there = there
        handing_in = HandingIn(there.headquarters, there.folder / "kit" / "round.kit", folder, 1, there.house.clocks.wall)
        made = handing_in.hand_in(REPS)
        self.folder, self.digest, self.content = folder, made.digest, made.content
        self.key, self.rule = key_in(folder, GYM_KEY, make=False), there.headquarters.state.rules.id
        answer = there.house.browser().post("/round/promise", content=promise_of(folder, self.digest))
        assert answer.status_code == 200 and answer.json()["wanted"], answer.text

    @property
    def before(self) -> bytes:
        return pieces_of(self.folder, self.digest, self.content)

    def saying(self, by: SigningKey | None = None, **other: Any) -> bytes:
        """What tells the pieces, with something else in it."""
        of = Pieces(round=self.rule, gym=1, hand_in=self.digest, bytes=len(self.content), pieces=tuple(pieces_in(self.content)))
        return (by or self.key).sign("pieces", says_of(of.model_copy(update=other)))

    def sends(self, *chunks: bytes, digest: str = "") -> Sender:
        return Sender(self.there, digest or self.digest, chunks)


@pytest.fixture
def gym(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Gym]:
    monkeypatch.setattr("app.server.LOOK_FOR_ROUND_S", 1e6)
    with a_round_house(tmp_path / "headquarters", {2001: (9, 8)}, drawn=False) as there:
        yield Gym(there, tmp_path / "gym")


def in_pieces(content: bytes) -> list[bytes]:
    return [content[at : at + 64 * 1024] for at in range(0, len(content), 64 * 1024)]


def test_the_promised_file_is_taken_and_what_is_held_is_answered_without_reading(gym: Gym) -> None:
    whole = gym.sends(*in_pieces(gym.before + gym.content))
    assert whole.status == 200 and not whole.said["wanted"] and len(whole.said["receipts"]) == 2
    assert gym.there.headquarters.hand_in(gym.digest) == gym.content
    again = gym.sends(*[b"x" * 65536] * (LARGE // 65536))
    assert again.status == 200 and again.said == whole.said and again.read == 0
    (file,) = gym.there.folder.glob("*.files/??/??/*")
    file.unlink()
    assert gym.there.house.browser().get(f"/round/hand-in/{gym.digest}").json()["wanted"], "it went since"
    assert gym.sends(gym.before, gym.content).status == 200 and gym.there.headquarters.hand_in(gym.digest) == gym.content


def test_of_what_is_not_the_promised_file_at_most_a_piece_is_read(gym: Gym) -> None:
    large = [b"x" * 65536] * (LARGE // 65536)
    other = Pieces(round=gym.rule, gym=2, hand_in=gym.digest, bytes=1, pieces=("0" * 64,))
    before = {
        "no pieces": b"",
        "another gym's key": gym.saying(SigningKey(bytes(32))),
        "another gym": gym.key.sign("pieces", says_of(other)),
        "another digest": gym.saying(hand_in="0" * 64),
        "another round": gym.saying(round="another"),
        "a longer file of as many pieces": gym.saying(bytes=LARGE),
        "no end to it": b'{"kind":"pieces"' * 8000,
        "a changed byte": gym.before.replace(b'"gym":1', b'"gym":3'),
    }
    for why, words in before.items():
        sender = gym.sends(*in_pieces(words), *large)
        assert sender.status == 409 and sender.read <= MOST_BEFORE + 2 * 65536 + len(words), why
    sender = gym.sends(gym.before, *large)
    assert (sender.status, sender.said["sentence"]) == (409, "This is not the file of the digest that was promised.")
    assert sender.read <= len(gym.before) + PIECE_BYTES + 65536
    assert (
        gym.sends(gym.before, gym.content[:-2] + b"x\n").status == 409 and gym.sends(gym.before, gym.content[:-9]).status == 409
    )
    longer = gym.sends(gym.before + gym.content, *large)
    assert longer.status == 409 and longer.read <= len(gym.before + gym.content) + 65536
    assert gym.sends(gym.before, *large, digest="0" * 64).read == 0, "no digest, no file"
    assert gym.there.headquarters.state.hand_ins[gym.digest].state == "promised"


def test_files_wait_for_their_turn_in_order_and_are_told_when_none_comes() -> None:
    async def run() -> list[str]:
        space, told = Space(10), asyncio.Queue[str]()

        async def one(name: str, size: int, until: asyncio.Event, waits_s: float = 1e6) -> None:
            try:
                async with space.taken(size, waits_s):
                    told.put_nowait(name)
                    await until.wait()
            except NoSpace:
                told.put_nowait(f"{name} has none")

        first, rest = asyncio.Event(), asyncio.Event()
        tasks = [asyncio.ensure_future(one(*each)) for each in (("a", 8, first), ("b", 9, rest), ("c", 1, rest), ("d", 1, rest))]
        heard = [await told.get()]
        await one("e", 10, rest, 0.0)  # by now whoever is smaller could have gone ahead of b
        tasks[3].cancel()  # whoever went away is waited for by nobody
        first.set()
        heard += [await told.get() for _ in range(3)]
        rest.set()
        await asyncio.gather(*tasks, return_exceptions=True)
        async with space.taken(10, 1.0):
            return [*heard, "all of it is free"]

    assert asyncio.run(run()) == ["a", "e has none", "b", "c", "all of it is free"]


def test_what_a_gym_says_of_its_pieces_is_read_as_it_was_written(gym: Gym) -> None:
    said = said_in(read_checked(gym.before, "pieces").says, Pieces)
    assert said.fits and said.bytes == len(gym.content) and not said.model_copy(update={"bytes": said.bytes + PIECE_BYTES}).fits


def test_whoever_finds_no_space_is_told_so_and_the_file_is_taken_later(gym: Gym, monkeypatch: pytest.MonkeyPatch) -> None:
    spaces = coming_in.spaces_of(gym.there.house.app.state.hall.database)
    with monkeypatch.context() as full:
        full.setattr(coming_in, "WAITS_S", 0.0)
        full.setattr(spaces.coming, "_left", 0)
        told = gym.sends(gym.before, gym.content)
        assert told.status == 503 and "Send it again in a minute; its digest is here." in told.said["sentence"]
    assert gym.sends(gym.before, gym.content).status == 200
