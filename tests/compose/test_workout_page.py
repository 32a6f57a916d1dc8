"""A workout that is pasted: what is understood, what is asked, what stands in red, and the event once nothing is open."""

import html
import re

from app.rules.reading.same_event import comparable
from app.rules.workout.tasks import FASTEST_TAPS
from tests.builders.halls import House, TestClient
from tests.rules.reading.corpora import corpus, outcome

LOOK, MAKE = "/desk/workout/look", "/desk/workout"
OPEN = "For time: 21 thrusters 43/30 kg\n12 froggers\nBring a towel."


def looked(desk: TestClient, **typed: str) -> str:
    answer = desk.post(LOOK, data=typed, headers={"accept": "text/html"})
    assert answer.status_code == 200
    return answer.text


def events(house: House) -> list[str]:
    return [event.name for event in house.app.state.hall.projection.roster.events]


def asked(shown: str) -> dict[str, str]:
    """The first usual answer of every open question, by the names of their fields."""
    found: dict[str, str] = {}
    for name, value in re.findall(r'name="(answer-[^"]+)" value="((?!matters)[^"]+)"', shown):
        found.setdefault(html.unescape(name), html.unescape(value))
    return found


def test_each_window_stands_beside_the_words_it_came_from(house: House) -> None:
    shown = looked(house.desk(), text="AMRAP 4: 10 burpees\nRest 1:00\n2 min max lunges\nScore: total reps")
    words = dict(re.findall(r'<li tabindex="0" data-line="(\d)"[^>]*>([^<]*)', shown))
    assert ["burpees" in words["0"], "Rest" in words["1"], "lunges" in words["2"]] == [True, True, True]
    pieces = re.findall(r'data-lines="([^"]*)"[^>]*>([^<]*)', shown)
    assert ("0", "burpees") in [(lines, text.strip()) for lines, text in pieces]
    assert any(lines == "2" and "max" in text for lines, text in pieces)
    assert "Everything is understood" in shown


def test_as_many_as_possible_is_told_by_no_number(house: House) -> None:
    desk, text = house.desk(), "8 minutes: 1000 m row, then max wall balls 9 kg in the time left\nScore: wall balls"
    shown = looked(desk, text=text)
    assert "wall balls @ 9 kg, as many as possible" in shown and "1000 m row – does not count" in shown
    assert str(8 * 60 * FASTEST_TAPS) not in shown


def test_nothing_is_stored_before_every_question_is_answered_and_nothing_stands_in_red(house: House) -> None:
    desk, before = house.desk(), events(house)
    shown = looked(desk, text=OPEN)
    assert "Not yet." in shown and "Bring a towel" in shown and "Whose are they?" in shown
    refused = desk.post(MAKE, data={"text": OPEN, "name": "Pasted"}, headers={"accept": "text/html"})
    assert refused.status_code == 422 and "Something is still open" in refused.text and OPEN.split("\n")[1] in refused.text
    assert events(house) == before
    made = desk.post(MAKE, data={"text": OPEN, "name": "Pasted", **asked(shown)})
    assert made.status_code == 303 and events(house) == [*before, "Pasted"]


def test_an_answer_can_be_typed_and_taken_back(house: House) -> None:
    desk = house.desk()
    shown = looked(desk, text="For time: 21 burpees")
    (name,) = asked(shown)
    other = name.replace("answer-", "other-")
    assert f'name="{other}"' in shown
    capped = looked(desk, text="For time: 21 burpees", **{name: "10:00", other: "17:30"})
    assert "One window of 17:30" in capped and "One answer you gave" in capped


def test_an_answer_stays_with_its_words_and_is_none_to_others(house: House) -> None:
    desk = house.desk()
    answers = asked(looked(desk, text="AMRAP 5: 10 froggers"))
    assert "Everything is understood" in looked(desk, text="AMRAP 5: 8 dips, 10 froggers", **answers)
    assert "no movement that the library knows" in looked(desk, text="AMRAP 5: 10 waddles", **answers)


def test_an_event_without_a_name_takes_the_title_or_the_next_free_one(house: House) -> None:
    desk = house.desk()
    for text in ("The long way\nAMRAP 5: 10 burpees", "AMRAP 5: 10 burpees"):
        assert desk.post(MAKE, data={"text": text}).status_code == 303
    assert "The long way" in events(house) and re.fullmatch(r"Event \d+", events(house)[-1])


def test_every_text_that_is_read_right_becomes_an_event_that_opens(house: House) -> None:
    desk = house.desk()
    for one in [one for one in corpus() if outcome(one).verdict == "right"][::6]:
        made = desk.post(MAKE, data={"text": one.text, "name": one.name})
        assert made.status_code == 303 and desk.get(made.headers["location"]).status_code == 200


def test_an_event_is_shown_as_a_text_that_makes_the_same_event(house: House) -> None:
    desk = house.desk()
    first = desk.post(MAKE, data={"text": "AMRAP 4: 10 burpees\nRest 1:00\n2 min max lunges\nScore: total reps", "name": "One"})
    shown = desk.get(f"{first.headers['location'].partition('?')[0]}/text", headers={"accept": "text/html"}).text
    assert "it gives the same event" in shown
    (text,) = re.findall(r"<pre[^>]*>([^<]*)</pre>", shown)
    assert desk.post(MAKE, data={"text": html.unescape(text), "name": "Two"}).status_code == 303
    made = {event.name: event.format for event in house.app.state.hall.projection.roster.events}
    assert comparable(made["One"]) == comparable(made["Two"])


def test_what_a_text_can_not_say_of_an_event_is_named_under_it(house: House) -> None:
    desk, text = house.desk(), "AMRAP 4: 10 froggers"
    made = desk.post(MAKE, data={"text": text, "name": "Own", **asked(looked(desk, text=text))})
    shown = desk.get(f"{made.headers['location'].partition('?')[0]}/text", headers={"accept": "text/html"}).text
    assert "What is lost if you paste this text" in shown and "froggers" in shown


def test_a_text_names_the_divisions_that_its_event_is_for_and_a_division_that_is_not_there_is_told(house: House) -> None:
    desk = house.desk()
    for name in ("Men, over 35", "Women"):
        desk.post("/desk/divisions", data={"name": name})
    text = "Divisions: men, over 35; Women\nAMRAP 4: 10 burpees"
    assert "For men, over 35, Women." in looked(desk, text=text)
    made = desk.post(MAKE, data={"text": text, "name": "Ours"})
    roster = house.app.state.hall.projection.roster
    assert roster.events[-1].divisions == tuple(one.id for one in roster.divisions[-2:])
    shown = desk.get(f"{made.headers['location'].partition('?')[0]}/text", headers={"accept": "text/html"}).text
    assert "\nDivisions: Men, over 35; Women\n" in shown and "it gives the same event" in shown
    strange = "Divisions: Women, Gnomes\nAMRAP 4: 10 burpees"
    words = "There is no division Gnomes here. The divisions are:"
    for answer in (looked(desk, text=strange), desk.post(MAKE, data={"text": strange, "name": "Theirs"}).text):
        assert words in html.unescape(answer)
    assert "Theirs" not in events(house)


def test_a_division_does_the_version_that_is_called_like_it_and_one_that_nobody_does_is_named(house: House) -> None:
    desk, page = house.desk(), {"accept": "text/html"}
    text = "AMRAP 4: 10 thrusters 43/30 kg"
    answers = asked(looked(desk, text=text))
    assert desk.post(MAKE, data={"text": text, "name": "Before", **answers}).status_code == 303
    idle = "In Before nobody does “Women” yet."
    assert idle in html.unescape(desk.get("/desk/setup", headers=page).text)
    assert desk.post("/desk/divisions", data={"name": "women"}).status_code == 303
    assert desk.post(MAKE, data={"text": text, "name": "After", **answers}).status_code == 303
    roster = house.app.state.hall.projection.roster
    its, event = next(one.id for one in roster.divisions if one.name == "women"), roster.events[-1]
    assert event.variants == {its: event.format.variants[0].id} and event.format.variants[0].name == "Women"
    before = next(one for one in roster.events if one.name == "Before")
    form = {f"division-{its}": before.format.variants[0].id, "how": "lane", "recount_beyond": ""}
    assert desk.post(f"/desk/events/{before.id}/variants", data=form, headers=page).status_code == 303
    assert "nobody does" not in desk.get("/desk/setup", headers=page).text
