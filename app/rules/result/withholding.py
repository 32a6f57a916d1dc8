"""What a public file leaves out, held by salted commitments: who has the whole file can prove each, nobody can guess one.

A commitment is SHA-256 of a salt and the value as canonical JSON. The salt of each place follows from the ledger's secret
(HMAC-SHA256, RFC 2104), so that every export says the same, one value can be proven without the others, and nothing follows from
the public file: without the salt a bodyweight of a few hundred that there are would be found by trying them.
"""

import hmac
from collections.abc import Iterator
from hashlib import sha256
from typing import Any

from app.rules.records.document import CompetitionFile
from app.rules.records.kinds import ROWS
from app.rules.records.resting import deciding
from app.rules.records.seal import canonical

# Said otherwise in every digest, or by nobody.
NOT_SAID = {"marks", "seal", "made_wall_ms", "version", "ledger", "withheld"}


def commitments(file: CompetitionFile) -> dict[str, str]:
    """By its place, the commitment to each value that a public file leaves out of this one."""
    if file.withheld is not None:
        return dict(file.withheld)
    secret = bytes.fromhex(file.ledger.secret or "") if file.ledger else b""
    return {place: commitment(secret, place, value) for place, value in left_out(file)}


def commitment(secret: bytes, place: str, value: Any) -> str:
    """The commitment to one value at one place, 64 hex digits."""
    return sha256(salt(secret, place) + canonical(value)).hexdigest()


def salt(secret: bytes, place: str) -> bytes:
    """The salt of one place, 32 bytes."""
    return hmac.digest(secret, place.encode(), "sha256")


def left_out(file: CompetitionFile) -> Iterator[tuple[str, Any]]:
    """What a public file leaves out: each value with its place. It follows from comparing the two: nothing is missed."""
    whole, public = (one.model_dump(mode="json", exclude=NOT_SAID) for one in (file, deciding(file)))
    yield from _differences(whole, public, "")
    for mark in file.marks:
        for name in ROWS[mark.kind].private:
            if name in mark.body:
                yield f"marks/{mark.id}/{name}", mark.body[name]


def _differences(whole: Any, public: Any, place: str) -> Iterator[tuple[str, Any]]:
    if whole == public:
        return
    if isinstance(whole, list) and isinstance(public, list):
        whole, public = _by_key(whole), _by_key(public)
    if not isinstance(whole, dict) or not isinstance(public, dict):
        yield place, whole
        return
    for key, value in whole.items():
        here = f"{place}/{key}" if place else str(key)
        if key in public:
            yield from _differences(value, public[key], here)
        else:
            yield here, value


def _by_key(records: list[Any]) -> dict[str, Any]:
    """Records by what they are known by: their id; a run's heat and number; else their place in the list."""
    found = {}
    for number, record in enumerate(records):
        key = str(number)
        if isinstance(record, dict):
            key = str(record.get("id") or (f"{record['heat']}-{record['number']}" if "heat" in record else number))
        found[key] = record
    return found
