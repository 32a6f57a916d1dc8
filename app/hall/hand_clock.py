"""A lane whose clock was started by hand: what the desk says of it, and moving it by the head judge's ruling."""

from dataclasses import dataclass
from decimal import Decimal

from sqlmodel import Session

from app.hall.changing import change_roster, new_id
from app.hall.forms import Reading, Typed
from app.hall.hall import Hall
from app.rules.count.sheet_clock import standing_shift
from app.rules.records.marks import Mark, sheet_key
from app.rules.records.rulings import Ruling
from app.store.kinds import RULINGS
from app.store.refusals import NotThere

MOST_SECONDS = 3600  # a clock that is an hour off belongs to another heat
FRAME_MS = 10  # nearer than that a start by hand can't be told from the desk's


@dataclass(frozen=True, slots=True)
class HandClock:
    """What the desk shows of a clock started by hand. `seconds` is what the form proposes; `moved` says the ruling that stands,
    `ruling` is its id; both are empty before there is one."""

    assignment: str
    words: str
    seconds: str
    moved: str
    ruling: str


def hand_clock(hall: Hall, assignment: str, sheet: str) -> HandClock | None:
    """The hand clock of a lane's counting sheet, or None if it never had one."""
    key = sheet_key(sheet)
    ruling = standing_shift(assignment, key.run, hall.projection.standing_rulings)
    if ruling is None and not hall.projection.begun_by_hand(sheet):
        return None
    late = known_lateness(hall.projection.sheet_marks(sheet))
    shift = int(ruling.body["ms"]) if ruling else 0
    proposed = seconds_text(shift or late or 0)
    return HandClock(assignment, _words(late), proposed, _moved(ruling, shift), ruling.id if ruling else "")


def known_lateness(marks: list[Mark]) -> int | None:
    """How many milliseconds after the desk's GO the tablet found its start by hand to have been; None while it doesn't know."""
    found = [int(mark.body["late"]) for mark in marks if mark.kind == "note" and "late" in mark.body]
    return found[-1] if found else None


def _words(late: int | None) -> str:
    if late is None:
        return "Started by hand on the whistle; how far from GO is not known yet."
    if abs(late) < FRAME_MS:
        return "Started by hand, with GO."
    return f"Started by hand {abs(late) / 1000:.2f} s {'after' if late > 0 else 'before'} GO."


def _moved(ruling: Ruling | None, shift: int) -> str:
    if ruling is None:
        return ""
    if not shift:
        return f"{ruling.by} took the shift back: {ruling.why}"
    return f"{ruling.by} moved its marks {seconds_text(abs(shift))} s {'later' if shift > 0 else 'earlier'}: {ruling.why}"


def seconds_text(ms: int) -> str:
    """Milliseconds as seconds, as short as they are exact: 1400 is `1.4`."""
    text = format(Decimal(ms) / 1000, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


async def shift(hall: Hall, assignment: str, typed: Typed) -> Ruling:
    """Moves what a lane's judge marked by a clock started by hand. Raises BadForm, NotThere. Another shift takes its place."""
    read = Reading(typed)
    ms = milliseconds(read)
    by = read.name("by", "The head judge's name")
    why = read.name("why", "The reason", 300)
    read.done()
    sheet = hall.projection.counting_sheet(assignment)
    if sheet is None:
        raise NotThere("There is no such lane. It may have been deleted in the meantime.")
    ruling = Ruling(
        id=new_id(),
        kind="shift",
        assignment=assignment,
        body={"ms": ms, "run": sheet_key(sheet).run},
        by=by,
        why=why,
        made_wall_ms=later_than_all(hall),
    )

    def work(session: Session) -> None:
        RULINGS.put(session, ruling)

    await change_roster(hall, work)
    return ruling


def later_than_all(hall: Hall) -> int:
    """Now, and later than every ruling there is: the newest counts, even when somebody has set the wall clock back."""
    newest = max((ruling.made_wall_ms for ruling in hall.projection.rulings), default=0)
    return max(hall.time.wall_ms(), newest + 1)


def milliseconds(read: Reading) -> int:
    """The field `seconds` in milliseconds, signed."""
    text = read.raw("seconds").replace("−", "-").replace(",", ".")
    try:
        value = Decimal(text)
    except ArithmeticError:
        value = Decimal("NaN")
    if not value.is_finite() or abs(value) > MOST_SECONDS:
        read.wrong("seconds", f"By how much is a number of seconds such as 1.4 or -0.8, at most {MOST_SECONDS}.")
        return 0
    return int((value * 1000).to_integral_value())
