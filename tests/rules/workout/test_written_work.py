"""Work lists as people write them: each line as meant, or a sentence that says why not."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.workout.formats import Format, ListTask, Movement, Part, ScoreRule, Window
from app.rules.workout.written_work import BadWork, WrittenWork, read_movements, read_scheme, read_work, work_text

Item = tuple[Any, ...]


def _items(text: str, unit: Any = "kg", members: int = 1) -> list[Item]:
    """(repetitions, movement, worth, note, load) of each item."""
    work = read_work(text, unit, members)
    return [(i.reps, i.movement, i.worth, i.note, i.load.text() if i.load else None) for i in work.items]


@pytest.mark.parametrize(
    ("line", "item"),
    [
        ("21 swings 24 kg", (21, "kettlebell_swing", 1, None, "24 kg")),
        ("21 x swings", (21, "kettlebell_swing", 1, None, None)),
        ("15 reps of burpees", (15, "burpee", 1, None, None)),
        ("rope climb", (1, "rope_climb", 1, None, None)),
        ("100 Double-Unders", (100, "double_under", 1, None, None)),
        ("10 deadlifts at 225lb", (10, "deadlift", 1, None, "225 lb")),
        ("50 wall balls (9 kg)", (50, "wall_ball", 1, None, "9 kg")),
        ("10 step-ups @ 20", (10, "step_up", 1, None, "20 kg")),
        ("10 clean and jerks, 102,5 kg", (10, "clean_and_jerk", 1, None, "102.5 kg")),
        ("10 clean and jerks 102,5 kg", (10, "clean_and_jerk", 1, None, "102.5 kg")),
        ("400 m run", (1, "run", 1, "400 m", None)),
        ("400m run", (1, "run", 1, "400 m", None)),
        ("run 400 m", (1, "run", 1, "400 m", None)),
        ("1,5 km run", (1, "run", 1, "1.5 km", None)),
        ("1 mile run", (1, "run", 1, "1 mi", None)),
        ("20 cal row", (1, "row", 20, "20 cal", None)),
        ("row 20 calories", (1, "row", 20, "20 cal", None)),
        ("1:30 plank", (1, "plank_hold", 1, "1:30", None)),
        ("60 s dead hang", (1, "dead_hang", 1, "60 s", None)),
        ("30 m carry 32 kg", (1, "carry", 1, "30 m", "32 kg")),
        ("400 m run = 40", (1, "run", 40, "400 m", None)),
        ("20 cal row = 1", (1, "row", 1, "20 cal", None)),
        ("10 lunges (each leg) @ 20 kg", (10, "lunge", 1, "each leg", "20 kg")),
    ],
)
def test_a_line_is_read_as_it_is_meant(line: str, item: Item) -> None:
    assert _items(line) == [item]


def test_lines_semicolons_and_commas_divide_a_list() -> None:
    written = _items("400 m run; 30 swings; 20 pull-ups")
    assert [(reps, movement) for reps, movement, *_ in written] == [(1, "run"), (30, "kettlebell_swing"), (20, "pull_up")]
    assert written == _items("400 m run, 30 swings, 20 pull-ups") == _items("400 m run\n\n30 swings\r\n20 pull-ups\n")


def test_rounds_of_a_whole_list_stay_rounds() -> None:
    work = read_work("3 rounds:\n400 m run\n30 swings")
    assert (work.rounds, len(work.items), len(work.written_out)) == (3, 2, 6)
    assert read_work("5 rounds of 10 burpees").rounds == 5


def test_rounds_of_a_part_are_written_out() -> None:
    work = read_work("2 rounds:\n10 burpees\n5 pull-ups\n\n1 mile run\nthen\n2 rounds: 20 swings")
    assert [(item.reps, item.movement) for item in work.items] == [
        *[(10, "burpee"), (5, "pull_up")] * 2,
        (1, "run"),
        *[(20, "kettlebell_swing")] * 2,
    ]
    assert work.rounds == 1


def test_a_scheme_goes_through_the_movements_under_it() -> None:
    assert [(reps, movement) for reps, movement, *_ in _items("21-15-9:\nswings 24 kg\npull-ups")] == [
        (21, "kettlebell_swing"),
        (21, "pull_up"),
        (15, "kettlebell_swing"),
        (15, "pull_up"),
        (9, "kettlebell_swing"),
        (9, "pull_up"),
    ]
    assert _items("21-15-9 swings") == _items("21 – 15 – 9 reps of:\nswings")


def test_a_line_may_name_members() -> None:
    work = read_work("A: 10 burpees\nb: 20 burpees\nA+B: 400 m run\n5 burpees", members=2)
    assert [item.who for item in work.items] == [(1,), (2,), (1, 2), None]


def test_a_movement_of_the_event_comes_before_the_library() -> None:
    own = Movement(name="Swings", standards=("As we do it here.",))
    work = read_work("10 swings", known={"ours": own})
    assert (work.items[0].movement, work.movements) == ("ours", {"ours": own})


def test_two_new_names_with_one_key_are_two_movements() -> None:
    work = read_work("10 跳\n10 蹲\n10 跳")
    assert len(work.movements) == 2
    assert work.items[0].movement == work.items[2].movement != work.items[1].movement


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "empty"),
        ("3 rounds:", "no work under it"),
        ("21-15-9:\n10 swings", "number of its own"),
        ("21 swings 24/16 kg", "goes into its variant"),
        ("3 x 10 pull-ups", "one number too many"),
        ("1,000 m row", "one number too many"),
        ("swings and pull-ups", "a line of its own"),
        ("max pull-ups", "a window of its own"),
        ("0 pull-ups", "from 1 to 100000"),
        ("400 m run = 0\n10 burpees = 0", "No line of the work list counts"),
        ("0 m run", "more than zero"),
        ("2,5 cal row", "calories are whole"),
        ("10 swings 24 kg 32 kg", "two loads"),
        ("10 swings 9999 kg", "more than any bar carries"),
        ("10", "has a name"),
        ("100 kg\nrun", "a load without a movement"),
        ("3 rounds: 3 rounds:", "can't be a movement's name"),
        ("A: 10 burpees", "one athlete works alone"),
        ("9999 rounds:\nrun", "from 1 to 1000"),
        ("100 rounds: 5 pull-ups, 5 dips\n\n1 run", "at most 200"),
        ("1 burpee\n" * 201, "at most 200"),
        ("30000 burpees", "more than 20000 repetitions"),
        ("10 burpees " + "x" * 400, "longer than"),
        ("x\n" * 4000, "longer than"),
        ("10 burpees (\u202eleg)", "printed"),
    ],
)
def test_what_can_not_be_meant_is_refused_with_a_sentence(text: str, says: str) -> None:
    with pytest.raises(BadWork, match=says):
        read_work(text)


def test_a_member_that_is_not_there_is_named() -> None:
    with pytest.raises(BadWork, match="A to B"):
        read_work("C: 10 burpees", members=2)


@pytest.mark.parametrize(
    "text",
    [
        "21 Kettlebell swings @ 24 kg\n400 m Run\n20 cal Row\n1:30 Plank hold",
        "400 m Run = 40\n20 cal Row = 30\n20 cal Row = 1\n10 Lunges (each leg) = 2 @ 20 kg",
        "400 m Run = 0\n20 cal Row = 0\n10 Lunges\n10 Squats = 0 @ 20 kg",
        "A: 10 Burpees\nA+B: 1.5 km Run\nC: 12 Power cleans @ 135 lb",
    ],
)
def test_written_out_again_a_list_reads_the_same(text: str) -> None:
    work = read_work(text, members=3)
    assert work_text(work.items, work.movements) == text
    assert read_work(work_text(work.items, work.movements), members=3) == work


PIECES = st.sampled_from(
    (
        *(
            "3 rounds:",
            "21-15-9",
            "10",
            "400 m",
            "20 cal",
            "swings",
            "pull-ups",
            "and",
            "24 kg",
            "@",
            "(",
            ")",
            "=",
            "A:",
            "A+B:",
        ),
        *(
            ";",
            ",",
            "\n",
            "\n\n",
            "x",
            "0",
            "1:30",
            "99999999",
            "then",
            "max",
            "跳",
            "#",
            "/",
            "kg",
            "1,5 km",
            "rounds",
            "reps",
            "of",
        ),
    )
)


@given(st.lists(PIECES, max_size=14).map(" ".join) | st.text(max_size=60), st.sampled_from(["kg", "lb"]), st.integers(1, 3))
def test_any_text_gives_work_that_a_format_takes_or_a_sentence(text: str, unit: Any, members: int) -> None:
    try:
        work = read_work(text, unit, members)
    except BadWork as wrong:
        said = str(wrong)
    else:
        said = _written_and_read(work, unit, members)
    assert said.endswith(".")


def _written_and_read(work: WrittenWork, unit: Any, members: int) -> str:
    """The list as a format holds it, written again; what is wrong with that would be raised."""
    made = Format(
        members=members,
        movements=work.movements,
        tasks={"work": ListTask(items=work.items, rounds=work.rounds)},
        windows=(Window(start=0, seconds=600, task="work"),),
        scores=(ScoreRule(unit="reps", parts=(Part(take="sum", tasks=("work",)),)),),
    )
    assert Format.model_validate_json(made.model_dump_json()) == made
    text = work_text(work.items, work.movements)
    assert read_work(text, unit, members, work.movements).items == work.items
    return f"{text}."


@pytest.mark.parametrize(
    ("text", "reps"), [("21-15-9", (21, 15, 9)), (" 10 – 8 – 6 ", (10, 8, 6)), ("5", (5,)), ("3 6 9", (3, 6, 9))]
)
def test_a_scheme_is_read(text: str, reps: tuple[int, ...]) -> None:
    assert read_scheme(text) == reps


@pytest.mark.parametrize("text", ["", "-", "21-", "a-b", "0-1", "1.5-2", "123456", "-".join("1" * 51), "²-3"])
def test_what_is_no_scheme_is_refused(text: str) -> None:
    with pytest.raises(BadWork, match="such as 16-12-8"):
        read_scheme(text)


def test_movements_are_named_with_their_loads_and_without_numbers() -> None:
    swings, pulls = read_movements("swings 24 kg\nPull-ups")
    assert (swings.key, swings.load and swings.load.text(), pulls.key, pulls.load) == (
        "kettlebell_swing",
        "24 kg",
        "pull_up",
        None,
    )
    with pytest.raises(BadWork, match="begins with a number"):
        read_movements("10 swings")
    with pytest.raises(BadWork, match="No movement"):
        read_movements(" \n ")


def test_a_heading_of_the_trade_never_becomes_a_movement() -> None:
    with pytest.raises(BadWork, match=r"one number too many.*pasted under Events"):
        read_work("5 RFT: 400m run, 15 thrusters 43kg")
