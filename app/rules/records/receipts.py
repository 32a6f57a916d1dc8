"""What only the desk knew when a mark came to it: written once, in the commit that stored the mark, and kept beside it for ever.

- It is a fact of the ledger, in backups and in the competition file and under the digest, so whoever counts again (a restored
  laptop, a joined hall, a stranger with the file) knows what the desk knew and comes to the same result.
- The first receipt stands. A mark that is sent twice is the same mark; what the desk knew the second time is no news.
- Marks of an older version have no receipt. Nothing is held against them: they count as they did.
- A laptop that lost a mark (an older backup was restored, the laptop replaced) takes it again from a tablet. Then the first
  receipt is not known any more, and the sender says so: `again`. That the judge's hand made the mark is as true as before, so
  it is believed where the desk, having lost the run too, could not know better. A phone's word on a bar is another matter: what
  makes it count is that it was here before the bar left the rack, and that is just what nobody can vouch for now. So once the bar
  has left, such a word waits for a ruling, unless the judge's own mark names it: then the judge had read it.
- `again` is only what the sender says, so it opens nothing that a start by hand would not: no mark counts under a GO that was
  given after the mark came.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, cast

from app.rules.records.seats import RECEIVED, Seat

FIELDS = frozenset({"number", "seat", "clock", "wall", "again"})
MOST = 2**53 - 1


class BadReceipt(ValueError):
    """Raised when a receipt can't be understood; its text is the sentence to show."""


@dataclass(frozen=True, slots=True)
class Receipt:
    """What the desk knew of a mark when it came.

    number: its place in the order of receipt of this ledger, from 1; 0 while it is not stored. seat: who sent it. clock: how long
    ago GO of its run was by the desk's clock, in ms, with the time that the heat was held; below zero before GO; None: the desk
    had no such run. wall: that was reckoned by the wall clock, for the laptop was started anew since GO. again: the first receipt
    is not known: the sender says that the desk held the mark before, or another device than its maker brought it.
    """

    number: int
    seat: Seat
    clock: int | None = None
    wall: bool = False
    again: bool = False


def receipt_plain(receipt: Receipt) -> dict[str, Any]:
    """A receipt as JSON: the inverse of read_receipt. What is not so is left out."""
    said: dict[str, Any] = {"number": receipt.number, "seat": receipt.seat}
    if receipt.clock is not None:
        said["clock"] = receipt.clock
    return said | {name: True for name in ("wall", "again") if getattr(receipt, name)}


def read_receipt(raw: object) -> Receipt:
    """A receipt from plain JSON values. Raises BadReceipt."""
    if not isinstance(raw, Mapping) or not {"number", "seat"} <= set(raw) <= FIELDS:
        raise BadReceipt("A receipt says its number and the seat that the mark came from, may be a clock, and nothing else.")
    if raw["seat"] not in RECEIVED:
        raise BadReceipt(f"The seat of a receipt is one of {', '.join(RECEIVED)}.")
    if any(raw.get(name, True) is not True for name in ("wall", "again")):
        raise BadReceipt("A receipt says wall or again where it is so, and nothing where it is not.")
    clock = raw.get("clock")
    if not _whole(raw["number"], 1) or (clock is not None and not _whole(clock, -MOST)):
        raise BadReceipt("The number of a receipt is a whole number from 1 on, and its clock whole milliseconds.")
    return Receipt(raw["number"], cast(Seat, raw["seat"]), clock, "wall" in raw, "again" in raw)


def _whole(value: object, least: int) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and least <= value <= MOST
