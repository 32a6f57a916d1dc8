"""Heats that are over are packed, and nobody can tell: every page says what it said, and a late mark counts as ever."""

import asyncio
from dataclasses import replace
from pathlib import Path

from app.keep.at_rest import STILL_MS, at_rest, keep_at_rest, pack_at_rest
from app.live.keeping import to_keep
from app.server import open_hall
from tests.builders.halls import a_house
from tests.builders.pairs import FORMAT, a_file

PAGE = {"accept": "text/html"}
PAGES = (
    *("/results/evt", "/results.json", "/board", "/review", "/review/lanes/asg_0", "/review/compare", "/review/trail"),
    *("/desk/floor", "/desk/competition.json", "/desk/results.csv", "/desk/heats", "/review/results"),
)


def test_heats_that_are_over_are_packed_and_every_page_says_what_it_said(tmp_path: Path) -> None:
    file = a_file(
        names=(("Chalk Lines", "Iron Larks"), ("Two Left", "Slow Burn")),
        heat_of=2,
        runs=2,
        done=((6, 9, 95), (7, 8, 80), (5, 5, 70)),
    )
    file = file.model_copy(update={"runs": tuple(run.model_copy(update={"boot": "boot-one"}) for run in file.runs)})
    with a_house(tmp_path, file=file) as house:
        hall, desk = house.app.state.hall, house.desk()
        go = hall.time.server_ms() - file.runs[0].go_server_ms
        house.clocks.pass_ms(FORMAT.length_ms + STILL_MS - go)
        assert list(at_rest(hall)) == [], "what comes late may still come"
        house.clocks.pass_ms(1)
        first = [desk.get(page, headers=PAGE) for page in PAGES]
        assert [answer.status_code for answer in first] == [200] * len(PAGES)
        before = [answer.text for answer in first]
        asyncio.run(pack_at_rest(hall))
        lanes = list(at_rest(hall))
        marked = [lane for lane in lanes if hall.projection.marks_on(lane)]
        assert len(lanes) == 4 and len(marked) == 3
        assert all(hall.projection._sheets[f"{lane}/1/lane"].packed for lane in marked)
        news = hall.database.commits
        asyncio.run(keep_at_rest(hall))
        assert hall.database.commits == news, "what can be made anew is no news for a backup"
        assert [one for lane in lanes for one in to_keep(hall.projection, lane)] == [], "and kept once"
        assert [desk.get(page, headers=PAGE).text for page in PAGES] == before
        begun = open_hall(hall.settings, house.clocks.time())
        assert all(begun.projection._sheets[f"{lane}/1/lane"].tally is not None for lane in marked), "nothing is counted again"
        assert begun.projection.event_results("evt") == hall.projection.event_results("evt")
        begun.database.close()
        late = replace(
            next(mark for mark in file.marks if mark.kind == "rep" and mark.sheet == "asg_0/1/lane"), id="f" * 32, seq=900
        )
        hall.projection.apply([late])
        assert hall.projection.sheet_marks("asg_0/1/lane").count(late) == 1
        count = hall.projection.counting_tally("asg_0").windows[late.win].count
        asyncio.run(pack_at_rest(hall))
        assert hall.projection.counting_tally("asg_0").windows[late.win].count == count
