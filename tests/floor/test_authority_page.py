"""Every cell of the table of authority through the ledger's own door: what each seat sends at each moment, and what it does."""

from collections.abc import Iterator
from typing import Any

import pytest

from app.rules.records.authority import MOMENTS, Effect, Moment, effect_of, moment_of
from app.rules.records.marks import parse_mark
from app.rules.records.seats import INVITED, SEATS, SHEET_KINDS, Seat
from tests.builders.halls import House, TestClient, a_house, a_mark, sent
from tests.review.test_review_results_page import sign_form
from tests.vectors.authority_scenes import ANOTHERS, MINE, Trial, trials

JSON = {"content-type": "application/json"}
PAGE = {"accept": "text/html"}
HEAD = {"password": "quite other words", "again": "quite other words"}
LOAD = {"amount": "100", "unit": "kg"}
SAYS: dict[str, dict[str, Any]] = {
    "declare": {"load": LOAD},
    "plan": {"loads": [LOAD]},
    "loaded": {"load": LOAD},
    "lift": {"load": LOAD, "good": True},
    "measure": {"value": "12"},
    "stop": {"why": "Rest"},
    "note": {"text": "Hello"},
    "sign": {"who": "judge", "name": "Kim"},
    "check": {"items": ["Bar"], "name": "Kim"},
    "remeasure": {"what": "line", "value": "12", "unit": "cm"},
}
SILENT: frozenset[Effect] = frozenset({"flagged", "compared", "told", "kept", "refused"})  # no number changes by it
FAR_MS = 30_000  # beyond the grace beside a window


class Hall:
    """A house with somebody on every seat, all on lane 1; the heat is over, so that a mark of any moment may come."""

    def __init__(self, house: House) -> None:
        self.house, self.count = house, 1_000
        self.desk = house.desk()
        assert self.desk.post("/desk/heats/het_1/go", data={}).status_code == 200
        format = house.app.state.hall.projection.place_of("asg_1_1").format
        house.clocks.pass_ms(format.length_ms + 600_000)
        rest = next(
            at for at in range(0, format.length_ms, 1000) if moment_of(format, at, False) == "rest" and self._far(format, at)
        )
        self.times = {"before": -FAR_MS, "work": 1_000, "rest": rest, "after": format.length_ms + FAR_MS, "signed": 2_000}
        self.seats: dict[Seat, TestClient] = {seat: house.tablet(1, seat) for seat in INVITED}
        self.seats |= {"desk": self.desk, "review": self._head_judge()}
        self.devices = {seat: self._device(seat) for seat in self.seats}
        self.struck = {(who, kind): self._put(who, kind) for who in (*self.seats, "") for kind in ("loaded", "declare", "rep")}

    @staticmethod
    def _far(format: Any, at: int) -> bool:
        return all(moment_of(format, at + away, False) == "rest" for away in (-5_000, 5_000))

    def _head_judge(self) -> TestClient:
        assert self.desk.post("/review/password", data=HEAD).status_code == 303
        browser = self.house.browser()
        assert browser.post("/review/enter", data={"password": HEAD["password"]}).status_code == 303
        return browser

    def _device(self, seat: Seat) -> str:
        return f"of-{seat}" if seat in ("desk", "review") else str(self.seats[seat].get("/lane/packet").json()["device"]["id"])

    def _put(self, who: Any, kind: str) -> dict[str, Any]:
        """A mark that a strike-out can name, on the lane judge's sheet: of a seat's own device, or of a stranger's."""
        by = {"loaded": {"by": "loader"}, "declare": {"by": "lifter"}}.get(kind, {})
        mark = self.mark(self.devices.get(who, ANOTHERS), "lane", kind, self.times["work"], {**SAYS.get(kind, {}), **by})
        assert self.desk.post("/marks", content=sent(mark), headers=JSON).json()["refused"] == []
        return mark

    def mark(self, device: str, sheet: str, kind: str, at: int, body: dict[str, Any]) -> dict[str, Any]:
        """A mark of lane 1, in its own life of its device's store."""
        self.count += 1
        return a_mark(self.count, f"asg_1_1/1/{sheet}", device=device, kind=kind, at=at, body=body, win=None)

    def trial(self, seat: Seat, sheet: str, moment: Moment, trial: Trial) -> tuple[dict[str, Any], Effect]:
        """A mark as it is sent, and what the table says of it."""
        kind, by, whose, struck = trial
        body = {**SAYS.get(kind, {}), **({"by": by} if by else {})}
        about = self.struck[(seat if whose == MINE else "", struck)] if struck else None
        if kind == "strike":
            body = {"mark": about["id"] if about else f"{7:032x}"}
        mark = self.mark(self.devices[seat], sheet, kind, self.times[moment], body)
        named = parse_mark(about) if about else None
        return mark, effect_of(seat, self.devices[seat], parse_mark(mark), named, moment)

    def sends(self, seat: Seat, marks: list[dict[str, Any]]) -> set[int]:
        """The numbers of what is refused."""
        where = "/marks?seat=desk" if seat == "review" else "/marks"
        answer = self.seats[seat].post(where, content=sent(*marks), headers=JSON).json()
        return {one["seq"] for one in answer["refused"]}

    def results(self) -> Any:
        return self.desk.get("/results.json").json()


@pytest.fixture(scope="module")
def hall(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Hall]:
    with a_house(tmp_path_factory.mktemp("seats")) as house:
        yield Hall(house)


@pytest.mark.parametrize("moment", MOMENTS)  # in this order: the event is signed off last
def test_the_server_takes_and_counts_what_the_table_says(hall: Hall, moment: Moment) -> None:
    if moment == "signed":
        event = hall.house.app.state.hall.projection.place_of("asg_1_1").event.id
        signed = hall.desk.post(f"/review/events/{event}/sign-off", data=sign_form(hall.desk), headers=PAGE)
        assert signed.status_code == 303
    heats = hall.seats["lane"].get("/lane/packet").json()["heats"]
    assert heats[0]["signed"] is (moment == "signed"), "the tablet knows the moment as the server does"
    wrong = []
    for seat in SEATS:
        for sheet in SHEET_KINDS:
            made = [hall.trial(seat, sheet, moment, trial) for trial in trials()]
            before = hall.results()
            quiet, loud = ([pair for pair in made if (pair[1] in SILENT) is silent] for silent in (True, False))
            refused = hall.sends(seat, [mark for mark, _ in quiet])
            if refused != {mark["seq"] for mark, effect in made if effect == "refused"} or hall.results() != before:
                wrong.append((seat, sheet, "silent"))
            if loud and hall.sends(seat, [mark for mark, _ in loud]):
                wrong.append((seat, sheet, "loud"))
    assert wrong == []


def test_what_counts_by_the_table_counts(tmp_path_factory: pytest.TempPathFactory) -> None:
    with a_house(tmp_path_factory.mktemp("counted")) as house:
        hall = Hall(house)
        before = hall.results()
        mark, effect = hall.trial("lane", "lane", "work", ("rep", "", "", ""))
        assert effect == "counts" and not hall.sends("lane", [mark]) and hall.results() != before
