"""A hall to rehearse in: an invented competition with a pair on every lane, a heat under way, a paired tablet on each lane."""

from collections.abc import Sequence
from pathlib import Path

from sqlmodel import Session

from app.hall.devices import new_session
from app.live.servertime import ServerTime
from app.rehearsal.tablet import Seat
from app.rehearsal.turns import MARKINGS, turn_about
from app.rules.records.document import Run
from app.rules.records.roster import Assignment, Athlete, Competition, Division, Entry, Event, Heat, Roster
from app.rules.workout.formats import Format
from app.settings import Settings
from app.store.database import Database
from app.store.devices import put_device
from app.store.roster import put_everything

HEAT = "heat_1"


def roster_of(lanes: int, format: Format | None = None) -> Roster:
    """One event, one heat, one pair on each lane."""
    numbers = range(1, lanes + 1)
    return Roster(
        competition=Competition(id="cmp_rehearsal", name="Rehearsal", unit="kg", demo=True),
        divisions=(Division(id="div_1", name="Pairs"),),
        athletes=tuple(Athlete(id=f"ath_{n}{m}", name=f"Member {m.upper()} of lane {n}") for n in numbers for m in "ab"),
        entries=tuple(
            Entry(id=f"ent_{n}", division="div_1", name=f"Pair on lane {n}", members=(f"ath_{n}a", f"ath_{n}b")) for n in numbers
        ),
        events=(Event(id="evt_1", name="Turn about", format=format or turn_about()),),
        markings={"evt_1": MARKINGS},
        heats=(
            Heat(
                id=HEAT,
                event="evt_1",
                number=1,
                lanes=tuple(Assignment(id=f"asg_{n}", lane=n, entry=f"ent_{n}") for n in numbers),
            ),
        ),
    )


BEGUN_MS = 900_000  # since GO of a heat that is under way: whatever is counted at once was done by then


def run_now(time: ServerTime, since_go_ms: int = 0) -> Run:
    """The heat's GO at this moment, or so long ago."""
    server_ms, wall_ms = time.server_ms() - since_go_ms, time.wall_ms() - since_go_ms
    return Run(heat=HEAT, number=1, go_server_ms=server_ms, go_wall_ms=wall_ms, boot=time.boot)


def make_hall(
    data: Path, lanes: int, time: ServerTime, format: Format | None = None, gone: bool = True, url: str = ""
) -> tuple[list[Seat], str]:
    """Fills an empty data folder, or the empty database at `url`, its heat under way (`gone`) or not; returns the tablets' seats
    and the token of a desk."""
    database = Database(Settings(data=data, database_url=url).database())
    try:
        return fill_hall(
            database, roster_of(lanes, format), (run_now(time, BEGUN_MS),) if gone else (), range(1, lanes + 1), time
        )
    finally:
        database.close()


def fill_hall(
    database: Database, roster: Roster, runs: tuple[Run, ...], lanes: Sequence[int], time: ServerTime
) -> tuple[list[Seat], str]:
    """Fills an empty store, and pairs a tablet with each of these lanes; one lane may have several."""
    database.write(lambda session: put_everything(session, roster, runs, ()))
    return pair_all(database, lanes, time)


def pair_all(database: Database, lanes: Sequence[int], time: ServerTime) -> tuple[list[Seat], str]:
    """Pairs a tablet with each lane, and a desk, straight in the store: the doors are rehearsed elsewhere."""
    made = [(lane, *new_session("lane", lane, f"Lane {lane} tablet", time.wall_ms())) for lane in lanes]

    def work(session: Session) -> None:
        for _, device, _ in made:
            put_device(session, device)

    database.write(work)
    return [Seat(lane, f"asg_{lane}/1/lane", device.id, token) for lane, device, token in made], pair_desk(database, time)


def pair_desk(database: Database, time: ServerTime) -> str:
    """Pairs a desk straight in the store, and returns its token."""
    desk, token = new_session("desk", None, "Desk", time.wall_ms())
    database.write(lambda session: put_device(session, desk))
    return token
