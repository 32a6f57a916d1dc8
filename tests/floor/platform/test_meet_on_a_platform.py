"""A meet of two flights on one platform, played by imitated people through the server, against a caller of the test's own, who
finds each next lifter one by one and adds up by hand. Everybody in it, and every card, is invented."""

import random
from pathlib import Path
from typing import Any

from app.rules.records.seats import AT_PLATFORMS
from app.watch.warm_up import warm_up
from tests.builders.halls import House, a_house, a_mark
from tests.builders.ledger_doors import by_request
from tests.builders.platforms import a_meet, a_platform_file, lifter

LIFTERS, FLIGHT, ATTEMPTS, SEED = 6, 3, 2, 7
LIFTS_S = (0, 4_200)  # when each lift's window opens: an hour for a lift, ten minutes between two


class Meet:
    """The people at the platform. `best`: the caller's own list, by lifter and lift."""

    def __init__(self, house: House, seed: int) -> None:
        self.house, self.chance, self.count = house, random.Random(seed), 0
        self.by = {seat: house.tablet(1, seat) for seat in AT_PLATFORMS}
        self.device = {seat: browser.get("/lane/packet").json()["device"]["id"] for seat, browser in self.by.items()}
        self.best: dict[tuple[int, int], int] = {}
        self.at_ms = 0

    def mark(self, seat: str, sheet: str, kind: str, who: int, win: int, **body: Any) -> str:
        self.count += 1
        self.at_ms += 1_000
        self.house.clocks.pass_ms(1_000)
        at = {"device": self.device[seat], "kind": kind, "at": self.at_ms, "body": body, "win": win}
        mark = a_mark(self.count, f"asg_{who}/1/{sheet}", **at)
        assert by_request(self.by[seat], mark).json()["refused"] == []
        return str(mark["id"])

    def until(self, second: int) -> None:
        self.house.clocks.pass_ms(second * 1000 - self.at_ms)
        self.at_ms = second * 1000

    def declare(self, who: int, win: int, kg: int) -> tuple[int, str]:
        return kg, self.mark("marshal", "lane", "declare", who, win, load={"amount": str(kg), "unit": "kg"}, by="desk")

    def lift(self, who: int, win: int, kg: int, declared: str) -> bool:
        """Called, loaded, begun, decided by three in any order, racked. Whether two of three said that it was good."""
        load = {"amount": str(kg), "unit": "kg"}
        self.mark("marshal", "lane", "called", who, win, declared=declared)
        self.mark("loaders", "lane", "loaded", who, win, load=load, by="loader", declared=declared)
        begun = self.mark("centre", "lane", "begun", who, win, declared=declared)
        said = {seat: self.chance.random() < 0.7 for seat in ("centre", "left", "right")}
        for seat in self.chance.sample(sorted(said), 3):
            sheet = {"centre": "lane", "left": "second", "right": "third"}[seat]
            self.mark(seat, sheet, "lift", who, win, load=load, good=said[seat], declared=declared, begun=begun)
        self.mark("centre", "lane", "racked", who, win, declared=declared)
        return sum(said.values()) >= 2

    def play(self, flight: list[int], number: int, win: int) -> None:
        """One lift of a flight, in rounds: the caller looks for the fewest attempts, then the lightest load, then the lot."""
        taken = dict.fromkeys(flight, 0)
        said = {who: self.declare(who, win, 100 + 3 * self.chance.randrange(12)) for who in flight}
        while said:
            called = flight[0]
            for who in said:
                if called not in said or (taken[who], said[who][0], who) < (taken[called], said[called][0], called):
                    called = who
            on_the_floor, *_ = warm_up(self.house.app.state.hall).heats
            assert on_the_floor.rows[0].entry == lifter(called)
            kg, declared = said.pop(called)
            good = self.lift(called, win, kg, declared)
            taken[called] += 1
            if good:
                self.best[called, number] = max(kg, self.best.get((called, number), 0))
            if taken[called] < ATTEMPTS:
                said[called] = self.declare(called, win, kg + 2 if good else kg)


def test_a_meet_of_two_flights_is_called_judged_and_added_up_as_by_hand(tmp_path: Path) -> None:
    format = a_meet(movements="Back squat\nDeadlift")
    with a_house(tmp_path / "meet", file=a_platform_file(format, lifters=LIFTERS, flight=FLIGHT)) as house:
        meet = Meet(house, seed=SEED)
        desk = house.desk()
        for number in range(LIFTERS // FLIGHT):
            meet.at_ms = 0
            flight = list(range(number * FLIGHT + 1, (number + 1) * FLIGHT + 1))
            assert desk.post(f"/desk/heats/heat_{number + 1}/go", data={}).status_code == 200
            house.clocks.pass_ms(10_000)
            for lift, second in enumerate(LIFTS_S):
                meet.until(second + 1)
                meet.play(flight, lift, 2 * lift)
            house.clocks.pass_ms(8_000_000)
        (event,) = desk.get("/results.json").json()["events"]
        rows = next(one["rows"] for one in event["standings"] if one["score"] == "score")
        whole = [who for who in range(1, LIFTERS + 1) if all((who, lift) in meet.best for lift in range(len(LIFTS_S)))]
        totals = {lifter(who): sum(meet.best[who, lift] for lift in range(len(LIFTS_S))) for who in whole}
        placed = [row for row in rows if row["place"]]
        assert {row["name"]: int(row["score"]) for row in placed} == totals
        assert [row["place"] for row in placed] == [
            1 + sum(more > totals[row["name"]] for more in totals.values()) for row in placed
        ]
        assert 0 < len(whole) < LIFTERS, "some have no good lift in one of them, and so no total"
