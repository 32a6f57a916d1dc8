"""Headquarters: the round's records in the data folder's store, added to where the rules let them pass, and signed receipts.

A command reads and folds everything; whoever keeps one (at_hand.py) reads only what came since.
"""

import json
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from functools import partial
from pathlib import Path
from secrets import randbits
from typing import Any

from pydantic import ValidationError

from app.round.checking import CameIn, came_in, read_checked, refuse_anothers
from app.round.kept_records import Act, KeptRecords, NoRound, Took
from app.round.signing import HEADQUARTERS_KEY, SigningKey, key_in
from app.round.taking.check_apart import Found, found_in
from app.rules.round import records as r
from app.rules.round.authority import HEADQUARTERS, Speaker
from app.rules.round.codec import BadRecord, decode, leaf
from app.rules.round.doubting import same_film
from app.rules.round.due import Said, due_now
from app.rules.round.fold import why_not
from app.rules.round.guards import roll_root
from app.rules.round.hand_in import HandIn, Receipt, claimed_in
from app.rules.round.kit import Binding, check_binding, said_in, says_of, slip_for
from app.rules.round.people import Person
from app.rules.round.short import TOLD_DIGITS, known_as
from app.rules.round.words import OPENING_LETTERS, word_of
from app.store.acts import note_change
from app.store.database import Database
from app.store.files.heads import Head, head_beginning
from app.store.files.verbs import NotAsStored
from app.store.rounds import receipts_behind, receipts_given, round_receipt, round_receipts

# What is checked by a command, or due by itself, is not written by hand.
OF_ITS_OWN = frozenset({"opened", "opening", "bound", "promised", "arrived", "checked", "roll", "draw", "invited"})
SET_HERE = frozenset({"kind", "number", "at"})


class Headquarters(KeptRecords):
    """The round in a store. `data`: the folder with the key."""

    def __init__(self, database: Database, data: Path) -> None:
        super().__init__(database)
        self.data = data
        self.given_up: set[str] = set()  # hand-ins that could not be checked here
        self._receipts_of: dict[str, list[int]] = defaultdict(list)  # by what a hand-in is known as
        self._indexed = 0  # the last receipt that is among those

    def add(self, said: Sequence[Said], now_ms: int, by: Speaker = HEADQUARTERS) -> None:
        """Adds records in order, as `by` says them, all or, where the rules refuse one, none. Raises NoRound with their
        sentence."""
        self._do(Act(lambda: said, now_ms, by))

    def _do(self, act: Act) -> Took | None:
        self.write([act])
        took = act.outcome()
        note_change(written=True)
        return took

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
        return self._take_it(self.promises(digest, gym, replaces, now_ms))

    def promises(self, digest: str, gym: int, replaces: str | None, now_ms: int) -> Act:
        """The act by which a digest is promised. Raises NoRound where there is no round."""
        sign = self._signs(gym, digest, "promised", now_ms)
        return Act(lambda: [self._promise_of(digest, gym, replaces)], now_ms, sign=sign)

    def take_in(self, data: bytes, now_ms: int) -> Took:
        """Takes a gym's hand-in, which is checked later: the receipt says that it came, and no more.

        Raises BadKit for what is no hand-in of this round by this gym's key, NoRound."""
        self._rule_id()
        came = came_in(data)
        self.refuse_at_once(came, now_ms)
        self.database.files.put(data)
        return self._take_it(self.arrival(came, len(data), now_ms))

    def refuse_at_once(self, came: CameIn, now_ms: int) -> None:
        """Refuses a hand-in before its file is kept, by what is known here now: where it is of another round or gym, and
        where its promise would be refused. Raises BadKit, NoRound."""
        refuse_anothers(came.whose, came.key, self.state)
        kind, fields = self._promise_of(came.digest, came.whose.gym, came.whose.replaces)
        if fields["hand_in"] not in self.state.hand_ins:
            record: Any = kind(number=len(self.records) + 1, at=now_ms, **fields)
            if sentence := why_not(self.state, record):
                raise NoRound(sentence)

    def arrival(self, came: CameIn, size: int, now_ms: int) -> Act:
        """The act by which a hand-in arrives whose file, of so many bytes, is kept."""

        def said() -> list[Said]:
            refuse_anothers(came.whose, came.key, self.state)
            kind, fields = self._promise_of(came.digest, came.whose.gym, came.whose.replaces)
            promised = [] if fields["hand_in"] in self.state.hand_ins else [(kind, fields)]
            return [*promised, (r.Arrived, {"hand_in": fields["hand_in"]})]

        sign = self._signs(came.whose.gym, came.digest, "arrived", now_ms)
        return Act(said, now_ms, sign=sign, file=Head(came.digest, size, now_ms))

    def _promise_of(self, digest: str, gym: int, replaces: str | None) -> Said:
        known = self.state.hand_ins
        return r.Promised, {
            "hand_in": known_as(digest, known),
            "gym": gym,
            "replaces": replaces and known_as(replaces, known),
        }

    def unchecked(self) -> list[str]:
        """The hand-ins that came and wait to be checked, as they came; not those that could not be."""
        return [key for key, one in self.state.waiting.items() if one.state == "arrived" and key not in self.given_up]

    def hand_in(self, digest: str) -> bytes:
        """A hand-in that came, as it came. Raises NotAsStored."""
        return self.database.files.get(self.whole(digest))

    def whole(self, digest: str) -> str:
        """The whole digest of a hand-in's file that came; of one that did not, what was promised."""
        return self.database.read(partial(head_beginning, told=digest[:TOLD_DIGITS])) or digest

    def note_check(self, digest: str, found: Found, now_ms: int) -> Took | None:
        """Writes down what a hand-in gives, and signs a receipt for its gym; None where somebody else has done so already. Of one
        with faults no line counts."""
        gym = self.state.hand_ins[digest].promise.gym
        said: list[Said] = [(r.Checked, {"hand_in": digest, "faults": found.faults})]
        said += [(r.Claim, claimed_in(line) | {"gym": gym, "hand_in": digest}) for line in found.lines]
        doubts = same_film(self.state, gym, found.lines)
        for entry, event, why in found.doubts:
            doubts[entry, event] = f"{doubts[entry, event]} {why}" if (entry, event) in doubts else why  # Line has room for both
        said += [(r.Doubt, {"entry": entry, "event": event, "why": why}) for (entry, event), why in doubts.items()]
        try:
            sign = self._signs(gym, digest, "checked", now_ms, found.faults)
            return self._take_it(Act(lambda: said, now_ms, sign=sign))
        except NoRound as wrong:
            self.catch_up()
            if self.state.hand_ins[digest].state != "arrived":
                return None
            if found.faults:
                raise
            return self.note_check(digest, Found(faults=(str(wrong),)), now_ms)  # it does not fit what others claim

    def check_here(self, digest: str, now_ms: int) -> tuple[str, ...]:
        """Checks a hand-in here and now, and what is amiss with it. Raises NotAsStored."""
        self.note_check(digest, found_in(self.state.rules, self.state.opening, self.hand_in(digest)), now_ms)
        return self.state.hand_ins[digest].faults

    def claims(self, fields: dict[str, Any], now_ms: int) -> Act:
        """The act by which an entry claims something by its own link."""
        claim = r.Claim(number=1, at=now_ms, **fields)
        sign, by = self._signs(claim.gym, leaf(claim), "claimed", now_ms), Speaker("entry", entry=claim.entry)
        return Act(lambda: [(r.Claim, fields)], now_ms, by, sign)

    def _take_it(self, act: Act) -> Took:
        took = self._do(act)
        assert took is not None, "an act with a receipt was done"
        return took

    def _signs(self, gym: int, digest: str, what: Any, now_ms: int, faults: tuple[str, ...] = ()) -> Callable[[int, str], bytes]:
        """What signs a receipt, by its number and the head before it."""
        key, of = self._key(), self._rule_id()

        def sign(number: int, before: str) -> bytes:
            numbered = {"number": number, "before": before, "at": now_ms}
            known = known_as(digest, self.state.hand_ins)
            return key.sign("receipt", says_of(Receipt(round=of, gym=gym, hand_in=known, what=what, faults=faults, **numbered)))

        return sign

    def receipts(self) -> list[bytes]:
        """All receipts in order."""
        return self.database.read(round_receipts)

    def receipts_for(self, digest: str) -> list[bytes]:
        """The receipts that were given for a hand-in, by its digest, in order."""
        for number, content in self.database.read(partial(receipts_behind, after=self._indexed)):
            self._receipts_of[json.loads(content.split(b"\n")[1])["hand_in"]].append(number)
            self._indexed = number
        found = (self.receipt(number) for number in self._receipts_of.get(known_as(digest, self.state.hand_ins), ()))
        return [one for one in found if one is not None]

    def receipts_given(self) -> int:
        """How many receipts there are."""
        return self.database.read(receipts_given)

    def receipt(self, number: int) -> bytes | None:
        """A receipt by its number; None for no such one."""
        return self.database.read(partial(round_receipt, number=number))

    def hand_ins(self) -> Iterator[tuple[str, bytes]]:
        """The hand-ins that came and are here, one at a time: each with its digest."""
        for digest in self.state.hand_ins:
            with suppress(NotAsStored):
                yield digest, self.hand_in(digest)

    def people(self) -> list[Person]:
        """Who the entries are whose lines count, from the hand-ins that they came with. Raises NotAsStored."""
        found: list[Person] = []
        for digest in sorted({line.claim.hand_in for line in self.state.lines.values() if line.claim.hand_in}):
            found += said_in(read_checked(self.hand_in(digest), "hand-in").says, HandIn).people
        return found

    def _rule_id(self) -> str:
        if self.state.rule is None:
            raise NoRound("This data folder is no headquarters of a round: make its kit first.")
        return self.state.rule.id

    def _key(self) -> SigningKey:
        self._rule_id()
        return key_in(self.data, HEADQUARTERS_KEY, make=False)
