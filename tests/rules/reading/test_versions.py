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


PAIRS = "10 thrusters 43/30 kg\n15/12 cal row\n20 box jumps, 24/20 in"
OF_WOMEN = ("10 thrusters @ 30 kg", "12 cal row", "20 box jumps, 20 in")


@pytest.mark.parametrize(
    "text",
    [
        f"M/F\nAMRAP 9\n{PAIRS}",
        f"♂/♀\nAMRAP 9\n{PAIRS}",
        f"AMRAP 9 (men/women)\n{PAIRS}",
        f"For time, cap 9\nM/W\n{PAIRS}",
        f"AMRAP 9\n{PAIRS}\nM/F. Bar on the floor.",
        f"AMRAP 9\n{PAIRS}\nMen/women loads as listed.",
        f"AMRAP 9\n{PAIRS}\n(first weight = M, second = W)",
        f"AMRAP 9\n{PAIRS}\nFirst number is the men's, second the women's.",
        f"AMRAP 9\n{PAIRS}\nLoads in kg, men/women.",
        f"AMRAP 9\n{PAIRS}\nScore: total reps\n(men / women)",
        f"Teams of 2, split as you like\nAMRAP 9\n{PAIRS}\nMM / FF teams.",
    ],
)
def test_a_legend_tells_whose_all_pairs_of_numbers_are_wherever_it_stands(text: str) -> None:
    assert _versions(text) == {"Women": _lines(*OF_WOMEN)}


@pytest.mark.parametrize("legend", ["♀/♂", "W/M", "women/men", "(F/M)"])
def test_a_legend_may_have_the_women_first(legend: str) -> None:
    assert _versions(f"{legend}\nAMRAP 9\n10 thrusters 30/43 kg") == {"Men": _lines("10 thrusters @ 43 kg")}


def test_a_legend_is_for_the_numbers_of_each_named_version_too() -> None:
    told = _versions("AMRAP 9\n10 thrusters\nRX 43/30 kg\nScaled 30/20 kg\nM/F")
    assert list(told) == ["Rx women", "Scaled men", "Scaled women"]


@pytest.mark.parametrize(
    "text",
    [
        f"AMRAP 9\n{PAIRS}",
        f"AMRAP 9\n{PAIRS}\nOrder of heats: women/men.",
        f"AMRAP 9\n{PAIRS}\nMen first, women second.",
        f"AMRAP 9\n{PAIRS}\nFirst heat men, second heat women.",
        f"AMRAP 9\n{PAIRS}\nThe first is for men, the second for women.",
        f"AMRAP 9\n{PAIRS}\nNot men/women loads.",
        f"AMRAP 9\n{PAIRS}\nScore: total reps, men/women ranked separately",
        f"AMRAP 9 (women/men)\n{PAIRS}",  # the greater first
        f"AMRAP 9, M/F\n{PAIRS}\n20/24 box jumps",
        f"M/F\nAMRAP 9\n{PAIRS}\nW/M",
        f"AMRAP 9 (M/F)\n{PAIRS}\n10 pull-ups / 10 ring rows",  # both, or one of each?
        f"Teams of 2, M/F\nsplit as you like, AMRAP 9\n{PAIRS}",  # a man and a woman, or teams of each
        f"Teams of 2, split as you like\nM/F\nAMRAP 9\n{PAIRS}",
        "AMRAP 9\n10 thrusters 43 kg men 30 kg",  # whose is the second?
        "AMRAP 9\n10 thrusters 43 kg\nThat's for the women.\nWomen 30 kg",
    ],
)
def test_what_is_no_legend_or_contradicts_the_numbers_leaves_it_open_whose_they_are(text: str) -> None:
    assert not understand(text).whole


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("AMRAP 9\n10 thrusters, M/F 43/30 kg\n5 burpees", ("10 thrusters @ 30 kg", "5 burpees")),
        ("AMRAP 9\nM/F 15/12 cal row\n5 burpees", ("12 cal row", "5 burpees")),
        ("AMRAP 9\n8 wall balls\nBall 9/6 kg (M/F), target 10/9 ft", ("8 wall balls, 9 ft @ 6 kg",)),
        ("AMRAP 9\n9 step-ups\n8 deadlifts (M/F 100/70 kg)\nBox 24/20 in", ("9 step-ups, 20 in", "8 deadlifts @ 70 kg")),
        ("AMRAP 9, M/F\n9 dumbbell step-ups, single dumbbell 20/15 kg, 20 in box", ("9 dumbbell step-ups, 20 in @ 15 kg",)),
        ("AMRAP 9, M/F\n8 dumbbell snatches, one dumbbell, 22.5/15 kg (4 each arm)", ("8 dumbbell snatches @ 15 kg",)),
        ("AMRAP 9\n8 deadlifts (men's teams 100 kg, women's teams 70 kg)", ("8 deadlifts @ 70 kg",)),
        ("AMRAP 9\n8 deadlifts\nMen's bar 100 kg, women's bar 70 kg", ("8 deadlifts @ 70 kg",)),
        (
            "AMRAP 9\n8 cleans\n9 box jumps\nMen have 60 kg on the bar and the 24 inch box, women 40 kg and the 20 inch box.",
            ("8 cleans @ 40 kg", "9 box jumps, 20 in"),
        ),
        (
            "AMRAP 9\n8 wall balls, 20 lb to 10 ft\n9 box jumps, 24 in\nThat's for the men. Women use a 14 lb ball to the 9 ft"
            " line and the 20 in box, and the rest is the same.",
            ("8 wall balls, 9 ft @ 14 lb", "9 box jumps, 20 in"),
        ),
        (
            "AMRAP 9\n8 deadlifts\n9 box jumps\nMen deadlift 100 kg, women deadlift 70 kg, the box is 60 cm for everyone.",
            ("8 deadlifts @ 70 kg", "9 box jumps, 60 cm"),
        ),
        ("AMRAP 9\n7 thrusters 43kg men  30kg\nwomen\n5 burpees", ("7 thrusters @ 30 kg", "5 burpees")),
    ],
)
def test_loads_and_heights_of_the_women_go_to_what_is_done_with_them(text: str, told: tuple[str, ...]) -> None:
    assert _versions(text) == {"Women": _lines(*told)}


@pytest.mark.parametrize(
    "text",
    [
        "AMRAP 9\n8 thrusters 43 kg\nBox 50 cm",
        "AMRAP 9\n8 wall balls 9 kg 10 ft\nTarget 9 ft",
        "AMRAP 9\n8 deadlifts\n9 box jumps\nMen deadlift 100 kg, women deadlift 70 kg, box 50 cm.",  # and the men's?
        "AMRAP 9\n8 thrusters 43 kg\nWomen use 30 kg, and the rest is not the same.",
        "AMRAP 9\n8 deadlifts, men's team leads, 100 kg",
        "AMRAP 9\n8 thrusters\n9 swings\nRx men: thruster 50 kg, kettlebell 28 kg\nRx women: kettlebell 20 kg, 35 kg",
        "AMRAP 9\n8 thrusters\n9 swings\nRx men: thruster 50 kg, kettlebell 28 kg\nRx women: 35 kg",
    ],
)
def test_loads_and_heights_that_have_no_place_leave_the_event_open(text: str) -> None:
    assert not understand(text).whole


def test_numbers_behind_a_name_without_things_come_in_the_order_of_the_first() -> None:
    done = "3 rounds for time, cap 10\n10 thrusters\n15 kettlebell swings\n20 box jumps"
    first = "Rx men: thruster 50 kg, kettlebell 28 kg, box 24 in"
    told = _versions(f"{done}\n{first}\nRx women: 35 kg, 20 kg, 20 in\nScaled men: 30 kg, 16 kg, 20 in")
    assert {name: lines[:3] for name, lines in told.items()} == {
        "Rx women": _lines("10 thrusters @ 35 kg", "15 kettlebell swings @ 20 kg", "20 box jumps, 20 in"),
        "Scaled men": _lines("10 thrusters @ 30 kg", "15 kettlebell swings @ 16 kg", "20 box jumps, 20 in"),
    }


GYMNASTICS = "AMRAP 9\n25 double-unders\n9 push-ups\n6 pull-ups"


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("Masters 45+: 18 double-unders, 9 push-ups, 6 ring rows", ("18 double-unders", "9 push-ups", "6 ring rows")),
        ("Scaled: jumping pull-ups", ("25 double-unders", "9 push-ups", "6 jumping pull-ups")),
        ("Scaled: ring rows instead of pull-ups, same numbers", ("25 double-unders", "9 push-ups", "6 ring rows")),
    ],
)
def test_other_work_of_a_version_is_set_as_its_variant(said: str, told: tuple[str, ...]) -> None:
    assert list(_versions(f"{GYMNASTICS}\n{said}").values()) == [_lines(*told)]


@pytest.mark.parametrize(
    ("said", "answers"),
    [
        ("scaled does single unders + ring rows, same numbers", ["double_under", "pull_up"]),
        ("Women: 6 ring rows", ["pull_up", "as-well"]),
        ("Scaled: 12 single-unders and 6 ring rows", ["double_under", "pull_up", "as-well"]),
    ],
)
def test_in_place_of_what_a_version_does_something_is_asked_where_it_is_not_plain(said: str, answers: list[str]) -> None:
    text, given = f"{GYMNASTICS}\n{said}", dict[str, str]()
    for answer in answers:
        question = next(one for one in understand(text, given).questions if answer in {each.value for each in one.answers})
        given[question.id] = answer
    (lines,) = _versions(text, given).values()
    assert [line.of for line in lines] == [  # type: ignore[attr-defined]
        "double_under" if "single" not in said else "single_under",
        "push_up",
        "ring_row",
    ]


OPEN = {
    BASE: [
        "\nScaled\n30 thrusters 30 kg",  # are there box jumps too?
        "\nScaled, cap 16\n40 step-ups\n30 thrusters 30 kg",
        "\nScaled\n40 step-ups\n30 thrusters 30 kg\nrest 1:00",
        "Women: 30 kg\nMasters: 35 kg, 50 cm",
        "Women: 65 lb",
        "Women: 30 kg\nWomen: 35 kg",
        "Women: 30 kg pull-ups",
        "Women: 20 thrusters 30 kg",
    ],
    GYMNASTICS: [
        "Scaled: 9 push-ups",  # and the rest?
        "Scaled: push-ups",
        "Women start with jumping pull-ups",
        "Scaled: 25 single-unders, 9 pull-ups, 6 push-ups",  # in place of what?
        "Scaled: 6 thrusters 30 kg",
        "Scaled may do ring rows",
        "Scaled: no pull-ups",
        "Women run 400 m if it is dry",
        "Masters 45+: 6 ring rows, rest 1:00",
    ],
}


@pytest.mark.parametrize(("base", "said"), [(base, said) for base, rows in OPEN.items() for said in rows])
def test_a_version_that_does_not_fit_is_never_made_in_silence(base: str, said: str) -> None:
    assert not understand(f"{base}\n{said}").whole


def test_a_load_told_for_a_version_goes_with_its_other_movement() -> None:
    told = _versions("AMRAP 9\n8 power snatches\n6 pull-ups\nRx: 40 kg\nScaled: 25 kg, ring rows instead of pull-ups")
    assert told == {"Scaled": _lines("8 power snatches @ 25 kg", "6 ring rows")}


ACROSS = "400 m run\n20 thrusters, 50/35 kg\n30 m handstand walk / 30 m bear crawl\n40 pull-ups / 25 pull-ups"


@pytest.mark.parametrize(("head", "name"), [("Pro / Open", "Open"), ("M/F", "Women"), ("Rx / Scaled", "Scaled")])
def test_two_versions_across_the_lines_are_the_event_and_its_variant(head: str, name: str) -> None:
    text = f"For time, cap 16:00\n{head}\n{ACROSS}"
    assert _versions(text) == {name: _lines("400 m run", "20 thrusters @ 35 kg", "30 m bear crawl", "25 pull-ups")}
    read = understand(text)
    assert read.format and [str(one.of) for one in windows_of(read.format)[0].lines][2:] == ["handstand_walk", "pull_up"]


def test_names_over_pairs_of_numbers_alone_are_asked_about_and_one_answer_gives_them() -> None:
    text = "For time, cap 16:00\nPro / Open\n20 thrusters, 50/35 kg\n10 burpees"
    (question,) = understand(text).questions
    assert _versions(text, {question.id: "headed"}) == {"Open": _lines("20 thrusters @ 35 kg", "10 burpees")}


def test_a_ladies_day_is_no_version() -> None:
    read = understand("Ladies' day, workout 1.\nAMRAP 9\n8 deadlifts 80 kg\n10 push-ups")
    assert read.whole and read.format is not None and not read.format.variants
