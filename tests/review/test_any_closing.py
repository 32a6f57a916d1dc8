"""Whatever is done at the end of a day, in any order: the server answers, what is signed stays, the file recounts to it."""

import html
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random
from typing import Any

import pytest

from app.results.competition_file import read_file
from app.results.publishing import export_file
from app.rules.records.in_force import signed_off
from app.rules.records.roster import Assignment, Heat
from app.rules.result.results import EventResults, results
from tests.builders.halls import a_house, a_mark, sent
from tests.builders.platforms import a_meet, a_platform_file
from tests.builders.slate_day import the_slate_day
from tests.review.test_review_page import JSON, PAGE

STEPS, LOOKED_AT = 60, 12  # how many things are done, and after how many the file is recounted
RULED = (
    "kind=reps&add=2&window=0",
    "kind=penalty&score=score&amount=2",
    "kind=status&status=disqualified",
    "kind=shift&seconds=2",
)
MOVES = ("go", "go", "go", "abort", "restart", "hold", "go-on", "close")
CALLS = ("no_show", "late", "early", "medical")
WHO = {"by": "Ruth", "why": "Seen"}


class Day:
    """A hall at whose desk somebody does one thing after another."""

    def __init__(self, house: Any, chance: Random) -> None:
        self.house, self.chance, self.desk, self.hall = house, chance, house.desk(), house.app.state.hall
        self.made, self.signed = 0, dict[str, tuple[str, list[Any]]]()

    def post(self, path: str, **typed: str) -> None:
        answer = self.desk.post(path, data=typed, headers=PAGE)
        assert answer.status_code < 500, (path, typed)

    def heats(self) -> list[Heat]:
        return list(self.hall.projection.roster.heats)

    def lanes(self) -> Iterator[Assignment]:
        """Some lane, unless all are gone."""
        lanes = [lane for heat in self.heats() for lane in heat.lanes]
        yield from self.chance.sample(lanes, min(1, len(lanes)))

    def moves_a_heat(self) -> None:
        for heat in self.chance.sample(self.heats(), min(1, len(self.heats()))):
            self.post(f"/desk/heats/{heat.id}/{self.chance.choice(MOVES)}", **WHO)

    def lets_time_pass(self) -> None:
        self.house.clocks.pass_ms(self.chance.choice((1_000, 60_000, 1_200_000, 7_200_000)))

    def marks(self) -> None:
        for lane in self.lanes():
            self.made += 1
            device, at = self.chance.choice(("tab1", "tab2")), self.chance.randrange(200_000)
            load = {"amount": self.chance.choice(("60", "65", "70")), "unit": "kg"}
            lift = {"declare": {"load": load, "by": "lifter"}, "lift": {"load": load, "good": True}, "rep": {}}
            kind = self.chance.choice(list(lift))
            sheet, key = f"{lane.id}/{self.chance.choice((1, 1, 2))}/lane", f"{self.made:032x}"
            mark = a_mark(self.made, sheet, device=device, id=key, at=at, kind=kind, body=lift[kind])
            assert self.desk.post("/marks", content=sent(mark), headers=JSON).status_code < 500

    def rules(self) -> None:
        for lane in self.lanes():
            page = self.desk.get(f"/review/lanes/{lane.id}?kind={self.chance.choice(RULED)}", headers=PAGE)
            assert page.status_code < 500
            for option in re.findall(r'name="option" value="([^"]*)"', page.text)[:1]:
                self.post(f"/review/lanes/{lane.id}/rule", option=html.unescape(option), **WHO)

    def takes_a_ruling_back(self) -> None:
        for ruling in self.chance.sample(standing := list(self.hall.projection.standing_rulings), min(1, len(standing))):
            self.post(f"/review/lanes/{ruling.assignment}/undo/{ruling.id}", **WHO)

    def protests(self) -> None:
        roster = self.hall.projection.roster
        entry, event = self.chance.choice(roster.entries).id, self.chance.choice(roster.events).id
        self.post("/review/protests", entry=entry, event=event, by="Coach", text=f"Of step {self.made}", late="It was called out")
        for one in roster.protests[:1]:
            self.post(f"/review/protests/{one.id}", decision=self.chance.choice(("upheld", "refused")), **WHO)

    def signs(self) -> None:
        self.house.clocks.pass_ms(7_200_000)
        fields = re.findall(r'name="(why-[0-9a-f]{12})"', self.desk.get("/review/results", headers=PAGE).text)
        for event in self.hall.projection.roster.events:
            self.post(f"/review/events/{event.id}/sign-off", by="Ruth", **dict.fromkeys(fields, "Agreed"))

    def opens_again(self) -> None:
        for event in self.hall.projection.roster.events:
            self.post(f"/review/events/{event.id}/open", **WHO)

    def calls(self) -> None:
        for lane in self.lanes():
            self.post(f"/desk/lanes/{lane.id}/call", call=self.chance.choice(CALLS))
            if self.chance.random() < 0.3:
                self.post(f"/desk/lanes/{lane.id}/again", heat="new", **WHO)

    def changes_a_heat(self) -> None:
        for heat in self.chance.sample(self.heats(), min(1, len(self.heats()))):
            entries = [one.id for one in self.hall.projection.roster.entries]
            lanes = {f"lane-{lane.lane}-entry": lane.entry for lane in heat.lanes} | {"lane-5-entry": self.chance.choice(entries)}
            typed = {"event": heat.event, "number": str(heat.number), "planned": "", "lanes": "6", "do": "store"}
            self.post(f"/desk/heats/{heat.id}/{self.chance.choice(('lanes', 'lanes', 'delete'))}", **typed, **lanes)

    def looked_at(self, recounts: bool) -> None:
        """What is signed is as it was signed; the file that is taken along gives what the hall shows."""
        now = self.hall.projection
        shown = {event.id: rows_of(now.event_results(event.id)) for event in now.roster.events}
        signed = {key: one.id for key in shown if (one := signed_off(now.rulings, key)) is not None}
        for key, ruling in signed.items():
            before = self.signed.get(key)
            assert before is None or before[0] != ruling or before[1] == shown[key]
        self.signed = {key: (ruling, shown[key]) for key, ruling in signed.items()}
        if recounts:
            assert {one.event.id: rows_of(one) for one in results(read_file(export_file(self.hall)))} == shown


def rows_of(found: EventResults) -> list[Any]:
    """What a result says of each entry."""
    rows = (row for table in found.tables for row in table.rows)
    return [(row.entry.id, row.assignment, row.place, row.score and row.score.text, row.status) for row in rows]


FILES = {"counted": the_slate_day(("10:00", "10:30", "11:00")), "lifted": a_platform_file(a_meet())}


@pytest.mark.parametrize(("file", "seed"), [("counted", 9), ("counted", 13), ("lifted", 3)])
def test_whatever_is_done_what_is_signed_stays_and_the_file_gives_what_is_shown(tmp_path: Path, file: str, seed: int) -> None:
    with a_house(tmp_path, file=FILES[file]) as house:
        day = Day(house, Random(seed))
        often: list[Callable[[], None]] = [day.marks] * 6 + [day.moves_a_heat, day.rules, day.calls, day.changes_a_heat] * 2
        seldom = [day.lets_time_pass, day.takes_a_ruling_back, day.protests, day.signs, day.signs, day.opens_again]
        for step in range(1, STEPS + 1):
            day.chance.choice([*often, *seldom])()
            day.looked_at(recounts=step % LOOKED_AT == 0)
