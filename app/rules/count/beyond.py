"""How many marks one seat makes on one sheet at most. What comes beyond waits for a ruling: it is kept, flagged and does not
count.

The bound lies far above what people do: as many a second as hands make for a moment, from GO to the last bell, and some for what
is marked before and after (values/hands.py).
Which marks lie beyond is told by the order of receipt, which is kept with each, so everybody who counts again finds the same. A
mark whose receipt is not known, of an older version or only made here, takes no room, nor does one that a ruling lets count. A
stop is never put aside: whoever stops a lane is heard.
static/js/rules/beyond.js is the twin.
"""

from collections import Counter
from collections.abc import Iterable

from app.rules.records.marks import Mark
from app.rules.records.receipts import Receipt
from app.rules.records.seats import Seat
from app.rules.values.hands import BESIDE, PER_SECOND
from app.rules.workout.formats import Format

TOO_MANY = "too-many"  # the flag


def most_marks(format: Format) -> int:
    """How many marks of one seat count on a sheet of this event."""
    return BESIDE + PER_SECOND * format.length_ms // 1000


class Room:
    """What room a sheet has left for each seat. Once it may matter, marks come to `takes` in the order of their receipts."""

    def __init__(self, format: Format) -> None:
        self._most = most_marks(format)
        self._came: Counter[Seat] = Counter()

    def matters(self, marks: int) -> bool:
        """Whether a sheet of so many marks may be beyond the bound, so that it matters which came first."""
        return marks > self._most

    def takes(self, mark: Mark) -> bool:
        """Whether there is room for one more mark of the seat that it came from; it takes it."""
        if mark.receipt is None or mark.kind == "stop":
            return True
        self._came[mark.receipt.seat] += 1
        return self._came[mark.receipt.seat] <= self._most


def in_order_of_receipt(marks: Iterable[Mark]) -> list[Mark]:
    """Marks in the order in which they were received; those of which it is not known first."""
    return sorted(marks, key=lambda mark: (receipt_number(mark.receipt), mark.id))


def receipt_number(receipt: Receipt | None) -> int:
    """The number of a receipt; below all of them where there is none."""
    return -1 if receipt is None else receipt.number
