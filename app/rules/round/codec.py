"""How the records of a round stand in a file: one line of canonical JSON each; and what of a claim the roll holds."""

from collections.abc import Iterable
from hashlib import sha256
from sys import intern
from typing import Any, NamedTuple, TypeVar, get_args

from pydantic import TypeAdapter, ValidationError

from app.rules.records.seal import canonical
from app.rules.round.records import Claim, Kept, Opened, Record

K = TypeVar("K", bound=Kept)
ALIKE = ("kind", "by", "event", "division", "hand_in")  # said by many claims in the same words
NOT_KEPT: set[str] = set()
RECORD: TypeAdapter[Record] = TypeAdapter(Record)
KINDS: tuple[type[Kept], ...] = get_args(get_args(Record)[0])


class RollLine(NamedTuple):
    """What of a claim the roll holds; parts as text, person empty where nobody says who it is."""

    entry: int
    event: str
    division: str
    gym: int
    parts: tuple[str, ...]
    person: str


ROLL_LINE: TypeAdapter[RollLine] = TypeAdapter(RollLine)


class BadRecord(Exception):
    """Raised for a line of text that is no record; its text is a sentence."""


def decode(text: str | bytes) -> Record:
    """The record of one line of JSON. Raises BadRecord."""
    try:
        return lightened(RECORD.validate_json(text))
    except ValidationError as wrong:
        first = wrong.errors()[0]
        where = ".".join(map(str, first["loc"])) or "the line"
        raise BadRecord(f"This is no record of a round: {where}: {first['msg']}.") from None


def lightened(record: K) -> K:
    """The same record, with what it has in common with others kept once: two hundred thousand claims stand in memory beside one
    another, and this is more than half of what each weighs. Which fields were given is forgotten, for nobody asks."""
    object.__setattr__(record, "__pydantic_fields_set__", NOT_KEPT)
    if isinstance(record, Claim):
        said = record.__dict__
        for name in ALIKE:
            if said[name] is not None:
                said[name] = intern(said[name])
    return record


def plain(record: Kept) -> dict[str, Any]:
    """A record as plain values. What is as it is by default is left out, but for its kind; of a rule all is said, so that a later
    default changes nothing."""
    told = record.model_dump(mode="json", exclude_defaults=True)
    if isinstance(record, Opened):
        told["rule"] = record.rule.model_dump(mode="json")
    return told | {"kind": type(record).model_fields["kind"].default}


def encode(record: Kept) -> bytes:
    """A record as one line of canonical JSON, without its end."""
    return canonical(plain(record))


def encode_all(records: Iterable[Kept]) -> bytes:
    """Records as a file, one a line."""
    return b"".join(encode(one) + b"\n" for one in records)


def roll_line(claim: Claim) -> bytes:
    """What of a claim the roll holds, as a line of canonical JSON: entry, event, division, gym, parts, who it is (or nothing)."""
    parts = tuple(str(one) for one in claim.parts)
    return canonical(RollLine(claim.entry, claim.event, claim.division, claim.gym, parts, claim.person or ""))


def read_roll_line(text: str) -> RollLine:
    """What a line of the roll says. Raises ValidationError."""
    return ROLL_LINE.validate_json(text, strict=True)


def leaf(claim: Claim) -> str:
    """The leaf of a line in the roll: SHA-256 of what the roll holds of it, 64 hex digits."""
    return sha256(roll_line(claim)).hexdigest()
