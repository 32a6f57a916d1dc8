"""What an event needs, from its format, and which cautions follow from it."""

from app.rehearsal.turns import turn_about
from app.rules.workout.cautions import INVERTED, LIFTS, NO_SPOTTERS_SAID, RHABDO, ROPES, STOP, cautions
from app.rules.workout.equipment import equipment, needed_things
from app.rules.workout.formats import CountTask, Format, Movement
from app.rules.workout.presets import PRESETS
from tests.builders.cast import a_format


def things(format: Format, lanes: int) -> dict[str, tuple[int, int]]:
    return {thing.name: (thing.each, thing.total) for thing in equipment(format, lanes).things}


def told(format: Format) -> str:
    return "\n".join(line for caution in cautions(format) for line in caution.lines)


def test_a_pair_that_takes_turns_needs_one_bar_and_one_pad_on_each_lane() -> None:
    found = things(turn_about(), 12)
    assert found["Barbell, 20 kg"] == (1, 12) and found["Rack with safety arms"] == (1, 12)
    assert found["Head pad, level with the hands"] == (1, 12)


def test_who_works_at_the_same_time_has_a_thing_each() -> None:
    format = PRESETS["together"].make({"members": "3", "work": "20 pull-ups\n30 double-unders"})
    assert things(format, 4)["Jump rope"] == (3, 12)
    shared = PRESETS["shared"].make({"members": "3", "work": "20 pull-ups\n30 double-unders"})
    assert things(shared, 4)["Jump rope"] == (1, 4)


def test_a_movement_that_nobody_knows_is_named_for_a_person_to_decide() -> None:
    format = a_format(CountTask(movement="swing")).model_copy(update={"movements": {"swing": Movement(name="Log rolls")}})
    assert equipment(format, 3).unknown == ("Log rolls",)


def test_what_a_movement_needs_follows_its_name_then_what_it_began_as_then_its_key() -> None:
    rope, ball = ("rope",), ("ball",)
    assert needed_things("own", Movement(name="DUs")) == rope
    assert needed_things("own", Movement(name="Wall balls, 9 kg", library="wall_ball")) == ball
    assert needed_things("wall_ball", Movement(name="Wall balls, 9 kg")) == ball
    assert needed_things("wall_throw", Movement(name="Wall throws, 9 kg")) == ball  # as formats from before have it
    assert needed_things("own", Movement(name="Wall balls, 9 kg")) == ()


def test_cautions_follow_from_the_movements() -> None:
    pair = told(turn_about())
    assert all(line in pair for line in (STOP, LIFTS, INVERTED, RHABDO)) and ROPES not in pair
    assert ROPES in told(PRESETS["most_reps"].make({"movement": "Double-unders"}))
    burpees = told(PRESETS["rounds"].make({"work": "10 burpees"}))
    assert STOP in burpees and RHABDO in burpees
    assert not any(line in burpees for line in (LIFTS, ROPES, INVERTED))


def test_who_stands_at_the_bar_is_counted_among_the_cautions_of_a_lift() -> None:
    plain = PRESETS["max_load"].make({})
    assert "nobody lifts while one is missing" not in told(PRESETS["rising_bar"].make({})), "nothing stands in a rack"
    assert f"{NO_SPOTTERS_SAID} They are counted before every attempt" in told(plain)
    first, *others = plain.tasks
    tasks = {first: plain.tasks[first].model_copy(update={"spotters": 3, "loaders": 1})}
    crewed = plain.model_copy(update={"tasks": tasks | {key: plain.tasks[key] for key in others}})
    assert "3 spotters stand at the bar. 1 loader changes the plates. They are counted before every attempt" in told(crewed)
    assert NO_SPOTTERS_SAID not in told(crewed)
