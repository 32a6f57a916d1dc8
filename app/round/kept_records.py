"""The records of a round as a store keeps them, folded; acts are added to them together, in one transaction for all who wait.

An act is taken whole or refused by itself. What says that something came is given out after the commit that keeps it.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlmodel import Session

from app.round.checking import chain_head
from app.round.undo import Undo, undo_of
from app.rules.round import records as r
from app.rules.round.authority import HEADQUARTERS, Speaker, not_theirs
from app.rules.round.codec import decode, encode
from app.rules.round.due import Said
from app.rules.round.fold import fold, take
from app.rules.round.state import RoundState
from app.store.acts import with_its_act
from app.store.database import Database
from app.store.files.heads import Head, put_head
from app.store.refusals import Refusal
from app.store.rounds import add_to_round, receipts_given, round_receipt, round_records
from app.store.writer import StoreClosed

FILE_GONE = "What was sent is not here any more. Send it again."


class NoRound(Refusal):
    """Raised where there is no round, or the rules refuse what was asked; its text is the sentence to show."""


@dataclass(frozen=True, slots=True)
class Took:
    """A receipt that was given: as it was signed, its number and head (the SHA-256 that the next one names)."""

    receipt: bytes
    number: int
    head: str


@dataclass(slots=True)
class Act:
    """Records that somebody adds, and what came of it: what is said, asked for inside the transaction; when, and by whom; the
    receipt for it by its number and the head before it, if it has one; the file that it says has come.

    took: its receipt, once it is kept. refused: why it is not. line: its line in the activity log, of the request that it is
    made in.
    """

    said: Callable[[], Sequence[Said]]
    now_ms: int
    by: Speaker = HEADQUARTERS
    sign: Callable[[int, str], bytes] | None = None
    file: Head | None = None
    done: bool = False
    took: Took | None = None
    refused: Exception | None = None
    line: Callable[[Session], None] = field(default_factory=lambda: with_its_act(_nothing))

    def outcome(self) -> Took | None:
        """Its receipt. Raises why it was refused."""
        if self.refused is not None:
            raise self.refused
        return self.took


def _nothing(_: Session) -> None:
    """The work beside which a line of the activity log is written."""


class NothingMade(Exception):
    """Raised to end a transaction that would keep nothing."""


class KeptRecords:
    """The records in a store and their state, for one who asks at a time."""

    def __init__(self, database: Database) -> None:
        self.database = database
        self.records: list[r.Record] = []
        self.state = RoundState()
        self.catch_up()

    def catch_up(self) -> None:
        """Reads what others have added to the store since."""
        self.database.read(self._catch_up)

    def _catch_up(self, session: Session) -> None:
        while texts := round_records(session, len(self.records)):
            for text in texts:
                record = decode(text)
                self.records.append(record)
                if sentence := take(self.state, record):
                    self.state.faults.append((record.number, sentence))

    def write(self, acts: Sequence[Act]) -> None:
        """Adds what some acts say, in order: each whole, or refused with why. All are made inside one transaction: nobody
        else adds anything meanwhile, from whichever process, so that numbers and receipts follow what is really there.

        Raises what the store raises; then no act was done.
        """
        made, before = list[r.Record](), len(self.records)
        try:
            self.database.write(lambda session: self._write(session, acts, made))
        except BaseException as wrong:
            if len(self.records) > before or not isinstance(wrong, NothingMade):
                # What was taken is undone, and what was read in a transaction that is no more.
                del self.records[before:]
                self.state = fold(self.records)
            if not isinstance(wrong, NothingMade):
                refused = wrong if isinstance(wrong, Exception) else StoreClosed()
                for act in acts:
                    act.took, act.refused = None, refused
                raise
        finally:
            for act in acts:
                act.done = True
        self.records += made

    def _write(self, session: Session, acts: Sequence[Act], made: list[r.Record]) -> None:
        self._catch_up(session)
        number = receipts_given(session)
        head = chain_head(list(filter(None, [round_receipt(session, number)])))
        receipts = list[tuple[int, bytes]]()
        for act in acts:
            if not self._take(act, made):
                continue
            if act.file is not None:
                put_head(session, act.file)
            if act.sign is not None:
                number, signed = number + 1, act.sign(number + 1, head)
                head = chain_head([signed])
                receipts.append((number, signed))
                act.took = Took(signed, number, head)
            act.line(session)
        if not made:
            raise NothingMade
        add_to_round(session, [(one.number, encode(one).decode()) for one in made], receipts)

    def _take(self, act: Act, made: list[r.Record]) -> bool:
        """Takes the records of an act behind those that were made; whether it was not refused, with which they are undone."""
        start, undos = len(made), list[Undo | None]()
        try:
            if act.file is not None and not self.database.files.has(act.file.digest):
                raise NoRound(FILE_GONE)
            for kind, fields in act.said():
                record: Any = kind(number=len(self.records) + len(made) + 1, at=act.now_ms, **fields)
                undo = undo_of(self.state, record)
                if sentence := not_theirs(self.state, act.by, record) or take(self.state, record):
                    raise NoRound(sentence)
                made.append(record)
                undos.append(undo)
        except Exception as refused:  # whoever asked for this act is told, and those beside it are not
            act.refused = refused
            del made[start:]
            self._undo(undos, made)
            return False
        return True

    def _undo(self, undos: Sequence[Undo | None], made: Sequence[r.Record]) -> None:
        """Undoes the last that were taken; where that can't be done all others are folded again."""
        if None in undos:
            self.state = fold([*self.records, *made])
            return
        for undo in reversed(undos):
            assert undo is not None, "looked for above"
            undo()
