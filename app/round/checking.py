"""Whether what is signed in a round is as it was signed, and whether each receipt follows the one before it. Needs no store."""

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256

import msgspec
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

from app.results.competition_file import BadFile, check_whole
from app.results.file_texts import check_texts
from app.rules.round.hand_in import HandIn, Receipt
from app.rules.round.kit import BadKit, Kind, Signed, read_signed, said_in, take_apart
from app.rules.round.state import RoundState

FIRST = "0" * 64  # what the first receipt says of the one before it


class Whose(msgspec.Struct, frozen=True):
    """What headquarters reads of a hand-in when it comes: whose it is, and which it replaces."""

    round: str
    gym: int
    replaces: str | None = None


WHOSE = msgspec.json.Decoder(Whose)


def read_checked(data: bytes, kind: Kind) -> Signed:
    """A signed file whose signature is by the key that it names. Raises BadKit."""
    return _signed_by_its_key(read_signed(data, kind), kind)


def _signed_by_its_key(found: Signed, kind: Kind) -> Signed:
    try:
        Ed25519PublicKey.from_public_bytes(bytes.fromhex(found.by.key)).verify(bytes.fromhex(found.by.signature), found.signed)
    except (InvalidSignature, ValueError):
        raise BadKit(f"This {kind} file was changed since it was signed, or not signed by the key that it names.") from None
    return found


@dataclass(frozen=True, slots=True)
class CameIn:
    """A hand-in as it came, signed by the key that it names: its digest, whose it says it is, that key."""

    digest: str
    whose: Whose
    key: str


def came_in(data: bytes) -> CameIn:
    """Whose a hand-in is by its signature, whatever round that is of; what else it says is read when that is checked.
    Raises BadKit."""
    signed = _signed_by_its_key(take_apart(data, "hand-in"), "hand-in")
    try:
        return CameIn(sha256(data).hexdigest(), WHOSE.decode(signed.says), signed.by.key)
    except (msgspec.MsgspecError, ValueError):
        raise BadKit("This is not a hand-in file as it was written.") from None


def refuse_anothers(found: Whose | HandIn, key: str, state: RoundState) -> None:
    """Raises BadKit where what a gym sent, signed by this key, is of another round, or the key is not that gym's."""
    if found.round != state.rules.id or state.keys.get(found.gym) != key:
        raise BadKit("This hand-in is of another round, or not signed with its gym's key.")


def read_hand_in(data: bytes, state: RoundState) -> HandIn:
    """A hand-in of this round, signed with its gym's bound key, whose competition can be used. Raises BadKit."""
    signed = read_checked(data, "hand-in")
    found = usable_hand_in(signed)
    refuse_anothers(found, signed.by.key, state)
    return found


def usable_hand_in(signed: Signed) -> HandIn:
    """What a signed hand-in says, whose competition can be used. Raises BadKit.

    A signed file is read as canonical JSON, which says no name twice and holds no NaN: of what a competition file is checked for
    there is left what no shape can tell.
    """
    found = said_in(signed.says, HandIn)
    try:
        check_whole(found.competition)
        check_texts(found.competition)
    except BadFile as wrong:
        raise BadKit(f"The competition in this hand-in can't be used. {wrong}") from None
    return found


def chain_head(receipts: Sequence[bytes]) -> str:
    """The head of a chain of receipts, which the next one names as the one before it: 64 hex digits."""
    return sha256(receipts[-1]).hexdigest() if receipts else FIRST


def chain_faults(receipts: Sequence[bytes], key: str) -> list[str]:
    """What is amiss with a chain of receipts by headquarters' public key, as sentences; empty where nothing is."""
    faults: list[str] = []
    head = FIRST
    for number, content in enumerate(receipts, start=1):
        try:
            signed = read_checked(content, "receipt")
            said = said_in(signed.says, Receipt)
        except BadKit as wrong:
            return [*faults, f"Receipt {number}: {wrong}"]
        if signed.by.key != key or said.number != number or said.before != head:
            faults.append(f"Receipt {number} does not follow the one before it, or is signed by another key.")
        head = sha256(content).hexdigest()
    return faults
