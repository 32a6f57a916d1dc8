"""A server's headquarters, kept at hand: one for each store, used by one request at a time, in a thread."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from threading import Lock
from weakref import WeakKeyDictionary

from app.hall.hall import Hall
from app.round.headquarters import Headquarters
from app.store.database import Database
from app.store.refusals import NotThere

NO_ROUND = "There is no round here."


@dataclass(slots=True)
class _Kept:
    headquarters: Headquarters
    lock: Lock = field(default_factory=Lock)


_KEPT: WeakKeyDictionary[Database, _Kept] = WeakKeyDictionary()
_MAKING = Lock()


@contextmanager
def whatever_is_here(hall: Hall) -> Iterator[Headquarters]:
    """The headquarters of a hall as it is now, and nobody else's meanwhile; it may have no round."""
    with _MAKING:
        kept = _KEPT.get(hall.database)
        if kept is None:
            kept = _KEPT[hall.database] = _Kept(Headquarters(hall.database, hall.settings.data))
    with kept.lock:
        kept.headquarters.catch_up()
        yield kept.headquarters


@contextmanager
def at_hand(hall: Hall) -> Iterator[Headquarters]:
    """The same of a hall with a round. Raises NotThere where there is none."""
    with whatever_is_here(hall) as headquarters:
        if not headquarters.has_round:
            raise NotThere(NO_ROUND)
        yield headquarters
