"""How the records of a round stand in a file: one line of canonical JSON each; and what of a claim the roll holds."""

from collections.abc import Iterable
from fractions import Fraction
from hashlib import sha256
from typing import Any, get_args

from pydantic import TypeAdapter, ValidationError

from app.rules.records.seal import canonical
from app.rules.round.records import Claim, Kept, Record
from app.rules.values.shapes import Base

RECORD: TypeAdapter[Record] = TypeAdapter(Record)
KINDS: tuple[type[Kept], ...] = get_args(get_args(Record)[0])


class BadRecord(Exception):
    """Raised for a line of text that is no record; its text is a sentence."""


def decode(text: str | bytes) -> Record:
    """The record of one line of JSON. Raises BadRecord."""
    try:
        return RECORD.validate_json(text)
    except ValidationError as wrong:
        first = wrong.errors()[0]
        where = ".".join(map(str, first["loc"])) or "the line"
        raise BadRecord(f"This is no record of a round: {where}: {first['msg']}.") from None


def plain(record: Base) -> dict[str, Any]:
    """A record as plain values; what is as it is by default is left out, but for its kind."""
    told = record.model_dump(mode="json", exclude_defaults=True)
    return told | {"kind": record.kind} if hasattr(record, "kind") else told


def encode(record: Base) -> bytes:
    """A record as one line of canonical JSON, without its end."""
    return canonical(plain(record))


def encode_all(records: Iterable[Base]) -> bytes:
    """Records as a file, one a line."""
    return b"".join(encode(one) + b"\n" for one in records)


def leaf_plain(claim: Claim) -> list[Any]:
    """What of a claim the roll holds, in order."""
    parts = [str(Fraction(one)) for one in claim.parts]
    return [claim.entry, claim.event, claim.division, claim.gym, parts, claim.person or ""]


def leaf(claim: Claim) -> str:
    """The leaf of a line in the roll: SHA-256 of the canonical JSON of what the roll holds, 64 hex digits."""
    return sha256(canonical(leaf_plain(claim))).hexdigest()
