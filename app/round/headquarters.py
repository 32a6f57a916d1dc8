"""Headquarters: the round's records in the data folder's store, added to where the rules let them pass, and signed receipts.

A command reads and folds everything; whoever keeps one (at_hand.py) reads only what came since.
"""

import json
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from hashlib import sha256
from pathlib import Path
from secrets import randbits
from typing import Any

from pydantic import ValidationError
from sqlmodel import Session

from app.round.check_apart import Found, found_in
from app.round.checking import chain_head, read_checked, whose_hand_in
from app.round.signing import HEADQUARTERS_KEY, SigningKey, key_in
from app.rules.round import records as r
from app.rules.round.authority import HEADQUARTERS, Speaker, not_theirs
from app.rules.round.codec import BadRecord, decode, encode, leaf
from app.rules.round.due import Said, due_now
from app.rules.round.fold import fold, take
from app.rules.round.guards import roll_root
from app.rules.round.hand_in import HandIn, Receipt
from app.rules.round.kit import Binding, check_binding, said_in, says_of, slip_for
from app.rules.round.people import Person
from app.rules.round.short import known_as
from app.rules.round.state import RoundState
from app.rules.round.words import OPENING_LETTERS, word_of
from app.store.acts import note_change, with_its_act
from app.store.database import Database
from app.store.refusals import Refusal
from app.store.rounds import (
    CameIn,
    add_to_round,
    hand_in_content,
    receipts_given,
    round_receipt,
    round_receipts,
    round_records,
)

# What is checked by a command, or due by itself, is not written by hand.
OF_ITS_OWN = frozenset({"opened", "opening", "bound", "promised", "arrived", "checked", "roll", "draw", "invited"})
SET_HERE = frozenset({"kind", "number", "at"})
Say = Callable[[Session], tuple[Sequence[Said], bytes | None]]  # what is said, and the receipt for it, if it has one


class NoRound(Refusal):
    """Raised where there is no round, or the rules refuse what was asked; its text is the sentence to show."""


@dataclass(frozen=True, slots=True)
class Took:
    """A receipt that was given: as it was signed, its number and head (the SHA-256 that the next one names)."""

    receipt: bytes
    number: int
    head: str


class Headquarters:
    """The round in a store. `data`: the folder with the key."""

    def __init__(self, database: Database, data: Path) -> None:
        self.database, self.data = database, data
        self.records: list[r.Record] = [decode(text) for text in database.read(round_records)]
        self.state: RoundState = fold(self.records)
        self.given_up: set[str] = set()  # hand-ins that could not be checked here

    def catch_up(self) -> None:
        """Reads what others have added to the store since."""
        self.database.read(self._catch_up)

    def _catch_up(self, session: Session) -> None:
        for text in round_records(session, len(self.records)):
            record = decode(text)
            self.records.append(record)
            if sentence := take(self.state, record):
                self.state.faults.append((record.number, sentence))

    def add(self, said: Sequence[Said], now_ms: int, by: Speaker = HEADQUARTERS) -> None:
        """Adds records in order, as `by` says them, all or, where the rules refuse one, none. Raises NoRound with their
        sentence."""
        self._write(lambda _: (said, None), now_ms, by=by)

    def _write(self, say: Say, now_ms: int, came: CameIn | None = None, by: Speaker = HEADQUARTERS) -> None:
        """The same of what is said, and of a receipt for it, inside the one transaction: nobody else adds anything meanwhile,
        from whichever process, so that numbers and receipts follow what is really there."""
        made, before = list[r.Record](), len(self.records)

        def write(session: Session) -> None:
            self._catch_up(session)
            said, receipt = say(session)
            for number, (kind, fields) in enumerate(said, start=len(self.records) + 1):
                record: Any = kind(number=number, at=now_ms, **fields)
                if sentence := not_theirs(self.state, by, record) or take(self.state, record):
                    raise NoRound(sentence)
                made.append(record)
            add_to_round(session, [(one.number, encode(one).decode()) for one in made], receipt, came)

        try:
            self.database.write(with_its_act(write))
            note_change(written=True)
        except BaseException:
            if made or len(self.records) > before:  # what was taken is undone, and what was read in a transaction that is no more
                del self.records[before:]
                self.state = fold(self.records)
            raise
        self.records += made

    def go_on(self, now_ms: int) -> int:
        """Writes what is due by itself until nothing is; how many records that were."""
        before = len(self.records)
        while self.has_round and (said := due_now(self.state, now_ms)):
            self.add(said, now_ms)
        return len(self.records) - before

    def open_round(self, now_ms: int) -> str:
        """Makes the round's opening word of chance, to be published now. Raises NoRound."""
        self._rule_id()
        word = word_of(randbits(256), OPENING_LETTERS)
        self.add([(r.OpeningWord, {"word": word})], now_ms)
        return word

    def close_roll(self, now_ms: int) -> str:
        """Closes the roll: the root of all lines, 64 hex digits, to be published before the dice are rolled. Raises NoRound."""
        self._rule_id()
        root, lines = roll_root(self.state), len(self.state.on_the_roll())
        self.add([(r.Roll, {"root": root, "lines": lines})], now_ms)
        return root

    def draw(self, dice: str, witnesses: Sequence[str], now_ms: int) -> None:
        """Takes the dice that were rolled. Raises NoRound."""
        self._rule_id()
        try:
            self.add([(r.Draw, {"dice": dice, "witnesses": tuple(witnesses)})], now_ms)
        except ValidationError:
            raise NoRound("Dice are typed as their digits, one after the other, with at least one witness.") from None

    def add_lines(self, data: bytes, now_ms: int) -> int:
        """Adds records that a file tells, one a line, without number and time; all or none. How many. Raises NoRound."""
        said: list[Said] = []
        for number, text in enumerate(data.splitlines(), start=1):
            try:
                record = decode(json.dumps(json.loads(text) | {"number": 1, "at": 0}))
            except (ValueError, TypeError, BadRecord) as wrong:
                raise NoRound(f"Line {number}: {wrong}") from None
            if record.kind in OF_ITS_OWN or (isinstance(record, r.Claim) and record.hand_in is not None):
                raise NoRound(f"Line {number}: a {record.kind} record comes by a command of its own.")
            said.append((type(record), {name: value for name, value in record if name not in SET_HERE}))
        self.add(said, now_ms)
        return len(said)

    def bind(self, binding: bytes, now_ms: int) -> str:
        """Binds a gym's key by its binding, once, and says so. Raises BadKit, NoRound."""
        key, signed = self._key(), read_checked(binding, "binding")
        said, rule = said_in(signed.says, Binding), self.state.rules
        check_binding(said, signed.by.key, slip_for(key.private, key.public, rule.id, said.gym), rule.id)
        self.add([(r.Bound, {"gym": said.gym, "key": signed.by.key})], now_ms)
        return f"Gym {said.gym}, {self.state.gyms[said.gym].name}, has its key."

    @property
    def has_round(self) -> bool:
        """Whether a round was begun here."""
        return self.state.rule is not None

    def promise(self, digest: str, gym: int, replaces: str | None, now_ms: int) -> Took:
        """Takes the digest of a hand-in, whole or short, whose file follows. Raises NoRound."""
        self._rule_id()
        known = self.state.hand_ins
        digest, replaces = known_as(digest, known), None if replaces is None else known_as(replaces, known)
        said: list[Said] = [(r.Promised, {"hand_in": digest, "gym": gym, "replaces": replaces})]
        return self._take(lambda: said, gym, digest, "promised", now_ms)

    def take_in(self, data: bytes, now_ms: int) -> Took:
        """Takes a gym's hand-in, which is checked later: the receipt says that it came, and no more.

        Raises BadKit for what is no hand-in of this round by this gym's key, NoRound."""
        self._rule_id()
        whose, known = whose_hand_in(data, self.state), self.state.hand_ins
        digest, replaces = known_as(sha256(data).hexdigest(), known), whose.replaces and known_as(whose.replaces, known)

        def said() -> list[Said]:
            promised = (r.Promised, {"hand_in": digest, "gym": whose.gym, "replaces": replaces})
            return [*([] if digest in self.state.hand_ins else [promised]), (r.Arrived, {"hand_in": digest})]

        return self._take(said, whose.gym, digest, "arrived", now_ms, came=CameIn(digest, data, now_ms))

    def unchecked(self) -> list[str]:
        """The hand-ins that came and wait to be checked, as they came; not those that could not be."""
        return [key for key, one in self.state.hand_ins.items() if one.state == "arrived" and key not in self.given_up]

    def hand_in(self, digest: str) -> bytes:
        """A hand-in that came, as it came."""
        content = self.database.read(partial(hand_in_content, digest=digest))
        assert content is not None, "its arrival was stored together with it"
        return content

    def note_check(self, digest: str, found: Found, now_ms: int) -> Took | None:
        """Writes down what a hand-in gives, and signs a receipt for its gym; None where somebody else has done so already. Of one
        with faults no line counts."""
        gym = self.state.hand_ins[digest].promise.gym
        said: list[Said] = [(r.Checked, {"hand_in": digest, "faults": found.faults})]
        said += [(r.Claim, dict(line) | {"gym": gym, "hand_in": digest}) for line in found.lines]
        said += [(r.Doubt, {"entry": entry, "event": event, "why": why}) for entry, event, why in found.doubts]
        try:
            return self._take(lambda: said, gym, digest, "checked", now_ms, found.faults)
        except NoRound as wrong:
            self.catch_up()
            if self.state.hand_ins[digest].state != "arrived":
                return None
            if found.faults:
                raise
            return self.note_check(digest, Found(faults=(str(wrong),)), now_ms)  # it does not fit what others claim

    def check_here(self, digest: str, now_ms: int) -> tuple[str, ...]:
        """Checks a hand-in here and now, and what is amiss with it."""
        self.note_check(digest, found_in(self.state.rules, self.state.opening, self.hand_in(digest)), now_ms)
        return self.state.hand_ins[digest].faults

    def take_claim(self, fields: dict[str, Any], now_ms: int) -> Took:
        """Takes what an entry claims by its own link. Raises NoRound."""
        claim = r.Claim(number=1, at=now_ms, **fields)
        by = Speaker("entry", entry=claim.entry)
        return self._take(lambda: [(r.Claim, fields)], claim.gym, leaf(claim), "claimed", now_ms, by=by)

    def _take(
        self,
        said: Callable[[], Sequence[Said]],
        gym: int,
        digest: str,
        what: Any,
        now_ms: int,
        faults: tuple[str, ...] = (),
        came: CameIn | None = None,
        by: Speaker = HEADQUARTERS,
    ) -> Took:
        key, given = self._key(), list[Took]()

        def say(session: Session) -> tuple[Sequence[Said], bytes]:
            last = receipts_given(session)
            before = chain_head(list(filter(None, [round_receipt(session, last)])))
            numbered = {"number": last + 1, "before": before, "at": now_ms}
            receipt = Receipt(round=self._rule_id(), gym=gym, hand_in=digest, what=what, faults=faults, **numbered)
            signed = key.sign("receipt", says_of(receipt))
            given.append(Took(signed, last + 1, chain_head([signed])))
            return said(), signed

        self._write(say, now_ms, came, by)
        return given[-1]

    def receipts(self) -> list[bytes]:
        """All receipts in order."""
        return self.database.read(round_receipts)

    def receipts_given(self) -> int:
        """How many receipts there are."""
        return self.database.read(receipts_given)

    def receipt(self, number: int) -> bytes | None:
        """A receipt by its number; None for no such one."""
        return self.database.read(partial(round_receipt, number=number))

    def hand_ins(self) -> Iterator[tuple[str, bytes]]:
        """The hand-ins that came, one at a time: each with its digest."""
        for digest in self.state.hand_ins:
            content = self.database.read(partial(hand_in_content, digest=digest))
            if content is not None:
                yield digest, content

    def people(self) -> list[Person]:
        """Who the entries are whose lines count, from the hand-ins that they came with."""
        found: list[Person] = []
        came = sorted({line.claim.hand_in for line in self.state.lines.values() if line.claim.hand_in})
        for content in self.database.read(lambda session: [hand_in_content(session, digest) for digest in came]):
            if content is not None:
                found += said_in(read_checked(content, "hand-in").says, HandIn).people
        return found

    def _rule_id(self) -> str:
        if self.state.rule is None:
            raise NoRound("This data folder is no headquarters of a round: make its kit first.")
        return self.state.rule.id

    def _key(self) -> SigningKey:
        self._rule_id()
        return key_in(self.data, HEADQUARTERS_KEY, make=False)
