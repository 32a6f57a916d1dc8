"""What a gym keeps of its handing in: each hand-in as it was made, and headquarters' receipts, checked before they are kept."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from hashlib import sha256
from itertools import pairwise
from pathlib import Path

import msgspec

from app.round.checking import read_checked
from app.round.room_files import alone_in_room, keep_in_room
from app.rules.round.hand_in import Receipt
from app.rules.round.kit import BadKit, said_in, take_apart
from app.rules.round.short import HEX_DIGITS, is_digest_of
from app.store.rounds import HANDED_IN, RECEIPT, RECEIPTS, ROOM


@dataclass(frozen=True, slots=True)
class Kept:
    """A receipt: what it says, and its head, the SHA-256 that the next one names and that is published by its number."""

    says: Receipt
    head: str


def keep_made(data: Path, content: bytes) -> str:
    """Keeps a hand-in as it was made; its digest. Raises BadKit."""
    digest = sha256(content).hexdigest()
    with alone_in_room(data):
        keep_in_room(data, f"{HANDED_IN}/{len(_made(data)) + 1:04}-{digest}", content)
    return digest


def made_here(data: Path) -> list[str]:
    """The digests of the hand-ins that were made here, in the order in which they were."""
    return list(_made(data))


def made_content(data: Path, digest: str) -> bytes | None:
    """A hand-in as it was made; None where it was not made here, or is no longer as it was."""
    file = _made(data).get(digest)
    content = file.read_bytes() if file else b""
    return content if sha256(content).hexdigest() == digest else None


class Outline(msgspec.Struct, frozen=True):
    """What a page tells of a hand-in, read without the rest of it."""

    replaces: str | None
    lines: list["Claimed"]
    competition: "Judged"


class Claimed(msgspec.Struct, frozen=True):
    """A line of a hand-in: whose it is."""

    entry: int
    event: str


class Judged(msgspec.Struct, frozen=True):
    """Of a hand-in's competition: when it was put together (Unix milliseconds), and its marks."""

    made_wall_ms: int
    marks: list[msgspec.Raw]


OUTLINE = msgspec.json.Decoder(Outline)


@lru_cache(maxsize=32)
def made_said(data: Path, digest: str) -> Outline:
    """What a hand-in that was made here says, in short; read once. Raises BadKit where it is not here."""
    content = made_content(data, digest)
    if content is None:
        raise BadKit("This hand-in was not made on this laptop, or its file is no longer as it was made.")
    return OUTLINE.decode(take_apart(content, "hand-in").says)


def _made(data: Path) -> dict[str, Path]:
    files = sorted((data / ROOM / HANDED_IN).glob("????-" + "?" * HEX_DIGITS))
    return {one.name.partition("-")[2]: one for one in files}


def read_receipt(content: bytes, key: str, round: str, gym: int, made: Sequence[str]) -> Kept:
    """A receipt of headquarters, by the key that the kit is signed with, for one of this gym's hand-ins. Raises BadKit."""
    signed = read_checked(content, "receipt")
    said = said_in(signed.says, Receipt)
    if signed.by.key != key:
        raise BadKit("This receipt is not signed by the headquarters of this kit.")
    if (said.round, said.gym) != (round, gym):
        raise BadKit("This receipt is of another round or another gym.")
    if not any(is_digest_of(said.hand_in, one) for one in made):
        raise BadKit("This receipt is for a hand-in that was not made on this laptop.")
    return Kept(said, sha256(content).hexdigest())


def keep_receipt(data: Path, content: bytes, kept: Kept) -> None:
    """Keeps a receipt that was read. Raises BadKit."""
    name = f"{RECEIPTS}/{RECEIPT.format(number=kept.says.number, what=kept.says.what)}"
    with alone_in_room(data) as room:
        file = room / name
        if file.is_file() and file.read_bytes() != content:
            raise BadKit(
                f"Receipt {kept.says.number} is here already and says something else: headquarters gave one number twice. Keep "
                "both files, and tell everybody."
            )
        keep_in_room(data, name, content)


def receipts_here(data: Path, key: str, round: str, gym: int) -> list[Kept]:
    """The receipts that are kept, checked anew, in the order of their numbers. One that no longer holds is left out."""
    found, made = [], made_here(data)
    for file in sorted((data / ROOM / RECEIPTS).glob("*.receipt")):
        try:
            found.append(read_receipt(file.read_bytes(), key, round, gym, made))
        except BadKit:
            continue
    return found


def chain_breaks(receipts: Sequence[Kept]) -> list[str]:
    """Receipts of following numbers of which the later does not name the earlier, as sentences."""
    pairs = [(one, two) for one, two in pairwise(receipts) if one.says.number + 1 == two.says.number]
    wrong = [one.says.number for one, two in pairs if two.says.before != one.head]
    return [f"Receipt {number + 1} does not follow receipt {number}. Keep both files, and tell everybody." for number in wrong]
