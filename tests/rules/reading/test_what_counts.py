"""What of all that is done counts, and which tie parts equal scores: as it is said, and never guessed."""

import pytest

from app.rules.reading.reader import understand
from app.rules.reading.understood import Understood
from app.rules.workout.advice import advice
from app.rules.workout.formats import ListTask
from app.rules.workout.paper_rows import paper_windows

ROUNDS = "5 rounds for time, cap 17 min: 14 kettlebell swings 24 kg, 9 burpees"
CHIPPER = "For time, cap 15: 45 cal row, 32 deadlifts 100 kg, 24 burpees, 12 bar muscle-ups"
AMRAP = "AMRAP 12: 200 m run, 10 burpees, 15 thrusters 43 kg"
TAIL = "8 minutes: 1000 m row, then max wall balls 9 kg in the time left"


def worths(read: Understood) -> list[int]:
    """What each line of the one list counts."""
    assert read.format is not None
    (task,) = read.format.tasks.values()
    assert isinstance(task, ListTask)
    return [item.worth for item in task.items]


@pytest.mark.parametrize(
    ("text", "counts"),
    [
        (f"{AMRAP}\nThe run doesn't count.", [0, 1, 1]),
        (f"{AMRAP}\nThe thrusters don't count.", [1, 1, 0]),
        (f"{AMRAP}\nBurpees don't count.", [1, 0, 1]),
        (f"{AMRAP}\nThe thrusters do not count for your score.", [1, 1, 0]),
        (f"{AMRAP}\nThe burpees are not counted, the run scores nothing.", [0, 0, 1]),
        (f"{AMRAP}\nOnly the burpees are scored.", [0, 1, 0]),
        (f"{AMRAP}\nNothing counts but the burpees.", [0, 1, 0]),
        (f"{AMRAP}\nIn the score there are just burpees.", [0, 1, 0]),
        (f"{AMRAP}\nScore: burpees only", [0, 1, 0]),
        (f"{AMRAP}\nScore: total burpees", [0, 1, 0]),
        (f"{AMRAP}\nScore = burpee reps", [0, 1, 0]),
        (f"{AMRAP}\nYour score is the thrusters.", [0, 0, 1]),
        (f"{TAIL}\nScore: wall balls", [0, 1]),
        (f"{TAIL}\nScore = total wall balls", [0, 1]),
        (f"{TAIL}\nOnly the wall balls are your score, the row is the price of admission.", [0, 1]),
        (f"{TAIL}\nOnly wall balls count.", [0, 1]),
        (f"{TAIL}\nThe row does not count.", [0, 1]),
        (f"{TAIL}\nThe row is just the entry fee.", [0, 1]),
        ("8 minutes: 30 cal row, then max wall balls 9 kg in the time left\nThe calories don't count.", [0, 1]),
        ("AMRAP 9: 12 cal row, 10 burpees\nScore: total calories", [12, 0]),
        ("AMRAP 9: 12 cal row, 10 burpees, 9 cal bike, 30 sit-ups\nScore: total calories and burpees", [12, 1, 9, 0]),
        ("AMRAP 9: 12 cal row, 10 burpees, 9 cal bike\nScore: row calories only", [12, 0, 0]),
        ("AMRAP 8 min, once through:\n1000 m row = 0\n30 wall balls 9 kg", [0, 1]),
    ],
)
def test_a_line_that_does_not_count_is_told_so_and_counts_nothing(text: str, counts: list[int]) -> None:
    read = understand(text)
    assert read.whole and worths(read) == counts
    told = [one.words for one in read.assumed if one.words.startswith("It is done, and does not count in the score: ")]
    assert told or "= 0" in text


@pytest.mark.parametrize(
    "text",
    [
        f"{AMRAP}\nThe last run doesn't count.",
        f"{AMRAP}\nThe burpees don't count if you don't jump.",
        f"{AMRAP}\nThe run doesn't count in round 1.",
        f"{AMRAP}\nThe burpees don't count, but the last one does.",
        f"{AMRAP}\nWe don't count the burpees, your partner does.",
        f"{AMRAP}\nEvery burpee counts.",
        f"{AMRAP}\nScore: everything but the run",
        f"{AMRAP}\nNothing but the burpees counts.",
        f"{AMRAP}\nThe burpees count but the run doesn't.",
        f"{AMRAP}\nScore is anything other than the run",
        f"{AMRAP}\nScore: burpees, not the run",
        f"{AMRAP}\nScore is the total of burpees and no runs.",
        f"{AMRAP}\nScore is the run, and the thrusters get nothing.",
        f"{AMRAP}\nThe burpee is just a rep in the total score.",
        f"{AMRAP}\nBurpees score just as the thrusters do.",
        f"{AMRAP}\nThe burpees get just the points of the run.",
        f"{AMRAP}\nDo not count the burpees.",
        f"{AMRAP}\nThe run doesn't count. Score: runs",
        f"{AMRAP}\nThe run counts as one burpee.",
        f"{AMRAP}\nOnly thrusters count.",  # as a standard has it: only strict pull-ups count
        f"{AMRAP}\nThe run does not count for the women.",
        f"{AMRAP}\nThe swings don't count.",
        f"{AMRAP}\nThe run, the burpees and the thrusters don't count.",
        f"{TAIL}\nWe don't count the row.",
        f"{TAIL}\nDon't count the row.",
        TAIL,
        "For time, cap 12: 200 m run, 10 burpees, 15 thrusters 43 kg\nScore: burpees",
    ],
)
def test_what_may_not_count_is_asked(text: str) -> None:
    assert not understand(text).whole


def test_that_something_counts_says_nothing_of_what_else_is_done() -> None:
    read = understand("AMRAP 9: 12 cal row, 10 burpees, 9 cal bike\nThe calories count one each.")
    assert read.whole and worths(read) == [12, 1, 9]


def test_who_counts_is_asked_where_somebody_does_not_and_so_is_what_stands_before_the_time_that_is_left() -> None:
    for text, values in ((f"{TAIL}\nWe don't count the row.", {"nothing": [0, 1]}), (TAIL, {"rest": [0, 1], "so": [1, 1]})):
        (question,) = understand(text).questions
        for value, counts in values.items():
            read = understand(text, {question.id: value})
            assert read.whole and worths(read) == counts


def test_what_does_not_count_is_so_in_every_version() -> None:
    told = "8:00 on the clock\nBuy-in: 1100/950 m row (men/women)\nIn the remaining time: max thrusters (43/30 kg)\n"
    read = understand(f"{told}Score = thruster reps")
    assert read.format is not None
    variant = read.format.varied(read.format.variants[0].id)
    assert [[item.worth for item in task.items] for task in variant.tasks.values() if isinstance(task, ListTask)] == [[0, 1]]


def test_windows_of_another_thing_are_left_out_of_a_score_of_calories() -> None:
    read = understand("Every minute for 4 minutes:\nmin 1: 11 thrusters 40 kg\nmin 2: max cal row\nScore: total calories")
    assert read.format is not None
    (part,) = read.format.scores[0].parts
    assert [read.format.windows[place].start for place in read.format.window_indexes(part)] == [60, 180]
    assert read.format.scores[0].unit == "cal" and any("does not count" in one.words for one in read.assumed)


@pytest.mark.parametrize(
    ("text", "step"),
    [
        (f"{CHIPPER}\nTiebreak: time after the deadlifts", {"point": {"line": 2}}),
        (f"{CHIPPER}\nTie-break: the time when your last burpee is done.", {"point": {"line": 3}}),
        (
            f"{CHIPPER}\nIf two athletes tie, the one who was done first with the burpees is placed higher.",
            {"point": {"line": 3}},
        ),
        (
            "15-12-9 reps for time, cap 8: thrusters 40 kg, pull-ups\nTie: time after the last rep of the round of 9",
            {"point": {"scheme": 9}},
        ),
        (f"{ROUNDS}\nTie: time at end of round 3, faster wins.", {"point": {"round": 3}}),
        (f"{ROUNDS}\nTie: time at end of round 3, the soonest is first, lower wins.", {"point": {"round": 3}}),
        ("For time, cap 9: 200 m run, 20 burpees, 200 m run\nTie: time after the first run", {"point": {"line": 1}}),
        (f"{ROUNDS}\nTie-break = time at the end of your fourth round.", {"point": {"round": 4}}),
        (f"{ROUNDS}\nTiebreak: time after the swings in round 3", {"point": {"round": 3, "line": 1}}),
        (f"{ROUNDS}\nTiebreak: time after the first 9 burpees", {"point": {"round": 1, "line": 2}}),
        (f"{AMRAP}\nIf two pairs tie, we look at who finished their first round earlier.", {"point": {"round": 1}}),
        ("1:00 max deadlifts 140 kg\nScore = reps\nTiebreak: reps at 0:30", {"at": 30}),
        (f"{AMRAP}\nTie: most reps at the 5 minute mark", {"at": 300}),
    ],
)
def test_a_tie_at_a_stated_point_is_told_in_many_ways(text: str, step: dict[str, object]) -> None:
    read = understand(text)
    assert read.whole and read.format is not None
    (told,) = read.format.scores[0].ties
    assert told.model_dump(exclude_none=True) == {"kind": "count_at" if "at" in step else "time_at", **step}


@pytest.mark.parametrize(
    "text",
    [
        f"{CHIPPER}\nTiebreak: time after the deadlifts, slower wins",
        f"{CHIPPER}\nTiebreak: time after the deadlifts, longer is better",
        f"{CHIPPER}\nTiebreak: time after the deadlifts, earliest first, latest wins",
        f"{CHIPPER}\nTiebreak: time after the first deadlift",
        f"{CHIPPER}\nTiebreak: time when the first burpee is done",
        f"{CHIPPER}\nTie: who reached the burpees first",
        f"{CHIPPER}\nTie: who finished the burpees faster",
        f"{CHIPPER}\nTie: reps at 5:00, lowest wins",
        f"{CHIPPER}\nTie: reps done after 5:00",
        f"{CHIPPER}, 9 burpees\nTiebreak: time after the first 9 burpees",
        f"{CHIPPER}\nTiebreak: time after the overhead squats",
        f"{CHIPPER}, 24 burpees\nTiebreak: time after the burpees",
        f"{CHIPPER}\nIf two athletes tie, the one who was done last with the burpees is placed higher.",
        f"{CHIPPER}\nIf two athletes tie, the one who was done first with the burpees starts the next event.",
        f"{ROUNDS}\nTiebreak: time after the swings",
        f"{ROUNDS}\nTiebreak: time after the swings in round 6",
        f"{ROUNDS}\nIf two pairs tie, we look at who finished their first round later.",
        f"Pairs, you go I go. {AMRAP}\nTie: who finished their first round first",
        f"{AMRAP}\nTiebreak: time of the last completed round",
        f"{AMRAP}\nTiebreak: reps at 0:30 remaining",
        f"{AMRAP}\nTiebreak: reps at 13:00",
        "2 rounds of 1 min max burpees, 1 min rest. Score: total reps. Tiebreak: reps at 0:30",
        "5 min max cal row. Tiebreak: reps at 2:00",
        f"{AMRAP}\nTie: both get the same points, less one",
        f"{AMRAP}\nTie: both get points",
        f"{AMRAP}\nTies don't stay ties.",
        f"{AMRAP}\nTies stay ties but for the first place.",
        f"{AMRAP}\nTie: shared place, but not for first place.",
        f"{AMRAP}\nTie: shared place but for the first place.",
        f"{AMRAP}\nEqual scores share the place but not on the podium.",
    ],
)
def test_a_tie_that_no_event_has_stays_asked(text: str) -> None:
    assert not understand(text).whole


@pytest.mark.parametrize("said", ["Tie: both get the same points", "Ties stay ties."])
def test_a_place_that_is_shared_is_told_in_other_words(said: str) -> None:
    read, told = understand(f"{AMRAP}\n{said}"), understand(f"{AMRAP}\nTie: shared place")
    assert read.whole and told.whole and read.format is not None and read.format == told.format


@pytest.mark.parametrize(
    ("said", "whole"),
    [
        ("Result: time in minutes and seconds", True),
        ("Result: time in minutes and seconds of the last round", False),
        ("Result: time in minutes and seconds, without the burpees", False),
    ],
)
def test_how_a_time_is_written_down_changes_nothing(said: str, whole: bool) -> None:
    plain = "For time, cap 9: 10 burpees, 15 thrusters 43 kg"
    read = understand(f"{plain}\n{said}")
    assert read.whole is whole
    assert not whole or read.format == understand(plain).format


@pytest.mark.parametrize(
    ("text", "score"),
    [
        ("EMOM 12: 7 thrusters 40 kg\nScore = total reps completed inside the minutes (max 84)", ("sum", "reps")),
        ("5 min max distance row\nScore: metres on the monitor at the bell", ("best", "m")),
        ("2:00 max plank hold\nrest 1:00\n2:00 max wall sit\nScore = total seconds of both positions", ("best", "s")),
        ("Pairs. 0:00-3:00 A: max burpees\n3:00-6:00 B: max burpees\nScore: A's and B's reps together", ("sum", "reps")),
        (
            "3 rounds of 1 min max swings 24 kg, 1 min rest\nScore is not the total but your lowest round of swings.",
            ("worst", "reps"),
        ),
        ("EMOM 20: 10 burpees. Who misses a minute is out\nScore: all reps until you are out", ("sum", "reps")),
        ("For time: 50 burpees. Time cap 9 min.\nIf capped: 9:00 plus 1 second per missing rep", ("time", "s")),
    ],
)
def test_a_score_is_read_whatever_stands_beside_it(text: str, score: tuple[str, str]) -> None:
    read = understand(text)
    assert read.whole and read.format is not None
    (made,) = read.format.scores
    assert (made.parts[0].take, made.unit, made.cap_adds) == (*score, 1 if "capped" in text else None)


@pytest.mark.parametrize(
    "text",
    [
        "EMOM 12: 7 thrusters 40 kg. Who misses a minute is out.\nScore = total reps (max 80)",
        "3 rounds of 1 min max swings 24 kg, 1 min rest\nScore is not the lowest but the average.",
        "3 rounds of 1 min max swings 24 kg, 1 min rest\nScore: total reps at the bell of round 2",
        "3 rounds of 1 min max swings 24 kg, 1 min rest\nScore: all reps until minute 2",
        "For time: 50 burpees. Time cap 9 min.\nIf capped: 10:00 plus 1 second per missing rep",
        "For time: 50 burpees. Time cap 9 min.\nThe seconds are added to your time.",
    ],
)
def test_a_score_that_may_be_another_stays_asked(text: str) -> None:
    assert not understand(text).whole


@pytest.mark.parametrize("minutes", [1, 8, 30, 41])
def test_nobody_is_asked_for_a_number_in_the_time_that_is_left(minutes: int) -> None:
    read = understand(f"{minutes} minutes: 1000 m row, then max wall balls 9 kg in the time left\nScore: wall balls")
    assert read.format is not None
    ((key, task),) = read.format.tasks.items()
    assert isinstance(task, ListTask)
    assert [read.format.goes_on(key, item) for item in task.items] == [False, True]
    (window,) = paper_windows(read.format)
    row, balls = window.lines
    assert (row.reps, balls.reps) == ("1", "") and "as many as possible" in balls.note and "possible" not in row.note
    assert window.ends == "Repetitions that count, done at the bell" and advice(read.format) == []


def test_calories_in_the_time_that_is_left_are_tapped_one_by_one_once_that_is_agreed_to() -> None:
    text = "8 min: 600 m run, then max cal bike in the time left\nScore: total calories"
    (question,) = understand(text).questions
    read = understand(text, {question.id: "so"})
    assert read.whole and worths(read) == [0, 1] and question.words.startswith("Calories behind a list are counted one by one")
    assert not understand("8 min: 20 burpees, then max metres row in the time left\nScore: metres").whole
