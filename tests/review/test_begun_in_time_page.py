"""A bar that left about as its time ended, before the head judge: what was struck out is given back, what is in doubt ruled."""

import html
import re
from collections.abc import Iterator
from typing import Any

import pytest

from tests.builders.halls import House, TestClient, a_house, a_mark, sent
from tests.builders.platforms import a_meet, a_platform_file, lifter

PAGE, JSON = {"accept": "text/html"}, {"content-type": "application/json"}
WHO = {"by": "Ruth", "why": "The whistle, and the film"}
LOAD = {"amount": "105", "unit": "kg"}
BELL_MS = 3_600_000
HOUR = 4_000_000


@pytest.fixture
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    with a_house(tmp_path_factory.mktemp("review"), file=a_platform_file(a_meet(judges="1"), lifters=2)) as house:
        yield house


def lifted(house: House, called_ms: int, out_ms: int, bound_ms: int) -> TestClient:
    """A desk; the first lifter was called, and their bar left its rack so late, by the clock of a tablet that may be off."""
    desk = house.desk()
    assert desk.post("/desk/heats/heat_1/go", data={}).status_code == 200
    house.clocks.pass_ms(HOUR)
    said = a_mark(1, "asg_1/1/lane", kind="declare", at=called_ms - 5_000, win=0, body={"load": LOAD, "by": "judge"})
    of: dict[str, Any] = {"declared": said["id"]}
    marks = [
        said,
        a_mark(2, "asg_1/1/lane", kind="called", at=called_ms, win=0, body=of, err=0),
        a_mark(3, "asg_1/1/lane", kind="begun", at=out_ms, win=0, body=of, err=bound_ms),
        a_mark(4, "asg_1/1/lane", kind="lift", at=out_ms + 4_000, win=0, body={"load": LOAD, "good": True} | of),
    ]
    assert desk.post("/marks", content=sent(*marks), headers=JSON).json()["refused"] == []
    return desk


def best(house: House) -> str | None:
    found = house.app.state.hall.projection.counting_tally("asg_1").windows[0].best
    return found.load.text() if found else None


@pytest.mark.parametrize(
    ("called_ms", "out_ms", "bound_ms", "flag", "counts", "after"),
    [
        (100_000, 170_000, 5, "attempt-late", None, "105 kg"),
        (100_000, 161_500, 2_000, "attempt-doubt", "105 kg", None),
        (100_000, 160_500, 2_000, "attempt-doubt", "105 kg", None),
        (BELL_MS - 2_000, BELL_MS + 9_000, 5, "begun-late", None, "105 kg"),
        (BELL_MS - 2_000, BELL_MS + 1_500, 2_000, "begun-doubt", "105 kg", None),
    ],
)
def test_what_suggests_itself_is_to_give_back_what_a_clock_took_and_to_take_what_it_left_in_doubt(
    house: House, called_ms: int, out_ms: int, bound_ms: int, flag: str, counts: str | None, after: str | None
) -> None:
    desk = lifted(house, called_ms, out_ms, bound_ms)
    assert best(house) == counts
    queue = html.unescape(desk.get("/review", headers=PAGE).text)
    assert f"asg_1:1:{flag}:0" in queue and lifter(1) in queue
    page = desk.get(f"/review/lanes/asg_1?flag=asg_1:1:{flag}:0", headers=PAGE)
    option = re.search(r'name="option" value="([^"]*)"', page.text)
    assert option, "a ruling suggests itself"
    answer = desk.post("/review/lanes/asg_1/rule", data={**WHO, "option": html.unescape(option[1])}, headers=PAGE)
    assert answer.status_code == 303 and best(house) == after
