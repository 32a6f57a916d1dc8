"""Sentences that are told by their sense: in any order of words, and only where every word is known to fit."""

import pytest

from app.rules.reading.reader import understand

WORK = "5 rounds of 1 min max burpees, 1 min rest between"
LIST = "10 thrusters 43 kg, 20 pull-ups"


def _score(text: str) -> tuple[str, ...]:
    read = understand(text)
    assert read.whole and read.format is not None, (read.not_understood, read.questions)
    return tuple(part.take for part in read.format.scores[0].parts)


@pytest.mark.parametrize(
    ("said", "take"),
    [
        ("What goes on the board is your weakest minute.", "worst"),
        ("Only the worst one counts.", "worst"),
        ("We record the best set.", "best"),
        ("All five intervals are summed.", "sum"),
        ("Your result is how many reps you got altogether.", "sum"),
    ],
)
def test_what_counts_is_told_in_any_order_of_words(said: str, take: str) -> None:
    assert _score(f"{WORK}\n{said}") == (take,)


@pytest.mark.parametrize(
    "said",
    [
        "All four intervals are summed.",
        "Only the worst one does not count.",
        "All but the first are summed.",
        "The last minute counts double.",
        "What goes on the board is the second minute.",
    ],
)
def test_a_sentence_on_the_score_that_says_more_is_never_passed_over(said: str) -> None:
    assert not understand(f"{WORK}\n{said}").whole


@pytest.mark.parametrize(
    "said",
    [
        "If you are still working after fifteen minutes we will stop you.",
        "Time cap\n\n15 minutes",
        "Whoever is at it at 15:00 is stopped.",
    ],
)
def test_when_time_is_called_is_told_in_any_order_of_words(said: str) -> None:
    read = understand(f"For time:\n{LIST}\n{said}")
    assert read.whole and read.format is not None and read.format.windows[0].seconds == 900


@pytest.mark.parametrize("said", ["We stop for 2 minutes after each fault.", "If you stop you wait 15 seconds."])
def test_a_time_in_a_sentence_that_is_no_cap_is_none(said: str) -> None:
    assert not understand(f"For time:\n{LIST}\n{said}").whole


def test_a_clock_that_runs_is_no_run() -> None:
    read = understand("Find your heaviest clean and jerk. The clock runs for 6 minutes.")
    assert read.whole and read.format is not None and list(read.format.movements) == ["clean_and_jerk"]


def test_a_word_of_talk_right_before_a_movement_is_part_of_its_name() -> None:
    (question,) = understand("AMRAP 5: 10 chair dips, 10 burpees").questions
    assert "chair dips" in question.words


@pytest.mark.parametrize(
    ("said", "members"),
    [
        ("The second event is for pairs. You can split the burpees and the rowing however you want.", 2),
        ("This one is for teams of 3, one works, two rest.", 3),
    ],
)
def test_who_works_and_how_they_share_it_is_told_in_any_order_of_words(said: str, members: int) -> None:
    read = understand(f"As many rounds as possible in 9 minutes: 50 burpees, 40 cal row.\n{said}")
    assert read.whole and read.format is not None and read.format.members == members
    assert read.format.windows[0].who == "any"


def test_a_load_at_the_end_is_for_what_it_can_be_for() -> None:
    read = understand("21 thrusters\n21 pull-ups\n15 thrusters\n15 pull-ups\nfor time, 42.5 kg, 10 min cap")
    assert read.whole and read.format is not None
    (task,) = read.format.tasks.values()
    assert [item.load is not None for item in task.items] == [True, False, True, False]  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("said", "out"),
    [("Who does not finish within the 2 minutes is out.", True), ("Who does not finish within 1 minute is out.", False)],
)
def test_a_miss_ends_it_where_the_time_is_that_of_the_window(said: str, out: bool) -> None:
    read = understand(f"Every 2 minutes for 12 minutes: 12 burpees. Score: total reps.\n{said}")
    assert read.whole == out


@pytest.mark.parametrize(
    "said",
    [
        "Notes:\ncap 12 min",
        "Standards\nScaled: 25/20 kg",
        "Note: the score is the slowest round",
        "Standards:\nRest 1:00 each round",
    ],
)
def test_a_note_or_a_standard_that_weighs_is_never_kept_in_silence(said: str) -> None:
    assert not understand(f"AMRAP 8: 10 burpees, 10 thrusters 43 kg\n{said}").whole


@pytest.mark.parametrize(
    "said",
    [
        "Who misses is not out.",
        "Who does not finish is not out.",
        "The reps that do not come after the horn don't count.",
    ],
)
def test_a_sentence_that_denies_once_more_is_never_read_as_the_other(said: str) -> None:
    assert not understand(f"Every 2:00 for 10 min: 5 cleans 60 kg. Total reps. {said}").whole


def test_what_is_held_and_who_holds_are_never_passed_over() -> None:
    held = understand("In pairs.\n0:00-3:00 B does wall balls 9 kg while A holds a plank")
    assert held.whole and held.format is not None and held.format.windows[0].holding == (1,)
    assert not understand("In pairs.\n0:00-3:00 partner A does wall balls 9 kg while partner B holds a").whole


def test_a_change_of_places_in_a_rest_needs_what_follows() -> None:
    first = "Teams of two\n0:00 to 3:00 partner A does wall balls 9 kg while partner B holds a plank\n"
    first += "3:00 to 4:00 rest, change places"
    assert not understand(first).whole
    both = f"{first}\n4:00 to 7:00 partner B does wall balls 9 kg while partner A holds a plank"
    assert understand(both).whole


def test_things_with_a_time_each_come_in_every_round_and_a_round_of_several_windows_is_no_window() -> None:
    text = "3 rounds\n1 min max wall balls 9 kg\n1 min max burpees\n1 min rest\n"
    read = understand(f"{text}Score: total reps")
    assert read.whole and read.format is not None
    assert [window.start for window in read.format.windows if window.task] == [0, 60, 180, 240, 360, 420]
    assert not understand(f"{text}Score: lowest round").whole
