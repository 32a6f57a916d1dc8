"""The head judge's own door: a password that the desk gives, which opens the review and nothing else."""

from tests.builders.halls import PASSWORD, House, a_mark, sent
from tests.review.test_review_page import JSON, PAGE, judged

HEAD = "four odd little words"


def test_the_desk_gives_the_head_judge_a_password_that_opens_the_review_and_nothing_else(house: House) -> None:
    desk, head = judged(house), house.browser()
    assert head.post("/review/enter", data={"password": HEAD}, headers=PAGE).status_code == 403
    short = desk.post("/review/password", data={"password": "short", "again": "short"}, headers=PAGE)
    assert short.status_code == 422 and "8 to 200 characters" in short.text
    assert desk.post("/review/password", data={"password": HEAD, "again": HEAD}, headers=PAGE).status_code == 303
    answer = head.post("/review/enter", data={"password": HEAD, "next": "/review/results"}, headers=PAGE)
    assert (answer.status_code, answer.headers["location"]) == (303, "/review/results")
    for path in ("/review", "/review/results", "/review/trail", "/review/lanes/asg_1_2", "/review/links", "/review/compare"):
        seen = head.get(path, headers=PAGE)
        assert seen.status_code == 200 and "/desk/leave" not in seen.text, path
    option = '[{"kind": "reps", "assignment": "asg_1_2", "body": {"add": 2, "window": 0, "run": 1}}]'
    ruled = head.post("/review/lanes/asg_1_2/rule", data={"by": "Ruth", "why": "Seen", "option": option}, headers=PAGE)
    assert ruled.status_code == 303 and house.app.state.hall.projection.rulings[0].by == "Ruth"
    for path in ("/desk", "/desk/tablets", "/review/password"):
        assert head.get(path, headers=PAGE).headers["location"].startswith("/desk/enter"), path
    assert head.post("/desk/heats/het_1/abort", data={}).status_code == 401
    assert head.post("/marks", content=sent(a_mark(77, id="7" * 32)), headers=JSON).status_code == 401
    assert head.post("/review/leave", headers=PAGE).status_code == 303
    assert head.get("/review", headers=PAGE).headers["location"].startswith("/review/enter")


def test_the_desks_password_opens_the_review_too_and_the_way_back_stays_inside(house: House) -> None:
    stranger = house.browser()
    assert stranger.get("/review/enter", headers=PAGE).headers["location"] == "/desk/enter?next=/review"
    house.desk()
    head = house.browser()
    form = {"password": PASSWORD, "next": "//elsewhere.example/review"}
    assert head.post("/review/enter", data=form, headers=PAGE).headers["location"] == "/review"


def test_guesses_at_the_head_judges_password_are_counted(house: House) -> None:
    house.desk()
    guesser = house.browser("192.0.2.50")
    statuses = [guesser.post("/review/enter", data={"password": f"wrong {n}"}, headers=PAGE).status_code for n in range(40)]
    assert set(statuses) == {403, 429} and statuses[-1] == 429
