"""Versions of an event told in lines and blocks of their own: loads, heights, other movements; never half of one in silence."""

import pytest

from app.rules.reading.reader import understand
from app.rules.workout.formats import ListTask
from tests.rules.reading.plainly import line_of, windows_of

BASE = "For time, cap 14\n40 box jumps 60 cm\n30 thrusters 43 kg"


def _versions(text: str, answers: dict[str, str] | None = None) -> dict[str, list[object]]:
    read = understand(text, answers)
    assert read.whole and read.format is not None, (read.not_understood, read.questions)
    return {one.name: [*windows_of(read.format.varied(one.id))[0].lines] for one in read.format.variants}


def _lines(*said: str) -> list[object]:
    return [line_of(one) for one in said]


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("Women: 30 kg thrusters, 50 cm box", {"Women": ("40 box jumps, 50 cm", "30 thrusters @ 30 kg")}),
        (
            "Women: 30 kg, 50 cm\nMasters 45+: 35 kg, 40 cm",
            {
                "Women": ("40 box jumps, 50 cm", "30 thrusters @ 30 kg"),
                "Masters 45+": ("40 box jumps, 40 cm", "30 thrusters @ 35 kg"),
            },
        ),
        ("\nScaled\n40 step-ups 50 cm\n30 thrusters 30 kg", {"Scaled": ("40 step-ups, 50 cm", "30 thrusters @ 30 kg")}),
    ],
)
def test_a_version_told_in_lines_of_its_own_stands_beside_the_event(said: str, told: dict[str, tuple[str, ...]]) -> None:
    assert _versions(f"{BASE}\n{said}") == {name: _lines(*lines) for name, lines in told.items()}


def test_two_blocks_of_work_are_two_versions_of_one_event() -> None:
    first, second = "8 pull-ups\n16 box jumps, 50 cm", "8 ring rows\n16 step-ups, 50 cm"
    text = f"As many rounds as possible in 9 minutes.\n\nGroup 40-54:\n{first}\n\nGroup 55+:\n{second}"
    read = understand(text)
    assert read.whole and read.format is not None
    assert list(windows_of(read.format)[0].lines) == _lines("8 pull-ups", "16 box jumps, 50 cm")
    assert _versions(text) == {"Group 55+": _lines("8 ring rows", "16 step-ups, 50 cm")}


@pytest.mark.parametrize(
    "said",
    [
        "\nScaled\n30 thrusters 30 kg",  # are there box jumps too?
        "\nScaled, cap 16\n40 step-ups\n30 thrusters 30 kg",
        "\nScaled\n40 step-ups\n30 thrusters 30 kg\nrest 1:00",
        "Women: 30 kg\nMasters: 35 kg, 50 cm",
        "Women: 65 lb",
        "Women: 30 kg\nWomen: 35 kg",
        "Women: 30 kg pull-ups",
        "Women: 20 thrusters 30 kg",
    ],
)
def test_a_version_that_does_not_fit_is_never_made_in_silence(said: str) -> None:
    assert not understand(f"{BASE}\n{said}").whole


def test_a_lift_with_a_dumbbell_is_that_lift_and_told_so() -> None:
    read = understand("AMRAP 6: 10 snatches with one dumbbell of 17.5 kg, 10 burpees")
    assert read.whole and read.format is not None and "dumbbell_snatch" in read.format.movements
    assert any("is Dumbbell snatches" in one.words for one in read.assumed)
    assert not understand("AMRAP 6: 10 wall balls with a 20 kg barbell, 10 burpees").whole


SWINGS = "AMRAP 9\n14 kettlebell swings"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (f"{SWINGS} - adults 20 kg, juniors 12 kg", {"Juniors": "12 kg"}),
        (f"{SWINGS} (Elite 24 kg, Open 16 kg)", {"Open": "16 kg"}),
        (f"{SWINGS} (Rx 24 kg, inter 20 kg, scaled 16 kg)", {"Inter": "20 kg", "Scaled": "16 kg"}),
        (f"{SWINGS} 24 kg (masters 20 kg)", {"Masters": "20 kg"}),
        (f"{SWINGS} 24 kg\n5 burpees\nThe women are making it with 16 kg.", {"Women": "16 kg"}),
    ],
)
def test_loads_under_other_names_are_versions(text: str, told: dict[str, str]) -> None:
    made = {name: lines[0] for name, lines in _versions(text).items()}
    assert made == {name: line_of(f"14 kettlebell swings @ {load}") for name, load in told.items()}


@pytest.mark.parametrize(
    "told",
    [
        "14 kettlebell swings\nRx 24/16 kg\nScaled 16/12 kg",
        "14 kettlebell swings\nRx: 24/16 kg\nScaled: 16/12 kg",
        "14 kettlebell swings (Rx 24/16 kg, scaled 16/12 kg)",
        "14 kettlebell swings 24/16 kg\nScaled: 16/12 kg",
        "14 kettlebell swings\nRx 24/16 kg Scaled 16/12 kg",
    ],
)
def test_two_loads_under_each_name_are_men_and_women_of_each_once_it_is_said(told: str) -> None:
    (question,) = understand(f"AMRAP 9\n{told}").questions
    made = {}
    for answer in ("men-women", "women-men", "first"):
        read = understand(f"AMRAP 9\n{told}", {question.id: answer})
        assert read.whole and read.format is not None
        made[answer] = {one.name: windows_of(read.format.varied(one.id))[0].lines[0].kg for one in read.format.variants}
    assert made["men-women"] == {"Rx women": 16, "Scaled men": 16, "Scaled women": 12}
    assert made["women-men"] == {"Rx men": 16, "Scaled women": 16, "Scaled men": 12}
    assert made["first"] == {"Scaled": 16}


@pytest.mark.parametrize("said", ["5 deadlifts (Rx 100/70 kg, scaled 70/50 kg)", "5 deadlifts\nRx 100/70 kg Scaled 70/50 kg"])
def test_where_only_first_numbers_count_no_second_one_is_given_to_another_version(said: str) -> None:
    text = f"AMRAP 9\n15/12 cal row\n20/15 box jumps 60/50 cm\n{said}"
    (question,) = understand(text).questions
    told = _lines("15 cal row", "20 box jumps, 60 cm", "5 deadlifts @ 70 kg")
    assert _versions(text, {question.id: "first"}) == {"Scaled": told}


def test_another_movement_for_a_version_stands_in_its_place() -> None:
    done = "AMRAP 9\n10 handstand push-ups\n20 double-unders"
    said = "In the division Scaled, push-ups replace the handstand push-ups."
    assert _versions(f"{done}\n{said}") == {"Scaled": _lines("10 push-ups", "20 double-unders")}
    both = "Beginners do push-ups instead of handstand push-ups and single-unders instead of double-unders."
    assert _versions(f"{done}\n{both}") == {"Beginners": _lines("10 push-ups", "20 single-unders")}


def test_two_blocks_with_two_loads_each_are_men_and_women_of_both() -> None:
    pro, other = "9 min AMRAP\n3 ring dips\n6 squat snatches 60/40 kg", "9 min AMRAP\n3 pull-ups\n6 power snatches 40/30 kg"
    text = f"Pro:\n{pro}\n\nOpen:\n{other}"
    (question,) = understand(text).questions
    read = understand(text, {question.id: "men-women"})
    assert read.whole and read.format is not None
    assert [one.name for one in read.format.variants] == ["Pro women", "Open", "Open women"]


@pytest.mark.parametrize(
    ("line", "names", "rounds"),
    [
        ("Elite: 5 rounds, Intermediate: 4 rounds", ["Intermediate"], [4]),
        ("Rx 5 rounds / scaled 3 rounds", ["Scaled"], [3]),
        ("5/4 rounds (men/women)", ["Women"], [4]),
        ("5 rounds for the men and 4 rounds for the women:", ["Women"], [4]),
        ("Elite: 5 rounds, Intermediate: 4 rounds, Beginner: 2 rounds", ["Intermediate", "Beginner"], [4, 2]),
    ],
)
def test_rounds_of_each_version_are_told_in_one_line(line: str, names: list[str], rounds: list[int]) -> None:
    read = understand(f"For time, cap 12\n{line}\n10 burpees\n200 m run")
    assert read.whole and read.format is not None
    lists = [read.format.tasks["work"], *(one.tasks["work"] for one in read.format.variants)]
    assert [one.name for one in read.format.variants] == names
    assert [one.rounds for one in lists if isinstance(one, ListTask)] == [5, *rounds]


@pytest.mark.parametrize(
    "text",
    [
        "For time, cap 12\n5/4 rounds\n10 burpees\n200 m run",  # whose are they?
        "For time, cap 12\nElite: 5 rounds, Intermediate: 4 rounds\n10 thrusters 43/30 kg",
        "Men: 5 rounds, women: 4 rounds. 12 min AMRAP\n10 burpees",
        "For time, cap 12\nElite: 5 rounds, Intermediate: 4 rounds, 1 min rest between\n10 burpees\n200 m run",
        "For time, cap 12\nElite: 5 rounds, Elite: 4 rounds\n10 burpees",
        "For time, cap 12\nElite: 5 rounds, then 4 rounds\n10 burpees",
        "For time, cap 12\nRx: 3 rounds, scaled: 2 rounds\n21-15-9\nburpees\npull-ups",
        "For time, cap 12\nWomen: 4 rounds, men: 5 rounds\n10 thrusters 43/30 kg",
        "For time, cap 12\nWomen: 4 rounds, men: 5 rounds\n15/12 cal row",
        "For time, cap 12\nMen: 5 rounds, women: 4 rounds\n12/15 cal row",
        "For time, cap 12\nRx: 5 rounds, scaled: 3 rounds\nRx: 10 pull-ups\nScaled: 10 ring rows",
    ],
)
def test_rounds_of_versions_that_are_not_plain_stay_open(text: str) -> None:
    assert not understand(text).whole


def test_rounds_and_loads_of_each_version_have_its_name_however_it_is_written() -> None:
    read = understand("For time, cap 12\nPRO: 5 rounds, Open: 4 rounds\n10 thrusters (Pro 50 kg, Open 40 kg)")
    assert read.whole and read.format is not None
    (other,) = read.format.variants
    assert (other.name, list(windows_of(read.format.varied(other.id))[0].lines)) == ("Open", _lines("10 thrusters @ 40 kg") * 4)


def test_rounds_of_versions_with_a_rest_between_are_told_to_be_that() -> None:
    read = understand("For time, cap 12\nElite: 5 rounds, Intermediate: 4 rounds, 1 min rest between\n10 burpees\n200 m run")
    assert ["rest between" in one.words for one in read.not_understood] == [True]
