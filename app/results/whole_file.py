"""The whole competition file as this server knows it, and whose it is."""

from app.hall.hall import Hall
from app.results.competition_file import make_file
from app.rules.records.document import CompetitionFile, Ledger
from app.rules.records.roster import Roster
from app.store.database import Database
from app.store.whose import give_a_secret, hall_of


def whole_file(hall: Hall, roster: Roster, made_wall_ms: int) -> CompetitionFile:
    """The competition as the pages show it, as a file. `roster` is the projection's, which is there."""
    now = hall.projection
    return make_file(roster, now.runs, now.rulings, hall.ledger.all_marks(), made_wall_ms, its_ledger(hall.database))


def its_ledger(database: Database) -> Ledger:
    """Whose the files of a store are. One from before halls had secrets is given its own now."""
    kept = database.read(hall_of)
    if kept is None:
        database.write(give_a_secret)
        kept = database.read(hall_of)
    if kept is None:
        raise LookupError("The store did not keep the secret of its hall.")
    return kept
