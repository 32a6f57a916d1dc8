"""Who typed a movement's name reads it back, to the letter, wherever the movement stands."""

import html
import json
import re
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from app.compose.event_form import format_form, typed_fields, typed_form
from app.compose.event_plain import told
from app.compose.event_reading import read_event
from app.results.competition_file import read_file, write_file
from app.rules.reading.reader import understand
from app.rules.result.sealing import seal_faults, sealed
from app.rules.workout.equipment import needed_things
from app.rules.workout.formats import CountTask, Format, ListTask, Movement
from app.rules.workout.movements import library
from app.rules.workout.paper_rows import paper_windows
from app.rules.workout.presets import PRESETS
from app.rules.workout.written_work import BadWork, read_work
from tests.builders.cast import a_competition, a_format, reps
from tests.builders.halls import House, TestClient, a_house

PAGE = {"accept": "text/html"}
TYPED = ("handstand push-ups", "Double-Unders", "thrusters", "wall balls", "T2B", "burpees over the bar", "kerb hops")
PLACES = (
    *("/desk/events/evt", "/desk/paper/evt/sheets", "/desk/competition.json", "/desk/results.csv", "/brief/evt", "/lane/packet"),
    *("/results/evt/score/ent_1", "/results/evt/score/ent_1.json", "/review/lanes/asg_1"),
)
# A list names each of these twice, in two ways.
LINES = ("10 handstand push-ups", "1 HSPU", "30 Double-Unders", "1 double-under", "400 m Run", "5 kerb hops", "1 Kerb hop")
ON_A_LIST = ("/desk/events/evt", "/desk/paper/evt/sheets", "/desk/competition.json", "/brief/evt", "/lane/packet")

LIBRARY = sorted({name for one in library().described.values() for name in (one.movement.name, *one.called)})
WAYS = (str, str.upper, str.lower, str.title, lambda name: name.replace("-", " "), lambda name: f"{name}s")
spelled = st.builds(lambda name, way: way(name), st.sampled_from(LIBRARY), st.sampled_from(WAYS))
anything = st.text(st.sampled_from("abZ äéß跳-'’."), min_size=1, max_size=20)


def said(house: House, path: str) -> str:
    """What stands at an address: a page's words and the values of its fields, or the texts of its JSON."""
    client: TestClient = house.tablet(1) if path == "/lane/packet" else house.desk()
    answer = client.get(path)
    assert answer.status_code == 200, answer.text[:300]
    if "json" in answer.headers["content-type"]:
        return json.dumps(answer.json(), ensure_ascii=False)
    fields = re.findall(r'value="([^"]*)"', answer.text)
    return html.unescape(" ".join([re.sub(r"<[^>]+>", " ", answer.text), *fields]))


def test_movements_are_called_as_they_were_typed(tmp_path: Path) -> None:
    format = PRESETS["stations"].make({"movements": "\n".join(TYPED), "rounds": "1"})
    with a_house(tmp_path, file=a_competition(format, {"Open": ["Ana"]}, reps(3))) as house:
        missing = {path: [name for name in TYPED if name not in text] for path in PLACES if (text := said(house, path))}
        assert {path: names for path, names in missing.items() if names} == {}
        assert TYPED[0] in said(house, "/board")  # which shows what is done now
        others = [library().movements[key].name for key in ("handstand_push_up", "double_under", "toes_to_bar")]
        assert [
            (path, name) for path in PLACES if path != "/desk/events/evt" for name in others if name in said(house, path)
        ] == []


def test_each_line_of_a_list_keeps_its_words(tmp_path: Path) -> None:
    format = PRESETS["for_time_list"].make({"work": "\n".join(LINES)})
    assert len(format.movements) == 4
    with a_house(tmp_path, file=a_competition(format, {"Open": ["Ana"]})) as house:
        for path in ON_A_LIST:
            text = said(house, path)
            assert [line for line in LINES if re.sub(r"^\d+ (m )?", "", line) not in text] == [], path


def test_a_file_of_before_keeps_its_names_and_its_digests() -> None:
    movements = {"double_skip": Movement(name="Double skips", standards=("Twice under both feet.",))}
    skips = a_format(CountTask(movement="swing")).model_copy(
        update={"movements": movements, "tasks": {"work": CountTask(movement="double_skip")}}
    )
    plain = json.loads(write_file(sealed(a_competition(skips, {"Open": ["Ana"]}, reps(3)))))
    plain["version"] = 3
    assert plain["events"][0]["format"]["movements"]["double_skip"].pop("library") is None
    old = read_file(json.dumps(plain).encode())
    format = old.events[0].format
    assert (old.version, seal_faults(old), format.movements) == (3, [], movements)
    assert needed_things("double_skip", format.movements["double_skip"]) == ("rope",)


def test_a_list_keeps_its_words_through_the_event_page(house: House) -> None:
    desk, lines = house.desk(), "3 burpees\n2 Burpee\n10 HSPU\n10 handstand push-ups @ 20 kg"
    made = desk.post("/desk/events/new/for_time_list", data={"name": "Words", "knob-work": lines, "knob-unit": "kg"})
    path = made.headers["location"]
    before = house.app.state.hall.projection.roster.events[-1]
    again = desk.post(path, data=typed_fields(format_form(before.name, before.format)))
    assert again.status_code in (200, 303)
    assert house.app.state.hall.projection.roster.events[-1].format == before.format
    assert all(line in said(house, path) for line in lines.splitlines())


@pytest.mark.parametrize("text", ["AMRAP 9: 10 HSPU, 30 dubs, 1 handstand push-up", "3 rounds for time: 12 T2B, 5 toes to bar"])
def test_a_pasted_workout_keeps_each_line_s_words(text: str) -> None:
    format = understand(text).format
    assert format is not None
    (work,) = (task for task in format.tasks.values() if isinstance(task, ListTask))
    typed = [re.sub(r"^\d+ ", "", line) for line in text.partition(": ")[2].split(", ")]
    assert [item.called(format.movements) for item in work.items] == typed
    assert len(format.movements) == len(typed) - 1  # two of the lines are one movement


def line_of(name: str) -> str | None:
    """The name as a list takes it, without blanks beside blanks; None where the list refuses it by a sentence."""
    try:
        read_work(f"7 {name}")
    except BadWork:
        return None
    return " ".join(name.split())


@settings(max_examples=25)
@given(st.lists(spelled | anything, min_size=1, max_size=5))
@example(["burpee", "Burpees", "BURPEES"])
@example(["HSPU", "handstand push-ups", "strict HSPU"])
def test_whatever_is_typed_comes_back_the_same_everywhere(names: list[str]) -> None:
    taken = [line for name in names if (line := line_of(name))]
    if not taken:
        return
    work = read_work("\n".join(f"7 {name}" for name in taken))
    assert [item.called(work.movements) for item in work.items] == taken
    format = PRESETS["for_time_list"].make({"work": "\n".join(f"7 {name}" for name in taken)})
    assert read_event(typed_form(typed_fields(format_form("Words", format))), format) == ("Words", format)
    assert Format.model_validate_json(format.model_dump_json()) == format
    assert [line.what for line in paper_windows(format)[0].lines] == taken
    assert all(f"7 {name}" in told(format).runs[0] for name in taken)


@settings(max_examples=15)
@given(spelled | anything)
def test_a_movement_that_is_counted_or_lifted_is_called_as_it_was_typed(name: str) -> None:
    if typed := line_of(name):
        for preset in ("most_reps", "max_load"):
            format = PRESETS[preset].make({"movement": name})
            assert [movement.name for movement in format.movements.values()] == [typed]
            assert any(typed in line for line in told(format).runs)
            assert paper_windows(format)[0].what == typed
