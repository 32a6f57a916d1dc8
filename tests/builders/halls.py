"""A whole server for a test: the real application over a real store in a folder of its own, asked without a network."""

import json
import re
import tempfile
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fastapi import FastAPI
from sqlalchemy import Engine
from sqlalchemy.event import listens_for

from app.doors.pairing import invite
from app.live.servertime import ServerTime
from app.rules.records.document import CompetitionFile
from app.server import create_app
from app.settings import Settings
from app.store.acts import Asked, count_acts
from app.store.database import Database
from app.store.markrows import insert_new
from app.store.roster import put_everything
from tests.builders.slate_day import the_slate_day

with warnings.catch_warnings():
    # The test client says at import that it would rather stand on another HTTP library than the one we have pinned.
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

PASSWORD = "three odd words"
LAPTOP = "127.0.0.1"
ON_THE_LAN = "192.0.2.77"
SLATE_DAY = the_slate_day(("10:00", "10:30", "11:00"))
STORE = "lane-ledger.sqlite3"
MOST_STORES = 16  # as many as the tests of a few files fill
_STORES: dict[str, bytes] = {}


@dataclass
class Clocks:
    """Clocks that a test moves by hand, in milliseconds, and the name of the server's line of time."""

    server: int = 5_000_000
    wall: int = 1_750_000_000_000
    boot: str = "boot-one"

    def time(self) -> ServerTime:
        """The same as the server's own time."""
        return ServerTime(self.boot, lambda: self.server, lambda: self.wall, lambda: self.server + 0.25)

    def pass_ms(self, ms: int) -> None:
        """Lets time pass."""
        self.server += ms
        self.wall += ms


@dataclass
class House:
    """One running application, its clocks, and browsers that come to it."""

    app: FastAPI
    clocks: Clocks
    inside: TestClient

    def browser(self, address: str = LAPTOP) -> TestClient:
        """A browser with no session, at an address."""
        visitor = TestClient(self.app, base_url="http://localhost", client=(address, 40_000), follow_redirects=False)
        visitor.portal = self.inside.portal  # the loop that the hall lives in
        Watch(self, visitor)
        return visitor

    def desk(self) -> TestClient:
        """A browser that is logged in as the desk; the first one sets the password."""
        browser = self.browser()
        answer = browser.post("/desk/enter", data={"password": PASSWORD, "again": PASSWORD})
        assert answer.status_code == 303, answer.text
        return browser

    def invitation(self, lane: int, role: str = "lane", sure: bool = True) -> Any:
        """A fresh invitation with its secrets; whoever takes it is let in at once if it is `sure`. A coach is given all who stand
        on the lane, in any heat."""
        hall = self.app.state.hall
        there = {one.entry for heat in hall.projection.roster.heats for one in heat.lanes if one.lane == lane}
        entries = tuple(sorted(there)) if role == "coach" else ()
        return self.inside.portal.call(invite, hall, role, lane, sure, entries)  # type: ignore[union-attr]

    def tablet(self, lane: int, role: str = "lane", address: str = ON_THE_LAN) -> TestClient:
        """A browser paired with a lane."""
        browser = self.browser(address)
        answer = browser.post("/pair", json={"token": self.invitation(lane, role).token})
        assert answer.status_code == 200, answer.text
        return browser

    def do(self, action: Any, *what: Any) -> Any:
        """Calls an action on the loop that the hall lives in."""
        return self.inside.portal.call(action, self.app.state.hall, *what)  # type: ignore[union-attr]

    def marks(self) -> list[Any]:
        """Every mark in the ledger."""
        return list(self.app.state.hall.ledger.all_marks())


# What of a competition is taken away by these ways comes back by another way than the one Undo: see tests/web/test_undo.py.
TAKEN_BACK_OTHERWISE = re.compile(r"/desk/(undo|entries/file(/back)?|plan/(publish|back|late))")
DELETED = re.compile(r"DELETE FROM (division|club|judge|athlete|entry|event|heat|plate_set|entry_picture)\b")
deletions: list[str] = []


@listens_for(Engine, "before_cursor_execute")
def _note_deletion(connection: Any, cursor: Any, statement: str, *rest: Any) -> None:
    if found := DELETED.match(statement):
        deletions.append(found[1])


class Watch:
    """Looks whether every write of a browser leaves its line in the activity log, and whether what it takes away is offered back,
    in all tests of the pages."""

    def __init__(self, house: House, browser: TestClient) -> None:
        self._house, self._before = house, (0, 0)
        browser.event_hooks = {"request": [self._look], "response": [self._compare]}

    def _now(self) -> tuple[int, int]:
        database = self._house.app.state.hall.database
        return database.commits, database.read(lambda session: count_acts(session, Asked()))

    def _look(self, request: Any) -> None:
        if request.method == "POST":
            self._before = self._now()
            deletions.clear()

    def _compare(self, answer: Any) -> None:
        request, path = answer.request, answer.request.url.path
        if request.method != "POST" or path == "/marks" or answer.status_code >= 400:
            return
        (commits, lines), (commits_before, lines_before) = self._now(), self._before
        assert commits == commits_before or lines > lines_before, f"POST {path} wrote something and left no line"
        if deletions and not TAKEN_BACK_OTHERWISE.fullmatch(path):
            answer.read()
            assert 'action="/desk/undo"' in answer.text, f"POST {path} took away {deletions} and offers no Undo"


def _filled(file: CompetitionFile) -> bytes:
    """A store that holds a file, as its bytes; made once for each thing that files say, for most tests build the same anew."""
    said = file.model_dump_json()
    if said not in _STORES:
        if len(_STORES) == MOST_STORES:
            _STORES.clear()
        with tempfile.TemporaryDirectory() as folder:
            settings = Settings(data=Path(folder), open_browser=False)
            store = Database(settings.database())
            store.write(lambda session: put_everything(session, file, file.runs, file.rulings))
            store.write(lambda session: insert_new(session.connection(), [(mark, 0) for mark in file.marks]))
            store.close()
            _STORES[said] = (Path(folder) / STORE).read_bytes()
    return _STORES[said]


@contextmanager
def a_house(
    folder: Path,
    *,
    competition: bool = True,
    demo: bool = False,
    file: CompetitionFile | None = None,
    clocks: Clocks | None = None,
    url: str = "",
) -> Iterator[House]:
    """Opens an application over an invented competition of three heats on four lanes, or over a file with its marks; `url`: over
    an empty database server's store."""
    settings = Settings(data=folder, demo=demo, open_browser=False, **({"database_url": url} if url else {}))
    if competition:
        folder.mkdir(parents=True, exist_ok=True)
        (folder / STORE).write_bytes(_filled(file or SLATE_DAY))
    clocks = clocks or Clocks()
    app = create_app(settings, clocks.time())
    with TestClient(app, base_url="http://localhost", client=(LAPTOP, 40_000), follow_redirects=False) as inside:
        yield House(app, clocks, inside)


def slate_day_lifting(order: str) -> CompetitionFile:
    """The invented competition with its squats in this order: lanes, or lightest."""
    file = the_slate_day(("10:00", "10:30", "11:00"))
    plain = file.model_dump(mode="json")
    plain["events"][0]["format"]["tasks"]["squat"]["order"] = order
    return CompetitionFile.model_validate(plain)


def a_mark(seq: int = 1, sheet: str = "asg_1_1/1/lane", **changes: Any) -> dict[str, Any]:
    """A rep on lane 1's sheet as a tablet sends it."""
    mark = {
        "id": f"{seq:032x}",
        "sheet": sheet,
        "device": "tab",
        "epoch": 1,
        "seq": seq,
        "kind": "rep",
        "at": 1000 * seq,
        "err": 3,
        "win": 0,
        "body": {},
    }
    return mark | changes


def sent(*marks: object) -> str:
    """A body of marks."""
    return json.dumps({"marks": marks})
