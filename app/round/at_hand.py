"""A server's headquarters, kept at hand: one for each store, used by one request at a time, in a thread.

What many send in the last minutes before a deadline is taken together: whoever has the headquarters takes along all that wait,
in one transaction, and each is answered after that. What can be found out about a file without its round is found out before.
"""

from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from threading import Lock
from weakref import WeakKeyDictionary

from app.hall.hall import Hall
from app.memory import settle
from app.round.checking import came_in
from app.round.headquarters import Headquarters
from app.round.kept_records import Act, NoRound, Took
from app.rules.round.kit import BadKit
from app.store.acts import note_change
from app.store.database import Database
from app.store.refusals import NotThere
from app.store.writer import StoreTrouble

LARGE = 20_000  # records; to look through ten times as many for what was dropped holds everybody up for a third of a second
NO_ROUND = "There is no round here."


@dataclass(slots=True)
class _Kept:
    headquarters: Headquarters
    lock: Lock = field(default_factory=Lock)
    waiting: deque[Act] = field(default_factory=deque)


_KEPT: WeakKeyDictionary[Database, _Kept] = WeakKeyDictionary()
_MAKING = Lock()


def _kept(hall: Hall) -> _Kept:
    with _MAKING:
        kept = _KEPT.get(hall.database)
        if kept is None:
            kept = _KEPT[hall.database] = _Kept(Headquarters(hall.database, hall.settings.data))
            if len(kept.headquarters.records) > LARGE:
                settle()
    return kept


@contextmanager
def whatever_is_here(hall: Hall) -> Iterator[Headquarters]:
    """The headquarters of a hall as it is now, and nobody else's meanwhile; it may have no round."""
    kept = _kept(hall)
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


def as_known(hall: Hall) -> Headquarters:
    """The headquarters of a hall with a round as this process knew it last, for whoever reads and waits for nobody: who asked for
    it first would wait for the commit of those before, and only then be among those who wait for the next. What is read may be
    undone, or not be all. Raises NotThere."""
    headquarters = _kept(hall).headquarters
    if not headquarters.has_round:
        with at_hand(hall):
            return headquarters
    return headquarters


def take_together(hall: Hall, act: Act) -> Took | None:
    """Does an act together with all that wait meanwhile, and what is due by itself after it; its receipt. Raises NoRound and
    StoreTrouble."""
    kept = _kept(hall)
    kept.waiting.append(act)
    with kept.lock:
        if not act.done:  # else whoever had the lock before has taken it along
            kept.headquarters.write([kept.waiting.popleft() for _ in range(len(kept.waiting))])
            with suppress(StoreTrouble):  # the receipts are given; what is due is found again with the next act
                kept.headquarters.go_on(act.now_ms)
    took = act.outcome()
    note_change(written=True)
    return took


def take_hand_in(hall: Hall, data: bytes, now_ms: int) -> Took | None:
    """Takes a gym's hand-in that came then, as Headquarters.take_in does, together with others. Raises NoRound."""
    try:
        came = came_in(data)
        try:
            as_known(hall).refuse_at_once(came, now_ms)
        except (BadKit, NoRound):  # a key or a later deadline may be known to another process
            with at_hand(hall) as headquarters:
                headquarters.refuse_at_once(came, now_ms)
        hall.database.files.put(data)
        return take_together(hall, as_known(hall).arrival(came, len(data), now_ms))
    except BadKit as wrong:
        raise NoRound(str(wrong)) from None
