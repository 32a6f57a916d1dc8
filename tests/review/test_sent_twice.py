"""What a slow network or an impatient finger sends twice is one ruling, one protest, one sign-off."""

import re
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest

from app.review import protesting, signing
from tests.builders.halls import House, a_mark, sent
from tests.review.test_review_page import JSON, OUTSIDE, PAGE, WHO, judged, option_of, text_of
from tests.review.test_review_results_page import EVENT, RESULTS, over, own_link, protests, sign_form


def once_of(page: Any) -> str:
    found = re.search(r'name="once" value="([^"]+)"', page.text)
    assert found, "the form names this opening of it"
    return found[1]


def test_a_ruling_that_is_sent_twice_counts_once_and_another_of_the_same_form_is_another(house: House) -> None:
    desk = judged(house)
    page = desk.get("/review/lanes/asg_1_1?kind=reps&add=2&window=0", headers=PAGE)
    form = {**WHO, "once": once_of(page), "option": option_of(page)}
    first, again = (desk.post("/review/lanes/asg_1_1/rule", data=form, headers=PAGE) for _ in range(2))
    assert first.status_code == again.status_code == 303
    assert first.headers["location"] == again.headers["location"]
    hall = house.app.state.hall
    assert [one.body["add"] for one in hall.projection.rulings] == [2]
    assert "Ruling made." in text_of(desk.get(again.headers["location"], headers=PAGE))
    # Back in the browser, and another number on the same page.
    other = form | {"option": form["option"].replace('"add": 2', '"add": 1')}
    assert desk.post("/review/lanes/asg_1_1/rule", data=other, headers=PAGE).status_code == 303
    fresh = once_of(desk.get("/review/lanes/asg_1_1?kind=reps&add=2&window=0", headers=PAGE))
    assert desk.post("/review/lanes/asg_1_1/rule", data=form | {"once": fresh}, headers=PAGE).status_code == 303
    assert [one.body["add"] for one in hall.projection.rulings] == [2, 1, 2]
    back = f"/review/lanes/asg_1_1/undo/{hall.projection.rulings[0].id}"
    assert desk.post(back, data={"by": "Ruth", "why": "The other lane"}, headers=PAGE).status_code == 303
    for _ in range(2):
        assert desk.post("/review/lanes/asg_1_1/rule", data=form, headers=PAGE).status_code == 303
    adds = [one.body["add"] for one in hall.projection.standing_rulings if one.kind == "reps"]
    assert adds == [1, 2, 2], "taken back, then made anew"


def test_a_ruling_that_settles_its_flag_settles_it_once(house: House) -> None:
    desk = judged(house)
    page = desk.get(f"/review/lanes/asg_1_2?flag={OUTSIDE}", headers=PAGE)
    form = {**WHO, "once": once_of(page), "flag": OUTSIDE, "option": option_of(page)}
    for _ in range(2):
        assert desk.post("/review/lanes/asg_1_2/rule", data=form, headers=PAGE).status_code == 303
    assert [one.kind for one in house.app.state.hall.projection.rulings] == ["reps", "flag"]


def test_a_protest_that_is_sent_twice_waits_for_one_answer(house: House) -> None:
    desk = over(house)
    link, text = own_link(desk, "Lanterns"), {"event": EVENT, "text": "One of ours was not counted"}
    for _ in range(2):
        assert house.browser("192.0.2.9").post(link, data=text, headers=PAGE).status_code == 303
    brought = {"entry": "ent_1", "event": EVENT, "by": "Coach", "text": "One of ours was not counted"}
    for _ in range(2):
        assert desk.post("/review/protests", data=brought, headers=PAGE).status_code == 303
    assert protests(house) == [text["text"]] * 2, "one by the link, one at the desk"
    for one in house.app.state.hall.projection.roster.protests:
        assert desk.post(f"/review/protests/{one.id}", data={**WHO, "decision": "refused"}).status_code == 303
    assert house.browser("192.0.2.9").post(link, data=text, headers=PAGE).status_code == 303
    assert len(protests(house)) == 3, "one that was answered does not stand for a new one"
    for number in range(2, protesting.MOST_OPEN + 2):
        more = text | {"text": f"Number {number}"}
        codes = [house.browser("192.0.2.9").post(link, data=more, headers=PAGE).status_code for _ in range(2)]
        assert codes == ([303] * 2 if number <= protesting.MOST_OPEN else [422] * 2), "the last that may wait is sent twice too"


def test_of_two_who_sign_at_once_one_has(house: House) -> None:
    desk, phone = over(house), house.desk()
    form = sign_form(desk)
    with ThreadPoolExecutor(2) as both:
        asked = [both.submit(who.post, _sign(), data=form, headers=PAGE) for who in (desk, phone)]
        codes = [one.result().status_code for one in asked]
    assert sorted(codes) == [303, 422]
    kinds = [one.kind for one in house.app.state.hall.projection.rulings]
    assert kinds.count("sign_off") == 1
    opened = [desk.post(f"/review/events/{EVENT}/open", data=WHO, headers=PAGE).status_code for _ in range(2)]
    assert opened == [303, 422]


def _sign() -> str:
    return f"/review/events/{EVENT}/sign-off"


@pytest.mark.parametrize(("times", "signs"), [(1, True), (signing.LOOKS, False)])
def test_what_comes_while_an_event_is_looked_through_is_looked_at_before_it_is_signed(
    house: House, monkeypatch: pytest.MonkeyPatch, times: int, signs: bool
) -> None:
    desk, obstacles = over(house), signing.obstacles
    form, looks = sign_form(desk), list[int]()

    def one_more(*given: Any) -> Any:
        found = obstacles(*given)
        looks.append(len(looks))
        if len(looks) <= times:
            late = a_mark(50 + len(looks), "asg_1_1/1/lane", id=f"{500 + len(looks):032x}", at=9_000 + len(looks))
            assert house.desk().post("/marks", content=sent(late), headers=JSON).status_code == 200
        return found

    monkeypatch.setattr(signing, "obstacles", one_more)
    answer = desk.post(_sign(), data=form, headers=PAGE)
    monkeypatch.undo()
    assert answer.status_code == (303 if signs else 422), re.findall(r"[^.>]*settle it first[^.<]*", answer.text)
    assert signs or "went on changing while it was looked through" in text_of(answer)
    assert ("came after the sign-off" in text_of(desk.get(RESULTS, headers=PAGE))) is False
