"""A meet on one platform, played by imitated people through the server's doors, against a caller of its own, who finds each next
lifter one by one and adds up by hand: it shares no code with the product. Everybody in it, and every card, is invented."""

import random
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from app.rules.records.document import CompetitionFile
from app.rules.records.seats import AT_PLATFORMS
from app.rules.values.units import Load
from app.watch.warm_up import warm_up
from tests.builders.halls import House, a_mark
from tests.builders.ledger_doors import by_request
from tests.builders.platforms import a_meet, a_platform_file, lifter

SILENT = 0.4  # how often a lifter lets the time to declare pass
STEP_KG, DUE_S = 1, 60  # the rule's load: so much more after a good lift, once nobody declared within a minute
LAST_CHANGES, ATTEMPTS = 2, 3  # of rounds: the third attempt of the last lift may be changed so often, any other's not
FLIGHT_MS = 8_000_000  # from one flight's last lift to the next GO: longer than any flight has left


@dataclass(frozen=True, slots=True)
class Size:
    """How large a meet is: lifters in flights of so many, attempts of each lift, and the second at which each lift's window
    opens."""

    lifters: int
    flight: int
    attempts: int
    lifts_s: Sequence[int]


class Meet:
    """The people at the platform. `best`: the caller's own list, by lifter and lift; `attempts`: how many each may have of a
    lift; `called`: how many lifters were, `count`: how many marks were made; `refused`: what the rules
    let nobody declare, `changed`: what was changed as they allow; `last`: the number of the last lift."""

    def __init__(self, house: House, seed: int, size: Size) -> None:
        self.attempts, self.last, self.called = size.attempts, len(size.lifts_s) - 1, 0
        self.house, self.chance, self.count = house, random.Random(seed), 0
        self.by = {seat: house.tablet(1, seat) for seat in AT_PLATFORMS}
        self.device = {seat: browser.get("/lane/packet").json()["device"]["id"] for seat, browser in self.by.items()}
        self.best: dict[tuple[int, int], int] = {}
        self.refused: list[str] = []
        self.changed: list[str] = []
        self.at_ms = 0

    def mark(self, seat: str, sheet: str, kind: str, who: int, win: int, err: int = 3, **body: Any) -> str:
        self.count += 1
        self.at_ms += 1_000
        self.house.clocks.pass_ms(1_000)
        at = {"device": self.device[seat], "kind": kind, "at": self.at_ms, "err": err, "body": body, "win": win}
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

    def silent(self, called: int, win: int, last: int, good: bool, changes: int) -> tuple[int, str]:
        """Nobody says a word for a minute: the rule's load stands, the warm-up area hears of it, and the marshal writes it down
        as that. What is then declared after all is a change: as many as are allowed stand, one more is kept and flagged, and
        stands for nothing."""
        self.until(self.at_ms // 1000 + DUE_S + 1)
        kg = last + STEP_KG if good else last
        (row,) = [row for row in warm_up(self.house.app.state.hall).heats[0].rows if row.entry == lifter(called)]
        assert row.load.startswith(f"{kg} kg (") and row.load.endswith(" by the rule")
        stands = kg, self.mark("marshal", "lane", "declare", called, win, load={"amount": str(kg), "unit": "kg"}, by="rule")
        for more in range(1, changes + 1):
            stands = self.declare(called, win, kg + more)
            self.changed.append(stands[1])
        self.refused.append(self.declare(called, win, kg + 5)[1])
        return stands

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
            self.called += 1
            kg, declared = said.pop(called)
            good = self.lift(called, win, kg, declared)
            taken[called] += 1
            if good:
                self.best[called, number] = max(kg, self.best.get((called, number), 0))
            if taken[called] < self.attempts and self.chance.random() < SILENT:
                third = number == self.last and taken[called] == ATTEMPTS - 1
                said[called] = self.silent(called, win, kg, good, LAST_CHANGES if third else 0)
            elif taken[called] < self.attempts:
                said[called] = self.declare(called, win, kg + 2 if good else kg)


def the_file(size: Size, movements: str) -> CompetitionFile:
    """The meet's competition file. No two weigh the same, so the lighter stands before of two with one total."""
    file = a_platform_file(a_meet(movements=movements), lifters=size.lifters, flight=size.flight)
    weighed = [one.model_copy(update={"bodyweight": Load(str(weight_of(n)), "kg")}) for n, one in enumerate(file.athletes, 1)]
    return file.model_copy(update={"athletes": tuple(weighed)})


def weight_of(who: int) -> int:
    """What a lifter weighs in kg, in another order than the lots'."""
    return 60 + who * 7 % 31


def played(house: House, size: Size, seed: int) -> Meet:
    """The whole meet, one flight after another, every lift of a flight in turn."""
    meet, desk = Meet(house, seed, size), house.desk()
    for number in range(size.lifters // size.flight):
        meet.at_ms = 0
        flight = list(range(number * size.flight + 1, (number + 1) * size.flight + 1))
        assert desk.post(f"/desk/heats/heat_{number + 1}/go", data={}).status_code == 200
        house.clocks.pass_ms(10_000)
        for lift, second in enumerate(size.lifts_s):
            meet.until(second + 1)
            meet.play(flight, lift, 2 * lift)
        house.clocks.pass_ms(FLIGHT_MS)
    return meet


def by_hand(meet: Meet, size: Size) -> list[tuple[str, int, int]]:
    """Name, total and place of those with a good lift in each, the best first, added up and ranked by hand."""
    lifts = range(len(size.lifts_s))
    totals = {
        who: sum(meet.best[who, lift] for lift in lifts)
        for who in range(1, size.lifters + 1)
        if all((who, lift) in meet.best for lift in lifts)
    }
    ranked = sorted(totals, key=lambda who: (-totals[who], weight_of(who)))
    return [(lifter(who), totals[who], place) for place, who in enumerate(ranked, 1)]


def published(house: House) -> list[tuple[str, int, int]]:
    """The same as the server publishes it."""
    (event,) = house.desk().get("/results.json").json()["events"]
    rows = next(one["rows"] for one in event["standings"] if one["score"] == "score")
    return [(row["name"], int(row["score"]), row["place"]) for row in rows if row["place"]]
