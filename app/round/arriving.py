"""What gyms send to headquarters' server by themselves: signed by the key that their slip binds, taken without anybody there.

A digest comes first, in a file of half a kB; its file is taken only after it, so that nobody whose key is not bound can make this
server read a large one. Whatever is sent twice, since its answer was lost on the way, is answered once more and not taken again.
"""

from hashlib import sha256
from typing import TypeVar

from app.round.checking import read_checked
from app.round.film_list import keep_some
from app.round.headquarters import Headquarters
from app.rules.round.hand_in import MOST_OF_A_GYM
from app.rules.round.kit import BadKit, Binding, Films, Kind, Promise, said_in
from app.rules.round.short import is_digest_of, known_as
from app.store.refusals import NotThere

S = TypeVar("S", Promise, Films)
NOT_ITS_KEY = "This is of another round, or not signed with its gym’s key."
NOT_PROMISED = "No hand-in of this digest was promised here."
ANOTHER_FILE = "This is not the file of the digest that was promised."


def take_binding(headquarters: Headquarters, data: bytes, now_ms: int) -> None:
    """Binds a gym's key; nothing where it is bound already. Raises BadKit, NoRound."""
    signed = read_checked(data, "binding")
    if headquarters.state.keys.get(said_in(signed.says, Binding).gym) != signed.by.key:
        headquarters.bind(data, now_ms)


def take_promise(headquarters: Headquarters, data: bytes, now_ms: int) -> list[bytes]:
    """Takes the digest of a gym's hand-in; the receipts for it. Raises BadKit, NoRound."""
    said = _of_its_gym(headquarters, data, "promise", Promise)
    known = headquarters.state.hand_ins.get(known_as(said.hand_in, headquarters.state.hand_ins))
    if known is None or known.promise.gym != said.gym:
        headquarters.promise(said.hand_in, said.gym, said.replaces, now_ms)
    return receipts_for(headquarters, said.hand_in)


def refuse_unpromised(headquarters: Headquarters, digest: str) -> None:
    """Raises NotThere for a digest that nobody promised."""
    if known_as(digest, headquarters.state.hand_ins) not in headquarters.state.hand_ins:
        raise NotThere(NOT_PROMISED)


def take_file(headquarters: Headquarters, digest: str, data: bytes, now_ms: int) -> list[bytes]:
    """Takes the file of a promise; the receipts for it. Raises BadKit, NoRound, NotThere."""
    refuse_unpromised(headquarters, digest)
    if not is_digest_of(digest, sha256(data).hexdigest()):
        raise BadKit(ANOTHER_FILE)
    if headquarters.state.hand_ins[known_as(digest, headquarters.state.hand_ins)].state in ("promised", "lapsed"):
        headquarters.take_in(data, now_ms)
    return receipts_for(headquarters, digest)


def take_films(headquarters: Headquarters, data: bytes) -> int:
    """Takes where a gym's films are, in place of what was known of those; how many. Raises BadKit, NoRound."""
    said = _of_its_gym(headquarters, data, "films", Films)
    films = {(one.entry, one.event): one.address for one in said.films}
    if any(entry // MOST_OF_A_GYM != said.gym for entry, _ in films):
        raise BadKit("A gym says where its own films are.")
    keep_some(headquarters.data, films)
    return len(films)


def receipts_for(headquarters: Headquarters, digest: str) -> list[bytes]:
    """The receipts that were given for a hand-in, in order."""
    known = known_as(digest, headquarters.state.hand_ins).encode()
    return [one for one in headquarters.receipts() if known in one]


def _of_its_gym(headquarters: Headquarters, data: bytes, kind: Kind, model: type[S]) -> S:
    """What a file says that is of this round and signed by its gym's key. Raises BadKit."""
    signed = read_checked(data, kind)
    said = said_in(signed.says, model)
    if said.round != headquarters.state.rules.id or headquarters.state.keys.get(said.gym) != signed.by.key:
        raise BadKit(NOT_ITS_KEY)
    return said
