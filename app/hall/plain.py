"""Plain records at the desk: saved from a form, put in order, removed with a way back. A kind's form is declared once."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Generic, Protocol, TypeVar

from pydantic import ValidationError
from sqlmodel import Session

from app.hall.changing import change_roster, id_or_new
from app.hall.forms import BadForm, Reading, Typed, problems_of
from app.hall.hall import Hall
from app.hall.organising import found, moved, needed_roster
from app.rules.records.roster import Roster
from app.store.gateway import Plain


class Kept(Protocol):
    """Whatever is kept under an id and shown under a name."""

    @property
    def id(self) -> str:
        """The id."""

    @property
    def name(self) -> str:
        """The name."""


K = TypeVar("K", bound=Kept)


def _nothing(session: Session) -> None:
    """No work before the record's own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlainForm(Generic[K]):
    """The form of a kind of plain record. `read` reads the record's fields but its id, which it is told: that of a new one or of
    one that is there. `taken` is said of a name that another has, which it has a gap for; empty where two may have one name."""

    kind: Plain[K]
    read: Callable[[Reading, Roster, str], Mapping[str, Any]]
    taken: str = ""


def listed(roster: Roster, kind: Plain[K]) -> tuple[K, ...]:
    """All of a kind, in their order."""
    there: tuple[K, ...] = getattr(roster, kind.many)
    return there


def is_taken(roster: Roster, kind: Plain[K], name: str, key: str) -> bool:
    """Whether another of the kind has that name, however it is capitalised."""
    return any(one.name.casefold() == name.casefold() and one.id != key for one in listed(roster, kind))


async def save(hall: Hall, form: PlainForm[K], typed: Typed, key: str = "", first: Callable[[Session], None] = _nothing) -> str:
    """Adds a record or changes one; returns its id. `first` is done before, with it or not at all. Raises BadForm with every
    problem, storing nothing."""
    roster, read, key = needed_roster(hall), Reading(typed), id_or_new(key)
    fields = form.read(read, roster, key)
    if form.taken and is_taken(roster, form.kind, fields["name"], key):
        read.wrong("name", form.taken.format(fields["name"]))
    read.done()
    try:
        value = form.kind.shape.validate_python({"id": key, **fields})
    except ValidationError as wrong:
        raise BadForm(problems_of(wrong)) from None
    return await keep(hall, form.kind, value, first)


async def keep(hall: Hall, kind: Plain[K], value: K, first: Callable[[Session], None] = _nothing) -> str:
    """Stores a record, new or changed; returns its id."""

    def store(session: Session) -> None:
        first(session)
        kind.put(session, value)

    await change_roster(hall, store)
    return value.id


async def move(hall: Hall, kind: Plain[K], key: str, by: int) -> str:
    """Moves a record up (-1) or down (1) in its order; returns its name, or nothing where it stays: at an end, or gone."""
    there = listed(needed_roster(hall), kind)
    before = [one.id for one in there]
    ids = moved(before, key, by)
    if ids == before:
        return ""
    await change_roster(hall, lambda session: kind.put_in_order(session, ids))
    return next(one.name for one in there if one.id == key)


async def remove(hall: Hall, kind: Plain[K], key: str) -> K:
    """Removes a record and returns it. Raises InUse, NotThere."""
    gone = found(listed(needed_roster(hall), kind), key, kind.what)
    await change_roster(hall, lambda session: kind.delete(session, key))
    return gone
