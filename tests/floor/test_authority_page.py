"""Every cell of the table of authority through the ledger's own door: what each seat sends at each moment, and what it does."""

from collections.abc import Iterator
from typing import Any

import pytest

from app.rules.records.authority import MOMENTS, Effect, Moment, effect_of, moment_of
from app.rules.records.marks import parse_mark
from app.rules.records.roster import Event
from app.rules.records.seats import INVITED, SEATS, SHEET_KINDS, Seat
from app.rules.workout.formats import LiftTask
from app.store.devices import welcome_devices
from tests.builders.halls import SLATE_DAY, House, TestClient, a_house, a_mark, sent
from tests.builders.ledger_doors import both_ways
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
SILENT: frozenset[Effect] = frozenset({"flagged", "compared", "told", "waits", "kept", "refused"})  # no number changes by it
UNGIVEN = ("by-hand", "no-run")  # moments of a heat that has no GO
FAR_MS = 30_000  # beyond the grace beside a window


def on_one_bar(event: Event) -> Event:
    """The event with a bar that its lanes share, so that there is a platform to have a seat at."""
    format = event.format
    lifts = {
        key: task.model_copy(update={"order": "lightest"}) for key, task in format.tasks.items() if isinstance(task, LiftTask)
    }
    assert lifts
    return event.model_copy(update={"format": format.model_copy(update={"tasks": {**format.tasks, **lifts}})})


ONE_BAR = SLATE_DAY.model_copy(update={"events": tuple(on_one_bar(event) for event in SLATE_DAY.events)})


class Hall:
    """A house with somebody on every seat of lane 1 and its platform; the heat is over, so that a mark of any moment may come."""

    def __init__(self, house: House) -> None:
        self.house, self.count = house, 1_000
        self.desk = house.desk()
        assert self.desk.post("/desk/heats/het_1/go", data={}).status_code == 200
        format = house.app.state.hall.projection.place_of("asg_1_1").format
        house.clocks.pass_ms(format.length_ms + 600_000)
        rest = next(
            at for at in range(0, format.length_ms, 1000) if moment_of(format, at, False) == "rest" and self._far(format, at)
        )
        work: dict[Moment, int] = dict.fromkeys(MOMENTS, 1_000)
        ahead = format.length_ms + 1_000_000  # the clock stands at ten minutes after the last bell
        beside: dict[Moment, int] = {"before": -FAR_MS, "rest": rest, "after": format.length_ms + FAR_MS, "ahead": ahead}
        self.times = work | beside
        self.seats: dict[Seat, TestClient] = {seat: house.tablet(1, seat) for seat in INVITED}
        self.seats |= {"desk": self.desk, "review": self._head_judge()}
        self.devices = {seat: self._device(seat) for seat in self.seats}
        kinds, makers = ("loaded", "declare", "rep"), (*self.seats, "")
        self.struck = {(heat, who, kind): self._named(heat, who, kind) for heat in (1, 2) for who in makers for kind in kinds}
        put = self.desk.post("/marks", content=sent(*self.struck.values()), headers=JSON)
        assert put.json()["refused"] == []

    @staticmethod
    def _far(format: Any, at: int) -> bool:
        return all(moment_of(format, at + away, False) == "rest" for away in (-5_000, 5_000))

    def _head_judge(self) -> TestClient:
        assert self.desk.post("/review/password", data=HEAD).status_code == 303
        browser = self.house.browser()
        assert browser.post("/review/enter", data={"password": HEAD["password"]}).status_code == 303
        return browser

    def _device(self, seat: Seat) -> str:
        if seat in INVITED:
            return str(self.seats[seat].get("/lane/packet").json()["device"]["id"])
        there = self.house.app.state.hall.database.read(welcome_devices)
        return next(device.id for device in there if device.role == SEATS[seat].role)

    def _named(self, heat: int, who: Any, kind: str) -> dict[str, Any]:
        """A mark that a strike-out can name, on the lane judge's sheet: of a seat's own device, or of a stranger's."""
        by = {"loaded": {"by": "loader"}, "declare": {"by": "lifter"}}.get(kind, {})
        return self.mark(self.devices.get(who, ANOTHERS), "lane", kind, self.times["work"], {**SAYS.get(kind, {}), **by}, heat)

    def mark(self, device: str, sheet: str, kind: str, at: int, body: dict[str, Any], heat: int = 1) -> dict[str, Any]:
        """A mark of lane 1, in its own life of its device's store."""
        self.count += 1
        return a_mark(self.count, f"asg_{heat}_1/1/{sheet}", device=device, kind=kind, at=at, body=body, win=None)

    def judge(self, kind: str) -> None:
        """What the lane's judge does: the bar leaves the rack, is judged, the sheet is signed."""
        mark = self.mark(self.devices["lane"], "lane", kind, self.times["work"], SAYS.get(kind, {}))
        assert self.sends("lane", [mark]) == set()

    def trial(self, seat: Seat, sheet: str, moment: Moment, trial: Trial) -> tuple[dict[str, Any], Effect]:
        """A mark as it is sent, and what the table says of it."""
        kind, by, whose, struck = trial
        body = {**SAYS.get(kind, {}), **({"by": by} if by else {})}
        heat = 2 if moment in UNGIVEN else 1
        about = self.struck[heat, seat if whose == MINE else "", struck] if struck else None
        if kind == "strike":
            body = {"mark": about["id"] if about else f"{7:032x}"}
        body |= {"hand": True} if moment == "by-hand" else {}
        mark = self.mark(self.devices[seat], sheet, kind, self.times[moment], body, heat)
        named = parse_mark(about) if about else None
        return mark, effect_of(seat, self.devices[seat], parse_mark(mark), named, moment)

    def sends(self, seat: Seat, marks: list[dict[str, Any]]) -> set[int]:
        """The numbers of what is refused."""
        if seat == "review":
            answer = self.seats[seat].post("/marks?seat=desk", content=sent(*marks), headers=JSON).json()
        else:
            answer = both_ways(self.seats[seat], *marks).json()
        return {one["seq"] for one in answer["refused"]}

    def results(self) -> Any:
        return self.desk.get("/results.json").json()


@pytest.fixture
def hall(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Hall]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("LANE_LEDGER_MARKS_PER_SECOND", "1000000")  # every cell of the table is more than hands make
        with a_house(tmp_path_factory.mktemp("seats"), file=ONE_BAR) as house:
            yield Hall(house)


BY_THE_JUDGE = {"bar-out": "begun", "decided": "lift", "signed": "sign"}


@pytest.mark.parametrize("moment", [moment for moment in MOMENTS if moment != "away"])
def test_the_server_takes_and_counts_what_the_table_says(hall: Hall, moment: Moment) -> None:
    for earlier in MOMENTS[: MOMENTS.index(moment) + 1]:
        if earlier in BY_THE_JUDGE:
            hall.judge(BY_THE_JUDGE[earlier])
    if moment == "signed-off":
        event = hall.house.app.state.hall.projection.place_of("asg_1_1").event.id
        signed = hall.desk.post(f"/review/events/{event}/sign-off", data=sign_form(hall.desk), headers=PAGE)
        assert signed.status_code == 303
    heats = hall.seats["lane"].get("/lane/packet").json()["heats"]
    assert heats[0]["signed"] is (moment == "signed-off"), "the tablet knows the moment as the server does"
    made = {seat: [hall.trial(seat, sheet, moment, trial) for sheet in SHEET_KINDS for trial in trials()] for seat in SEATS}
    # First what may count, from all seats: beside all of it the rest must change nothing.
    wrong = {(seat, "loud"): hall.sends(seat, loud) for seat in SEATS if (loud := _of(made[seat], silent=False))}
    before = hall.results()
    for seat in SEATS:
        refused = {mark["seq"] for mark, effect in made[seat] if effect == "refused"}
        wrong[seat, "silent"] = hall.sends(seat, _of(made[seat], silent=True)) ^ refused
    assert {where: seqs for where, seqs in wrong.items() if seqs} == {}
    assert hall.results() == before


def _of(made: list[tuple[dict[str, Any], Effect]], *, silent: bool) -> list[dict[str, Any]]:
    """The marks by which, as the table says, no number changes; or those by which one may."""
    return [mark for mark, effect in made if (effect in SILENT) is silent]


def test_a_device_that_was_sent_away_changes_nothing(tmp_path_factory: pytest.TempPathFactory) -> None:
    with a_house(tmp_path_factory.mktemp("away"), file=ONE_BAR) as house:
        hall = Hall(house)
        before, marks = hall.results(), len(house.marks())
        for seat in INVITED:
            mark, effect = hall.trial(seat, SEATS[seat].sheet, "away", ("declare", "lifter", "", ""))
            assert effect == "refused"
            sent_away = hall.desk.post(f"/desk/tablets/{hall.devices[seat]}/away", headers=PAGE)
            assert sent_away.status_code == 303, sent_away.text
            assert both_ways(hall.seats[seat], mark).status_code == 401
        assert (hall.results(), len(house.marks())) == (before, marks)


def test_what_counts_by_the_table_counts(tmp_path_factory: pytest.TempPathFactory) -> None:
    with a_house(tmp_path_factory.mktemp("counted")) as house:
        hall = Hall(house)
        before = hall.results()
        mark, effect = hall.trial("lane", "lane", "work", ("rep", "", "", ""))
        assert effect == "counts" and not hall.sends("lane", [mark]) and hall.results() != before
