"""The proof that a line stood on the roll, as a small file that anybody checks against the root that was published.

It holds what the roll holds of the line and the way up to the root: no name, and no other line.
"""

from hashlib import sha256
from typing import Any, Literal

from pydantic import Field, ValidationError

from app.rules.records.seal import Digest, canonical
from app.rules.round.codec import RollLine, read_roll_line, roll_line
from app.rules.round.records import LineKey
from app.rules.round.state import RoundState
from app.rules.round.tree import proof, root_of_proof
from app.rules.values.shapes import Base

MOST_BYTES = 64 * 1024
MOST_STEPS = 64


class BadProof(Exception):
    """Raised for what is no proof, or proves nothing of this root; its text is the sentence to show."""


class Proof(Base):
    """A line as the roll holds it (codec.py), and from below each step up to the root."""

    file: Literal["lane-ledger-proof"] = "lane-ledger-proof"
    version: Literal[1] = 1
    line: str = Field(max_length=MOST_BYTES)
    path: tuple[tuple[Literal["left", "right"], Digest], ...] = Field(max_length=MOST_STEPS)


def prove(state: RoundState, key: LineKey) -> bytes:
    """The proof of a line by its entry and event. Raises BadProof."""
    if state.roll is None:
        raise BadProof("The roll is not closed yet, so no root is published.")
    keys = [one for one, _ in state.on_the_roll()]
    if key not in keys:
        raise BadProof(f"The roll holds no line of entry {key[0]} in {key[1]}.")
    path = proof([line.leaf for _, line in state.on_the_roll()], keys.index(key))
    made = Proof(line=roll_line(state.lines[key].claim).decode(), path=tuple(path))
    return _written(made)


def _written(made: Proof) -> bytes:
    plain: dict[str, Any] = made.model_dump(mode="json")
    return canonical(plain) + b"\n"


def proven(data: bytes, root: str) -> RollLine:
    """The line that a proof proves under a root of 64 hex digits. Raises BadProof; a file has one way to be written."""
    wrong = BadProof("This is no proof of a line as it was written.")
    if len(data) > MOST_BYTES:
        raise wrong
    try:
        found = Proof.model_validate_json(data, strict=True)
        line = read_roll_line(found.line)
    except ValidationError:
        raise wrong from None
    if _written(found) != data:
        raise wrong
    if root_of_proof(sha256(found.line.encode()).hexdigest(), found.path) != root:
        raise BadProof("This proof does not lead to that root: the line was changed, or the root is another round's.")
    return line


def proven_words(line: RollLine) -> str:
    """What a proven line says, and what that leaves open, as text."""
    return (
        f"Entry {line.entry} of gym {line.gym} stands on this roll: {' + '.join(line.parts)} in {line.event}, "
        f"division {line.division}.\n"
        "That is what was claimed. What looks and rulings made of it is in the book."
    )
