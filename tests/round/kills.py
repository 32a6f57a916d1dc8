"""Headquarters killed while it takes digests, claims and hand-ins: `python -m tests.round.kills [HOW MANY]`.

Every receipt that was said before the kill must be there afterwards, the chain whole, no number given twice, and each file that a
receipt says has come must be what it was; the wall clock goes back an hour at every other start.
"""

import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from random import Random

from app.round.checking import chain_faults, chain_head, read_checked
from app.round.headquarters import Headquarters
from app.round.kits import GymRow, make_kit
from app.round.signing import GYM_KEY, key_in
from app.rules.round.from_event import rule_from
from app.rules.round.hand_in import HandIn, Receipt
from app.rules.round.kit import said_in, says_of
from app.rules.round.rule import HOUR
from app.store.database import Database
from tests.builders.round_house import DIVISION, EVENT, HandingIn, the_day

GYM = "gym-1"
BEGUN = 1_800_000_000_000


def opened(folder: Path) -> tuple[Database, Headquarters]:
    database = Database(f"sqlite:///{(folder / 'lane-ledger.sqlite3').as_posix()}")
    return database, Headquarters(database, folder)


def take_for_ever(folder: Path, now: int) -> None:
    """Takes hand-ins, digests and claims in turn, and says each receipt's number and head once it is kept."""
    _, headquarters = opened(folder)
    key = key_in(folder / GYM, GYM_KEY, make=False)
    bare = HandIn(round="rnd", gym=1, lines=(), people=(), competition=the_day())
    while True:
        count = len(headquarters.records)
        if count % 3 == 0:
            content = key.sign("hand-in", says_of(bare.model_copy(update={"opening": f"{count}"})))
            took = headquarters.take_in(content, now)
        elif count % 3 == 1:
            took = headquarters.promise(f"{count:064x}", 1, None, now)
        else:
            fields = {"entry": 2001 + count % 900, "event": EVENT, "division": DIVISION, "gym": 2, "parts": (count, 1)}
            claim = headquarters.claims(fields, now)
            headquarters.write([claim])
            took = claim.outcome()
        print(took.number, took.head, flush=True)


@dataclass(frozen=True)
class Found:
    """What is there after so many kills: receipts that were said, kept, lost; whether numbers, chain and files are whole."""

    said: int
    kept: int
    lost: int
    whole: bool


def kill(kills: int) -> Found:
    """Kills a headquarters so often, and looks what is there."""
    chance, said = Random(9), dict[int, str]()
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        database, headquarters = opened(folder)
        rule = rule_from(the_day(), "rnd", "R", BEGUN + 1000 * HOUR, "UTC", {DIVISION: 1})
        make_kit(headquarters, the_day(), rule, [GymRow(1, "Slate Barn"), GymRow(2, "Mill Row")], folder / "kit", BEGUN)
        HandingIn(headquarters, folder / "kit" / "round.kit", folder / GYM, 1, BEGUN)
        database.close()
        for number in range(kills):
            now = BEGUN + 10 * HOUR - HOUR * (number % 2)
            command = [sys.executable, "-m", "tests.round.kills", "take", str(folder), str(now)]
            taking = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
            assert taking.stdout is not None
            told = [taking.stdout.readline()]
            time.sleep(chance.random() * 0.4)
            taking.kill()
            told += taking.stdout.read().splitlines(keepends=True)
            taking.wait()
            for line in told:
                if line.endswith("\n"):
                    receipt, head = line.split()
                    assert int(receipt) not in said, f"receipt {receipt} was given twice"
                    said[int(receipt)] = head
        database, headquarters = opened(folder)
        receipts = headquarters.receipts()
        heads = {one: chain_head([data]) for one, data in enumerate(receipts, start=1)}
        lost = [one for one, head in said.items() if heads.get(one) != head]
        numbers = [said_in(read_checked(one, "receipt").says, Receipt).number for one in receipts]
        faults = [*chain_faults(receipts, headquarters.state.key), *headquarters.state.faults]
        came = headquarters.unchecked()
        faults += [one for one in came if sha256(headquarters.hand_in(one)).hexdigest() != one]
        unnamed = len(set(database.files.digests()) - set(came))
        database.close()
    whole = numbers == list(range(1, len(receipts) + 1)) and not faults
    print(f"{len(came)} files that came are as they were; {unnamed} that no record names yet")
    return Found(len(said), len(receipts), len(lost), whole and bool(came))


def main(kills: int = 40) -> int:
    found = kill(kills)
    print(f"{kills} kills: {found.said} receipts said, {found.kept} kept, {found.lost} lost; all whole: {found.whole}")
    return 0 if found.whole and not found.lost else 1


if __name__ == "__main__":
    if sys.argv[1:2] == ["take"]:
        take_for_ever(Path(sys.argv[2]), int(sys.argv[3]))
    else:
        sys.exit(main(*map(int, sys.argv[1:])))
