"""The gym that a visitor of the demo's round may be: a laptop of its own, whose hall has judged and handed nothing in yet.

Its server is another process, for this computer alone, and its folder lies in the demo's, so that both go with the demo. It is
reached by another name of this computer than the demo is: a browser keeps what it is logged in with by the name, not the port.
"""

import json
import re
import subprocess
from dataclasses import dataclass
from secrets import token_hex
from weakref import WeakKeyDictionary

from app import own_process
from app.demo.round.cast import UNJUDGED, YOUR_GYM, YOURS, number_of
from app.demo.round.filling import judged
from app.demo.round.films import address_of
from app.hall.hall import Hall
from app.results.competition_file import write_file
from app.round.at_hand import at_hand
from app.round.film_list import GYM_FILMS, keep_some
from app.round.kept_records import NoRound
from app.round.kits import kit_here
from app.rules.result.sealing import sealed
from app.rules.round.hand_in import MOST_OF_A_GYM
from app.store.database import Database
from app.store.rounds import ROOM
from app.store.whose import make_private_folder

MODULE = "app.laptop"
PORT = re.compile(rb"http://127\.0\.0\.1:(\d+)")
NAMES = ("localhost", "127.0.0.1")  # of this computer
ENDS_S = 15.0
NOT_STARTED = "The gym's laptop could not be started here."


@dataclass(slots=True)
class Laptop:
    """The laptop as it runs: its process, and its port."""

    process: subprocess.Popen[bytes]
    port: int

    def address(self, demo: str) -> str:
        """Where its pages are, for a visitor who calls the demo's computer by this name."""
        return f"http://{NAMES[demo == NAMES[0]]}:{self.port}"

    def end(self) -> None:
        """Ends it."""
        assert self.process.stdin is not None and self.process.stdout is not None
        self.process.stdin.close()
        try:
            self.process.wait(ENDS_S)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
        self.process.stdout.close()


_LAPTOPS: WeakKeyDictionary[Database, Laptop] = WeakKeyDictionary()


def laptop_of(hall: Hall) -> Laptop | None:
    """The laptop that was started, as long as it runs."""
    found = _LAPTOPS.get(hall.database)
    return found if found is not None and found.process.poll() is None else None


def start_laptop(hall: Hall) -> Laptop:
    """Starts the laptop unless it runs. Raises NoRound, NotThere where there is no round."""
    running = laptop_of(hall)
    if running is not None:
        return running
    begins = json.dumps(what_is_there(hall)).encode() + b"\n"
    process = own_process.begin_plainly(MODULE)
    assert process.stdin is not None and process.stdout is not None
    try:
        process.stdin.write(begins)
        process.stdin.flush()
        found = next(filter(None, map(PORT.search, process.stdout)), None)
    except OSError:
        found = None
    laptop = Laptop(process, int(found[1]) if found else 0)
    if not laptop.port:
        laptop.end()
        raise NoRound(NOT_STARTED)
    _LAPTOPS[hall.database] = laptop
    return laptop


def what_is_there(hall: Hall) -> dict[str, str]:
    """What the laptop begins with; where its films are lies in its folder then. Raises NotThere."""
    with at_hand(hall) as headquarters:
        rule, start = headquarters.state.rules, kit_here(headquarters.data)
    assert start is not None, "the demo's kit lies beside its headquarters"
    data = hall.settings.data / f"gym-{YOUR_GYM}-{token_hex(4)}"
    make_private_folder(data / ROOM)
    filmed = [one for one in YOURS if one.name != UNJUDGED][:-1]
    films = {(number_of(one, MOST_OF_A_GYM), rule.events[0].id): address_of(one) for one in filmed}
    keep_some(data, films, GYM_FILMS)
    day = judged(start, YOUR_GYM, rule.opens_ms)
    return {"data": str(data), "password": hall.demo_password, "competition": write_file(sealed(day)).decode()}
