"""The pages on which sheets are compared, over HTTP: who may see them, what they say, what bad input gets."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.demo.judge import SimulatedJudge
from app.review.comparing_views import JudgeMeasured
from app.review.judges_pictures import agreement_pictures
from app.rules.agree.agreement import bland_altman
from app.rules.records.document import CompetitionFile
from app.rules.records.marks import Mark
from tests.builders.halls import House, a_house
from tests.builders.slate_day import run_of, the_slate_day

PAGE = {"accept": "text/html"}


def judged_twice() -> CompetitionFile:
    """The first heat; on lane 1 a shadow judge missed every tenth mark, saw the others 0.2 s later, and refused one."""
    import random

    file = the_slate_day(("10:00",))
    run = run_of(file.heats[0], 1, 0, 1_750_000_000_000, "boot-one")
    lane = SimulatedJudge(file.events[0].format, "asg_1_1/1/lane", "lane-1", 1_750_000_000_000, 1.0, random.Random(7)).marks()
    return file.model_copy(update={"runs": (run,), "marks": (*lane, *shadow_of(lane))})


def shadow_of(lane: list[Mark]) -> list[Mark]:
    made = [again(mark, i) for i, mark in enumerate(lane) if mark.kind in ("rep", "norep", "lift") and i % 10]
    first = next(i for i, mark in enumerate(made) if mark.kind == "rep")
    return [*made[:first], replace(made[first], kind="norep"), *made[first + 1 :]]


def again(mark: Mark, i: int) -> Mark:
    return replace(mark, id=f"{i:032x}", sheet="asg_1_1/1/shadow", device="shadow-1", seq=i, at=mark.at + 200)


@pytest.fixture(scope="module")
def compared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    with a_house(tmp_path_factory.mktemp("compared"), file=judged_twice()) as opened:
        yield opened


@pytest.fixture(scope="module")
def desk(compared: House) -> Any:
    return compared.desk()


def test_only_the_desk_compares(compared: House) -> None:
    assert compared.browser().get("/review/compare").status_code == 401
    assert compared.browser().get("/review/compare/asg_1_1").status_code == 401


def test_the_lane_that_was_judged_twice_stands_first_with_both_counts(desk: Any) -> None:
    text = desk.get("/review/compare", headers=PAGE).text
    assert text.index("Lanterns") < text.index("Judged once") < text.index("Chalk &amp; Cheese")
    assert "Judge " in text and "Shadow judge " in text and "Krippendorff" in text
    assert "apart, window by window" in text


def test_two_sheets_are_compared_in_words_and_moment_by_moment(desk: Any) -> None:
    answer = desk.get("/review/compare/asg_1_1", headers=PAGE)
    assert answer.status_code == 200
    assert "Judge: rep. Shadow judge: no rep." in answer.text
    assert "Judge: rep. Shadow judge: nothing marked." in answer.text
    assert ">0.2 s</strong>" in answer.text and "fewer" not in answer.text
    assert answer.text.count('class="dispute"') == answer.text.count("data-since=") > 5


def test_a_film_may_be_played_on_this_page_and_on_no_other_of_the_desk(desk: Any) -> None:
    assert "media-src 'self' blob:" in desk.get("/review/compare/asg_1_1").headers["content-security-policy"]
    assert "blob:" not in desk.get("/review/compare").headers["content-security-policy"]


def test_the_shadow_judges_sheet_changes_no_score(compared: House, desk: Any) -> None:
    hall = compared.app.state.hall
    own, counts = hall.projection.sheet_tally("asg_1_1/1/lane"), hall.projection.counting_tally("asg_1_1")
    assert own.windows == counts.windows
    assert hall.projection.sheet_tally("asg_1_1/1/shadow").windows != own.windows


@pytest.mark.parametrize("within", ["", "1", "0,5", "2.25"])
def test_the_tolerance_can_be_chosen(desk: Any, within: str) -> None:
    assert desk.get("/review/compare/asg_1_1", params={"within": within}, headers=PAGE).status_code == 200


@pytest.mark.parametrize("within", ["soon", "0", "99", "-1", "1e999999", "0.00001", "٣"])
def test_a_tolerance_that_will_not_do_is_told_and_kept(desk: Any, within: str) -> None:
    answer = desk.get("/review/compare/asg_1_1", params={"within": within}, headers=PAGE)
    assert answer.status_code == 422
    assert "0.1 to 10 seconds" in answer.text and f'value="{within}"' in answer.text


def test_a_closer_tolerance_ties_fewer_marks_together(desk: Any) -> None:
    close = desk.get("/review/compare/asg_1_1", params={"within": "0.1"}, headers=PAGE).text
    usual = desk.get("/review/compare/asg_1_1", headers=PAGE).text
    assert close.count('class="tie"') < usual.count('class="tie"')


def test_a_lane_that_there_is_not_and_a_sheet_that_there_is_not(desk: Any) -> None:
    answer = desk.get("/review/compare/nobody", headers=PAGE)
    assert answer.status_code == 404 and "no such lane" in answer.text
    empty = desk.get("/review/compare/asg_1_2", params={"a": "lane", "b": "nonsense"}, headers=PAGE)
    assert empty.status_code == 200 and "Nothing disputed" in empty.text


def test_a_judge_over_many_sheets_has_a_bias_a_plot_and_correlations(desk: Any) -> None:
    listed = desk.get("/review/compare/judges", headers=PAGE).text
    assert "Imre" in listed and "Joss" not in listed
    assert "How far judges agree" in listed and "Who counts more, who fewer" in listed
    page = desk.get("/review/compare/judges/one", params={"name": "Imre"}, headers=PAGE).text
    assert "ICC(2,1)" in page and "more on average" in page and page.count('class="point"') == 4
    missing = desk.get("/review/compare/judges/one", params={"name": "<Nobody>"}, headers=PAGE)
    assert missing.status_code == 404 and "&lt;Nobody&gt;" in missing.text


shares = st.fractions(0, 1, max_denominator=500)
counts = st.lists(st.tuples(st.integers(0, 90), st.integers(0, 90)), max_size=6)


@given(
    st.lists(st.builds(JudgeMeasured, st.text("abc", min_size=1), st.just(2), shares, st.none(), st.builds(bland_altman, counts)))
)
def test_the_pictures_of_judges_draw_what_their_tables_say(judges: list[JudgeMeasured]) -> None:
    pictures = {one.name: one for one in agreement_pictures(judges)}
    assert set(pictures) == {
        *(["agreement-picture"] if judges else []),
        *(["bias-picture"] if any(j.limits for j in judges) else []),
    }
    for picture in pictures.values():
        low, high = (float(tick.words.rstrip(" %")) for tick in (picture.ticks[0], picture.ticks[-1]))
        for panel, row in zip(picture.panels, picture.rows, strict=True):
            assert (panel.name, panel.figure) == row[:2]
            (dot,) = panel.dots
            drawn = low + float(dot.x.rstrip("%")) / 100 * (high - low)
            assert abs(drawn - float(row[1].rstrip(" %"))) <= 0.05 + (high - low) * 0.0001


def test_before_there_is_a_competition_nothing_is_compared(tmp_path: Path) -> None:
    with a_house(tmp_path, competition=False) as house:
        desk = house.desk()
        assert "judged twice yet" in desk.get("/review/compare", headers=PAGE).text
        assert "No judge" in desk.get("/review/compare/judges", headers=PAGE).text


def test_a_window_that_was_never_looked_at_a_second_time_is_not_held_against_anybody(tmp_path: Path) -> None:
    file = judged_twice()
    first = [mark for mark in file.marks if not (mark.sheet.endswith("/shadow") and mark.win != 0)]
    same = [replace(mark, kind="rep") for mark in first if mark.win == 0 and mark.kind in ("rep", "norep")]
    lane = [mark for mark in same if mark.sheet.endswith("/lane")]
    rest = [mark for mark in first if mark.sheet.endswith("/lane") and mark.win not in (0, None)]
    agreed = [again(mark, i) for i, mark in enumerate(lane, start=1)]
    with a_house(tmp_path, file=file.model_copy(update={"marks": (*lane, *rest, *agreed)})) as house:
        assert "same counts" in house.desk().get("/review/compare", headers=PAGE).text
