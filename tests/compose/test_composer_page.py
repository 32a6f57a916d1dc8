"""Composing an event: presets and their knobs, what a form shows, the dry run, changes after marks."""

import html
import json
import re

import pytest

from app.compose.composing import CALLED, gallery
from app.compose.event_form import format_form, typed_fields
from app.rehearsal.turns import turn_about
from app.rules.workout.formats import Format
from app.rules.workout.presets import PRESETS
from tests.builders.halls import House, TestClient, a_mark, sent

PAGE = {"accept": "text/html"}
TAPS = next(iter(turn_about().movements))


def post(desk: TestClient, path: str, status: int, **typed: str) -> str:
    answer = desk.post(path, data=typed, headers=PAGE)
    assert answer.status_code == status, answer.text[:2000]
    return answer.text


def page(desk: TestClient, path: str) -> str:
    answer = desk.get(path, headers=PAGE)
    assert answer.status_code == 200, answer.text[:500]
    return answer.text


def formats(house: House) -> dict[str, Format]:
    return {event.name: event.format for event in house.app.state.hall.projection.roster.events}


def plain(text: str) -> str:
    """A page as words."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())


def test_every_preset_is_a_card_and_opens(house: House) -> None:
    desk = house.desk()
    cards = page(desk, "/desk/events/new")
    assert {card.key for group in gallery() for card in group.cards} == set(PRESETS)
    for key in PRESETS:
        assert f'href="/desk/events/new/{key}"' in cards
        text = page(desk, f"/desk/events/new/{key}")
        assert "How it scores" in text and html.escape(PRESETS[key].knobs[0].label) in text
    assert set(CALLED) <= set(PRESETS)


def test_an_event_is_made_from_its_knobs_and_opened(house: House) -> None:
    desk = house.desk()
    answer = desk.post(
        "/desk/events/new/for_time",
        data={"name": "Sixteen down", "knob-movements": "Thrusters 37 kg\nDips", "knob-cap": "10:00", "knob-unit": "kg"},
    )
    assert answer.status_code == 303
    made = formats(house)["Sixteen down"]
    assert made == PRESETS["for_time"].make({"movements": "Thrusters 37 kg\nDips", "cap": "10:00", "unit": "kg"})
    assert "Sixteen down" in page(desk, answer.headers["location"])


def test_wrong_knobs_are_told_each_at_its_own_and_everything_typed_is_kept(house: House) -> None:
    desk = house.desk()
    typed = {"name": "Turn about", "knob-cap": "ten", "knob-scheme": "21-x", "knob-movements": "<i>Pull-ups"}
    text = post(desk, "/desk/events/new/for_time", 422, **typed)
    for field in ("knob-cap", "knob-scheme"):
        said = re.search(rf'<span class="wrong" id="{field}-said">([^<]+)</span>', text)
        assert said, field
        assert f'href="#{field}"' in text
    assert "There is already an event called Turn about." in html.unescape(text)
    assert 'value="ten"' in text and 'value="21-x"' in text and "&lt;i&gt;Pull-ups" in text
    assert list(formats(house)) == ["Turn about"]


def test_a_look_at_the_knobs_shows_what_they_make_and_stores_nothing(house: House) -> None:
    desk = house.desk()
    before = house.app.state.hall.projection.roster
    text = post(desk, "/desk/events/new/every_minute/look", 200, name="Minutes", **{"knob-reps": "9", "knob-miss_puts_out": "no"})
    assert "12 windows of 1:00: 9 Lunges." in plain(text)
    wrong = post(desk, "/desk/events/new/every_minute/look", 200, name="", **{"knob-windows": "0"})
    assert '<li data-at="knob-windows">' in wrong and '<li data-at="name">' in wrong and "Not yet." in plain(wrong)
    assert house.app.state.hall.projection.roster == before


def test_a_preset_starts_in_the_unit_of_the_competition(house: House) -> None:
    assert 'value="kg" checked' in page(house.desk(), "/desk/events/new/max_load")


@pytest.mark.parametrize("path", ["/desk/events/new/nonsense", "/desk/events/gone", "/desk/events/gone/dry-run"])
def test_what_is_not_there_is_told(house: House, path: str) -> None:
    answer = house.desk().get(path, headers=PAGE)
    assert answer.status_code == 404 and "<h1" in answer.text


@pytest.mark.parametrize("path", ["/desk/events/new", "/desk/events/new/for_time", "/desk/events/evt_turns/dry-run"])
def test_only_the_desk_composes(house: House, path: str) -> None:
    house.desk()
    for stranger in (house.browser(), house.tablet(1)):
        assert stranger.get(path, headers=PAGE).status_code in (303, 403)
        assert stranger.post("/desk/events/look", data={"name": "x"}).status_code in (303, 401, 403)


def test_a_look_at_a_form_draws_it_and_points_at_what_is_odd(house: House) -> None:
    desk = house.desk()
    fields = typed_fields(format_form("Turn about", turn_about("lb")))
    text = post(desk, "/desk/events/look?event=evt_turns", 200, **{**fields, "window-4-start": "1:00"})
    assert '<li data-at="window-4">Member A also works in window 1 at the same time.</li>' in text
    assert 'id="event-words" hx-swap-oob="innerMorph"' in text
    broken = post(desk, "/desk/events/look", 200, **{**fields, "task-2-lift-bar": "heavy"})
    assert '<li data-at="task-2-lift-bar">' in broken


def dry_packets(text: str) -> dict[str, dict[str, object]]:
    found = re.search(r'data-packets="([^"]+)"', text)
    assert found
    packets: dict[str, dict[str, object]] = json.loads(html.unescape(found[1]))
    return packets


def test_a_dry_run_has_what_a_lane_is_sent_and_keeps_nothing(house: House) -> None:
    desk, hall = house.desk(), house.app.state.hall
    before = hall.projection.roster
    stored = page(desk, "/desk/events/evt_turns/dry-run")
    assert "Dry run: nothing is saved" in stored
    fields = typed_fields(format_form("Not stored", turn_about("kg")))
    variant = {"variant-0-id": "new-1", "variant-0-name": "Scaled", "variant-0-ranked": "after"}
    lighter = {f"vtask-0-{name.removeprefix('task-2-')}": value for name, value in fields.items() if name.startswith("task-2-")}
    lighter |= {"vtask-0-variant": "new-1", "vtask-0-lift-bar": "15 kg"}
    text = post(desk, "/desk/events/dry-run", 200, **fields, **variant, **lighter)
    packets = dry_packets(text)
    assert set(packets) == {"", "scaled"}
    bars = [packet["events"]["dry"]["format"]["tasks"]["squat"]["bar"]["amount"] for packet in packets.values()]  # type: ignore[index]
    assert bars == ["20", "15"]
    lane = house.tablet(1).get("/lane/packet").json()
    assert set(packets[""]) >= set(lane) - {"version", "boot", "server_ms", "told"}
    assert hall.projection.roster == before and house.marks() == []


def test_a_dry_run_of_a_form_that_is_no_event_yet_says_why(house: House) -> None:
    desk = house.desk()
    fields = typed_fields(format_form("Broken", turn_about()))
    text = post(desk, "/desk/events/dry-run", 422, **{**fields, "window-0-seconds": "long"})
    assert "Window 1's length is minutes:seconds" in plain(text)
    assert "Dry run" in post(desk, "/desk/events/new/relay/dry-run", 200, name="Relay", **{"knob-cap": "8:00"})


def marked(house: House, reps: int) -> TestClient:
    """A desk that has counted some repetitions on lane 1."""
    desk = house.desk()
    marks = [a_mark(n, at=1000 * n) for n in range(1, reps + 1)]
    assert desk.post("/marks", content=sent(*marks), headers={"content-type": "application/json"}).status_code == 200
    return desk


def test_a_change_after_marks_is_stored_only_when_its_results_have_been_shown(house: House) -> None:
    desk, hall = marked(house, 3), house.app.state.hall
    event = hall.projection.roster.events[0]
    fields = typed_fields(format_form(event.name, event.format)) | {"part-0-weight": "2"}
    text = post(desk, "/desk/events/evt_turns", 200, do="save", **fields)
    words = plain(text)
    assert "This changes what existing marks count for" in words and "3 points 6 points" in words
    assert hall.projection.roster.events[0] == event and 'value="2"' in text
    post(desk, "/desk/events/evt_turns", 303, do="sure", **fields)
    assert hall.projection.roster.events[0].format.scores[0].parts[0].weight == 2
    assert hall.projection.event_results("evt_turns").tables[0].rows[0].score.value == 6


def test_a_change_after_marks_that_changes_no_result_is_stored_at_once(house: House) -> None:
    desk, hall = marked(house, 3), house.app.state.hall
    event = hall.projection.roster.events[0]
    fields = typed_fields(format_form(event.name, event.format)) | {"movement-0-standards": "Only this."}
    post(desk, "/desk/events/evt_turns", 303, do="save", **fields)
    assert hall.projection.roster.events[0].format.movements[TAPS].standards == ("Only this.",)
    post(desk, f"/desk/heats/{hall.projection.roster.heats[0].id}/go", 303)
    again = post(desk, "/desk/events/evt_turns", 200, do="save", **{**fields, "movement-0-standards": "Only that."})
    assert "A heat of this event has started." in plain(again) and "lines of the standings stay the same" in plain(again)


def test_storing_an_event_keeps_which_division_does_which_variant(house: House) -> None:
    desk, hall = house.desk(), house.app.state.hall
    event = hall.projection.roster.events[0]
    fields = typed_fields(format_form(event.name, event.format))
    variant = {"variant-0-id": "new-1", "variant-0-name": "Scaled", "variant-0-ranked": "after"}
    post(desk, "/desk/events/evt_turns", 303, do="save", **fields, **variant)
    post(desk, "/desk/events/evt_turns/variants", 303, **{"division-div_open": "scaled", "how": "lane"})
    post(desk, "/desk/events/evt_turns", 303, do="save", **{**fields, **variant, "variant-0-id": "scaled", "name": "Once more"})
    stored = hall.projection.roster.events[0]
    assert stored.name == "Once more" and stored.variants == {"div_open": "scaled"}
    post(desk, "/desk/events/evt_turns", 200, do="save", **fields)  # the variant is gone, which can be undone
    assert hall.projection.roster.events[0].variants == {}


def test_a_box_for_work_takes_a_list_as_a_whole_workout_says_it(house: House) -> None:
    desk = house.desk()
    typed = {"name": "Five", "knob-work": "5 RFT: 400m run, 15 thrusters 43kg", "knob-unit": "kg"}
    assert "5 rounds for time" in post(desk, "/desk/events/new/for_time_list/look", 200, **typed)
    assert desk.post("/desk/events/new/for_time_list", data=typed).status_code == 303
    plain = {"work": "5 rounds:\n400 m run\n15 thrusters @ 43 kg", "unit": "kg"}
    assert formats(house)["Five"] == PRESETS["for_time_list"].make(plain)
    more = {**typed, "knob-work": "AMRAP 12: 10 burpees"}
    assert "one number too many" in post(desk, "/desk/events/new/for_time_list/look", 200, **more)
