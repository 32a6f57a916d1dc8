"""An event in pictures: the best as it moved, and a heat's counts, both the numbers of the standings and of the tallies."""

import itertools
import random
from collections.abc import Iterator

import pytest

from app.demo.judge import SimulatedJudge
from app.results.best_pictures import as_they_came
from app.results.counts_pictures import counts_pictures, lane_counted
from app.results.event_pictures import event_pictures
from app.rules.records.document import CompetitionFile
from tests.builders.halls import House, a_house
from tests.builders.slate_day import run_of, the_slate_day

PAGE = {"accept": "text/html"}


def two_heats() -> CompetitionFile:
    """The first two heats of the Slate Day, judged by simulated judges."""
    file = the_slate_day(("10:00", "10:20", "10:40"))
    runs = tuple(run_of(heat, 1, 0, 1_750_000_000_000, "boot-one") for heat in file.heats[:2])
    marks = [
        mark
        for n, lane in enumerate(lane for heat in file.heats[:2] for lane in heat.lanes)
        for mark in SimulatedJudge(
            file.events[0].format, f"{lane.id}/1/lane", f"tab-{n}", 1_750_000_000_000 + n * 1000, 0.8 + n / 20, random.Random(n)
        ).marks()
    ]
    return file.model_copy(update={"runs": runs, "marks": tuple(marks)})


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    with a_house(tmp_path_factory.mktemp("pictures"), file=two_heats()) as opened:
        yield opened


def test_everybody_sees_an_event_in_pictures_and_comes_to_it_from_the_results(house: House) -> None:
    anybody = house.browser()
    event = two_heats().events[0].id
    assert f'href="/pictures/{event}"' in anybody.get("/results", headers=PAGE).text
    text = anybody.get(f"/pictures/{event}", headers=PAGE).text
    assert (
        "How the best score moved" in text and "The same numbers as a table" in text and "heat clock, in minutes:seconds" in text
    )
    assert f'href="/pictures/{event}/{two_heats().heats[0].id}#heat-title"' in text


def test_what_there_is_not_is_said_in_a_sentence(house: House) -> None:
    event = two_heats().events[0].id
    anybody = house.browser()
    assert anybody.get("/pictures/evt_none", headers=PAGE).status_code == 404
    assert anybody.get(f"/pictures/{event}/hea_none", headers=PAGE).status_code == 404
    assert (
        "Nothing was counted in this heat yet." in anybody.get(f"/pictures/{event}/{two_heats().heats[2].id}", headers=PAGE).text
    )


def test_the_newest_of_the_best_is_the_first_of_the_standing_and_each_was_better_than_the_last(house: House) -> None:
    hall = house.app.state.hall
    event = hall.projection.roster.events[0]
    numbers = {lane.id: heat.number for heat in hall.projection.roster.heats for lane in heat.lanes}
    for table in hall.projection.event_results(event.id).tables:
        came = as_they_came(table, numbers)
        assert sorted(one.entry for one in came) == sorted(row.entry.name for row in table.rows if row.place is not None)
        best = [one for one in came if one.best]
        first = next(row for row in table.rows if row.place == 1)
        assert best[-1].score.key == first.score.key
        assert all(after.score.key < one.score.key for one, after in itertools.pairwise(best))
    drawn = event_pictures(hall, event.id)
    for picture in drawn.best:
        (panel,) = picture.panels
        assert len(panel.dots) == len(picture.rows)
        assert sum(dot.tone == "now" for dot in panel.dots) == sum(row[3] == "yes" for row in picture.rows)


def test_the_counts_of_a_heat_end_at_what_the_lanes_hold(house: House) -> None:
    hall = house.app.state.hall
    heat, event = hall.projection.roster.heats[0], hall.projection.roster.events[0]
    lanes = [lane_counted(hall, lane.id, f"lane {lane.lane}") for lane in heat.lanes]
    for lane, counted in zip(heat.lanes, lanes, strict=True):
        tally = hall.projection.counting_tally(lane.id)
        assert counted.reps == sum(len(window.reps) for window in tally.windows)
        assert len(counted.lifts) == sum(len(window.lifts) for window in tally.windows)
        assert counted.refused == sum(window.norep for window in tally.windows if not window.lifts)
    for picture in counts_pictures(event.format, lanes):
        drawn = sum(len(panel.strokes) for panel in picture.panels) or sum(len(panel.dots) for panel in picture.panels)
        assert drawn == len(picture.rows)
