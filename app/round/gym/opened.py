"""The kit of a round in a gym: read before anything is kept, opened in the hall, and the slip by which the gym's key is bound."""

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from app import calling
from app.hall.hall import Hall
from app.results.competition_file import write_file
from app.results.publishing import NotEmpty, import_file
from app.round.checking import read_checked
from app.round.gym.kept import made_here
from app.round.room_files import alone_in_room, keep_in_room
from app.round.signing import GYM_KEY, key_in
from app.round.times import shown_time
from app.rules.records.roster import Roster
from app.rules.round.hand_in import runs_as
from app.rules.round.kit import BadKit, Binding, Kit, Slip, binding_proof, check_slip, print_text, read_slip, said_in, says_of
from app.rules.round.rule import Rule
from app.rules.round.words import LETTERS, OPENING_LETTERS, as_word
from app.rules.values.words import say
from app.store.rounds import BINDING, KIT, ROOM

OPENING = "opening.txt"
NO_WORD = "This round has an opening word, and it was not typed in here yet:"
NO_SLIP = "The code of this gym's slip was not typed in here yet."


class Over(BadKit):
    """Raised for a kit whose deadline is over by this laptop's clock; its text is the sentence to show."""


@dataclass(frozen=True, slots=True)
class Opened:
    """A kit, the key that it is signed by (hex digits), and the gym that it was opened for: 0 before its slip."""

    kit: Kit
    key: str
    gym: int = 0

    @property
    def print(self) -> str:
        """Who signed it, as the eight letters that end a slip."""
        return print_text(self.key)


@dataclass(frozen=True, slots=True)
class Offer:
    """A kit that was read, and its slip where the code was given."""

    content: bytes
    opened: Opened
    slip: Slip | None


def read_kit(kit: bytes, code: str = "") -> Offer:
    """What a kit holds, compared with the slip of a code where there is one. Raises BadKit."""
    said, key = _said(kit)
    slip = read_slip(code) if code.strip() else None
    if slip is not None:
        check_slip(slip, key)
    return Offer(kit, Opened(said, key, slip.gym if slip else 0), slip)


@lru_cache(maxsize=4)
def _said(kit: bytes) -> tuple[Kit, str]:
    """What a kit says, and by whose key."""
    signed = read_checked(kit, "kit")
    return said_in(signed.says, Kit), signed.by.key


def refuse_over(rule: Rule, now_ms: int) -> None:
    """Raises Over where a round's deadline is past by this laptop's clock."""
    if now_ms > rule.deadline_ms:
        raise Over(
            f"The deadline of this kit was {shown_time(rule.deadline_ms, rule.zone)}, and this laptop's clock says "
            f"{shown_time(now_ms, rule.zone)}. Nothing was opened. Open it all the same if the clock is "
            "wrong, or headquarters has moved the deadline."
        )


def begins(hall: Hall, offer: Offer) -> bool:
    """Whether opening a kit begins its competition in an empty hall; False where the hall has it already, so that nothing in it
    changes. Raises BadKit, NotEmpty where the hall holds something else."""
    open_now, roster = _open_here(hall.settings.data), hall.projection.roster
    if open_now is not None and open_now != offer.content:
        raise BadKit(f"The kit of {_said(open_now)[0].rule.name} is open here already, and this is another.{_elsewhere()}")
    if roster is None and not hall.ledger.count():
        return True
    if roster is None or not _is_of(roster, offer.opened.kit):
        raise NotEmpty(
            f"This laptop holds {_told(hall, roster)}. All of it stays as it is, and the kit is not opened here.{_elsewhere()}"
        )
    return False


def _elsewhere() -> str:
    return f" Give the round a data folder of its own: {calling.command()} serve --data FOLDER, and open the kit there."


def _told(hall: Hall, roster: Roster | None) -> str:
    """What a hall holds, in words."""
    name = roster.competition.name if roster else "marks without a competition"
    entries = len(roster.entries) if roster else 0
    return f"{name}: {say('list.entries', n=entries)}, {say('marks', n=hall.ledger.count())}"


def _is_of(roster: Roster, kit: Kit) -> bool:
    """Whether a competition was begun from a kit, and runs its events as the kit does."""
    runs = {event.id: runs_as(event) for event in roster.events}
    known = {one.id for one in roster.divisions}
    return (
        roster.competition.id == kit.start.competition.id
        and all(runs.get(event.id) == event.runs_as for event in kit.rule.events)
        and all(one.id in known for one in kit.rule.divisions)
    )


async def open_kit(hall: Hall, kit: bytes, code: str = "", even_if_over: bool = False) -> Opened:
    """Opens a kit in a hall, all of it or nothing; opened again it changes nothing. Raises BadKit, Over, NotEmpty."""
    offer = read_kit(kit, code)
    if not is_open(hall.settings.data, kit):
        if not even_if_over:
            refuse_over(offer.opened.kit.rule, hall.time.wall_ms())
        if begins(hall, offer):
            await import_file(hall, write_file(offer.opened.kit.start))
    return keep_kit(hall.settings.data, offer)


def is_open(data: Path, kit: bytes) -> bool:
    """Whether this very kit was opened in a data folder."""
    return _open_here(data) == kit


def _open_here(data: Path) -> bytes | None:
    file = data / ROOM / KIT
    return file.read_bytes() if file.is_file() else None


def keep_kit(data: Path, offer: Offer) -> Opened:
    """Keeps an opened kit; with its slip also what binds the gym's key. Raises BadKit."""
    keep_in_room(data, KIT, offer.content)
    return keep_slip(data, offer.slip) if offer.slip else kept_kit(data)


def keep_slip(data: Path, slip: Slip) -> Opened:
    """Makes the gym's key, and the file by which headquarters binds it, for the kit that is open. Raises BadKit."""
    with alone_in_room(data):
        here = kept_kit(data)
        check_slip(slip, here.key)
        if here.gym not in (0, slip.gym) and made_here(data):
            raise BadKit(f"Gym {here.gym} has made a hand-in here, so the slip of another gym is not taken.")
        key, rule = key_in(data, GYM_KEY, make=True), here.kit.rule
        proof = binding_proof(slip.secret, rule.id, slip.gym, key.public)
        keep_in_room(data, BINDING, key.sign("binding", says_of(Binding(round=rule.id, gym=slip.gym, proof=proof))))
        return Opened(here.kit, here.key, slip.gym)


def binding_here(data: Path) -> bytes:
    """The file by which headquarters binds the gym's key; empty before the slip."""
    file = data / ROOM / BINDING
    return file.read_bytes() if file.is_file() else b""


def kept_kit(data: Path) -> Opened:
    """The kit that is open in a data folder, and the gym of its slip. Raises BadKit."""
    kit = _open_here(data)
    if kit is None:
        raise BadKit("No kit was opened in this data folder.")
    said, key = _said(kit)
    binding = binding_here(data)
    return Opened(said, key, said_in(read_checked(binding, "binding").says, Binding).gym if binding else 0)


def gym_here(data: Path) -> Opened:
    """The same where the slip's code was typed in. Raises BadKit."""
    opened = kept_kit(data)
    if not opened.gym:
        raise BadKit(NO_SLIP)
    return opened


def keep_opening(data: Path, typed: str) -> str:
    """Keeps the round's opening word in a gym's data folder, which it gives. Raises BadKit for what can't be one."""
    word = as_word(typed)
    if len(word) != OPENING_LETTERS or set(word) - set(LETTERS):
        raise BadKit(f"An opening word has {OPENING_LETTERS} letters, and none of them is I or O.")
    keep_in_room(data, OPENING, word.encode())
    return word


def kept_opening(data: Path, rule: Rule) -> str:
    """The opening word as a gym keeps it; empty in a round without. Raises BadKit where it is not here."""
    if not rule.film_word:
        return ""
    try:
        return (data / ROOM / OPENING).read_text(encoding="ascii")
    except OSError:
        raise BadKit(f"{NO_WORD} {calling.command('film-words WORD')}") from None
