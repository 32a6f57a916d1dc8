"""Paper keyed in: two typings, differences shown, nothing counts before two agree or somebody settles it, and a way back."""

import html
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.rules.workout.formats import ListTask
from app.rules.workout.paper_rows import paper_windows
from app.rules.workout.presets import PRESETS
from tests.builders.cast import a_competition, a_format
from tests.builders.halls import House, TestClient, a_house, a_mark, sent

PAGE = {"accept": "text/html"}
KEY = "/desk/paper/key/asg_3_1"
# A: 33 taps, 96 kg good and 101 not, 88 push-ups. B: 29 taps, 74 kg, 81 push-ups. 33 + 29 + 96 + 74 + 88 + 81 = 401 kg.
SHEET = {
    "w0": "33",
    "w2": "29",
    "w4-t0": "96",
    "w4-t0-good": "good",
    "w4-t1": "101",
    "w4-t1-good": "no",
    "w5-t0": "74 kg",
    "w5-t0-good": "good",
    "w7": "88",
    "w9": "81",
    "sign-judge": "Imre",
}


def key(desk: TestClient, by: str, path: str = KEY, status: int = 303, **changes: str) -> str:
    sitting = re.search(r'name="sitting" value="([^"]+)"', desk.get(path, headers=PAGE).text)
    assert sitting
    answer = desk.post(path, data=SHEET | {"by": by, "sitting": sitting[1]} | changes, headers=PAGE)
    assert answer.status_code == status, answer.text[:3000]
    return str(answer.text)


def paper_marks(house: House) -> list[str]:
    return [mark.kind for mark in house.marks() if mark.sheet.endswith("/paper")]


def score(house: House, assignment: str = "asg_3_1") -> str:
    found = house.app.state.hall.projection.event_results("evt_turns")
    return next(
        (row.score.text for table in found.tables for row in table.rows if row.assignment == assignment and row.score), ""
    )


def state(desk: TestClient) -> str:
    listed = desk.get("/desk/paper/key", headers=PAGE).text
    found = re.search(rf'href="{KEY}">.*?data-state="\w+">([^<]*)', listed)
    assert found
    return found[1]


def test_the_page_of_paper_offers_every_sheet_of_an_event(house: House) -> None:
    desk, sheets = house.desk(), house.app.printed()  # type: ignore[attr-defined]
    shown = html.unescape(desk.get("/desk/paper", headers=PAGE).text)
    assert {"All scoresheets", "Heat sheet"} <= set(sheets.values())
    for address, words in sheets.items():
        link = address.replace("{event}", "evt_turns")
        assert f'<a class="button" href="{link}">{words}</a>' in shown
        assert desk.get(link, headers=PAGE).status_code == 200


def test_one_typing_counts_for_nothing_and_the_second_that_agrees_stores_the_sheet(house: House) -> None:
    desk = house.desk()
    key(desk, "Kim")
    assert (paper_marks(house), score(house), state(desk)) == ([], "", "Keyed in once by Kim")
    house.clocks.pass_ms(60_000)
    key(desk, "Lee", **{"w4-t0": "96 kg", "w2": "029"})  # another way to write the same
    assert (score(house), state(desk)) == ("401", "Saved by Kim and Lee")
    kinds = paper_marks(house)
    assert kinds.count("rep") == 231 and kinds.count("lift") == 3 and kinds.count("sign") == 1
    notes = [mark.body["text"] for mark in house.marks() if mark.kind == "note"]
    assert notes == ["Keyed in from paper by Kim and Lee."]


def test_the_first_typing_is_not_shown_to_the_second_person(house: House) -> None:
    desk = house.desk()
    key(desk, "Kim", w0="1417")
    again = desk.get(KEY, headers=PAGE).text
    assert "1417" not in again and "Keyed in once" in again


def test_differences_are_shown_field_by_field_and_settled_by_name(house: House) -> None:
    desk = house.desk()
    key(desk, "Kim")
    house.clocks.pass_ms(60_000)
    key(desk, "Lee", w2="24", **{"w5-t0-good": "no"})
    page = desk.get(KEY, headers=PAGE).text
    assert paper_marks(house) == [] and state(desk) == "The two differ by Kim and Lee"
    assert re.findall(r'<fieldset class="key-differs" id="take-([^"]*)"', page) == ["w2", "w5-t0-good"]
    assert "Kim: <b>29</b>" in page and "Lee: <b>24</b>" in page
    nobody = desk.post(f"{KEY}/settle", data={"take-w2": "first"}, headers=PAGE)
    assert (
        nobody.status_code == 422
        and "The name of whoever settles it is missing." in nobody.text
        and 'value="first" checked' in nobody.text
    )
    settled = {"by": "Head judge Ro", "take-w2": "other", "other-w2": "27", "take-w5-t0-good": "first"}
    assert desk.post(f"{KEY}/settle", data=settled, headers=PAGE).status_code == 303
    assert (score(house), state(desk)) == ("399", "Saved by Kim and Lee")
    [note] = [mark.body["text"] for mark in house.marks() if mark.kind == "note"]
    assert "settled by Head judge Ro" in note and "Repetitions" not in note and "27 (29 or 24)" in note


def test_a_third_person_who_agrees_with_one_of_two_ends_it(house: House) -> None:
    desk = house.desk()
    sittings = [{"by": "Kim", "w2": "29"}, {"by": "Lee", "w2": "24"}, {"by": "Mo", "w2": "24"}]
    for number, said in enumerate(sittings):
        assert desk.post(KEY, data=SHEET | said | {"sitting": f"s{number}"}, headers=PAGE).status_code == 303
    assert score(house) == "396"


def test_the_same_form_sent_twice_is_not_two_people(house: House) -> None:
    desk = house.desk()
    for _ in range(2):
        assert desk.post(KEY, data=SHEET | {"by": "Kim", "sitting": "one"}, headers=PAGE).status_code == 303
    assert (paper_marks(house), state(desk)) == ([], "Keyed in once by Kim")


def test_bad_input_is_told_beside_its_field_and_nothing_is_kept(house: House) -> None:
    desk = house.desk()
    text = key(desk, "", status=422, w0="many", **{"w4-t1-good": "", "w5-t0": "", "w9": "81"})
    for sentence in (
        "The name of whoever keys it in is missing.",
        "not “many”",
        "Try 2: was it good, or not?",
        "Try 1 has an outcome but no load.",
    ):
        assert sentence in text, sentence
    assert 'value="many"' in text and 'value="81"' in text and state(desk) == "Not keyed in"


def test_what_was_stored_can_be_taken_back_and_keyed_in_anew(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    desk = house.desk()
    # The clock of this house stands, and the same number is drawn again and again: no two keyings may come to share one.
    monkeypatch.setattr("app.floor.totals.secrets.randbelow", lambda most: 7)
    key(desk, "Kim")
    key(desk, "Lee")
    assert desk.post(KEY, data=SHEET | {"by": "Mo", "sitting": "late"}, headers=PAGE).status_code == 404
    assert desk.post(f"{KEY}/back", headers=PAGE).status_code == 303
    assert (score(house) in ("", "0"), state(desk)) == (True, "Not keyed in")
    key(desk, "Kim", w0="40")
    key(desk, "Mo", w0="40")
    assert score(house) == "408"


def test_paper_is_the_desks_alone(house: House) -> None:
    visitor = house.browser()
    for path in ("/desk/paper", KEY, "/desk/paper/evt_turns/sheets", "/desk/paper/evt_turns/heats"):
        assert visitor.get(path, headers=PAGE).status_code == 303
    assert visitor.post(KEY, data=SHEET | {"by": "Eve"}, headers={}).status_code in (401, 403)
    assert paper_marks(house) == []


@pytest.fixture
def shared(tmp_path: Path) -> Iterator[House]:
    """A pair at one bar, each member's best added up."""
    format = PRESETS["max_load"].make({"members": "2", "use": "shared"})
    with a_house(tmp_path, file=a_competition(format, {"Pairs": ["Larks"]})) as opened:
        yield opened


def test_at_a_shared_bar_each_attempt_says_whose_it_was(shared: House) -> None:
    desk, path = shared.desk(), "/desk/paper/key/asg_1"
    tries = {"w0-t0": "100", "w0-t0-good": "good", "w0-t0-who": "1", "w0-t1": "60", "w0-t1-good": "good", "w0-t1-who": ""}
    text = desk.post(path, data={**tries, "by": "Kim", "sitting": "a"}, headers=PAGE).text
    assert "Try 2: who lifted?" in text
    for number, by in enumerate(("Kim", "Lee")):
        answer = desk.post(path, data={**tries, "w0-t1-who": "2", "by": by, "sitting": str(number)}, headers=PAGE)
        assert answer.status_code == 303
    [table] = shared.app.state.hall.projection.event_results("evt").tables
    assert table.rows[0].score is not None and table.rows[0].score.text == "160"


def test_as_many_attempts_as_time_allows_have_a_row_each_on_paper_and_can_be_keyed_in(shared: House) -> None:
    """Two at one bar for eight minutes, an attempt each half minute: sixteen rows, and as many more as the back may hold."""
    desk, path = shared.desk(), "/desk/paper/key/asg_1"
    sheet = desk.get("/desk/paper/evt/sheets", headers=PAGE).text
    assert re.findall(r"<tr><td>([0-9]+)</td>", sheet) == [str(n) for n in range(1, 17)]
    assert "More tries: on the back" in sheet
    form = desk.get(path, headers=PAGE).text
    assert 'name="w0-t25"' in form and 'name="w0-t26"' not in form
    tries = {f"w0-t{n}{end}": said for n in range(20) for end, said in (("", str(60 + n)), ("-good", "good"), ("-who", "1"))}
    for number, by in enumerate(("Kim", "Lee")):
        assert desk.post(path, data={**tries, "by": by, "sitting": str(number)}, headers=PAGE).status_code == 303
    [table] = shared.app.state.hall.projection.event_results("evt").tables
    assert table.rows[0].score is not None and table.rows[0].score.text == "79"


def test_every_attempt_that_an_event_allows_has_its_row_for_each_member() -> None:
    def rows(**knobs: str) -> tuple[int, str]:
        [window] = paper_windows(PRESETS["max_load"].make({"use": "shared", **knobs}))
        return window.rows, window.more

    assert rows(attempts="12", members="2") == (24, "")
    assert rows(attempts="40", members="2") == (60, "More tries: on the back, in the same columns.")
    assert rows(window="1:00") == (4, "More tries: on the back, in the same columns.")


@pytest.fixture
def parted(tmp_path: Path) -> Iterator[House]:
    """Two who do a list again and again, parted by the time at the end of the second round."""
    swings = {"movement": "swing", "reps": 3}
    task = ListTask.model_validate({"items": [swings, {"movement": "squat", "reps": 2}], "rounds": None})
    format = a_format(task, ties=({"kind": "time_at", "point": {"round": 2}},))
    with a_house(tmp_path, file=a_competition(format, {"Open": ["Larks", "Crows"]})) as opened:
        yield opened


def twice(desk: TestClient, lane: int, **fields: str) -> str:
    """What the page says after two people have typed the same."""
    path, text = f"/desk/paper/key/asg_{lane}", ""
    for sitting, by in enumerate(("Kim", "Lee")):
        text = desk.post(path, data={**fields, "by": by, "sitting": str(sitting)}, headers=PAGE).text
    return text


def test_a_time_at_a_point_is_written_on_paper_and_keyed_in_and_parts_equal_scores(parted: House) -> None:
    desk = parted.desk()
    sheet = desk.get("/desk/paper/evt/sheets", headers=PAGE).text
    assert sheet.count("Tie: time at the end of round 2 (m:ss)") == 2 and sheet.count("write the time") == 2
    assert "Tie: time at the end of round 2" in desk.get("/desk/paper/key/asg_1", headers=PAGE).text
    twice(desk, 1, w0="12", **{"w0-at10": "0:41"})
    twice(desk, 2, w0="12", **{"w0-at10": "0:40.5"})
    rows = parted.app.state.hall.projection.event_results("evt").tables[0].rows
    assert [(row.entry.name, row.place, row.by_tie) for row in rows] == [("Crows", 1, 0), ("Larks", 2, 0)]
    reps = sorted(mark.at for mark in parted.marks() if mark.kind == "rep" and mark.sheet == "asg_2/1/paper")
    assert len(reps) == 12 and reps[9] == 40_500 and reps[-1] < 60_000


def test_nobody_gains_by_a_time_that_was_not_written_down(parted: House) -> None:
    desk = parted.desk()
    twice(desk, 1, w0="12")
    twice(desk, 2, w0="12", **{"w0-at10": "0:59"})
    rows = parted.app.state.hall.projection.event_results("evt").tables[0].rows
    assert [(row.entry.name, row.place) for row in rows] == [("Crows", 1), ("Larks", 2)]


@pytest.mark.parametrize(
    ("done", "time", "said"),
    [
        ("9", "0:40", "too few repetitions to get there"),
        ("12", "1:05", "is later than the point after it"),
        ("12", "forty", "minutes:seconds since the start of the window"),
    ],
)
def test_a_time_that_can_not_be_is_asked_for_again(parted: House, done: str, time: str, said: str) -> None:
    assert said in twice(parted.desk(), 1, w0=done, **{"w0-at10": time})
    assert parted.marks() == []


def test_a_list_that_only_the_bell_ends_is_asked_no_finish(parted: House) -> None:
    desk = parted.desk()
    assert 'name="w0-finish"' not in desk.get("/desk/paper/key/asg_1", headers=PAGE).text
    assert 'name="w0-finish"' not in desk.get("/desk/backups/totals?assignment=asg_1", headers=PAGE).text


def test_a_paper_is_waited_for_no_more_and_the_list_tells_it_from_a_lane_with_a_tablet(parted: House) -> None:
    desk = parted.desk()
    content = sent(a_mark(1, "asg_2/1/lane"))
    assert desk.post("/marks", content=content, headers={"content-type": "application/json"}).status_code == 200
    for sitting, by in enumerate(("Kim", "Lee")):
        desk.post("/desk/paper/key/asg_1", data={"w0": "12", "by": by, "sitting": str(sitting)}, headers=PAGE)
        parted.clocks.pass_ms(1_000)
    assert "Keyed in by Kim (just now) and Lee (just now)." in desk.get("/desk/paper/key/asg_1", headers=PAGE).text
    assert "totals read out" not in desk.get("/desk", headers=PAGE).text
    assert listed(desk) == {"Larks": "Saved by Kim and Lee", "Crows": PART}


PART = "Marks from a tablet, not signed"


def listed(desk: TestClient) -> dict[str, str]:
    """What the list of papers says of each entry."""
    page = desk.get("/desk/paper/key", headers=PAGE).text
    return dict(re.findall(r"<strong>[^<]*: (\w+)</strong></a> <span[^>]*>([^<]*)", page))


def test_a_paper_is_needed_no_more_once_its_judge_has_signed_on_the_tablet(parted: House) -> None:
    desk = parted.desk()
    rep = a_mark(1, "asg_2/1/lane")
    strike = a_mark(2, "asg_2/1/lane", kind="strike", win=None, body={"mark": rep["id"]})
    sign = a_mark(4, "asg_2/1/lane", kind="sign", win=None, body={"who": "judge", "name": "Kim"})
    said = []
    for mark in (rep, strike, a_mark(3, "asg_2/1/lane"), sign):
        assert desk.post("/marks", content=sent(mark), headers={"content-type": "application/json"}).status_code == 200
        said.append(listed(desk)["Crows"])
    assert said == [PART, "Not keyed in", PART, "Signed on a tablet"]


def test_who_settles_a_difference_is_asked_by_the_names_that_stand_there(parted: House) -> None:
    desk = parted.desk()
    for sitting, (by, done) in enumerate((("Kim", "12"), ("Lee", "13"))):
        desk.post("/desk/paper/key/asg_1", data={"w0": done, "by": by, "sitting": str(sitting)}, headers=PAGE)
        parted.clocks.pass_ms(1_000)
    refused = html.unescape(desk.post("/desk/paper/key/asg_1/settle", data={"by": "Ruth"}, headers=PAGE).text)
    assert "Choose one of: Kim's, Lee's, neither." in refused
