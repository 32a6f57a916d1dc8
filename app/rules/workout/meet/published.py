"""What is published about declarations in the sport's two ways, as fields of a lift: each value with where it was read. All are
parameters of the event; here they are what a preset begins with.

Of what is from memory, a text was looked for twice among rule books, reprints, national editions and pages of federations, in
four languages, and none could be read that says it: of most rule books only the beginning could be had. Whoever sets an event up
is told at each such number that it is from memory.
"""

from collections.abc import Mapping
from typing import Any, NamedTuple

from app.rules.workout.tasks import LiftOrder

FROM_MEMORY = "from memory"


class Published(NamedTuple):
    """A field of a lift, its value, and its source; with FROM_MEMORY in it where no text was read that says it, or all of it."""

    field: str
    value: Any
    source: str


RISING = (
    Published("declare_seconds", 0, "a coach's course: the least increase is put in after a good lift, and still to be declared"),
    Published("changes", 2, "a member magazine of a national federation, 2015: two an attempt, before the final call"),
    Published("change_left_seconds", 30, "the world federation's notice of January 2007: before the final call, 30 s left"),
    Published("follow_left_seconds", 90, "the same: who follows themselves hands it in inside the first 30 s of 120"),
    Published(
        "bar_rises",
        True,
        f"an older edition of the rules, quoted: never less once a lift was made at a weight; that a call will do: {FROM_MEMORY}",
    ),
    Published("lower_change", "any", "the world federation, 6.5.11, a reprint: increased or decreased before the final call"),
)
ROUNDS = (
    Published("declare_seconds", 60, "a world federation's rules of 2007, and a page on its sport for the disabled: one minute"),
    Published("opener_changes", 1, "the same two: once"),
    Published("opener_seconds", 300, "the same two: to five minutes before the first round"),
    Published("changes", 0, "the rules of 2007: a card for each attempt and none for a change, but for the third deadlift"),
    Published("change_left_seconds", 60, FROM_MEMORY),  # until the bar is called loaded, when the minute begins
    Published("lower_change", "opener", FROM_MEMORY),
    Published("again_seconds", 180, FROM_MEMORY),
    Published("again_less_seconds", 60, FROM_MEMORY),
)
# The last lift of a meet in rounds, the deadlift.
ROUNDS_LAST = (
    Published("last_changes", 2, "a world federation's rules of 2007: the third deadlift, twice"),
    Published("lower_change", "any", FROM_MEMORY),
)


def from_memory(field: str) -> str:
    """What a field's hint says of its value where that, or some of it, is from memory; empty where it was read."""
    ways = {"for a rising bar": RISING, "for rounds": (*ROUNDS, *ROUNDS_LAST)}
    found = {way: [one for one in rows if one.field == field and FROM_MEMORY in one.source] for way, rows in ways.items()}
    told = [way for way, rows in found.items() if rows]
    partly = "" if any(one.source == FROM_MEMORY for rows in found.values() for one in rows) else "partly "
    return f"; what the preset puts in {' and '.join(told)} is {partly}{FROM_MEMORY}: check your rules" if told else ""


PUBLISHED: Mapping[LiftOrder, tuple[Published, ...]] = {"lightest": RISING, "rounds": ROUNDS}


def published(order: LiftOrder, last: bool, attempt_seconds: int, follow_seconds: int | None) -> dict[str, Any]:
    """The fields of a lift by a way of the sport; last: it is the last one of the meet. Times on the clock are those of the
    published minute, or of two for who follows themselves, and go with the event's own: a rule that ends with the clock's start
    ends there, and one that ends 30 s in does so too."""
    values = {one.field: one.value for one in (*PUBLISHED.get(order, ()), *(ROUNDS_LAST if last and order == "rounds" else ()))}
    if order == "rounds":
        values["change_left_seconds"] = attempt_seconds
    if order == "lightest":
        values["change_left_seconds"] = min(values["change_left_seconds"], attempt_seconds)
        values["follow_left_seconds"] = max(follow_seconds - 30, 0) if follow_seconds else None
    return values
