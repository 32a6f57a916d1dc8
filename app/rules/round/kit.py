"""The kit that opens an event in a gym, the slip that binds the gym's key, and how what is signed stands in a file.

A signed file is two lines: who signed it and how, then what it says, each as canonical JSON. There is one way to write it, so
that any other byte is found. A slip is a code on paper: the gym's number, a secret that is used once, and the print of
headquarters' key, so that a kit by somebody else's key does not open with it. A secret follows from headquarters' key, the round
and the gym's number, and is kept nowhere.
"""

import hmac
import json
import re
from base64 import b32decode, b32encode
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Any, Literal, TypeVar

from pydantic import Field, ValidationError
from pydantic_core import ErrorDetails

from app.rules.records.document import CompetitionFile
from app.rules.records.seal import Digest, canonical
from app.rules.round.look_sheet import MOST_ADDRESS
from app.rules.round.rule import Rule
from app.rules.values.shapes import Base, Id

MB = 1024 * 1024
SECRET_BYTES, PRINT_BYTES = 10, 5
SLIP = re.compile(r"G([1-9][0-9]{0,6})-([A-Z2-7]{16})-([A-Z2-7]{8})")
NOT_ITS_KEY = "This slip is not of the kit's headquarters: one of the two is not genuine. Ask whoever gave you the slip."

ANOTHER = "Another version of Lane Ledger wrote it. Use the newer of the two on both computers, and make the file again."
PERHAPS = "Was it written by another version of Lane Ledger? Then use the newer on both computers, and make the file again."

Kind = Literal["kit", "binding", "promise", "pieces", "hand-in", "films", "receipt"]
MOST_BYTES: Mapping[Kind, int] = {
    "kit": 2 * MB, "binding": MB, "promise": MB, "pieces": MB, "hand-in": 128 * MB, "films": 2 * MB, "receipt": MB
}  # fmt: skip
PIECE_BYTES = 256 * 1024  # of a hand-in
MOST_PIECES = MOST_BYTES["hand-in"] // PIECE_BYTES
ADDRESS = r"^(https?://[^\s/?#@]+)?$"  # of a server: no path, and nobody's name
Says = TypeVar("Says", bound=Base)


class BadKit(Exception):
    """Raised for a kit, a slip or another signed file that can't be used; its text is the sentence to show."""


class Kit(Base):
    """What a gym needs: the rule of the round, and the start file of its competition (the events, no marks, no secret). address:
    where headquarters' server answers, empty where gyms can't reach it."""

    file: Literal["lane-ledger-kit"] = "lane-ledger-kit"
    version: Literal[1] = 1
    rule: Rule
    start: CompetitionFile
    address: str = Field(default="", pattern=ADDRESS, max_length=200)


class Binding(Base):
    """A gym's key for a round, proven by the slip's secret."""

    file: Literal["lane-ledger-binding"] = "lane-ledger-binding"
    version: Literal[1] = 1
    round: Id
    gym: int = Field(ge=1)
    proof: Digest


class Promise(Base):
    """The SHA-256 of a gym's hand-in, whose file follows. replaces: that of the earlier one that it is to stand for."""

    file: Literal["lane-ledger-promise"] = "lane-ledger-promise"
    version: Literal[1] = 1
    round: Id
    gym: int = Field(ge=1)
    hand_in: Digest
    replaces: Digest | None = None


class Pieces(Base):
    """A hand-in's file: its SHA-256, its length, and the SHA-256 of each piece in order. It goes before the file, so that whoever
    takes that in stops at the first byte that is of another."""

    file: Literal["lane-ledger-pieces"] = "lane-ledger-pieces"
    version: Literal[1] = 1
    round: Id
    gym: int = Field(ge=1)
    hand_in: Digest
    bytes: int = Field(ge=1, le=MOST_BYTES["hand-in"])
    pieces: tuple[Digest, ...] = Field(max_length=MOST_PIECES)

    @property
    def fits(self) -> bool:
        """Whether there are as many pieces as the length asks for."""
        return len(self.pieces) == -(-self.bytes // PIECE_BYTES)


class Film(Base):
    """Where the film of a line is."""

    entry: int = Field(ge=1)
    event: Id
    address: str = Field(min_length=1, max_length=MOST_ADDRESS)


class Films(Base):
    """Where a gym's films are. It is no part of a hand-in, which others may come to read."""

    file: Literal["lane-ledger-films"] = "lane-ledger-films"
    version: Literal[1] = 1
    round: Id
    gym: int = Field(ge=1)
    films: tuple[Film, ...]


class Signature(Base):
    """Who signed a file (the public key) and the signature (Ed25519), as hex digits; of which kind it is."""

    kind: Kind
    key: Digest
    signature: str = Field(pattern=r"^[0-9a-f]{128}$")


@dataclass(frozen=True, slots=True)
class Signed:
    """A signed file as it was read: its signature, and what it says as bytes."""

    by: Signature
    says: bytes

    @property
    def signed(self) -> bytes:
        """What the signature is over."""
        return to_sign(self.by.kind, self.says)


def to_sign(kind: Kind, says: bytes) -> bytes:
    """The bytes that are signed: a signature of one kind of file is none of another."""
    return f"lane-ledger-round/{kind}\n".encode() + says


def signed_file(by: Signature, says: bytes) -> bytes:
    """A signed file."""
    return canonical(by.model_dump(mode="json")) + b"\n" + says + b"\n"


def read_signed(data: bytes, kind: Kind) -> Signed:
    """A signed file of a kind, whose signature is still to be checked. Raises BadKit."""
    found = take_apart(data, kind)
    try:
        says = canonical(json.loads(found.says))
    except (ValueError, RecursionError):
        raise _not_as_written(kind) from None
    if says != found.says:
        raise _not_as_written(kind)
    return found


def _not_as_written(kind: Kind) -> BadKit:
    return BadKit(f"This is not a {kind} file as it was written.")


def take_apart(data: bytes, kind: Kind) -> Signed:
    """The same of a file whose contents nobody has read yet: they may be anything. Raises BadKit."""
    if len(data) > MOST_BYTES[kind]:
        raise BadKit(f"The file is larger than {MOST_BYTES[kind] // MB} MB. A {kind} file never is.")
    lines = data.split(b"\n")
    if len(lines) != 3 or lines[2]:
        raise _not_as_written(kind)
    try:
        by = Signature.model_validate_json(lines[0], strict=True)
    except ValidationError:
        raise _not_as_written(kind) from None
    if by.kind != kind or canonical(by.model_dump(mode="json")) != lines[0]:
        raise _not_as_written(kind)
    return Signed(by, lines[1])


def said_in(says: bytes, kind: type[Says]) -> Says:
    """What a signed file says. Raises BadKit."""
    try:
        return kind.model_validate_json(says, strict=True)
    except ValidationError as wrong:
        raise BadKit(_unusable(kind, wrong.errors())) from None


def _unusable(kind: type[Base], errors: Sequence[ErrorDetails]) -> str:
    """Why a signed file can't be used, in a sentence: who signed it wrote it so, and mostly by another Lane Ledger."""
    first = errors[0]
    where = ".".join(map(str, first["loc"]))
    for one in errors:
        if one["type"] == "literal_error" and one["loc"][-1] == "version" and isinstance(one["input"], int):
            name, read = kind.model_fields["file"].default.removeprefix("lane-ledger-"), one["ctx"]["expected"]
            inside = one["loc"][:-1]
            of = f"The {inside[-1]} in this {name} file" if inside else f"This {name} file"
            return f"{of} is of version {one['input']}, and version {read} is read here. {ANOTHER}"
    if first["type"] == "extra_forbidden":
        return f"The file can't be used: it says “{where}”, which is not known here. {PERHAPS}"
    return f"The file can't be used: {where}: {first['msg']}."


def says_of(model: Base) -> bytes:
    """What a model says in a signed file: all of it, so that a later default changes nothing."""
    plain: dict[str, Any] = model.model_dump(mode="json")
    return canonical(plain)


def pieces_in(content: bytes) -> Iterator[str]:
    """The SHA-256 of each piece of a file, in order."""
    for at in range(0, len(content), PIECE_BYTES):
        yield sha256(content[at : at + PIECE_BYTES]).hexdigest()


@dataclass(frozen=True, slots=True)
class Slip:
    """A gym's slip: its number, the secret, the print of headquarters' key."""

    gym: int
    secret: bytes
    print: bytes

    def text(self) -> str:
        """The code as it stands on paper."""
        return f"G{self.gym}-{b32encode(self.secret).decode()}-{b32encode(self.print).decode()}"


def slip_for(private: bytes, public: str, round: str, gym: int) -> Slip:
    """The slip of a gym, by headquarters' private key (its 32 bytes)."""
    return Slip(gym, hmac.digest(private, f"slip/{round}/{gym}".encode(), "sha256")[:SECRET_BYTES], print_of(public))


def print_of(public: str) -> bytes:
    """The print of a public key."""
    return sha256(bytes.fromhex(public)).digest()[:PRINT_BYTES]


def print_text(public: str) -> str:
    """The print of a public key, as it ends a slip."""
    return b32encode(print_of(public)).decode()


def read_slip(typed: str) -> Slip:
    """The slip of a code as somebody typed it. Raises BadKit."""
    found = SLIP.fullmatch("".join(typed.split()).upper())
    if found is None:
        raise BadKit("A slip's code has three parts: G and the gym's number, sixteen letters and digits, eight more.")
    return Slip(int(found[1]), b32decode(found[2]), b32decode(found[3]))


def check_slip(slip: Slip, kit_key: str) -> None:
    """Raises BadKit where a slip is not of the headquarters whose key a kit is signed with."""
    if slip.print != print_of(kit_key):
        raise BadKit(NOT_ITS_KEY)


def binding_proof(secret: bytes, round: str, gym: int, key: str) -> str:
    """What proves that a key is of the gym that has the slip, 64 hex digits."""
    return hmac.new(secret, canonical([round, gym, key]), "sha256").hexdigest()


def check_binding(binding: Binding, key: str, slip: Slip, round: str) -> None:
    """Raises BadKit where a binding is not of this round, or its proof not by the slip."""
    if binding.round != round:
        raise BadKit("This binding is of another round.")
    if not hmac.compare_digest(binding.proof, binding_proof(slip.secret, round, binding.gym, key)):
        raise BadKit("This binding was not made with the slip of its gym.")
