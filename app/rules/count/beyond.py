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

from app.rules.count.tally_shape import Flag
from app.rules.records.marks import Mark
from app.rules.records.receipts import Receipt
from app.rules.values.hands import BESIDE, PER_SECOND
from app.rules.workout.formats import Format

TOO_MANY = "too-many"  # the flag


def most_marks(format: Format) -> int:
    """How many marks of one seat count on a sheet of this event."""
    return BESIDE + PER_SECOND * format.length_ms // 1000


def but_for_beyond(marks: dict[str, Mark], format: Format, flags: list[Flag]) -> dict[str, Mark]:
    """The marks, by id, without those that came from a seat beyond the bound; these are flagged."""
    most = most_marks(format)
    if len(marks) <= most:
        return marks
    came: Counter[str] = Counter()
    beyond = set()
    received = [(mark.receipt, mark.id) for mark in marks.values() if mark.receipt is not None and mark.kind != "stop"]
    for receipt, key in sorted(received, key=_in_order):
        came[receipt.seat] += 1
        if came[receipt.seat] > most:
            beyond.add(key)
    flags.extend(Flag(key, TOO_MANY) for key in beyond)
    return {key: mark for key, mark in marks.items() if key not in beyond}


def _in_order(received: tuple[Receipt, str]) -> tuple[int, str]:
    return received[0].number, received[1]
