"""A hash tree over leaves in order: one root for all of them, and a short proof that one is among them.

As in RFC 6962 (section 2.1), with SHA-256: leaves and nodes are hashed with different first bytes, a list is split at the
greatest power of two below its length. The root of nothing is the hash of nothing. A proof names the side of each step instead
of the leaf's number and the tree's size, since those can be changed without another root.

A film's print is such a root, over the SHA-256 of its pieces of 4 MB, so that it is made piece by piece. It tells whether a file
is the one that was handed in, as long as nobody has coded that anew: most web pages that show films do. So the original is kept
until appeals are over. The same in the browser: static/js/screens/round/film_print.js.
"""

from collections.abc import Iterable, Sequence
from hashlib import sha256
from typing import Literal

FILM_PIECE_BYTES = 4 * 1024 * 1024
Step = tuple[Literal["left", "right"], str]  # on which side what is hashed with the node stands, and that as 64 hex digits


def root(leaves: Sequence[str]) -> str:
    """The root over leaves of 64 hex digits each, as 64 hex digits."""
    return _root([_of_leaf(one) for one in leaves]).hex()


def film_print(pieces: Iterable[bytes]) -> str:
    """The print of a film, whose pieces come in order, as 64 hex digits."""
    return root([sha256(one).hexdigest() for one in pieces])


def proof(leaves: Sequence[str], at: int) -> list[Step]:
    """The way from leaf number `at` (from 0) up to the root, from below."""
    return _proof([_of_leaf(one) for one in leaves], at)


def root_of_proof(leaf: str, path: Sequence[Step]) -> str:
    """The root that a proof leads to from a leaf of 64 hex digits. That no proof of another leaf leads there rests on SHA-256."""
    here = _of_leaf(leaf)
    for side, beside in path:
        other = bytes.fromhex(beside)
        here = _node(other, here) if side == "left" else _node(here, other)
    return here.hex()


def _of_leaf(leaf: str) -> bytes:
    return sha256(b"\0" + bytes.fromhex(leaf)).digest()


def _node(left: bytes, right: bytes) -> bytes:
    return sha256(b"\1" + left + right).digest()


def _split(count: int) -> int:
    """The greatest power of two below a count of at least two."""
    return 1 << (count - 1).bit_length() - 1


def _root(hashed: Sequence[bytes]) -> bytes:
    if not hashed:
        return sha256().digest()
    level = list(hashed)
    while len(level) > 1:  # pairs from the left, an odd one going up alone, make the same tree
        above = [_node(level[n], level[n + 1]) for n in range(0, len(level) - 1, 2)]
        level = above + level[len(level) - len(level) % 2 :]
    return level[0]


def _proof(hashed: Sequence[bytes], at: int) -> list[Step]:
    if len(hashed) == 1:
        return []
    split = _split(len(hashed))
    if at < split:
        return [*_proof(hashed[:split], at), ("right", _root(hashed[split:]).hex())]
    return [*_proof(hashed[split:], at - split), ("left", _root(hashed[:split]).hex())]
