"""The knobs of the presets: each reaches the format, and what can't be is refused at its knob with a sentence."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.workout.formats import CountTask, Format, LiftTask, ListTask, MeasureTask
from app.rules.workout.presets import PRESETS, BadKnob
from app.rules.workout.presets.knobs import Turned
from tests.builders.cast import load


def _timeline(format: Format) -> list[tuple[int, int, str | None]]:
    return [(w.start, w.seconds, w.task) for w in format.windows]


def _work(format: Format) -> list[tuple[str, object]]:
    return [(w.task, w.who) for w in format.windows if w.task]


def _made(key: str, **typed: str) -> Format:
    return PRESETS[key].make(typed)


def _task(key: str, **typed: str) -> Any:
    """The first task of what a preset makes."""
    return next(iter(_made(key, **typed).tasks.values()))


# --- Knobs reach the format -----------------------------------------------------------------------------------------------


def test_windows_and_rests_are_as_long_as_typed() -> None:
    made = _made("most_reps", window="0:45", windows="3", rest="0:15")
    assert _timeline(made) == [(0, 45, "work"), (45, 15, None), (60, 45, "work"), (105, 15, None), (120, 45, "work")]
    assert len(_made("most_reps", windows="3", rest="0:00").windows) == 3


def test_a_movement_may_be_of_the_library_new_or_with_a_load() -> None:
    assert list(_made("most_reps", movement="pull ups").movements) == ["pull_up"]
    assert _made("most_reps", movement="Cartwheels").movements["cartwheels"].name == "Cartwheels"
    assert _made("most_reps", movement="swings @ 53", unit="lb").movements["kettlebell_swing"].name == "swings, 53 lb"


def test_stations_may_hold_one_movement_with_two_loads() -> None:
    made = _made("stations", movements="swings 24 kg\nswings 32 kg", rounds="1")
    assert [made.movements[task.movement].name for task in made.tasks.values() if isinstance(task, CountTask)] == [
        "swings, 24 kg",
        "swings, 32 kg",
    ]


def test_every_minute_says_how_many_how_many_more_and_who_is_out() -> None:
    task = _task("every_minute", reps="5", more="2", miss_puts_out="no")
    assert (task.target, task.grows, task.miss_puts_out) == (5, 2, False)
    assert _made("every_minute", window="1:30", windows="4").length_ms == 360_000
    assert _made("every_minute", sooner="no").scores[0].ties == ()
    assert _made("every_minute", sooner="on").scores[0].ties[0].kind == "time_of_count"


def test_a_ladder_of_repetitions_is_as_long_as_anybody_could_climb() -> None:
    task = _task("rep_ladder", first="3", more="3", window="1:00", movements="swings 24 kg\npull-ups")
    assert [(item.movement, item.reps) for item in task.items[:4]] == [
        ("kettlebell_swing", 3),
        ("pull_up", 3),
        ("kettlebell_swing", 6),
        ("pull_up", 6),
    ]
    assert task.items[0].load == load("24 kg")
    # 6 + 12 + 18 + ... + 48 = 216 of the 240 that four a second would do in a minute; 54 more would be too many.
    assert task.taps_in_round == 216


def test_a_scheme_goes_over_its_movements_with_their_loads() -> None:
    task = _task("for_time", scheme="10-5", movements="thrusters 37 kg\nburpees")
    assert [(item.reps, item.movement, item.load) for item in task.items] == [
        (10, "thruster", load("37 kg")),
        (10, "burpee", None),
        (5, "thruster", load("37 kg")),
        (5, "burpee", None),
    ]


def test_a_written_list_keeps_its_rounds_and_its_cap() -> None:
    made = _made("for_time_list", work="5 rounds:\n20 cal row\n10 deadlifts", cap="15:00", capped="adds", adds="0,5")
    task = made.tasks["work"]
    assert isinstance(task, ListTask)
    assert (task.rounds, task.work_in_round, made.length_ms) == (5, 30, 900_000)
    assert str(made.scores[0].cap_adds) == "1/2"


def test_a_ladder_of_loads_rises_in_its_unit() -> None:
    task = _task("load_ladder", first="60.5", rise="2.5 kg", rungs="3", reps="2")
    assert [(item.reps, item.load) for item in task.items] == [(2, load("60.5 kg")), (2, load("63 kg")), (2, load("65.5 kg"))]
    assert _task("load_ladder", unit="lb").items[1].load == load("165 lb")


def test_the_rules_of_a_lift_are_those_of_the_knobs() -> None:
    made = _made(
        "max_load",
        attempts="3",
        tries_until_racked="no",
        may_go_down="no",
        counts_when="begun",
        bar="15",
        step="2,5",
        least_plate="1.25",
        ties="lighter",
    )
    task = made.tasks["lift"]
    assert isinstance(task, LiftTask)
    assert (task.attempts, task.tries_until_racked, task.may_go_down, task.counts_when) == (3, False, False, "begun")
    assert (task.bar, task.step, task.least_plate) == (load("15 kg"), load("2.5 kg"), load("1.25 kg"))
    assert [step.kind for step in made.scores[0].ties] == ["bodyweight", "earlier_best"]
    assert _task("max_load").attempts is None


def test_a_pair_lifts_in_turn_or_at_one_bar() -> None:
    assert _work(_made("max_load", members="2")) == [("lift", (1,)), ("lift", (2,))]
    assert _work(_made("max_load", members="2", use="shared")) == [("lift", "any")]
    assert _made("max_load", members="2").scores[0].parts[0].take == "member_best"


def test_lifts_are_as_many_as_are_named() -> None:
    made = _made("lifts_summed", movements="snatch; clean and jerk", attempts="2", unit="lb", bar="15 kg")
    assert [(task.movement, task.attempts, task.bar) for task in made.tasks.values() if isinstance(task, LiftTask)] == [
        ("snatch", 2, load("15 kg")),
        ("clean_and_jerk", 2, load("15 kg")),
    ]
    assert made.scores[0].unit == "lb"


def test_a_measure_has_its_unit_step_bounds_and_way() -> None:
    made = _made("measured", measure="cal", step="0.5", low="2", high="99,5", keep="sum", better="less", score="lowest")
    task = made.tasks["measure"]
    assert isinstance(task, MeasureTask)
    assert (task.unit, str(task.step), task.low, str(task.high), task.keep) == ("cal", "1/2", 2, "199/2", "sum")
    assert (made.scores[0].unit, made.scores[0].better, made.scores[0].parts[0].take) == ("cal", "less", "worst")


def test_a_relay_gives_each_member_the_list_or_the_part_that_is_named() -> None:
    assert [item.who for item in _task("relay", members="3", work="10 burpees").items] == [(1,), (2,), (3,)]
    named = _task("relay", members="3", work="C: 10 burpees\nA+B: 5 dips")
    assert [item.who for item in named.items] == [(3,), (1, 2)]


def test_turns_go_round_as_often_as_typed_or_until_the_bell() -> None:
    assert _task("turns", rounds="4").rounds == 4
    until = _made("turns", ends="bell")
    assert isinstance(until.tasks["work"], ListTask)
    assert (until.tasks["work"].rounds, until.scores[0].unit) == (None, "reps")


def test_shared_work_is_anybodys_and_work_in_step_is_everybodys() -> None:
    assert _work(_made("shared", members="3")) == [("work", "any")]
    together = _made("together")
    assert _work(together) == [("work", "all")]
    for movement in together.movements.values():
        assert movement.faults[0].say == "No rep, together."
        assert "same time" in movement.standards[-1]


def test_one_works_while_the_other_holds_and_they_change() -> None:
    made = _made("holding", rounds="2", movement="air squats", hold="dead hang")
    assert [(w.who, w.holding) for w in made.windows if w.task] == [((1,), (2,)), ((2,), (1,))] * 2
    assert made.movements["air_squat"].standards[-1] == "It counts only while the other member holds: dead hang."
    assert made.movements["dead_hang"].standards


def test_the_mirrored_pair_takes_other_movements() -> None:
    made = _made(
        "mirrored_pair", first="push-ups", second="row", lift="deadlift", unit="kg", window="1:00", rest="0:30", change="1:20"
    )
    assert [movement.name for movement in made.movements.values()] == ["push-ups", "row", "deadlift"]
    assert _work(made) == [("first", (1,)), ("second", (1,)), ("lift", (1,)), ("lift", (2,)), ("second", (2,)), ("first", (2,))]
    assert _timeline(made)[5:7] == [(240, 80, None), (320, 60, "lift")]


def test_one_movement_may_be_counted_and_lifted() -> None:
    made = _made("two_scores", movement="clean", lift="clean")
    counted, lifted = made.movements.values()
    assert (counted.name, lifted.name) == ("clean", "clean")
    assert (counted.faults[0].say or "").startswith("No rep") and (lifted.faults[0].say or "").startswith("No lift")
    assert [score.name for score in made.scores] == ["Repetitions", "Lift"]


# --- What can't be is refused ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("key", "typed", "knob", "says"),
    [
        ("most_reps", {"window": "2"}, "window", "The length of a window is minutes:seconds from 0:01 to 180:00"),
        ("most_reps", {"window": "soon"}, "window", "such as 3:30; not “soon”."),
        ("most_reps", {"window": "0:00"}, "window", "from 0:01"),
        ("most_reps", {"window": "\u0661:00"}, "window", "minutes:seconds"),
        ("most_reps", {"rest": ""}, "rest", "it is empty"),
        ("most_reps", {"windows": "0"}, "windows", "Windows is a whole number from 1 to 100; not “0”."),
        ("most_reps", {"windows": "²"}, "windows", "whole number"),
        ("most_reps", {"windows": ""}, "windows", "it is empty"),
        ("most_reps", {"movement": ""}, "movement", "The movement: No movement is named"),
        ("most_reps", {"movement": "swings; burpees"}, "movement", "is one movement"),
        ("most_reps", {"score": "most"}, "score", "What counts is one of: All windows added up"),
        ("most_reps", {"unit": "stone"}, "unit", "is kg or lb"),
        ("most_reps", {"windows": "100", "window": "10:00"}, "windows", "more than 200 windows, or more than 6 hours"),
        ("every_minute", {"miss_puts_out": "maybe"}, "miss_puts_out", "is yes or no"),
        ("rep_ladder", {"first": "1000", "window": "1:00"}, "first", "more than anybody"),
        ("for_time", {"scheme": "21-"}, "scheme", "such as 16-12-8"),
        ("for_time", {"scheme": "-".join("1" * 50), "movements": "dip; swing; run; row; burpee"}, "scheme", "at most 200 lines"),
        ("for_time", {"capped": "adds", "adds": "1,000"}, "adds", "is a number such as"),
        ("for_time_list", {"work": "x" * 500}, "work", "The work: "),
        ("rounds", {"work": "3 rounds: 5 dips"}, "work", "can't have rounds"),
        ("turns", {"work": "3 rounds: 5 dips", "ends": "bell"}, "work", "can't have rounds"),
        ("relay", {"work": "E: 5 dips"}, "work", "A to D"),
        ("relay", {"members": "1"}, "members", "from 2 to 12"),
        ("relay", {"work": "1 dip\n" * 60}, "work", "at most 200 lines"),
        ("load_ladder", {"rise": "500"}, "rise", "more than any bar carries"),
        ("load_ladder", {"first": "heavy"}, "first", "The load of the first rung: “heavy” is not a load"),
        ("max_load", {"movement": "squat 100 kg"}, "movement", "have fields of their own"),
        ("lifts_summed", {"movements": "squat 100 kg"}, "movements", "have fields of their own"),
        ("measured", {"step": "0"}, "step", "more than zero"),
        ("measured", {"low": "5", "high": "4"}, "high", "not below"),
        ("turns", {"rounds": "100", "work": "11 rounds: 5 dips"}, "rounds", "at most 1000"),
        ("for_time", {"scheme": "9999-9999"}, "", "do not fit together: One round of a work list has at most 20000 repetitions."),
    ],
)  # fmt: skip
def test_what_can_not_be_is_refused_at_its_knob(key: str, typed: dict[str, str], knob: str, says: str) -> None:
    with pytest.raises(BadKnob) as refused:
        PRESETS[key].make(typed)
    assert refused.value.knob == knob
    assert says in refused.value.sentence


def test_what_belongs_to_no_knob_is_ignored() -> None:
    assert PRESETS["rounds"].make({"name": "Our first event", "csrf": "x"}) == PRESETS["rounds"].make({})


texts = st.text(max_size=30) | st.sampled_from(
    (
        *(
            "",
            "0",
            "1",
            "12",
            "99999",
            "1:00",
            "3:00:00",
            "0:30",
            "kg",
            "lb",
            "yes",
            "no",
            "21-15-9",
            "swings",
            "Back squat",
            "100 kg",
        ),
        *(
            "20 swings",
            "A: 10 burpees",
            "3 rounds: 5 dips",
            "0.5",
            "1,5",
            "adds",
            "bell",
            "shared",
            "drop",
            "one",
            "s",
            "1000000000",
        ),
    )
)


@given(st.data())
def test_any_text_in_any_knob_gives_a_format_or_a_sentence(data: st.DataObject) -> None:
    preset = data.draw(st.sampled_from(list(PRESETS.values())))
    knobs = data.draw(st.lists(st.sampled_from(preset.knobs), max_size=4))
    typed = {knob.key: data.draw(st.sampled_from(list(knob.choices)) | texts if knob.choices else texts) for knob in knobs}
    try:
        made = preset.make(typed)
    except BadKnob as refused:
        told, known = refused.sentence, {"", *(knob.key for knob in preset.knobs)} >= {refused.knob}
    else:
        told, known = "made.", Format.model_validate_json(made.model_dump_json()) == made
    assert told and known


def test_a_turned_knob_reads_a_long_time_with_hours() -> None:
    assert Turned(PRESETS["rounds"].knobs, {"window": "1:00:30"}).seconds("window") == 3630
