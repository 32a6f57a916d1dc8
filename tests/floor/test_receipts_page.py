"""What waits for a ruling, through the door of the ledger: late words of a phone, marks ahead of time; and what does not."""

import html
import json
import re
from pathlib import Path
from typing import Any

import pytest

from app.results.recount import recount, recount_plain
from app.rules.records.roster import Event
from app.rules.workout.formats import JoinRule
from tests.builders.halls import SLATE_DAY, House, TestClient, a_house, a_mark
from tests.builders.ledger_doors import both_ways

JSON = {"content-type": "application/json"}
PAGE = {"accept": "text/html"}
WHO = {"by": "Ruth", "why": "Seen from the second row"}
SQUATS, SQUAT_MS = 4, 480_000  # A's window of squats
LEAD_MS = 8_000


class Lane:
    """Lane 1 of heat 1, its judge's tablet and the lifter's phone; the clock stands where a test puts it."""

    def __init__(self, house: House, go: bool = True) -> None:
        self.house, self.desk, self.count = house, house.desk(), 0
        self.tablet, self.phone = house.tablet(1), house.tablet(1, "lifter")
        self.ids = {one: str(one.get("/lane/packet").json()["device"]["id"]) for one in (self.tablet, self.phone)}
        if go:
            self.go()

    def go(self, heat: str = "het_1", how: str = "go") -> None:
        assert self.desk.post(f"/desk/heats/{heat}/{how}", data={}).status_code == 200
        self.house.clocks.pass_ms(LEAD_MS)

    def mark(self, who: TestClient, kind: str, at: int, win: int | None = None, run: int = 1, **body: Any) -> dict[str, Any]:
        """A mark of lane 1 by one of its devices, in its own life of that device's store."""
        self.count += 1
        sheet = f"asg_1_1/{run}/lane"
        return a_mark(self.count, sheet, device=self.ids[who], epoch=self.count, kind=kind, at=at, win=win, body=body)

    def sends(self, who: TestClient, *marks: dict[str, Any], again: bool = False) -> None:
        assert both_ways(who, *marks, again=again).json()["refused"] == []

    def squat(self, good: bool = True) -> tuple[list[dict[str, Any]], int]:
        """A declared, locked and judged 200 kg, and the moment at which the bar left the rack."""
        at, load = SQUAT_MS + 10_000, {"amount": "200", "unit": "kg"}
        declared = self.mark(self.tablet, "declare", at, SQUATS, load=load, by="judge")
        named = {"declared": declared["id"]}
        begun = self.mark(self.tablet, "begun", at + 2_000, SQUATS, **named)
        lift = self.mark(self.tablet, "lift", at + 5_000, SQUATS, load=load, good=good, begun=begun["id"], **named)
        return [declared, begun, lift], at + 2_000

    def word(self, at: int, kilos: str = "900", **named: Any) -> dict[str, Any]:
        """The phone's word on the bar."""
        return self.mark(self.phone, "loaded", at, SQUATS, load={"amount": kilos, "unit": "kg"}, by="loader", **named)

    def score(self) -> str:
        rows = self.desk.get("/results.json").json()["events"][0]["standings"][0]["rows"]
        found = next(row for row in rows if row["entry"] == "ent_1")
        return str(found["score"] or found["status"])

    def queue(self) -> str:
        return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", self.desk.get("/review", headers=PAGE).text)))

    def rule(self, why: str, window: int | str) -> None:
        """Takes what the flag offers."""
        flag = f"asg_1_1:{self.run}:{why}:{window}"
        page = self.desk.get(f"/review/lanes/asg_1_1?flag={flag}", headers=PAGE).text
        option = re.search(r'name="option" value="([^"]*)"', page)
        assert option, "no decision is offered"
        data = {**WHO, "flag": flag, "option": html.unescape(option[1])}
        assert self.desk.post("/review/lanes/asg_1_1/rule", data=data, headers=PAGE).status_code == 303

    @property
    def run(self) -> int:
        return max(run.number for run in self.house.app.state.hall.projection.runs)

    def recounted(self) -> Any:
        """What a stranger counts with nothing but the file."""
        plain = recount_plain(recount(self.desk.get("/desk/competition.json").content))
        assert plain["seal"]["holds"]
        rows = plain["events"][0]["standings"][0]["rows"]
        found = next(row for row in rows if row["entry"] == "ent_1")
        return found["score"] or found["status"]


def _with(event: Event, **update: object) -> Event:
    return event.model_copy(update={"format": event.format.model_copy(update=update)})


@pytest.mark.parametrize("offline", [False, True])
@pytest.mark.parametrize("backdated", [False, True])
def test_a_phones_word_after_the_bar_has_left_raises_nothing(house: House, offline: bool, backdated: bool) -> None:
    lane = Lane(house)
    marks, out = lane.squat()
    house.clocks.pass_ms(out + 20_000)
    late = lane.word(out - 500 if backdated else out + 10_000, declared=marks[0]["id"])
    if offline:  # the judge's tablet was, and its marks come after the phone's word
        lane.sends(lane.phone, late)
    lane.sends(lane.tablet, *marks)
    if not offline:
        lane.sends(lane.phone, late)
    assert lane.score() == lane.recounted() == "200"
    assert "After the " in lane.queue() and "a screen other than the judge's" in lane.queue()
    lane.rule("decided", SQUATS)
    assert lane.score() == lane.recounted() == "900", "the head judge saw it so"


def test_a_phones_word_in_time_and_the_judges_own_at_any_time_count(house: House) -> None:
    lane = Lane(house)
    marks, out = lane.squat()
    house.clocks.pass_ms(out - 1_500)
    lane.sends(lane.tablet, marks[0])
    lane.sends(lane.phone, lane.word(out - 1_600, "210", declared=marks[0]["id"]))
    house.clocks.pass_ms(10_000)
    lane.sends(lane.tablet, *marks[1:])
    assert lane.score() == lane.recounted() == "210"
    own = lane.mark(
        lane.tablet, "loaded", out + 8_000, SQUATS, load={"amount": "205", "unit": "kg"}, by="judge", declared=marks[0]["id"]
    )
    lane.sends(lane.tablet, own)
    assert lane.score() == lane.recounted() == "205"


def test_a_phone_that_takes_its_word_back_after_the_lift_changes_nothing(house: House) -> None:
    lane = Lane(house)
    marks, out = lane.squat()
    house.clocks.pass_ms(out - 1_500)
    word = lane.word(out - 1_600, "190", declared=marks[0]["id"])
    lane.sends(lane.phone, word)
    house.clocks.pass_ms(20_000)
    lane.sends(lane.tablet, *marks)
    lane.sends(lane.phone, lane.mark(lane.phone, "strike", out - 1_550, SQUATS, mark=word["id"]))
    assert lane.score() == lane.recounted() == "190"


def test_a_declaration_from_the_phone_is_no_result(house: House) -> None:
    lane = Lane(house)
    lane.sends(lane.phone, lane.mark(lane.phone, "declare", 0, SQUATS, load={"amount": "200", "unit": "kg"}, by="lifter"))
    assert lane.score() == lane.recounted() == "not judged yet"


def test_repetitions_planted_for_a_run_before_its_go_wait_for_a_ruling(house: House) -> None:
    lane = Lane(house)
    lane.sends(lane.tablet, *(lane.mark(lane.tablet, "rep", 1_000 + n, 0, run=2) for n in range(50)))
    lane.go(how="restart")
    assert lane.score() == lane.recounted() == "not judged yet"
    assert "Before there was a run" in lane.queue()
    house.clocks.pass_ms(10_000)
    lane.sends(lane.tablet, *(lane.mark(lane.tablet, "rep", 1_000 * n, 0, run=2) for n in (1, 2, 3)))
    assert lane.score() == lane.recounted() == "3"
    lane.rule("no-run", 0)
    assert lane.score() == lane.recounted() == "53"


@pytest.mark.parametrize("err", [3, 86_400_000])
def test_marks_for_a_time_that_has_not_come_wait_for_a_ruling(house: House, err: int) -> None:
    lane = Lane(house)
    lane.sends(lane.tablet, *({**lane.mark(lane.tablet, "rep", 60_000 + n, 0), "err": err} for n in range(20)))
    assert lane.score() == lane.recounted() == "not judged yet" and "Ahead of time" in lane.queue()
    house.clocks.pass_ms(90_000)
    assert lane.score() == lane.recounted() == "not judged yet", "the time has come, but they came before it"
    lane.rule("ahead", 0)
    assert lane.score() == lane.recounted() == "20"


def test_what_waits_on_the_sheet_of_a_second_counter_is_shown_and_let_count(tmp_path: Path) -> None:
    joined = tuple(_with(event, counters=JoinRule(how="mean")) for event in SLATE_DAY.events)
    with a_house(tmp_path / "joined", file=SLATE_DAY.model_copy(update={"events": joined})) as house:
        lane = Lane(house)
        second = house.tablet(1, "second")
        lane.ids[second] = str(second.get("/lane/packet").json()["device"]["id"])
        ahead = [lane.mark(second, "rep", 60_000 + n, 0) | {"sheet": "asg_1_1/1/second"} for n in range(4)]
        lane.sends(second, *ahead[:2])
        assert "2 marks" in lane.queue() and "Ahead of time" in lane.queue()
        lane.sends(second, *ahead[2:])
        assert "4 marks" in lane.queue(), "and what comes there since"
        lane.rule("ahead", 0)
        assert lane.score() == lane.recounted() == "4" and "Ahead of time" not in lane.queue()


def test_a_tablet_that_started_by_hand_while_the_desk_was_away_is_believed(house: House) -> None:
    lane = Lane(house, go=False)
    lane.sends(lane.tablet, *(lane.mark(lane.tablet, "rep", 1_000 * n, 0, hand=True) for n in range(5)))
    assert lane.score() == lane.recounted() == "5"


def test_marks_by_hand_that_come_after_the_run_was_made_are_believed_however_far_its_go_was_off(house: House) -> None:
    lane = Lane(house)
    house.clocks.pass_ms(2_000)
    lane.sends(lane.tablet, *(lane.mark(lane.tablet, "rep", 10_000 * n, 0, hand=True) for n in range(5)))
    assert lane.score() == lane.recounted() == "5"


def test_a_tablet_that_fills_a_laptop_without_its_run_is_believed_and_a_phone_is_not(tmp_path: Path) -> None:
    with a_house(tmp_path / "older") as house:  # a laptop that was restored from a backup of before GO
        lane = Lane(house, go=False)
        marks, out = lane.squat()
        lane.sends(lane.phone, lane.word(out - 900, declared=marks[0]["id"]), again=True)
        lane.sends(lane.tablet, *marks, again=True)
        assert lane.score() == lane.recounted() == "200"
        assert {mark.receipt.again for mark in house.marks()} == {True}


def test_an_outbox_that_is_sent_twice_and_marks_after_an_outage_are_nothing_odd(house: House) -> None:
    lane = Lane(house)
    early = [lane.mark(lane.tablet, "rep", 1_000 * n, 0) for n in range(1, 4)]
    house.clocks.pass_ms(5_000)
    lane.sends(lane.tablet, *early)
    house.clocks.pass_ms(400_000)
    lane.sends(lane.tablet, *early, *(lane.mark(lane.tablet, "rep", 1_000 * n, 0) for n in range(4, 9)))
    lane.sends(lane.tablet, *early, again=True)
    assert lane.score() == lane.recounted() == "8" and "Nothing to look at." in lane.queue()
    assert [mark.receipt.clock for mark in house.marks() if mark.at == 1_000] == [5_000]


def test_a_ruling_that_lets_a_mark_count_names_one_that_is_there(house: House) -> None:
    lane = Lane(house)
    rulings = [{"kind": "admit", "assignment": "asg_1_1", "event": "evt_mirror", "body": {"marks": [f"{7:032x}"]}}]
    answer = lane.desk.post("/review/lanes/asg_1_1/rule", data={**WHO, "option": json.dumps(rulings)}, headers=PAGE)
    assert answer.status_code == 422
