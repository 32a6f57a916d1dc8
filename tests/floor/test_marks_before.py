"""A tablet goes on with the version it has loaded until its heat is over: what it sends is taken, from the first version on."""

import json
from pathlib import Path

import pytest

from tests.builders.halls import House

OLD = sorted((Path(__file__).parent / "old").glob("marks-*.json"))


@pytest.mark.parametrize("sent", OLD, ids=lambda path: path.stem)
def test_what_a_tablet_of_an_earlier_version_sends_is_stored_whole(house: House, sent: Path) -> None:
    tablet = house.tablet(1)
    me = tablet.get("/lane/packet").json()["device"]["id"]
    marks = [mark | {"device": me} for mark in json.loads(sent.read_text(encoding="utf-8"))["marks"]]
    answer = tablet.post("/marks", json={"marks": marks}).json()
    assert answer["refused"] == [] and answer["held"] == {"1": len(marks)}
    assert sorted(mark.id for mark in house.marks()) == sorted(mark["id"] for mark in marks)


def test_there_is_a_sample_of_the_first_version() -> None:
    kinds = {mark["kind"] for mark in json.loads(OLD[0].read_text(encoding="utf-8"))["marks"]}
    assert len(kinds) == 11, "every kind of mark that it knew"
