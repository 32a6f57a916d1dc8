"""A gym's own laptop beside a round's headquarters: the desk's browser there, and a line between the two servers."""

import html
import io
import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.error import HTTPError, URLError

import pytest

from app.hall.changing import change_roster
from app.hall.hall import Hall
from app.round.gym import sending
from app.round.kits import GymRow, slips_page
from app.round.signing import HEADQUARTERS_KEY, key_in
from app.rules.records.roster import Roster
from app.store.entries import put_entry
from app.store.heats import put_heat
from app.store.kinds import ATHLETES, RUNS
from tests.builders.halls import Clocks, House, TestClient, a_house
from tests.builders.mixed_day import a_mixed_day, an_entry
from tests.builders.round_house import DIVISION, EVENT, PAGE, RoundHouse, the_day

HERE = "/desk/round/gym"
ADDRESS = "https://headquarters.example"


def slip_code(there: RoundHouse, gym: int) -> str:
    """The code on a gym's slip, as headquarters prints it."""
    state, key = there.headquarters.state, key_in(there.folder, HEADQUARTERS_KEY, make=False)
    found = re.search(rf"<p>(G{gym}-[A-Z2-7-]+)</p>", slips_page(key, state.rules, [GymRow(gym, "The gym")]))
    assert found is not None
    return found[1]


async def judge(hall: Hall, reps: Mapping[str, int]) -> None:
    """Enters a single athlete for each of these in a gym's hall, and runs a heat in which so many repetitions are counted."""
    entries = [an_entry(key, DIVISION, 1) for key in reps]
    counts = {(EVENT, key): count for key, count in reps.items()}
    day = a_mixed_day(entries, the_day().events, {EVENT: list(reps)}, counts)

    def store(session: Any) -> None:
        for athlete in day.athletes:
            ATHLETES.put(session, athlete)
        for entry in day.entries:
            put_entry(session, entry)
        for heat in day.heats:
            put_heat(session, heat)
        for run in day.runs:
            RUNS.put(session, run)

    await change_roster(hall, store)
    await hall.ledger.append(list(day.marks), hall.time.wall_ms())


class GymHouse:
    """A gym's laptop, and the desk's browser on it."""

    def __init__(self, house: House, folder: Path) -> None:
        self.house, self.folder = house, folder
        self.desk: TestClient = house.desk()

    def page(self, path: str = "") -> str:
        return html.unescape(self.desk.get(f"{HERE}{path}", headers=PAGE).text)

    def post(self, act: str, form: Mapping[str, str] | None = None, file: bytes | None = None) -> int:
        """Sends a form, and keeps what is said: of a page that it leads to, that page."""
        files = None if file is None else {"file": ("one", file)}
        answer = self.desk.post(f"{HERE}/{act}", data=form or {}, files=files, headers=PAGE)
        self.said = html.unescape(answer.text)
        if answer.status_code == 303:
            self.said = html.unescape(self.desk.get(answer.headers["location"].partition("#")[0], headers=PAGE).text)
        return answer.status_code

    def open(self, kit: bytes, **form: str) -> int:
        """Chooses a kit, and presses the button of the page that shows it."""
        assert self.post("look", file=kit) == 200, self.said
        carried = re.search(r'name="kit" value="([^"]+)"', self.said)
        assert carried is not None
        answer = self.desk.post(f"{HERE}/open", data=form, files={"kit": (None, carried[1])}, headers=PAGE)
        self.said = html.unescape(answer.text)
        return answer.status_code

    @property
    def roster(self) -> Roster | None:
        """What its hall holds."""
        found: Roster | None = self.house.app.state.hall.projection.roster
        return found

    def kept(self) -> list[str]:
        """What lies beside the store of the round."""
        return sorted(one.relative_to(self.folder).as_posix() for one in (self.folder / "round").rglob("*") if one.is_file())

    def judge(self, reps: Mapping[str, int]) -> None:
        self.house.do(judge, reps)


@contextmanager
def a_gym_house(folder: Path, competition: bool = False, late_ms: int = 0, url: str = "") -> Iterator[GymHouse]:
    """A gym's laptop with an empty hall, or with another competition; its clock is this far ahead of headquarters'. url: of a
    database server, empty for a file."""
    with a_house(folder, competition=competition, clocks=Clocks(wall=Clocks.wall + late_ms), url=url) as house:
        yield GymHouse(house, folder)


class Line:
    """What urllib does, imitated: what a gym's server sends reaches headquarters' server, as long as the line holds. sent: the
    paths that were asked for; change_sent, change: what is made of each body and of each answer on its way."""

    def __init__(self, there: RoundHouse) -> None:
        self._there, self.holds = there, True
        self.sent: list[str] = []
        self.change_sent: Callable[[str, Any], Any] = lambda path, body: body
        self.change: Callable[[bytes], bytes] = lambda answer: answer

    def open(self, request: Any, timeout: int) -> Any:
        path = request.full_url.removeprefix(ADDRESS)
        self.sent.append(f"{request.get_method()} {path}")
        if not self.holds:
            raise URLError("no route")
        browser = self._there.house.browser()
        body = self.change_sent(path, request.data)
        answer = browser.request(request.get_method(), path, content=body, headers=dict(request.header_items()))
        body = self.change(answer.content)
        if answer.status_code >= 300:
            raise HTTPError(request.full_url, answer.status_code, "", answer.headers, io.BytesIO(body))
        return io.BytesIO(body)


def lay_line(monkeypatch: pytest.MonkeyPatch, there: RoundHouse) -> Line:
    """Lets whatever this process sends over urllib go to a headquarters."""
    line = Line(there)
    monkeypatch.setattr(sending, "build_opener", lambda *_: line)
    return line
