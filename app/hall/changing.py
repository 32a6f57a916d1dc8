"""Changing what is stored, and telling everybody: one commit, then the projection, then the screens."""

import re
import secrets
from collections.abc import Callable, Sequence
from typing import TypeVar

from sqlmodel import Session

from app.hall.hall import Hall
from app.rules.records.document import Run
from app.rules.records.roster import Roster
from app.rules.records.rulings import Ruling
from app.store.copies.undoing import FOLLOWING
from app.store.kinds import RULINGS, RUNS
from app.store.news import tell
from app.store.roster import read_roster
from app.store.signed import refuse_change_of_signed, signed_parts

T = TypeVar("T")

RECORD_ID = re.compile(r"[A-Za-z0-9_-]{1,40}")
ID_BYTES = 9  # 12 characters; two halls never make the same one


def new_id() -> str:
    """A new id for a record."""
    return secrets.token_urlsafe(ID_BYTES)


def id_or_new(key: str) -> str:
    """The id of a record that is changed or put back, or a new one. A key that could be no id makes a new record."""
    return key if RECORD_ID.fullmatch(key) else new_id()


async def change(hall: Hall, work: Callable[[Session], T]) -> T:
    """Runs `work` on the writer, then takes over the roster as it stands. Raises what `work` raises, with nothing stored, and
    InUse where that would change what a signed result rests on.

    What comes after each commit is done in the order of the commits: futures are resolved in that order, and nothing is awaited
    between a commit and the projection's taking it over.
    """

    def stored(session: Session) -> tuple[T, int, Roster | None, Sequence[Run], Sequence[Ruling]]:
        signed = signed_parts(session)
        made = work(session)
        number = tell(session, "records")
        roster, rulings = read_roster(session), RULINGS.all(session)
        refuse_change_of_signed(signed, roster, rulings)
        return made, number, roster, RUNS.all(session), rulings

    made, number, roster, runs, rulings = await hall.database.awrite(stored)
    if hall.relay.records_as_of(number):  # else another process's later change has been taken over already, ours in it
        hall.projection.roster_changed(roster, runs, rulings)
    hall.relay.done_here(number)
    return made


async def change_roster(hall: Hall, work: Callable[[Session], T]) -> T:
    """`change`, after which every lane fetches its packet again and the board and the desk look anew."""
    before, way = lanes_of(hall.projection.roster), FOLLOWING.get()
    made = await change(hall, work if way is None else lambda session: way.do(session, work))
    message = {"type": "packet"}
    for lane in before | lanes_of(hall.projection.roster):
        hall.hub.tell_here(f"lane:{lane}", message)
    look_again(hall)
    return made


def look_again(hall: Hall) -> None:
    """Tells this process's board and desk that what they show may have changed. Other processes see by themselves when it has."""
    for topic in ("board", "desk"):
        hall.hub.tell_here(topic, {"version": hall.projection.version})


def lanes_of(roster: Roster | None) -> set[int]:
    """The numbers of all lanes that any heat uses."""
    return {lane.lane for heat in roster.heats for lane in heat.lanes} if roster else set()
