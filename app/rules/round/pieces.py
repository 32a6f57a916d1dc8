"""The pieces of a hand-in's file, signed by its gym's key: they go before it, so that whoever takes it in stops at the first byte
that is of another file."""

from collections.abc import Iterator
from hashlib import sha256
from typing import Literal

from pydantic import Field

from app.rules.records.seal import Digest
from app.rules.round.kit import MOST_BYTES
from app.rules.values.shapes import Base, Id

PIECE_BYTES = 256 * 1024
MOST_PIECES = MOST_BYTES["hand-in"] // PIECE_BYTES


class Pieces(Base):
    """A hand-in's file: its SHA-256, its length, and the SHA-256 of each piece in order."""

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


def pieces_in(content: bytes) -> Iterator[str]:
    """The SHA-256 of each piece of a file, in order."""
    for at in range(0, len(content), PIECE_BYTES):
        yield sha256(content[at : at + PIECE_BYTES]).hexdigest()
