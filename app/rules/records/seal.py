"""The marks of each tablet as a chain, so that a mark that was changed, left out, added, moved or doubled is found and named.

Each mark has a fingerprint (SHA-256 of its canonical JSON, but for what is private in it); the head of a chain is what its
fingerprints give one after the other. The heads go into the digests of the competition file; the short prints beside them only
help to say which mark it is. What is private is left out so that a public file has the same chains; the digest of the
whole file covers it by commitments (result/withholding.py).
"""

import json
from collections import Counter
from collections.abc import Iterable, Sequence
from hashlib import sha256
from typing import Annotated, Any, Literal

from pydantic import Field

from app.rules.records.marks import Mark, for_everybody, mark_plain
from app.rules.values.shapes import Base, Id

PRINT = 8  # hex digits of a short print: one in four thousand million that a change of one mark keeps it
MOST_NAMED = 20  # faults named one by one; more say the same

Digest = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]


class Chain(Base):
    """All marks of one life of one tablet in the order of their numbers: how many, the head, a short print of each."""

    device: Id
    epoch: int = Field(ge=1)
    marks: int = Field(ge=1)
    head: Digest
    prints: str = Field(pattern=rf"^([0-9a-f]{{{PRINT}}})+$")


class Seal(Base):
    """What a competition file said when it was written: of all of it, of each event by its id, and of each tablet's marks.

    `version`: how the digests are taken. 1 is how files were sealed that do not say it.
    """

    version: Literal[1, 2] = 1
    digest: Digest
    events: dict[Id, Digest] = Field(default_factory=dict)
    chains: tuple[Chain, ...] = ()


_encode = json.JSONEncoder(ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False).encode


def canonical(value: Any) -> bytes:
    """A value as JSON in the one way that is hashed: sorted keys, no blanks, UTF-8. Raises ValueError for NaN and infinity."""
    return _encode(value).encode()


Printed = tuple[Mark, bytes]


def fingerprints(marks: Iterable[Mark]) -> list[Printed]:
    """Each mark with its fingerprint, 32 bytes; most of the work of a seal, so it is done once."""
    return [(mark, fingerprint(for_everybody(mark))) for mark in marks]


def mark_print(mark: Mark) -> str:
    """The fingerprint of one mark as files carry it, 64 hex digits: two marks of one print are one for every result."""
    return fingerprint(for_everybody(mark)).hex()


def fingerprint(mark: Mark) -> bytes:
    """SHA-256 of a mark's canonical JSON, all that it says."""
    return sha256(canonical(mark_plain(mark))).digest()


def chains_of(marks: Iterable[Printed]) -> tuple[Chain, ...]:
    """The chains of some marks, in the order of tablets."""
    return tuple(_chain(key, given) for key, given in sorted(by_tablet(marks).items()))


def chain_faults(sealed: Sequence[Chain], marks: Iterable[Printed]) -> list[str]:
    """What differs between the marks and the chains that were sealed, as sentences; empty when nothing does."""
    found = by_tablet(marks)
    faults: list[str] = []
    for chain in sealed:
        faults += _differences(chain, found.pop((chain.device, chain.epoch), []))
    for key, given in sorted(found.items()):
        faults.append(f"Tablet {key[0]}: the seal knows of none of its marks ({len(given)}).")
    return named_at_most(faults)


def named_at_most(faults: list[str]) -> list[str]:
    """So many faults that a person reads them, and how many more there are."""
    return faults[:MOST_NAMED] + ([f"And more of them: {len(faults) - MOST_NAMED}."] if len(faults) > MOST_NAMED else [])


def by_tablet(marks: Iterable[Printed]) -> dict[tuple[str, int], list[Printed]]:
    """The marks of each life of each tablet (device, epoch) in the order of their numbers."""
    found: dict[tuple[str, int], list[Printed]] = {}
    for one in marks:
        found.setdefault((one[0].device, one[0].epoch), []).append(one)
    for given in found.values():
        given.sort(key=lambda one: (one[0].seq, one[0].id, one[1]))
    return found


def _chain(key: tuple[str, int], marks: Sequence[Printed]) -> Chain:
    short = "".join(one.hex()[:PRINT] for _, one in marks)
    return Chain(device=key[0], epoch=key[1], marks=len(marks), head=head_of(marks), prints=short)


def head_of(marks: Iterable[Printed]) -> str:
    """The head of a chain, 64 hex digits: what the fingerprints give one after the other."""
    head = b""
    for _, one in marks:
        head = sha256(head + one).digest()
    return head.hex()


def _differences(chain: Chain, marks: Sequence[Printed]) -> list[str]:
    """Which marks of a tablet differ. Two marks with one short print can't hide a change: the head tells that there is one."""
    if not marks:
        return [f"Tablet {chain.device}: all of its marks are missing ({chain.marks})."]
    now = _chain((chain.device, chain.epoch), marks)
    if now.head == chain.head and now.marks == chain.marks:
        return []
    before, after = _prints(chain), _prints(now)
    known, seen, gone = Counter(before), Counter[str](), Counter(before) - Counter(after)
    faults = []
    for place, ((mark, _), one) in enumerate(zip(marks, after, strict=True)):
        seen[one] += 1
        if 0 < known[one] < seen[one]:
            faults.append(f"{_named(mark)} is there more often than it was sealed.")
        elif not known[one] and place < len(before) and gone[before[place]]:
            gone[before[place]] -= 1
            faults.append(f"{_named(mark)} was changed.")
        elif not known[one]:
            faults.append(f"{_named(mark)} was added, moved or changed.")
    for one in gone.elements():
        faults.append(f"Tablet {chain.device}: the mark that was number {before.index(one) + 1} in its order is missing.")
    return faults or [f"Tablet {chain.device}: its marks are not those that were sealed."]


def _prints(chain: Chain) -> list[str]:
    return [chain.prints[at : at + PRINT] for at in range(0, len(chain.prints), PRINT)]


def _named(mark: Mark) -> str:
    return f"Tablet {mark.device}: mark {mark.seq} ({mark.kind} on sheet {mark.sheet})"
