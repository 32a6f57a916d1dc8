"""What is told in a sentence is the event that its shorthand says, and a word more in the sentence is never passed over."""

import pytest

from app.rules.reading.reader import understand
from app.rules.reading.writing.written_text import written_text
from tests.rules.reading.plainly import scores_of, windows_of

LIST = "\n250 m row\n10 deadlifts, 90 kg\nScore: total reps"
# The first as people say it, the second as it is written short.
SAME = {
    "stations": (
        "One minute per station, 20 seconds to walk to the next one.\nStation 1: push-ups\nStation 2: sit-ups\n"
        "Station 3: air squats\nAdd up every rep.",
        "0:00-1:00 max push-ups\n1:20-2:20 max sit-ups\n2:40-3:40 max air squats\nScore: total reps",
    ),
    "stations again": (
        "2 stations, 45 seconds work, 15 seconds to move to the next one. Twice through, no extra rest.\nStation 1: push-ups\n"
        "Station 2: sit-ups\nTotal reps",
        "0:00-0:45 max push-ups\n1:00-1:45 max sit-ups\n2:00-2:45 max push-ups\n3:00-3:45 max sit-ups\nScore: total reps",
    ),
    "in turn": (
        "4 x 40 s on, 20 s off\nalternate:\npush-ups\nsit-ups\nTotal reps",
        "0:00-0:40 max push-ups\n1:00-1:40 max sit-ups\n2:00-2:40 max push-ups\n3:00-3:40 max sit-ups\nTotal reps",
    ),
    "a question": ("How far can you row in 4 minutes?", "4 min: max metres row"),
    "seconds alone": ("8 x :40 on / :20 off burpees. Total reps.", "8 x 40 s on, 20 s off: max burpees. Total reps."),
    "arrows": (
        "2 min max push-ups 👉 1 min rest 👉 2 min max sit-ups. Total reps.",
        "0:00-2:00 max push-ups\n3:00-5:00 max sit-ups\nTotal reps.",
    ),
    "intervals": (
        f"Four intervals of 3 minutes, 1 minute rest between them. In every interval as many rounds as possible of{LIST}",
        f"4 x 3 min on, 1 min off\nAMRAP{LIST}",
    ),
    "work and rest": (
        "It goes like this: you work thirty seconds, you rest thirty seconds, and this you make ten times. "
        "The exercise is always "
        "the burpee. We are counting all the burpees of all the ten times together.",
        "10 x 30 s on, 30 s off: max burpees\nScore: total reps",
    ),
    "named before": (
        "Bench press for reps, 80 kg. Three sets of 2 min each, 2 min break between sets, as often as you can in each set. "
        "Only your best set goes on the sheet.",
        "3 x 2 min on, 2 min off: max bench press 80 kg\nScore: best set",
    ),
    "those minutes": (
        "You get nine minutes on the clock. In those nine minutes you go round and round: ten burpees, then ten air squats. "
        "Total reps.",
        "9 min AMRAP: 10 burpees, 10 air squats. Total reps.",
    ),
    "pairs of numbers": (
        "For time, cap 12 min. 1 pull-up and 1 thruster 40 kg, then 2 pull-ups and 2 thrusters, then 3 and 3, and so on until 5 "
        "and 5.",
        "For time, cap 12 min\n1-2-3-4-5\npull-ups\nthrusters 40 kg",
    ),
    "a ladder of minutes": (
        "Minute 1: 2 burpees\nMinute 2: 4 burpees\n... and so on, two more every minute, up to minute "
        "10.\nWho misses a minute is out."
        " Score: total reps.",
        "Every minute: 2 burpees, add 2 reps each round until failure, 10 rounds",
    ),
    "an endless ladder": (
        "10 min AMRAP\n3 push-ups\n3 sit-ups\n6 push-ups\n6 sit-ups\nand so on, always 3 more, until time "
        "runs out.\nScore: total reps",
        "10 min AMRAP\n3-6-…\npush-ups\nsit-ups\nScore: total reps",
    ),
    "attempts told one by one": (
        "Deadlift, three attempts.\nAttempt 1: 0:00 - 1:00\nAttempt 2: 3:00 - 4:00\nAttempt 3: 6:00 - 7:00\nBest lift counts.",
        "Deadlift, 3 attempts, each attempt has a window of 1:00, 2:00 rest between. Best lift counts.",
    ),
    "members in columns": (
        "Clock  Athlete A  Athlete B\n0:00-2:00  max burpees  rest\n2:00-4:00  rest  max burpees\nScore: total reps",
        "0:00-2:00 A: max burpees\n2:00-4:00 B: max burpees\nScore: total reps\nTeams of 2",
    ),
    "a rest after each round": (
        "2 rounds, 1 min at each station, 1 min rest after each round\nburpees\nsit-ups\nScore: total reps",
        "0:00-1:00 max burpees\n1:00-2:00 max sit-ups\n3:00-4:00 max burpees\n4:00-5:00 max sit-ups\nScore: total reps",
    ),
    "scores by their parts": (
        "Part A\nAMRAP 5: 10 burpees, 10 lunges\nPart B\n5 min to find the heaviest clean\n"
        "Part A is scored in reps, part B in kg.",
        "Part A\nAMRAP 5: 10 burpees, 10 lunges\nPart B\n5 min to find the heaviest clean\nTwo separate scores.",
    ),
    "time or repetitions": (
        "10 burpees\n20 lunges\nYou have 9 minutes. Score: your time, or the reps you got if you don't finish.",
        "For time, cap 9\n10 burpees\n20 lunges",
    ),
    "loads by name": (
        "AMRAP 9\n10 thrusters\n12 wall balls\nThruster: men 43 kg, women 30 kg. Wall ball: 9 kg men, 6 kg women.",
        "AMRAP 9\n10 thrusters 43/30 kg (men/women)\n12 wall balls 9/6 kg (men/women)",
    ),
    "attempts by the clock": (
        "Deadlift, three attempts. The attempts begin at 0:00, 3:00 and 6:00 of the running clock and shall "
        "each be concluded within one "
        "minute. Best lift counts.",
        "Deadlift, 3 attempts, each attempt has a window of 1:00, 2:00 rest between. Best lift counts.",
    ),
    "a lift named before": (
        "Back squat: one rep maximum.\n12 minutes to find the heaviest.",
        "12 min: heaviest back squat",
    ),
    "the load of the one before": (
        "For time, cap 12 min\n20 kettlebell swings, 24 kg\n20 goblet squats, same bell\n20 burpees",
        "For time, cap 12 min\n20 kettlebell swings, 24 kg\n20 goblet squats, 24 kg\n20 burpees",
    ),
    "one bar for all": (
        "For time, cap 12 min\n20 deadlifts\n20 hang cleans, 40 kg\n20 burpees\n20 front squats\nAll with the same bar",
        "For time, cap 12 min\n20 deadlifts, 40 kg\n20 hang cleans, 40 kg\n20 burpees\n20 front squats, 40 kg",
    ),
    "two loads, one unit": (
        "2 min: max bench press\nMen 80, women 45 kg",
        "2 min: max bench press\nMen 80 kg, women 45 kg",
    ),
    "minutes of the clock": (
        "From minute 4 to minute 9: max burpees. Score: total reps.",
        "4:00-9:00 max burpees. Score: total reps.",
    ),
    "one after the other": (
        "Pairs.\nMinutes 0-5: athlete A only. As many rounds as possible of 8 front squats (50 kg) + 8 burpees.\n"
        "Minutes 5-10: athlete B only, same thing.\nScore: total reps.",
        "Pairs.\n0:00-5:00 A: AMRAP 8 front squats 50 kg, 8 burpees\n5:00-10:00 B: AMRAP 8 front squats 50 kg, 8 burpees\n"
        "Score: total reps.",
    ),
    "one holds": (
        "0:00-3:00 A does max thrusters at 40 kg, B holds a plank\nTotal reps",
        "0:00-3:00 A: max thrusters 40 kg while B holds a plank\nTotal reps",
    ),
    "versions in a line each": (
        "For time, cap 9 min\n3 rounds\nRx: 20 burpees, 10 toes-to-bar\nScaled: 15 burpees, 10 hanging knee raises\n200 m run",
        "For time, cap 9 min\n3 rounds\nRx:\n20 burpees\n10 toes-to-bar\n200 m run\n\nScaled:\n15 burpees\n"
        "10 hanging knee raises\n200 m run",
    ),
    "the end of a letter": (
        "AMRAP 10\n10 burpees\n12 sit-ups\nTotal reps\nBest,\nJo",
        "AMRAP 10\n10 burpees\n12 sit-ups\nTotal reps",
    ),
}


@pytest.mark.parametrize("told", SAME)
def test_a_sentence_says_what_its_shorthand_says(told: str) -> None:
    spoken, short = (understand(text) for text in SAME[told])
    assert short.whole and short.format is not None
    assert spoken.whole, (spoken.questions, spoken.not_understood)
    assert spoken.format is not None and spoken.format.members == short.format.members
    assert windows_of(spoken.format) == windows_of(short.format)
    assert scores_of(spoken.format) == scores_of(short.format)
    assert [variant.tasks for variant in spoken.format.variants] == [variant.tasks for variant in short.format.variants]


def test_messages_and_subtitles_are_read_without_their_stamps() -> None:
    plain = understand("amrap 15\n200 m run\n10 push-ups\ntotal reps").format
    lines = ("amrap 15", "200 m run", "10 push-ups", "total reps")
    sent = "\n".join(f"[12.03., 19:4{place}] Jo: {line}" for place, line in enumerate(lines))
    film = "1\n00:00:02,100 --> 00:00:05,000\namrap 15\n\n2\n00:00:05,000 --> 00:00:09,400\n200 m run\n10 push-ups\ntotal reps"
    assert understand(sent).format == understand(film).format == plain is not None


def test_a_target_is_no_distance_to_run_and_a_reach_no_height() -> None:
    read = understand(
        "For time, cap 10 min\n60 wall balls at 9 kg to 3 m\n100 wall balls (9 kg / 3 m)\n10 burpees (15 cm above reach)"
    )
    assert read.whole and read.format is not None
    (task,) = read.format.tasks.values()
    assert [item.note for item in task.items] == ["3 m", "3 m", "15 cm above reach"]  # type: ignore[union-attr]


# Each says more, or another thing, than what is read in its place would.
TURNED = [
    "For time, cap 12 min\n20 deadlifts, 60 kg\n20 burpees, same bar",
    "For time, cap 12 min\n20 deadlifts\n20 cleans, same bar",
    "For time, cap 12 min\n20 deadlifts, 60 kg\n20 cleans, not the same weight",
    "For time, cap 12 min\n20 deadlifts, 60 kg\n20 cleans, half the same weight",
    "0:00-3:00 A does max thrusters at 40 kg, B never holds a plank\nTotal reps",
    (
        "Pairs.\n0:00-5:00 only A works: AMRAP 8 front squats 50 kg, 8 burpees\n5:00-10:00 only B works, same thing with 40 kg.\n"
        "Total reps"
    ),
    "Pairs.\n0:00-5:00 only A works: AMRAP 8 front squats 50 kg, 8 burpees\n5:00-11:00 only B works, same thing.\nTotal reps",
    (
        "4 intervals of 3 minutes, 1 minute rest between them except after the second. In every interval "
        f"as many rounds as possible of{LIST}"
    ),
    (
        "4 intervals of 3 minutes, 1 minute rest between them, 2 minutes after the third. In every "
        f"interval as many rounds as possible of{LIST}"
    ),
    f"4 intervals of 3 minutes, 1 minute rest between them. In every second interval as many rounds as possible of{LIST}",
    f"4 intervals of 3 minutes, 1 minute rest between them. In the last interval as many rounds as possible of{LIST}",
    "You work thirty seconds, you rest thirty seconds, ten times, the last one without rest. Max burpees. Total reps.",
    "30 seconds work, 30 seconds rest, 10 times instead of 8. Max burpees. Total reps.",
    "30 seconds work, not 30 seconds rest but 45, 10 times. Max burpees. Total reps.",
    (
        "For time. 1 pull-up and 1 thruster 40 kg, then 2 pull-ups and 2 thrusters, then 3 and 4, and so on "
        "until 8 and 8. Cap 12 min."
    ),
    (
        "For time. 1 pull-up and 1 burpee, then 2 pull-ups and 2 burpees, then 3 and 3, and so on until 8 "
        "and 8 and back down. Cap 12 min."
    ),
    "For time. 10 burpees and ten sit-ups. Then nine and nine, without the sit-ups in the last one. Cap 12 min.",
    (
        "10 min AMRAP\n3 push-ups, 3 sit-ups\n6 push-ups, 6 sit-ups\nand so on, always 3 more, but never "
        "more than 15, until time runs out."
    ),
    "10 min AMRAP\n3 push-ups, 3 sit-ups\n6 push-ups, 6 sit-ups\nand so on, always 2 more, until time runs out.",
    "Minute 1: 2 burpees\nMinute 2: 4 burpees\n... and so on, two more every second minute, up to minute 10.\nTotal reps.",
    "Minute 1: 2 burpees\nMinute 2: 4 burpees\n... and so on, three more every minute, up to minute 10.\nTotal reps.",
    "Minute 1: 2 burpees\nMinute 2: 4 burpees\n... and so on, two more every minute, up to minute 10, minute 5 off.\nTotal reps.",
    (
        "Deadlift, 3 attempts. The attempts begin at 0:00, 3:00 and 7:00 and shall each be concluded within "
        "one minute. Best lift counts."
    ),
    "Deadlift, 3 attempts. The attempts begin at 0:00, 3:00 and 6:00, one minute each, the last two. Best lift counts.",
    "Floor press. Format: 3 attempts, 1 minute each, 2 minutes between the first and the second. Heaviest good lift wins.",
    "Back squat: one rep maximum.\n12 minutes to find the heaviest single, the second heaviest counts.",
    "2 min: max bench press\nMen 80, women 45 kg, juniors half",
    "AMRAP 10\n10 burpees\n12 pull-ups\nIn heat 2 there is a penalty of 5 burpees every minute.\nTotal reps",
    "AMRAP 10\n10 burpees\n12 pull-ups\nIn the second heat lanes 1-4 have 8 minutes.\nTotal reps",
    "3 rounds\n10 burpees\n400 m run\nTime stops with the last burpee. Time cap 10 minutes.",
    "From minute 4 to minute 9: max burpees, but not in minute 6. Total reps.",
    "6 x 30 s work / 15 s rest, max push-ups. Your score is your worst interval, so don't count the first one.",
    "EMOM 6\nodd: 5 burpees\neven: 10 pull-ups\nWho misses a minute is out.\nRest 2:00\n5 min max cal row\nEverything added up.",
    "Guys, 10 pull-ups\nWomen 6 ring rows\nAMRAP 9",
    "AMRAP 9: 10 burpees, 10 box jumps\nHow many rounds? At most 4.",
    "AMRAP 9: 10 burpees, 10 box jumps\nCan I step up? Only in the second half.",
    "Time  Athlete A  Athlete B\n0:00-2:00  max burpees  max burpees\n2:00-4:00  rest  max burpees\nTotal reps.",
    "Time  Athlete A  Athlete B\n0:00-2:00  max burpees  same\n2:00-4:00  rest  max burpees\nTotal reps.",
    "Snatch, 3 attempts.\nAttempt 1: 0:00 - 1:00\nAttempt 2: 3:00 - 4:00\nBest attempt counts.",
    "3 rounds for time, cap 12\n10 thrusters\n10 deadlifts 60 kg\nThrusters: 40 kg in the last round",
]
OUT = (
    "EMOM 12\nodd: 5 burpees\neven: 10 pull-ups\nWho misses a minute is out. Total reps.",
    "Every minute for 10 minutes: 3 push-ups and 3 sit-ups. Who misses a minute is out. Total reps.",
)


@pytest.mark.parametrize("text", OUT)
def test_a_miss_of_one_of_several_things_puts_out_of_the_event_and_is_written_again(text: str) -> None:
    read = understand(text)
    assert read.whole and read.format is not None and read.format.miss_puts_out
    written = written_text(read.format)
    again = understand(written.text).format
    assert not written.unsaid and again is not None and again.miss_puts_out


@pytest.mark.parametrize("text", TURNED)
def test_a_word_that_turns_it_is_never_passed_over(text: str) -> None:
    assert not understand(text).whole


TIMES = "Every 3 minutes for 5 rounds: 200 m run, 12 thrusters 35 kg. "


@pytest.mark.parametrize("said", ["Score: all five times added up.", "Score: the sum of your five round times.", "Total time."])
def test_the_times_of_several_windows_are_added_up_where_it_is_said(said: str) -> None:
    read = understand(TIMES + said)
    assert read.whole and read.format and [(one.unit, one.parts[0].take) for one in read.format.scores] == [("s", "time")]


@pytest.mark.parametrize(
    "said",
    [
        "Score: time.",
        "Score: the best of your five round times.",
        "Score: the slowest round time.",
        "Score: the sum of your six round times.",
        "Score: the sum of the first three round times.",
        "Score: the average of all times.",
        "Score: the sum of all times but the slowest.",
    ],
)
def test_of_several_times_no_other_is_taken_in_silence(said: str) -> None:
    assert not understand(TIMES + said).whole


LADDER = (
    "Minute 1: 2 pull-ups\nMinute 2: 4 pull-ups\nand so on, two more every minute, up to minute 10\nWho misses is out\nTotal reps"
)


@pytest.mark.parametrize(
    "said",
    [
        "On the minute, 2 pull-ups in the first minute, 4 in the second, 6 in the third, always two more, up to 20 in the tenth "
        "minute. Who misses is out. Total reps.",
        "Pull-ups. First minute two reps, second minute four reps, every minute two more, until you miss. Nobody goes beyond "
        "minute 10. Total reps.",
        "Pull-ups.\nIn the first minute two repetitions are due, in each following minute two repetitions more than in the "
        "minute before. It ends after the tenth minute, in which twenty repetitions are due. Who misses is out. Total reps.",
        "In the first minute they do two pull-ups, in the second minute four, two more every minute, up to minute ten. Who "
        "misses is out. Total reps.",
        "Minute 1: 2 pull-ups. Minute 2: 4 pull-ups. Minute 3: 6, and so on, two more each minute. Who misses is out. We stop "
        "after minute 10. Total reps.",
    ],
)
def test_a_ladder_of_minutes_is_read_in_whatever_words(said: str) -> None:
    short, read = understand(LADDER), understand(said)
    assert short.whole and read.whole and short.format and read.format
    assert windows_of(read.format) == windows_of(short.format) and scores_of(read.format) == scores_of(short.format)


@pytest.mark.parametrize(
    "said",
    [
        "On the minute, 2 pull-ups in the first minute, 4 in the second, 7 in the third, always two more, up to minute 10.",
        "On the minute, 2 pull-ups in the first minute, 4 in the second, always two more, up to 21 in the tenth minute.",
        "On the minute, 2 pull-ups in the first minute, 4 in the second, always three more, up to minute 10.",
        "On the minute, 2 pull-ups in the first minute, 4 in the third, always two more, up to minute 10.",
        "On the minute, 2 pull-ups in the first minute, 4 burpees in the second, always two more, up to minute 10.",
        "On the minute, 2 pull-ups in the first minute, 4 in the second, always two fewer, up to minute 10.",
        "On the minute, 2 pull-ups in the first minute, 4 in the second, always two more, up to minute 10, girls half of it.",
        "On the minute, 2 pull-ups in the first minute, 4 in the second, always two more. Nobody stops in minute 4.",
        "On the minute, 2 pull-ups in the first minute, 4 in the second, always two more. Rest in minute 10.",
    ],
)
def test_a_ladder_of_minutes_that_does_not_fit_leaves_something_open(said: str) -> None:
    assert not understand(f"{said} Who misses is out. Total reps.").whole


def test_an_odd_number_of_windows_of_two_things_in_turn_is_asked_about() -> None:
    assert not understand("5 x 40 s on, 20 s off, alternating push-ups and sit-ups. Total reps.").whole
    assert not understand("Every 2 min for 5 rounds, alternating\n10 push-ups\n10 sit-ups\nTotal reps.").whole


ROWED = "3 rounds: 1 min max cal row, 1 min rest. Score: total calories."
PAIRED = "Teams of 2. AMRAP 10: 10 burpees, 10 sit-ups. Split as you like."
STATIONED = "4 rounds, 30 s work / 30 s rest at {} station: 1) burpees 2) sit-ups 3) lunges. Max reps. Score: total reps."


@pytest.mark.parametrize(
    ("turned", "plain"),
    [
        ("AMRAP 10: 200 m run, 10 burpees. Score is all but the run.", "AMRAP 10: 200 m run, 10 burpees. The run doesn't count."),
        (
            "AMRAP 10: 10 cal row, 10 sit-ups. Score: total calories. The calories don't count.",
            "AMRAP 10: 10 cal row, 10 sit-ups.",
        ),
        ("AMRAP 10: 10 cal row, 10 sit-ups. Score: total rounds. Only calories count.", "AMRAP 10: 10 cal row, 10 sit-ups."),
        (
            "For time, cap 10 min: 500 m run, 50 burpees. The run does not count.",
            "AMRAP 10: 500 m run, 50 burpees. The run does not count.",
        ),
        (
            "AMRAP 10: 10 burpees, 10 lunges. Tie: time at the end of round 3 - the longer the better.",
            "AMRAP 10: 10 burpees, 10 lunges. Tie: time at the end of round 3.",
        ),
        (f"{ROWED} Calories in the rest count.", ROWED),
        (f"{ROWED} Monitor keeps counting in the rest.", ROWED),
        ("3 x 1 min max cal bike, 1 min easy spinning in between, which counts. Score: total calories.", ROWED),
        (f"{PAIRED} Only partner A counts.", PAIRED),
        (f"{PAIRED} Partner A counts.", PAIRED),
        ("Teams of 2. AMRAP 10: 10 burpees, 10 sit-ups. One works, one rests. B starts.", PAIRED),
        ("Teams of 2. For time, cap 20 min: each does 5 rounds of 10 burpees and 10 sit-ups, one after the other.", PAIRED),
        ("AMRAP 10: 10 burpees, 10 sit-ups. That burpee doesn't count.", "AMRAP 10: 10 burpees, 10 sit-ups."),
        (STATIONED.format("the first"), STATIONED.format("each")),
        (
            "AMRAP 10: 200 m run = 0, 10 burpees. The run counts as one.",
            "AMRAP 10: 200 m run, 10 burpees. The run counts as one.",
        ),
        ("AMRAP 10: 200 m run = 20, 10 burpees. The run doesn't count.", "AMRAP 10: 200 m run = 0, 10 burpees."),
        (f"{PAIRED} B does 5 burpees.", PAIRED),
        (
            "For time, cap 10 min: 30 deadlifts, 30 burpees. Tiebreak: time to complete the deadlifts.",
            "For time, cap 10 min: 30 deadlifts, 30 burpees. Score: time to complete all work.",
        ),
        (
            "Pairs. For time, cap 10 min: 100 burpees in total, one after the other.",
            "Pairs, relay. For time, cap 10 min: 100 burpees, one after the other.",
        ),
    ],
)
def test_a_word_that_turns_what_is_said_leaves_the_sentence_open(turned: str, plain: str) -> None:
    assert not understand(turned).whole and understand(plain).whole
