"""An entry that was judged on two lanes of one event: the results say that it is to be decided, and the queue offers both."""

import html
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from app.rules.records.document import CompetitionFile
from app.rules.workout.formats import CountTask
from tests.builders.cast import a_competition, a_format, reps
from tests.builders.halls import House, a_house

PAGE = {"accept": "text/html"}


def judged_twice() -> CompetitionFile:
    """Ana in both heats, five repetitions in the first and one stray tap in the second; Bo with three."""
    marks = reps(5, lane=1) + reps(3, lane=2) + reps(1, lane=9)
    plain = a_competition(a_format(CountTask(movement="swing")), {"Open": ["Ana", "Bo"]}, marks).model_dump(mode="json")
    second = {"id": "late", "event": "evt", "number": 2, "lanes": [{"id": "asg_9", "lane": 1, "entry": "ent_1"}]}
    return CompetitionFile.model_validate({**plain, "heats": [*plain["heats"], second]})


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with a_house(tmp_path, file=judged_twice()) as opened:
        yield opened


def text_of(answer: Any) -> str:
    return html.unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.text)))


def test_a_stray_tap_on_the_lane_of_another_heat_waits_for_the_head_judge(house: House) -> None:
    desk = house.desk()
    assert "judged twice, to be decided" in text_of(desk.get("/results/evt", headers=PAGE))
    queue = desk.get("/review", headers=PAGE)
    assert "Judged in heat 1, lane 1 and heat 2, lane 1. Until somebody decides, heat 1, lane 1 counts" in text_of(queue)
    (link,) = set(re.findall(r'href="(/review/lanes/asg_1\?flag=[^"]*twice[^"]*)"', queue.text))
    page = desk.get(html.unescape(link), headers=PAGE)
    options = [html.unescape(one) for one in re.findall(r'name="option" value="([^"]*)"', page.text)]
    assert "What was judged in heat 2, lane 1 counts" in text_of(page) and len(options) >= 2
    (again,) = [one for one in options if '"again": "asg_9", "counts": "again"' in one or '"counts":"again"' in one]
    made = desk.post("/review/lanes/asg_1/rule", data={"by": "Ruth", "why": "Her rope broke", "option": again}, headers=PAGE)
    assert made.status_code == 303
    rows = house.app.state.hall.projection.event_results("evt").tables[0].rows
    assert [(row.entry.name, row.score and row.score.text, row.twice) for row in rows] == [("Bo", "3", ()), ("Ana", "1", ())]
    assert "judged twice" not in text_of(desk.get("/results/evt", headers=PAGE))
