"""The movement library: what every movement of it says, its bounds, and the names it is found by."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.workout.formats import Movement
from app.rules.workout.movement_names import key_of
from app.rules.workout.movements import Found, before_referees, library, lookup, movement, named_movement
from app.rules.workout.presets import PRESETS
from tests.builders.cast import load

KEYS = sorted(library().movements)
TRADE = (
    *("handstand push-up", "double-unders", "single-unders", "back squat", "front squat", "deadlift", "clean", "snatch", "jerk"),
    *("press overhead", "bench press", "pull-up", "push-up", "burpee", "box jump", "step-up", "lunge", "kettlebell swing"),
    *("throw to a wall target", "toes to bar", "sit-up", "rowing machine", "run", "carry", "hold of a plank", "hold of a bar"),
)


def _revalidated(made: Movement) -> Movement:
    return Movement.model_validate(made.model_dump(mode="json"))


@pytest.mark.parametrize("key", KEYS)
@pytest.mark.parametrize("lifted", [False, True])
def test_every_movement_says_what_counts_what_does_not_and_what_may_hurt(key: str, lifted: bool) -> None:
    made = movement(key, lifted=lifted)
    assert made.standards and made.faults and made.cautions
    assert _revalidated(made) == made  # model_copy checks nothing: faults must still differ


@pytest.mark.parametrize("key", KEYS)
def test_a_judge_says_no_rep_when_counting_and_no_lift_when_lifting(key: str) -> None:
    assert all((fault.say or "").startswith("No rep, ") for fault in movement(key).faults)
    assert all((fault.say or "").startswith("No lift, ") for fault in movement(key, lifted=True).faults)


@pytest.mark.parametrize("name", TRADE)
def test_the_general_movements_of_the_trade_are_there(name: str) -> None:
    key, made = named_movement(name)
    assert made.standards, key


def test_no_name_means_two_movements() -> None:
    plain = library().plain
    told = [(plain(name), key) for key, one in library().described.items() for name in {one.key, one.movement.name, *one.called}]
    assert len({name for name, _ in told}) == len(set(told))
    assert dict(told) == library().names
    assert not set(library().names) & set(library().lifts)


def test_no_alias_is_only_the_name_again() -> None:
    """The case, plurals, hyphens, blanks, articles and shortened words of a name are told once, not name by name."""
    plain = library().plain
    assert [name for one in library().described.values() for name in one.called if plain(name) == plain(one.movement.name)] == []


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("Pull-ups", "pull_up"),
        ("pullup", "pull_up"),
        ("  PULL  UPS ", "pull_up"),
        ("presses", "overhead_press"),
        ("Box Jumps", "box_jump"),
        ("lunges", "lunge"),
        ("snatches", "snatch"),
        ("double-unders", "double_under"),
        ("thrusters", "thruster"),
        ("T2B", "toes_to_bar"),
        ("burpees", "burpee"),
        ("rowing", "row"),
    ],
)
def test_case_plurals_hyphens_and_blanks_do_not_matter(name: str, key: str) -> None:
    typed = " ".join(name.split())
    assert named_movement(name) == (key, movement(key).model_copy(update={"name": typed}))


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("Handstand push-ups", Found("handstand_push_up", "exact")),
        ("handstand  PUSHUP", Found("handstand_push_up", "exact")),
        ("HSPU", Found("handstand_push_up", "alias")),
        ("DUs", Found("double_under", "alias")),
        ("DB snatches", Found("dumbbell_snatch", "alias")),
        ("C & J", Found("clean_and_jerk", "alias")),
        ("burpees over the sofa", Found(None, "unknown")),
        ("", Found(None, "unknown")),
    ],
)
def test_words_are_looked_up_and_never_guessed_at(words: str, found: Found) -> None:
    assert lookup(words) == found


@pytest.mark.parametrize("key", KEYS)
def test_each_movement_is_found_by_its_own_name_and_by_each_alias(key: str) -> None:
    one = library().described[key]
    assert lookup(one.movement.name) == Found(key, "exact")
    assert {lookup(name).key for name in (key, *one.called)} == {key}


@given(st.text(max_size=40))
def test_a_lookup_finds_a_movement_or_none(words: str) -> None:
    found = lookup(words)
    assert (found.key is None) == (found.sure == "unknown") and (found.key is None or found.key in library().described)


@pytest.mark.parametrize(
    ("kind", "plain"),
    [
        ("power cleans", "cleans"),
        ("burpees over the bar", "burpees"),
        ("ring dips", "dips"),
        ("strict HSPU", "HSPU"),
        ("box jump-overs", "box jumps"),
        ("push press", "jerk"),
        ("hang clean", "clean"),
    ],
)
def test_a_kind_of_a_movement_has_standards_of_its_own(kind: str, plain: str) -> None:
    (key, made), (other, of) = named_movement(kind), named_movement(plain)
    assert key != other and made.standards and made.standards != of.standards


def test_no_two_movements_have_the_same_standards() -> None:
    every = [one.movement.standards for one in library().described.values()]
    monitored = {movement("bike").standards}  # a bike is a bike, whatever brakes it
    assert [one for one in set(every) - monitored if every.count(one) > 1] == []


@pytest.mark.parametrize("name", ["burpees over the sofa", "weighted burpees", "squats", "heavy deadlifts"])
def test_a_movement_that_nobody_described_has_no_standards(name: str) -> None:
    _, made = named_movement(name)
    assert (made.name, made.library, made.standards, made.faults) == (name, None, (), ())


def test_a_squat_that_is_lifted_is_a_back_squat() -> None:
    assert named_movement("Squat", lifted=True)[1] == movement("back_squat", lifted=True).model_copy(update={"name": "Squat"})


def test_any_other_name_is_a_new_movement() -> None:
    assert named_movement("cartwheels över the sofa") == ("cartwheels_over_the_sofa", Movement(name="cartwheels över the sofa"))
    assert named_movement("跳")[0] == "movement"


@pytest.mark.parametrize("name", ["", "  ", "12", "-", "x" * 61, "swing\u202egniws"])
def test_what_can_not_be_a_name_is_refused_with_a_sentence(name: str) -> None:
    with pytest.raises(ValueError, match=r"A movement"):
        named_movement(name)


@given(st.text(max_size=80))
def test_any_name_gives_a_movement_that_a_format_takes_or_a_sentence(name: str) -> None:
    try:
        key, made = named_movement(name)
    except ValueError as wrong:
        key, made = "refused", Movement(name=str(wrong))
    assert _revalidated(made) == made
    assert key_of(key) == key and len(key) <= 40


def test_bounds_come_in_the_unit_of_the_event_and_can_be_others() -> None:
    # 450 kg are 992.08 lb: a bound in pounds is rounded down to tens.
    assert movement("back_squat", "kg").heaviest == load("450 kg")
    assert movement("back_squat", "lb", lifted=True).heaviest == load("990 lb")
    assert movement("back_squat", "kg", heaviest=load("320 kg")).heaviest == load("320 kg")
    assert movement("double_under", fastest_ms=200).fastest_ms == 200
    assert movement("run").heaviest is None


def test_no_skip_slower_than_any_on_record_is_flagged_and_no_two_taps_of_the_fastest() -> None:
    # The fastest on record is one each 328 ms (183 in a minute); what is flagged lies well below, and above a bounce of 150 ms.
    assert 150 < (movement("double_under").fastest_ms or 0) < 328


def test_where_referees_call_a_lift_its_signals_are_told_and_not_to_wait_for_one_is_a_fault() -> None:
    called = {"Back squat": ["Squat", "Rack"], "Bench press": ["Start", "Press", "Rack"]}
    for preset in ("lifts_in_rounds", "rising_bar"):
        for one in PRESETS[preset].make({}).movements.values():
            plain = movement(one.library or "", lifted=True)
            signals, wait, *standards = one.standards
            assert tuple(standards) == plain.standards and "gets no lift" in wait
            assert re.findall("“(.*?)”", signals) == called.get(one.name, ["Down"])
            assert {fault.say for fault in one.faults} - {fault.say for fault in plain.faults} == {"No lift, signal."}
    assert "“Press” once it is still on the chest" in before_referees(movement("bench_press")).standards[0]
    for unknown in (movement("push_up"), Movement(name="Yokes")):
        assert before_referees(unknown) == unknown
