"""What gyms send to headquarters' server by themselves: signed by the key that their slip binds, taken without anybody there.

A digest comes first, in a file of half a kB; its file is read only after it, only if it is not here, and only as far as it is the
file that its gym's key signed the pieces of (coming_in.py). Whatever is sent twice, since its answer was lost on the way, is
answered once more and not taken again.
"""

from dataclasses import dataclass
from threading import Lock
from typing import TypeVar
from weakref import WeakKeyDictionary

from app.hall.hall import Hall
from app.round.at_hand import as_known, at_hand, take_hand_in, take_together
from app.round.checking import read_checked
from app.round.film_list import keep_some
from app.round.headquarters import Headquarters
from app.round.kept_records import Act, NoRound
from app.round.taking.coming_in import ANOTHER_FILE
from app.rules.round.hand_in import MOST_OF_A_GYM
from app.rules.round.kit import BadKit, Binding, Films, Kind, Pieces, Promise, Signed, said_in
from app.rules.round.short import is_digest_of, known_as
from app.store.database import Database
from app.store.refusals import NotThere

S = TypeVar("S", Promise, Films)
DAY_MS = 24 * 3_600_000
MOST_A_DAY = 20  # digests of one gym: each holds the roll until its file came or its time is over
_SENT: WeakKeyDictionary[Database, dict[int, list[int]]] = WeakKeyDictionary()  # when, by gym
_COUNTING = Lock()
NOT_ITS_KEY = "This is of another round, or not signed with its gym's key."
NOT_PROMISED = "No hand-in of this digest was promised here."


@dataclass(frozen=True, slots=True)
class Given:
    """The receipts for a hand-in. wanted: its file is not here."""

    receipts: tuple[bytes, ...]
    wanted: bool


def take_binding(headquarters: Headquarters, data: bytes, now_ms: int) -> None:
    """Binds a gym's key; nothing where it is bound already. Raises BadKit, NoRound."""
    signed = read_checked(data, "binding")
    if headquarters.state.keys.get(said_in(signed.says, Binding).gym) != signed.by.key:
        headquarters.bind(data, now_ms)


def promise_in(hall: Hall, data: bytes) -> Given | Act:
    """What takes the digest of a gym's hand-in; of one that is here the receipts for it. Raises BadKit, NoRound.

    Nobody is waited for where its key is known and it is not here."""
    now, signed = hall.time.wall_ms(), read_checked(data, "promise")
    said = said_in(signed.says, Promise)
    made = as_known(hall)
    if made.state.keys.get(said.gym) == signed.by.key and not _of_its_gym_here(made, said):
        _refuse_anothers(made, said, signed)
    else:  # another process may know better, and what is here may not be kept yet
        with at_hand(hall) as made:
            _refuse_anothers(made, said, signed)
            if _of_its_gym_here(made, said):
                return given_for(made, said.hand_in)
    _refuse_many(hall, said.gym, now)
    return made.promises(said.hand_in, said.gym, said.replaces, now)


def _of_its_gym_here(headquarters: Headquarters, said: Promise) -> bool:
    known = headquarters.state.hand_ins.get(known_as(said.hand_in, headquarters.state.hand_ins))
    return known is not None and known.promise.gym == said.gym


def take_promise(hall: Hall, act: Act, data: bytes) -> Given:
    """Takes a digest together with what others send; its receipt. Its file is not here. Of one that came twice at one instant, by
    a button that was pressed twice, both have the receipt. Raises NoRound."""
    try:
        took = take_together(hall, act)
    except NoRound:
        said = said_in(read_checked(data, "promise").says, Promise)
        with at_hand(hall) as made:
            if not _of_its_gym_here(made, said):
                raise
            return given_for(made, said.hand_in)
    assert took is not None, "a promise has a receipt"
    return Given((took.receipt,), wanted=True)


def _refuse_many(hall: Hall, gym: int, now_ms: int) -> None:
    """Raises BadKit for a gym that sends digest after digest. Each process counts its own, and whoever is at headquarters may
    take more by hand."""
    with _COUNTING:
        of_gyms = _SENT.setdefault(hall.database, {})
        lately = [at for at in of_gyms.get(gym, ()) if at > now_ms - DAY_MS]
        if len(lately) >= MOST_A_DAY:
            raise BadKit(
                f"This gym has sent {MOST_A_DAY} digests within a day, and more are taken only by hand: call headquarters."
            )
        of_gyms[gym] = [*lately, now_ms]


def refuse_unpromised(headquarters: Headquarters, digest: str) -> None:
    """Raises NotThere for a digest that nobody promised."""
    if known_as(digest, headquarters.state.hand_ins) not in headquarters.state.hand_ins:
        raise NotThere(NOT_PROMISED)


def given_for(headquarters: Headquarters, digest: str) -> Given:
    """The receipts for a hand-in that was promised. Raises NotThere."""
    refuse_unpromised(headquarters, digest)
    wanted = not headquarters.database.files.has(headquarters.whole(digest))
    return Given(tuple(headquarters.receipts_for(digest)), wanted or _waits(headquarters, digest))


def _waits(headquarters: Headquarters, digest: str) -> bool:
    """Whether the file of a promise did not come."""
    known = headquarters.state.hand_ins
    return known[known_as(digest, known)].state in ("promised", "lapsed")


def wanted_pieces(headquarters: Headquarters, digest: str, signed: Signed) -> Pieces:
    """What a gym's key signed about the pieces of a file that was promised. Raises BadKit, NotThere."""
    said = said_in(signed.says, Pieces)
    refuse_unpromised(headquarters, digest)
    _refuse_anothers(headquarters, said, signed)
    known = headquarters.state.hand_ins
    if known[known_as(digest, known)].promise.gym != said.gym or not is_digest_of(digest, said.hand_in) or not said.fits:
        raise BadKit(ANOTHER_FILE)
    return said


def take_file(hall: Hall, digest: str, data: bytes, now_ms: int) -> Given:
    """Takes the file of a promise, which came then, together with what others send; the receipts for it. Raises BadKit, NoRound,
    NotThere."""
    with at_hand(hall) as headquarters:
        refuse_unpromised(headquarters, digest)
        waits = _waits(headquarters, digest)
    if waits:
        take_hand_in(hall, data, now_ms)
    else:
        hall.database.files.put(data)  # it has gone since
    with at_hand(hall) as headquarters:
        return given_for(headquarters, digest)


def take_films(headquarters: Headquarters, data: bytes) -> int:
    """Takes where a gym's films are, in place of what was known of those; how many. Raises BadKit, NoRound."""
    said = _of_its_gym(headquarters, data, "films", Films)
    films = {(one.entry, one.event): one.address for one in said.films}
    if any(entry // MOST_OF_A_GYM != said.gym for entry, _ in films):
        raise BadKit("A gym says where its own films are.")
    keep_some(headquarters.data, films)
    return len(films)


def _of_its_gym(headquarters: Headquarters, data: bytes, kind: Kind, model: type[S]) -> S:
    """What a file says that is of this round and signed by its gym's key. Raises BadKit."""
    signed = read_checked(data, kind)
    said = said_in(signed.says, model)
    _refuse_anothers(headquarters, said, signed)
    return said


def _refuse_anothers(headquarters: Headquarters, said: Promise | Pieces | Films, signed: Signed) -> None:
    if said.round != headquarters.state.rules.id or headquarters.state.keys.get(said.gym) != signed.by.key:
        raise BadKit(NOT_ITS_KEY)
