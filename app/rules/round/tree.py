"""A hash tree over leaves in order: one root for all of them, and a short proof that one is among them.

As in RFC 6962 (section 2.1), with SHA-256: leaves and nodes are hashed with different first bytes, a list is split at the
greatest power of two below its length. The root of nothing is the hash of nothing.
"""

from collections.abc import Sequence
from hashlib import sha256


def root(leaves: Sequence[str]) -> str:
    """The root over leaves of 64 hex digits each, as 64 hex digits."""
    return _root([_of_leaf(one) for one in leaves]).hex()


def proof(leaves: Sequence[str], at: int) -> list[str]:
    """What is hashed with leaf number `at` (from 0) on the way up to the root, from below."""
    return [one.hex() for one in _proof([_of_leaf(one) for one in leaves], at)]


def root_of_proof(leaf: str, at: int, count: int, path: Sequence[str]) -> str:
    """The root that a proof of leaf number `at` of `count` leads to. Raises ValueError for one of another length."""
    here, first, last = _of_leaf(leaf), at, count - 1
    for one in path:
        if last <= 0:
            raise ValueError("The proof is too long.")
        other = bytes.fromhex(one)
        if first % 2 or first == last:
            here = _node(other, here)
            while not first % 2 and first:
                first, last = first // 2, last // 2
        else:
            here = _node(here, other)
        first, last = first // 2, last // 2
    if last:
        raise ValueError("The proof is too short.")
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


def _proof(hashed: Sequence[bytes], at: int) -> list[bytes]:
    if len(hashed) == 1:
        return []
    split = _split(len(hashed))
    if at < split:
        return [*_proof(hashed[:split], at), _root(hashed[split:])]
    return [*_proof(hashed[split:], at - split), _root(hashed[:split])]
