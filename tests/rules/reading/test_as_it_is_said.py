"""Ways of saying it that lead to the event of its shorthand; and what is like them and says another thing stays open."""

import pytest

from app.rules.reading.reader import understand
from app.rules.reading.understood import Understood
from tests.rules.reading.plainly import line_of, windows_of

LIST = "AMRAP 8\n10 pull-ups\n20 double-unders"
TWO = "2 min max burpees\n1 min rest\n2 min max sit-ups\n1 min rest\n"
TURN = "as many calories as possible on the rower"
SAME = {
    "slips of the finger": (
        "AMRAP 8\n9 bxo jumps 50cm\n400 m rnu\n12 kettelbell swigns 20 kg\n6 push pres 40 kg",
        "AMRAP 8\n9 box jumps 50 cm\n400 m run\n12 kettlebell swings 20 kg\n6 push presses 40 kg",
    ),
    "a name that goes on in brackets": (
        "AMRAP 8\n5 burpees (bar facing)\n6 pull-ups (strict)\n9 squats (no weight)",
        "AMRAP 8\n5 bar-facing burpees\n6 strict pull-ups\n9 air squats",
    ),
    "a bench to step on": ("AMRAP 8: 10 step-ups (bench, 40 cm), 5 burpees", "AMRAP 8: 10 step-ups 40 cm, 5 burpees"),
    "a framed line": (">> 7 MINUTES <<\nAS MANY REPS AS POSSIBLE\n8 THRUSTERS 20 KG", "AMRAP 7\n8 thrusters 20 kg"),
    "two letters": ("FT / cap 11\n3 RDS\n10 burpees\n250m row", "For time, cap 11\n3 rounds\n10 burpees\n250 m row"),
    "feet": ("For time, cap 3: 100' walking lunge, 5 burpees", "For time, cap 3: 100 ft walking lunge, 5 burpees"),
    "in each hand": (
        "For time, cap 3\nFarmers walk 20 m, 32 kg per hand\n5 burpees",
        "For time, cap 3\n20 m farmers walk 32 kg\n5 burpees",
    ),
    "starts by the clock": (
        f"Every athlete has 2 minutes to do {TURN}.\nAthlete A starts at 0:00, athlete B at 2:30.\nTotal calories.",
        "Teams of 2\n0:00-2:00 A: max cal row\n2:30-4:30 B: max cal row\nTotal calories",
    ),
    "one after the other": (
        f"Team of two, one after the other\nEvery athlete has 2 minutes to do {TURN}.\nTotal calories.",
        "Teams of 2\n0:00-2:00 A: max cal row\n2:00-4:00 B: max cal row\nTotal calories",
    ),
    "the hold in a line of its own": (
        "Partner A: 3 min max burpees\nPartner B: holds the plank\nthen swap, another 3 min\nscore: burpees of both",
        "Partner A: 3 min max burpees, partner B holds a plank\nthen switch\nTotal reps",
    ),
    "all of it again": (
        f"{TWO}and then you do all of that one more time, so you see everything twice. Total reps.",
        f"{TWO}{TWO}Total reps.",
    ),
    "one lift, told twice": (
        "Snatch for load\nAthletes have 12 minutes to find the heaviest snatch.\nScore: heaviest lift",
        "12 minutes to find the heaviest snatch\nScore: heaviest lift",
    ),
    "attempts in two sentences": (
        "Snatch. 3 attempts. For each attempt the athlete has one minute, with two minutes between them. Heaviest counts.",
        "Snatch\n3 attempts, 1 minute each, 2 minutes between them\nHeaviest counts.",
    ),
    "a complex under a heading": (
        "Complex, heaviest load in 7 minutes:\n1 clean + 1 hang clean\nThe complex is performed without letting go of the bar.",
        "7 minutes to find the heaviest complex of 1 clean + 1 hang clean",
    ),
    "scores by their places": (
        "AMRAP 5: 6 burpees, 9 air squats\nRest 2 min\n6 min to find your heaviest snatch.\n"
        "There are two scores: the repetitions of the first part and the kilograms of the second.",
        "AMRAP 5: 6 burpees, 9 air squats\nRest 2 min\n6 min to find your heaviest snatch.\nPart A scored in reps, part B in kg.",
    ),
    "who misses any of them": (
        "EMOM 12\n9 cleans 60 kg\nIf you don't get all 9 before the next beep you are out!",
        "EMOM 12\n9 cleans 60 kg\nWho misses a minute is out.",
    ),
    "a ladder that goes on in its own clause": (
        "7 min amrap: 3 thrusters 40 kg, 3 burpees, then six and six, and so on, always add three, score is total reps",
        "7 min amrap: 3 thrusters 40 kg, 3 burpees, then six and six, and so on, always add three",
    ),
    "a load for each minute": (
        "EMOM 3\n1 clean\nmin 1 - 50 kg\nmin 2 - 60 kg\nmin 3 - 70 kg\nTotal reps",
        "EMOM 3\nmin 1: 1 clean 50 kg\nmin 2: 1 clean 60 kg\nmin 3: 1 clean 70 kg\nTotal reps",
    ),
}


def _event(text: str) -> Understood:
    read = understand(text)
    assert read.whole and read.format is not None, (read.not_understood, read.questions)
    return read


@pytest.mark.parametrize(("said", "short"), SAME.values(), ids=SAME)
def test_what_is_said_is_the_event_of_its_shorthand(said: str, short: str) -> None:
    one, other = _event(said).format, _event(short).format
    assert one is not None and other is not None
    assert windows_of(one) == windows_of(other)
    assert [score.parts for score in one.scores] == [score.parts for score in other.scores]


def test_a_score_that_was_in_doubt_for_the_sake_of_another_sentence_is_read_after_all() -> None:
    read = understand(
        "Ski sprint for brave threes\nA skis for 2 minutes, B skis for 2 minutes, C skis for 2 minutes.\n"
        "Add the calories of all three."
    )
    assert [one.id.partition("-")[0] for one in read.questions] == ["doubt"]
    assert read.format is not None and [window.who for window in windows_of(read.format)] == ["A", "B", "C"]


@pytest.mark.parametrize(
    ("said", "first", "later"),
    [
        ("4 rope climbs... no wait, 2 rope climbs", "4 rope climbs", "2 rope climbs"),
        ("10 rope climbs, only kidding, 10 pull-ups", "10 rope climbs", "10 pull-ups"),
        ("400 m run, I mean 600 m run", "400 m run", "600 m run"),
    ],
)
def test_whether_something_is_taken_back_is_asked(said: str, first: str, later: str) -> None:
    text = f"For time, cap 9\n{said}\n10 burpees"
    (question,) = understand(text).questions
    done = {}
    for answer in question.answers:
        made = understand(text, {question.id: answer.value}).format
        assert made is not None
        done[answer.value] = list(windows_of(made)[0].lines)
    assert done == {
        "later": [line_of(later), line_of("10 burpees")],
        "both": [line_of(first), line_of(later), line_of("10 burpees")],
    }


OF_FOUR = "Teams of 4\nEverybody does 5 minutes on the ski erg, one after the other"


@pytest.mark.parametrize(("pause", "long"), [("no break", 20), ("1 minute break", 23)])
def test_a_time_of_each_one_after_the_other_may_be_told_with_the_time_of_all(pause: str, long: int) -> None:
    read = understand(f"{OF_FOUR}, {pause}, {long} minutes in all\nMetres of all four added")
    assert read.whole and read.format is not None
    assert [window.seconds for window in read.format.windows if window.task] == [300] * 4


@pytest.mark.parametrize(
    "text",
    [
        f"{LIST}\nScaled may do ring rows instead of pull-ups",
        f"{LIST}\nScaled: ring rows instead of push-ups",
        f"{LIST}\nRing rows instead of pull-ups are not allowed",
        "AMRAP 8\n10 thrusters 43 kg\n5 burpees\nScaled: dumbbell thrusters instead of thrusters",
        "2 min max burpees\n1 min rest\n2 min max sit-ups\nand then all of that once more. Total reps.",
        "Teams of 3, one after the other\n2 min max burpees\nTotal reps",
        f"{OF_FOUR}, no break, 25 minutes in all\nMetres of all four added",
        f"{OF_FOUR}, 1 minute break, 20 minutes in all\nMetres of all four added",
        f"Every athlete has 2 minutes to do {TURN}. Athlete A starts at 0:00, athlete B at 1:00.",
        f"Every athlete has 2 minutes to do {TURN}. Athlete B starts at 0:00, athlete C at 2:30.",
        "Snatch. For each attempt the athlete has one minute, with two minutes between the attempts.",
        "EMOM 12: 9 cleans 60 kg. Whoever misses the 8 reps is out.",
        "EMOM 3\n1 clean 40 kg\nmin 1 - 50 kg\nmin 2 - 60 kg",
        "AMRAP 8\n8 dumbbell snatches 20 kg per hand\n5 burpees",
        "AMRAP 9\n10 thrusters (juniors 20 kg, open 35 lb)\n5 burpees",
    ],
)
def test_what_is_like_it_and_says_another_thing_stays_open(text: str) -> None:
    assert not understand(text).whole


def test_windows_in_turn_that_last_another_time_in_all_stay_open_whatever_is_answered() -> None:
    text = "Pairs, you go I go, 6 x 1 min max cal row, {} min in all\nTotal calories"
    (question,) = understand(text.format(6)).questions
    assert understand(text.format(6), {question.id: "turn"}).whole
    assert not understand(text.format(7), {question.id: "turn"}).whole


AMRAP = "AMRAP 12:\n9 toes-to-bar\n12 push-ups\n15 thrusters 43 kg\n"
CHIPPER = "For time, 13 min cap:\n30 wall balls @ 9 kg\n400 m run\n20 pull-ups\n400 m run\n30 burpees\n"


@pytest.mark.parametrize(
    ("text", "said", "meant"),
    [
        (
            AMRAP,
            "Sorry, typo from me above, it's 10 minutes and not 12. Movements and reps are right.",
            AMRAP.replace("12:", "10:"),
        ),
        (AMRAP, "Correction: 40 kg, not 43.", AMRAP.replace("43", "40")),
        (AMRAP, "Oops, I meant 120 reps instead of 12.", AMRAP.replace("12 push", "120 push")),
        (CHIPPER, "UPDATE: the two runs are gone. The rest and the cap stay as they are.", CHIPPER.replace("400 m run\n", "")),
    ],
)
def test_what_is_corrected_below_is_asked_and_never_taken_in_silence(text: str, said: str, meant: str) -> None:
    (question,) = (read := understand(text + said)).questions
    assert question.id.startswith("corrected-") and question.span and text + said == read.text
    assert said.startswith(read.text[question.span.start : question.span.end])
    goes, stays = (understand(text + said, {question.id: one.value}) for one in question.answers)
    assert goes.whole and stays.whole and goes.format and stays.format
    assert windows_of(goes.format) == windows_of(understand(meant).format or goes.format)
    assert windows_of(stays.format) == windows_of(understand(text).format or goes.format)
    assert all(text[one.start : one.end].strip() for sources in goes.sources for one in sources)


@pytest.mark.parametrize(
    "said",
    [
        "For the juniors it's 10 minutes and not 12.",
        "Sorry, it's 10 minutes and not 14.",
        "Sorry, it's 16 reps and not 15 in the last round.",
        "Sorry, the thrusters are gone, 20 burpees instead.",
        "UPDATE: the two push-ups are gone.",
        "UPDATE: the thrusters are gone if it rains.",
    ],
)
def test_a_correction_that_may_mean_something_else_is_none(said: str) -> None:
    read = understand(AMRAP + said)
    assert not read.whole and not any(one.id.startswith("corrected-") for one in read.questions)


def test_a_number_that_is_told_again_digit_by_digit_takes_the_first_back() -> None:
    read = understand("For time, cap 9. Fifteen double unders no sorry, I'm being told, fifty, five zero, fifty double unders.")
    assert [one.id.partition("-")[0] for one in read.questions] == ["taken"]


@pytest.mark.parametrize(
    ("said", "dashed"),
    [("15 12 9 6 3 reps of", "15-12-9-6-3 reps of"), ("3 6 9 reps", "3-6-9 reps"), ("5 5 5 reps of", ""), ("9 12 9 reps of", "")],
)
def test_a_scheme_whose_dashes_were_not_written_rises_or_falls(said: str, dashed: str) -> None:
    text = "For time, cap 11\n{}\nhang power cleans 50 kg\nring dips"
    read = understand(text.format(said))
    assert read.whole == bool(dashed) and (not dashed or read.format == understand(text.format(dashed)).format)


@pytest.mark.parametrize(
    "said", ["ok so evnet 2 its for time, 9 min cap", "right so number two is for time, cap 9", "evetn 2: for time, cap 9"]
)
def test_what_heads_an_event_may_be_spoken_or_misspelt(said: str) -> None:
    read = understand(f"{said}\n10 burpees\n20 pull-ups")
    assert read.whole and read.format and windows_of(read.format)[0].long == "9:00"
