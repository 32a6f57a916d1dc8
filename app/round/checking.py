"""Whether what is signed in a round is as it was signed, and whether each receipt follows the one before it. Needs no store."""

from collections.abc import Sequence
from hashlib import sha256

import msgspec
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

from app.results.competition_file import BadFile, read_file, write_file
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


def whose_hand_in(data: bytes, state: RoundState) -> Whose:
    """Whose a hand-in of this round is by its signature; what else it says is read when it is checked. Raises BadKit."""
    signed = _signed_by_its_key(take_apart(data, "hand-in"), "hand-in")
    try:
        found = WHOSE.decode(signed.says)
    except (msgspec.MsgspecError, ValueError):
        raise BadKit("This is not a hand-in file as it was written.") from None
    _refuse_anothers(found, signed, state)
    return found


def _refuse_anothers(found: Whose | HandIn, signed: Signed, state: RoundState) -> None:
    if found.round != state.rules.id or state.keys.get(found.gym) != signed.by.key:
        raise BadKit("This hand-in is of another round, or not signed with its gym's key.")


def read_hand_in(data: bytes, state: RoundState) -> HandIn:
    """A hand-in of this round, signed with its gym's bound key, whose competition can be used. Raises BadKit."""
    signed = read_checked(data, "hand-in")
    found = usable_hand_in(signed)
    _refuse_anothers(found, signed, state)
    return found


def usable_hand_in(signed: Signed) -> HandIn:
    """What a signed hand-in says, whose competition can be used. Raises BadKit."""
    found = said_in(signed.says, HandIn)
    try:
        check_texts(read_file(write_file(found.competition)))
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
