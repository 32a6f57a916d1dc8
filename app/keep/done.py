"""The desk's page of what was done: newest first, by person, kind and day, a hundred lines at a time; and all of it as CSV."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlmodel import Session

from app.hall.csv_text import csv_bytes, plain_text
from app.hall.forms import Typed
from app.hall.hall import Hall
from app.hall.lists import Choice
from app.hall.views import State
from app.rules.values.words import say
from app.store.acts import Act, Asked, Kind, acts, count_acts, names_and_kinds

PAGE = 100
MOST_LINES = 200_000  # in one file; a weekend of twelve people has a few thousand

KINDS: Mapping[Kind, str] = {
    "login": "Logins and passwords",
    "device": "Devices",
    "heat": "Heats and incidents",
    "ruling": "Rulings, protests, sign-off",
    "entry": "Entries and check-in",
    "event": "Events",
    "plan": "Heat plan and judges",
    "paper": "Paper and totals",
    "setup": "Setup and practice",
    "file": "Files and backups",
}
OUTCOMES = {"done": State("safe", "Done"), "refused": State("look", "Refused"), "failed": State("stopped", "Failed")}
COLUMNS = ("number", "time", "who", "role", "address", "device", "kind", "what", "about", "outcome")


@dataclass(frozen=True, slots=True)
class DoneLine:
    """One line of the record in words."""

    day: str
    time: str
    who: str
    where: str
    what: str
    about: str
    outcome: State


@dataclass(frozen=True, slots=True)
class Done:
    """A page of the record: its lines, what was asked for, what can be chosen, and the pages beside it (0 for none)."""

    lines: tuple[DoneLine, ...]
    who: str
    kind: str
    day: str
    people: tuple[Choice, ...]
    kinds: tuple[Choice, ...]
    words: str
    newer: int
    older: int


def done_page(hall: Hall, typed: Typed) -> Done:
    """The lines that were asked for. What can't be read in the question is left out of it."""
    asked, day = _asked(typed)
    page = int(typed.get("page", "")) if typed.get("page", "").isascii() and typed.get("page", "")[:6].isdigit() else 1
    page = max(1, min(page, MOST_LINES // PAGE))

    def read(session: Session) -> tuple[tuple[Act, ...], int, tuple[tuple[str, ...], tuple[str, ...]]]:
        found = acts(session, asked, PAGE, (page - 1) * PAGE)
        return found, count_acts(session, asked), names_and_kinds(session)

    found, count, (names, kinds) = hall.database.read(read)
    return Done(
        lines=tuple(_line(act) for act in found),
        who=asked.who,
        kind=asked.kind,
        day=day,
        people=tuple(Choice(name, name) for name in names),
        kinds=tuple(Choice(kind, KINDS.get(kind, kind)) for kind in KINDS if kind in kinds),
        words=say("lines", n=count, shown=f"{count:,}"),
        newer=page - 1,
        older=page + 1 if page * PAGE < count else 0,
    )


def done_csv(hall: Hall, typed: Typed) -> bytes:
    """The same lines as CSV, all of them, oldest first."""
    asked, _ = _asked(typed)
    found = hall.database.read(lambda session: acts(session, asked, MOST_LINES))
    return csv_bytes([COLUMNS, *(_row(act) for act in reversed(found))])


def _row(act: Act) -> tuple[str | int, ...]:
    said = (act.name, act.role, act.address, act.device_id, act.kind, act.words, act.about, act.outcome)
    return (act.number, _moment(act.wall_ms).isoformat(timespec="milliseconds"), *(plain_text(text) for text in said))


def _asked(typed: Typed) -> tuple[Asked, str]:
    try:
        begins = datetime.strptime(typed.get("day", ""), "%Y-%m-%d").astimezone()
        ends = (begins.replace(tzinfo=None) + timedelta(days=1)).astimezone()
        span = round(begins.timestamp() * 1000), round(ends.timestamp() * 1000)
    except (ValueError, OverflowError, OSError):
        return Asked(typed.get("who", ""), typed.get("kind", "")), ""
    return Asked(typed.get("who", ""), typed.get("kind", ""), *span), typed["day"]


def _line(act: Act) -> DoneLine:
    moment = _moment(act.wall_ms)
    where = " · ".join(part for part in (act.role if act.role.lower() != act.name.lower() else "", act.address) if part)
    return DoneLine(f"{moment:%Y-%m-%d}", f"{moment:%H:%M:%S}", act.name, where, act.words, act.about, OUTCOMES[act.outcome])


def _moment(wall_ms: int) -> datetime:
    """A moment in this computer's own time."""
    return datetime.fromtimestamp(wall_ms / 1000).astimezone()
