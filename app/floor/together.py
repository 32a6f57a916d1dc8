"""The count together before heat one: somebody shows ten repetitions, every lane counts them, the desk sees who got ten."""

from dataclasses import dataclass, replace

from sqlmodel import Session

from app.hall.changing import new_id
from app.hall.devices import Who
from app.hall.forms import Reading, Typed, refuse
from app.hall.hall import Hall
from app.hall.views import State
from app.store.devices import welcome_devices
from app.store.practice import PRACTICES, Practice, practices
from app.store.refusals import Refusal

USUAL_SHOWN = 10
MOST_SHOWN = 100
MOST_COUNT = 1000


@dataclass(frozen=True, slots=True)
class LaneCount:
    """A lane, or a second counter of one, and what it counted."""

    lane: str
    count: str
    state: State


@dataclass(frozen=True, slots=True)
class Together:
    """The newest count together. `open` while lanes may still send theirs."""

    id: str
    shown: int
    open: bool
    lanes: tuple[LaneCount, ...]
    words: str


def newest(hall: Hall) -> Practice | None:
    """The count that was begun last."""
    found = hall.database.read(lambda session: practices(session, "together"))
    return found[-1] if found else None


def together_view(hall: Hall) -> Together | None:
    """The newest count together as the desk sees it; None before there was one."""
    last = newest(hall)
    if last is None:
        return None
    shown, counts = int(last.body["shown"]), last.body["counts"]
    devices = hall.database.read(welcome_devices)
    asked = {seat_of(one.lane, one.sheet) for one in devices if one.role == "lane" and one.lane is not None}
    rows = tuple(_lane(seat, counts.get(seat), shown) for seat in sorted(asked | set(counts), key=_by_number))
    right = sum(row.state.shape == "safe" for row in rows)
    words = f"{right} of {len(rows)} counted {shown}." if rows else "No lane has sent its count yet."
    return Together(last.id, shown, bool(last.body["open"]), rows, words)


async def begin(hall: Hall, typed: Typed) -> None:
    """Begins a count; one that is open is ended. Raises BadForm."""
    read = Reading(typed)
    shown = read.whole("shown", "The repetitions shown", 1, MOST_SHOWN, USUAL_SHOWN)
    read.done()
    await end(hall)
    made = Practice(new_id(), "together", "", hall.time.wall_ms(), {"shown": shown, "open": True, "counts": {}})
    await hall.database.awrite(lambda session: PRACTICES.put(session, made))


async def end(hall: Hall) -> None:
    """Ends the count that is open, if one is."""
    last = newest(hall)
    if last is not None and last.body["open"]:
        over = replace(last, body={**last.body, "open": False})
        await hall.database.awrite(lambda session: PRACTICES.put(session, over))


async def count_in(hall: Hall, who: Who, typed: Typed) -> int:
    """A lane's count, in place of an earlier one. Returns it. Raises BadForm, and Refusal when no count is open."""
    if who.lane is None or who.role != "lane":
        raise refuse("count", "Only a lane's tablet can count along.")
    seat = seat_of(who.lane, who.sheet)
    read = Reading(typed)
    count = read.needed_whole("count", "The count", 0, MOST_COUNT)
    read.done()

    def add(session: Session) -> None:
        found = practices(session, "together")
        if not found or not found[-1].body["open"]:
            raise Refusal("No count is open. Wait for the desk to start one.")
        last = found[-1]
        counts = {**last.body["counts"], seat: count}
        PRACTICES.put(session, replace(last, body={**last.body, "counts": counts}))

    await hall.database.awrite(add)
    hall.hub.publish("desk", {"type": "devices"})
    return count


def seat_of(lane: int, sheet: str) -> str:
    """Which counter of a lane: `3` is its judge, `3, second` the one beside."""
    return str(lane) if sheet == "lane" else f"{lane}, {sheet}"


def _by_number(seat: str) -> tuple[int, str]:
    number, _, rest = seat.partition(",")
    return int(number), rest


def _lane(lane: str, count: int | None, shown: int) -> LaneCount:
    if count is None:
        return LaneCount(lane, "–", State("kept", "Not yet"))
    off = count - shown
    words = f"{shown}, right" if off == 0 else f"{abs(off)} too {'many' if off > 0 else 'few'}"
    return LaneCount(lane, str(count), State("safe" if off == 0 else "look", words))
