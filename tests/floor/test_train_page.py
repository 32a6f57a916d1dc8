"""Practice through the doors: judges of the roster, calls against the truth, who is calibrated, and the count together."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.rules.agree.practice import practice_set
from app.rules.records.judges import Judge
from tests.builders.halls import House, TestClient, a_house
from tests.builders.slate_day import the_slate_day

PAGE = {"accept": "text/html"}


@pytest.fixture
def hall(tmp_path: Path) -> Iterator[House]:
    file = the_slate_day(("10:00", "10:30", "11:00"))
    judges = (Judge(id="jdg_1", name="Imre <i>"), Judge(id="jdg_2", name="Joss"))
    with a_house(tmp_path, file=file.model_copy(update={"judges": judges})) as opened:
        yield opened


def judged(browser: TestClient, calls: str, seed: int = 5, judge: str = "jdg_1", status: int = 303) -> str:
    form = {"move": "squat", "seed": str(seed), "reps": "20", "calls": calls}
    answer = browser.post(f"/train/set?judge={judge}", data=form, headers=PAGE)
    assert answer.status_code == status, answer.text
    return str(answer.headers.get("location", answer.text))


def all_right(seed: int = 5) -> str:
    return " ".join(f"{rep.end + 120}{'g' if rep.good else 'n'}" for rep in practice_set("squat", seed).reps)


def said(page: str, name: str) -> str:
    found = re.search(rf"<strong>{name}</strong>(.*?)</li>", page, re.S)
    assert found
    return " ".join(re.sub(r"<[^>]+>", " ", found[1]).split())


def test_a_judge_practises_on_a_lanes_tablet_and_the_desk_sees_who_is_calibrated(hall: House) -> None:
    desk, tablet = hall.desk(), hall.tablet(1)
    assert "Imre &lt;i&gt; (Not passed yet)" in tablet.get("/train", headers=PAGE).text
    page = tablet.get("/train/set?judge=jdg_1&move=squat", headers=PAGE).text
    assert "&#34;reps&#34;: [{&#34;start&#34;: 3000" in page and "No rep for: not deep enough, not stood up." in page
    shown = tablet.get(judged(tablet, all_right()), headers=PAGE).text
    assert "100 % right" in shown and "20 of 20 repetitions judged right." in shown and "reached." in shown
    practice = desk.get("/desk/practice", headers=PAGE).text
    assert said(practice, "Imre &lt;i&gt;").startswith("Passed 100 % of 20 right, Back squat")
    assert said(practice, "Joss") == "Not passed yet no practice yet"


def test_below_the_level_says_what_was_let_through_and_the_last_set_counts(hall: House) -> None:
    desk, tablet = hall.desk(), hall.tablet(1)
    judged(tablet, all_right())
    hall.clocks.pass_ms(60_000)
    shown = tablet.get(judged(tablet, all_right().replace("n", "g")), headers=PAGE).text
    assert "70 % right" in shown and "Not deep enough: 3 let through." in shown and "not reached" in shown
    assert said(desk.get("/desk/practice", headers=PAGE).text, "Imre &lt;i&gt;").startswith("Below the pass mark 70 %")
    answer = desk.post("/desk/practice/rules", data={"level": "70", "tolerance": "900", "reps": "20"}, headers=PAGE)
    assert answer.status_code == 303
    hall.clocks.pass_ms(1_000)
    judged(tablet, all_right().replace("n", "g"))
    assert said(desk.get("/desk/practice", headers=PAGE).text, "Imre &lt;i&gt;").startswith("Passed 70 %")


def test_what_cannot_be_read_is_refused_and_nothing_is_kept(hall: House) -> None:
    desk, tablet = hall.desk(), hall.tablet(1)
    for changed in ({"calls": "12x"}, {"calls": "5g " * 500}, {"seed": "-1"}, {"reps": "9999"}, {"move": "juggling"}):
        form = {"move": "squat", "seed": "5", "reps": "20", "calls": "", **changed}
        assert tablet.post("/train/set?judge=jdg_1", data=form, headers=PAGE).status_code == 422, changed
    judged(tablet, "", judge="jdg_9", status=404)
    assert tablet.get("/train/result/nothing", headers=PAGE).status_code == 404
    assert "no practice yet" in said(desk.get("/desk/practice", headers=PAGE).text, "Joss")
    wrong = desk.post("/desk/practice/rules", data={"level": "101", "tolerance": "900", "reps": "20"}, headers=PAGE)
    assert wrong.status_code == 422 and 'value="101"' in wrong.text and "from 1 to 100" in wrong.text


def test_strangers_do_not_practise_in_a_judges_name(hall: House) -> None:
    stranger = hall.browser("192.0.2.9")
    assert stranger.get("/train", headers=PAGE).status_code == 303
    assert stranger.post("/train/set?judge=jdg_1", data={"move": "squat"}).status_code == 401
    assert stranger.get("/desk/practice", headers=PAGE).status_code == 303


def test_all_lanes_count_the_same_ten_and_the_desk_sees_who_got_ten(hall: House) -> None:
    desk, tablets = hall.desk(), [hall.tablet(lane) for lane in (1, 2, 3)]
    assert tablets[0].get("/ten/now").json() == {"open": ""}
    assert tablets[0].post("/ten/count", data={"count": "10"}).status_code == 409
    assert desk.post("/desk/practice/together", data={"shown": "10", "do": "begin"}, headers=PAGE).status_code == 303
    assert tablets[0].get("/ten/now").json()["open"]
    for tablet, count in zip(tablets, ("10", "9", "12"), strict=True):
        assert tablet.post("/ten/count", data={"count": count}).json() == {"count": int(count)}
    lanes = " ".join(re.sub(r"<[^>]+>", " ", desk.get("/desk/practice/lanes").text).split())
    assert "1 of 3 counted 10." in lanes
    assert all(words in lanes for words in ("1 10 10, right", "2 9 1 too few", "3 12 2 too many"))
    tablets[1].post("/ten/count", data={"count": "10"})  # the later word of a lane holds
    assert "2 of 3 counted 10." in desk.get("/desk/practice/lanes").text
    assert tablets[2].post("/ten/count", data={"count": "many"}).status_code == 422
    desk.post("/desk/practice/together", data={"do": "end"}, headers=PAGE)
    assert tablets[0].post("/ten/count", data={"count": "3"}).status_code == 409
    assert "Ended." in desk.get("/desk/practice/lanes").text


def test_a_lane_that_has_not_counted_is_seen_and_the_desk_counts_for_nobody(hall: House) -> None:
    desk, _ = hall.desk(), hall.tablet(4)
    desk.post("/desk/practice/together", data={"shown": "", "do": "begin"}, headers=PAGE)
    assert "Not yet" in desk.get("/desk/practice/lanes").text
    assert desk.post("/ten/count", data={"count": "10"}).status_code == 422
    wrong = desk.post("/desk/practice/together", data={"shown": "0", "do": "begin"}, headers=PAGE)
    assert wrong.status_code == 422 and "from 1 to 100" in wrong.text
