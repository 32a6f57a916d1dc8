"""Loads by the round, ladders that cross, rounds that go without something, minutes, and what is told once more: read as what
they say in full, and never where a number or a word says something else."""

import pytest

from app.rules.reading.reader import understand
from app.rules.workout.formats import Format
from tests.rules.reading.plainly import scores_of, windows_of

CLEANS = "3 rounds for time, cap 11 min\n10 cleans\n20 push-ups\n"
CLEANS_WRITTEN = (
    "For time, cap 11 min\n10 cleans, 40 kg\n20 push-ups\n10 cleans, 50 kg\n20 push-ups\n10 cleans, 60 kg\n20 push-ups"
)
CROSSING = "For time, cap 9 min\n5 deadlifts @ 100 kg, 1 burpee\n4 deadlifts, 2 burpees\n3 deadlifts, 3 burpees\n"
CROSSED = f"{CROSSING}2 deadlifts, 4 burpees\n1 deadlift, 5 burpees"
STEPS = "For time, cap 7 min: 8-6-4-2\nthrusters @ 50 kg\nbox jumps, 24 in\n"
RUNS = "4 rounds for time, cap 15 min\n12 deadlifts @ 80 kg\n200 m run\n"
LAST_WITHOUT = "For time, cap 15 min\n3 rounds of\n12 deadlifts @ 80 kg\n200 m run\n\nthen\n12 deadlifts @ 80 kg"
FIVE = "5 rounds for time, cap 17 min\n10 push-ups\n15 sit-ups\n200 m row\n"
BUY_IN = "For time, cap 16 min\n{}: 800 m run\nThen 3 rounds of\n12 pull-ups\n24 push-ups"
OWN = "4 rounds for time, cap 22 min.\n{}\nThen 15 sit-ups and 10 thrusters @ 40 kg."
SNATCHES = "AMRAP 9\n20 dumbbell snatches @ 22.5 kg{}\n15 sit-ups"
BURPEES = "Every minute, 12 minutes at most: 9 burpees.\n{}\nScore: total reps"
LIST = "EMOM 10\n4 squat cleans 70 kg\n6 bar-facing burpees\n{}\nMiss a minute and you are out. Total reps"
ROW = "6 minutes in all.\nOdd minutes{}: 40 sec max cal row\nEven minutes{}: 40 sec max burpees\n{}\nTotal reps"
THREE = "Minute 1: 13 cal row\nMinute 2: 11 burpees\nMinute 3: 14 wall balls, 6 kg\nTotal reps"
BARS = (
    "Every {}\nInterval 1: 1 deadlift 100 kg\nInterval 2: 1 deadlift 115 kg\nInterval 3: 1 deadlift 130 kg\n"
    "Who misses is out. Total reps"
)
BARRED = "Deadlift ladder\n{}\nA new bar every 90 seconds. One repetition at each bar. Total reps"
PULL_UPS = "Every minute: 2 pull-ups, add 2 reps each round until failure, 10 rounds. Total reps"
SAME = {
    "loads one by one": (f"{CLEANS}Bar: round 1 at 40 kg, round 2 at 50 kg, round 3 at 60 kg.", CLEANS_WRITTEN),
    "loads first": (f"{CLEANS}40 kg in the first round, 50 kg in the second and 60 kg in the third.", CLEANS_WRITTEN),
    "loads line by line": (f"{CLEANS}Round 1: 40 kg\nRound 2: 50 kg\nRound 3: 60 kg", CLEANS_WRITTEN),
    "loads by steps": (
        f"{CLEANS}The bar starts at 40 kg. After each round 10 kg come on, so the third is at 60.",
        CLEANS_WRITTEN,
    ),
    "loads that are added": (f"{CLEANS}Bar: 40 kg, +10 kg every round", CLEANS_WRITTEN),
    "loads of sets": (
        "For time, cap 9 min\n15-12-9\nfront squats\nburpees\nSet 1 at 40 kg, set 2 at 50 kg, set 3 at 60 kg",
        "For time, cap 9 min\n15 front squats 40 kg\n15 burpees\n12 front squats 50 kg\n12 burpees\n9 front squats 60 kg\n"
        "9 burpees",
    ),
    "crossing, to the end": (f"{CROSSING}and so on until you've done 1 deadlift and 5 burpees.", CROSSED),
    "crossing, by steps": (
        f"{CROSSING}... always one deadlift less and one burpee more ...\n1 deadlift, 5 burpees",
        CROSSED,
    ),
    "crossing, with a gap": (f"{CROSSING}...\n1 deadlift, 5 burpees", CROSSED),
    "of each": (f"{STEPS}(8 of each, then 6 of each, then 4 of each, then 2 of each.)", STEPS),
    "once more, the beginning": (f"{STEPS}So 8 thrusters, 8 box jumps, 6 thrusters, 6 box jumps and so on.", STEPS),
    "once more, by pairs": (f"{STEPS}So eight and eight, six and six, you get it.", STEPS),
    "once more, to the last": (f"{STEPS}So that's 8 thrusters, 8 box jumps, and so on until the 2s are done.", STEPS),
    "the last set": (f"{STEPS}The ladder ends with the 2s.", STEPS),
    "in other words": (
        f"{FIVE}In other words: you do ten push-ups, fifteen sit-ups and row 200 metres, and that five times through.",
        FIVE,
    ),
    "in other words, and no more": (
        f"{FIVE}In other words for those who like it long: 10 push-ups, 15 sit-ups and row 200 metres. It's the same workout.",
        FIVE,
    ),
    "without": (f"{RUNS}except the last round, there you don't run.", LAST_WITHOUT),
    "without, and what is last": (
        f"{RUNS}except the last round, there you don't run: the 12th deadlift of round 4 stops your clock.",
        LAST_WITHOUT,
    ),
    "no run": (f"{RUNS}No run in the last round.", LAST_WITHOUT),
    "only once": (BUY_IN.format("Buy-in (only once, not every round!)"), BUY_IN.format("Buy-in")),
    "a buy-in of its own": (
        OWN.format("Each round has its own buy-in, 300 m row, yes all four times."),
        "4 rounds for time, cap 22 min\n300 m row\n15 sit-ups\n10 thrusters @ 40 kg",
    ),
    "on each side": (SNATCHES.format(" (that's 10 per arm, 20 altogether)"), SNATCHES.format("")),
    "minutes at most": (
        BURPEES.format("Whoever hasn't finished the nine when the next minute begins is out."),
        "EMOM 12: 9 burpees. Who misses a minute is out. Score: total reps",
    ),
    "both in a minute": (
        LIST.format("both inside the minute"),
        "Every minute for 10 minutes: 4 squat cleans 70 kg and 6 bar-facing burpees. Who misses a minute is out. Total reps.",
    ),
    "the rest of a minute": (
        ROW.format(" (1, 3, 5)", " (2, 4, 6)", "The other 20 seconds of every minute are for the change."),
        ROW.format("", "", ""),
    ),
    "odd minutes and so on": (
        "EMOM 8\nodd minutes (the first one, the third one and so on): 9 burpees\neven minutes: 9 sit-ups\nTotal reps",
        "EMOM 8\nodd: 9 burpees\neven: 9 sit-ups\nTotal reps",
    ),
    "things in turn": (f"EMOM for 15 minutes, three things taking turns, five times through:\n{THREE}", f"EMOM 15\n{THREE}"),
    "ascending": (
        "EMOM, ascending, 10 minutes at most\nMin 1: 2 pull-ups, min 2: 4, min 3: 6, and so on, 2 more every minute\n"
        "Who misses is out. Total reps",
        PULL_UPS,
    ),
    "the last minute": (
        "Every minute\nIn the first minute 2 pull-ups, in the second 4, always two more, minute 10 is the last with 20\n"
        "Who misses is out. Total reps",
        PULL_UPS,
    ),
    "loads of windows": (
        "Every 3 minutes for 3 rounds: 3 cleans, 10 burpees\nBar: 60 kg, +5 kg each round\nTotal reps",
        "Every 3 minutes for 9 min\nInterval 1: 3 cleans 60 kg, 10 burpees\nInterval 2: 3 cleans 65 kg, 10 burpees\n"
        "Interval 3: 3 cleans 70 kg, 10 burpees\nTotal reps",
    ),
    "rounds that rise": (
        "Round 1 is 3 pull-ups and 3 burpees. Every round you add 3 to both.\nThe round of 12 is the last.\nFor time, cap 10",
        "For time, cap 10\n3-6-9-12\npull-ups\nburpees",
    ),
    "a scheme behind its thing": (
        "For time, cap 13\nPull-ups 10, 9, 8 ... 1\nKettlebell swings (24 kg) 1, 2, 3 ... 10\nFirst 10 pull-ups and 1 swing, "
        "then 9 pull-ups and 2 swings, and at the very end it's 1 pull-up and 10 swings.",
        "For time, cap 13\n" + "\n".join(f"{11 - nth} pull-ups\n{nth} kettlebell swings 24 kg" for nth in range(1, 11)),
    ),
    "the parts of a complex": (
        "8 min to find the heaviest complex: 1 + 2 + 1\n1 power clean + 2 front squats + 1 push jerk",
        "8 min to find the heaviest complex\n1 power clean + 2 front squats + 1 push jerk",
    ),
    "between one attempt and the next": (
        "Snatch, three attempts. One minute is allowed for each attempt, and there are three minutes of rest between one attempt "
        "and the next. Best lift counts.",
        "Snatch, 3 attempts, each attempt has a window of 1:00, 3:00 rest between. Best lift counts.",
    ),
    "before the next": (
        "Back squat, 4 attempts. You get 1:30 per attempt, then a minute to change plates before the next 1:30 starts. Best.",
        "Back squat, 4 attempts. You get 1:30 per attempt, then a minute to change plates. Best.",
    ),
    "tries at what is held": (
        "Dead hang. Each athlete has two tries. The first begins at 0:00 and ends no later than 2:00; the second begins at 4:00 "
        "and ends no later than 6:00. Score: best window.",
        "2 x 2 min on, 2 min off: max dead hang. Score: best window.",
    ),
    "bars in a list": (
        "Deadlift ladder\nThree bars: 100, 115 and 130 kg.\nA new bar every 90 seconds, starting at 0:00 with the 100. One "
        "repetition at each bar, within its 90 seconds. Whoever misses a bar or doesn't lift it in time is out. Total reps",
        BARS.format("90 seconds for 270 seconds"),
    ),
    "bars line by line": (
        "Deadlift ladder! Three bars in a row, one minute per bar, one deadlift on each:\nmin 1 - 100 kg\nmin 2 - 115 kg\n"
        "min 3 - 130 kg\nNo deadlift within the minute and you're out. Total reps",
        BARS.format("minute for 3 minutes"),
    ),
    "an event by its letter": ("E1\nAMRAP 9\n10 burpees\n10 sit-ups", "AMRAP 9\n10 burpees\n10 sit-ups"),
}
# Each says more, or another thing, than what is read in its place would.
OPEN = [
    f"{CLEANS}Bar: round 1 at 40 kg, round 2 at 50 kg.",
    f"{CLEANS}Bar: round 1 at 40 kg, round 2 at 50 kg, round 4 at 60 kg.",
    f"{CLEANS}Bar: round 1 at 40 kg, round 2 at 50 kg, round 3 at 60 kg, women half of it.",
    f"{CLEANS}The bar starts at 40 kg. After each round 10 kg come on, so the third is at 70.",
    f"{CLEANS}The bar starts at 40 kg. After every second round 10 kg come on.",
    f"{CLEANS}The bar starts at 40 kg. After each round 10 kg come off.",
    f"{CLEANS}The bar starts at 40 kg. After each round 10 kg come on, but not after the second.",
    "AMRAP 12\n10 cleans\n20 push-ups\nBar: 40 kg, +10 kg every round",  # of how many rounds?
    "3 rounds for time, cap 9\n10 burpees\n20 push-ups\nBar: 40 kg, +10 kg every round",
    f"Pairs, one works, one rests, a full round each\n{CLEANS}Bar: round 1 at 40 kg, round 2 at 50 kg, round 3 at 60 kg",
    f"{CROSSING}and so on until you've done 1 deadlift and 6 burpees.",
    f"{CROSSING}and so on until you've done 5 burpees and 1 deadlift.",
    f"{CROSSING}and so on.",
    f"{CROSSING}... always one deadlift less and two burpees more ...\n1 deadlift, 5 burpees",
    f"{CROSSING}... always one deadlift less and one burpee more ...",
    f"{CROSSING}...\n1 deadlift, 6 burpees",
    f"{CROSSING}...\n400 m run",
    f"{STEPS}(8 of each, then 6 of each, then 5 of each, then 2 of each.)",
    f"{STEPS}(8 of each, then 6 of each.)",
    f"{STEPS}So 8 thrusters, 8 box jumps, 6 thrusters, 7 box jumps and so on.",
    f"{STEPS}So 8 thrusters, 8 box jumps.",
    f"{STEPS}Then 8 thrusters, 8 box jumps.",
    f"{STEPS}So 8 thrusters, 8 box jumps, 6 thrusters, 6 box jumps and so on until the 4s are done.",
    f"{STEPS}The ladder ends with the 4s.",
    f"{FIVE}In other words: you do ten push-ups, fifteen sit-ups and row 200 metres, and that four times through.",
    f"{FIVE}In other words: you do ten push-ups, fifteen sit-ups and row 250 metres, and that five times through.",
    f"{FIVE}So 10 push-ups, 15 sit-ups.",
    f"{FIVE}It's the same workout, you don't do it twice.",  # as what?
    OWN.format("Each round has its own buy-in, 300 m row.") + "\nThen 800 m run",  # in each round, or after all?
    f"{FIVE}So 50 push-ups and 75 sit-ups.",
    f"{FIVE}Lane 2 does push-ups.",
    f"{FIVE}Lanes 1-4 do push-ups first.",
    f"{FIVE}A push-up counts as one rep, a sit-up as two.",
    "AMRAP 10: 10 burpees, 10 sit-ups (twice)",
    "For time, cap 12\n21-15-9\ncleans 40 kg\nburpees (half)",
    f"{RUNS}except the last round, there you run 400 m.",
    f"{RUNS}No run except in the last round.",
    f"{RUNS}Don't skip the run in the last round.",
    f"{RUNS}except the last round, there you don't run: the 11th deadlift of round 4 stops your clock.",
    f"{RUNS}No run in round 5.",
    f"{RUNS}No burpees in the last round.",
    "AMRAP 15\n12 deadlifts @ 80 kg\n200 m run\nNo run in the last round.",
    BUY_IN.format("Buy-in (once every round)"),
    BUY_IN.format("Buy-in (not once, every round)"),
    OWN.format("Each round has its own buy-in, 300 m row, yes all three times."),
    OWN.format("Each round but the first has its own buy-in, 300 m row."),
    SNATCHES.format(" (that's 10 per arm, 24 altogether)"),
    SNATCHES.format(" (that's 12 per arm, 20 altogether)"),
    BURPEES.format("Whoever hasn't finished the eight when the next minute begins is out."),
    BURPEES.format("Whoever hasn't finished the nine when the next minute begins isn't out."),
    BURPEES.format("Whoever hasn't finished the nine twice is out."),
    LIST.format("both inside the minute, but not in the last one"),
    "EMOM 10\n4 squat cleans 70 kg\n6 burpees\n5 sit-ups\nboth inside the minute\nTotal reps",
    "EMOM 10\n4 squat cleans 70 kg\n6 burpees\nnot both inside the minute\nTotal reps",
    ROW.format(" (1, 2, 5)", " (2, 4, 6)", ""),
    ROW.format(" (1, 3)", " (2, 4)", "Minute 5 is rest."),
    "EMOM 10\nOdd minutes (1, 3): 5 burpees\nEven minutes: 10 sit-ups\nTotal reps",
    ROW.format("", "", "The other 30 seconds of every minute are for the change."),
    ROW.format("", "", "The other 20 seconds of every second minute are for the change."),
    "EMOM for 15 minutes, three things taking turns:\nMinute 1: 13 cal row\nMinute 2: 11 burpees\nTotal reps",
    f"EMOM for 15 minutes, three things taking turns, four times through:\n{THREE}",
    "EMOM, ascending, 10 minutes at most\n2 pull-ups\nTotal reps",
    "Every minute\nIn the first minute 2 pull-ups, in the second 4, always two more, minute 10 is the last with 21\nTotal reps",
    "E2 - 10 burpees",
    BARRED.format("Four bars: 100, 115 and 130 kg."),
    BARRED.format("Three bars: 100, 130 and 115 kg."),
    BARRED.format("Three bars: 100, 115 and 130 kg, women 60, 70 and 80 kg."),
    BARRED.format("Three bars."),
    BARRED.format("Three bars: 100, 115 and 130 kg.\n10 burpees"),
    "Deadlift ladder\nThree bars: 100, 115 and 130 kg.\nOne repetition at each bar. Total reps",
    "Deadlift ladder\nThree bars: 100, 115 and 130 kg.\nA new bar every 90 seconds. Total reps",
    "Three bars: 100, 115 and 130 kg.\nA new bar every 90 seconds. One repetition at each bar. Total reps",
    f"{BARRED.format('Three bars: 100, 115 and 130 kg.')}\nWhoever misses a bar is not out.",
    f"{BARRED.format('Three bars: 100, 115 and 130 kg.')}\nWhoever misses a bar twice is out.",
    f"{BARRED.format('Three bars: 100, 115 and 130 kg.')}\nWhoever misses a bar in 60 seconds is out.",
    "Every 3 minutes for 3 rounds: 3 cleans, 10 burpees\nBar: round 1 at 60 kg, round 2 at 65 kg\nTotal reps",
    "EMOM 6 alternating\n3 cleans\n10 burpees\nBar: 60 kg, +5 kg each round\nTotal reps",
    "Round 1 is 3 pull-ups and 3 burpees. Every round you add 3 to both.\nFor time, cap 10",
    "Round 1 is 3 pull-ups and 3 burpees. Every round you add 3 to both. The round of 11 is the last.\nFor time, cap 10",
    "Round 1 is 3 pull-ups and 4 burpees. Every round you add 3 to both. The round of 12 is the last.\nFor time, cap 10",
    "Round 1 is 3 pull-ups and 3 burpees. Every second round you add 3 to both. The round of 12 is the last. For time, cap 9",
    "Round 1 is 3 pull-ups and 3 burpees.\nFor time, cap 10",
    "Round 1 is 3 pull-ups and 3 burpees. Every round you add 3 to both. Round 12 is the last.\nFor time, cap 10",
    "Round 1 is 3 pull-ups and 3 burpees. Each round you add 3 to the pull-ups. The round of 12 is the last. For time, cap 9",
    "For time, cap 13\nPull-ups 5-4-3-2-1\nBurpees 1-2-3-4-5",  # by turns, or one after the other?
    "For time, cap 13\nPull-ups 5-4-3-2-1\nBurpees 1-2-3-4-5\nFirst 5 pull-ups and 2 burpees, at the end 1 and 5.",
    "For time, cap 13\nThrusters 40 kg 21-15-9\nPull-ups",
    "8 min to find the heaviest complex: 1 + 1 + 1\n1 power clean + 2 front squats + 1 push jerk",
    "8 min to find the heaviest complex: 1 + 1\n1 power clean + 1 front squat + 1 push jerk",
    "Snatch, three attempts. One minute is allowed for each attempt, and there are three minutes of rest between the first "
    "attempt and the next. Best lift counts.",
    "Back squat, 4 attempts. You get 1:30 per attempt, then a minute to change plates before the next 2:00 starts. Best lift.",
    "Dead hang. Each athlete has three tries. The first begins at 0:00 and ends no later than 2:00; the second begins at 4:00 "
    "and ends no later than 6:00. Score: best window.",
    "Dead hang. Each athlete has two tries. The first begins at 0:00 and ends no later than 2:00; the second begins at 4:00 "
    "and ends no later than 5:00. Score: best window.",
]


def _read(text: str) -> Format:
    read = understand(text)
    assert read.whole and read.format is not None, (read.not_understood, read.questions)
    return read.format


@pytest.mark.parametrize("told", SAME)
def test_it_is_what_is_written_in_full(told: str) -> None:
    said, written = (_read(text) for text in SAME[told])
    assert windows_of(said) == windows_of(written) and scores_of(said) == scores_of(written)
    assert said.miss_puts_out == written.miss_puts_out


@pytest.mark.parametrize("text", OPEN)
def test_what_says_something_else_leaves_something_open(text: str) -> None:
    assert not understand(text).whole


def test_a_row_with_a_gap_is_every_number_between() -> None:
    assert windows_of(_read("For time, cap 9\n5, 4, 3 ... 1\ncleans 40 kg\npull-ups")) == windows_of(
        _read("For time, cap 9\n5-4-3-2-1\ncleans 40 kg\npull-ups")
    )


def test_bars_have_the_time_that_is_told_and_then_a_rest() -> None:
    read = _read(
        "Deadlifts, 3 bars: 100, 115, 130 kg.\nYou have 60 seconds at each bar for one deadlift. Then 30 seconds to move on. "
        "If you fail in the 60 seconds you are out. Total reps"
    )
    assert read.miss_puts_out and [(one.start, one.seconds) for one in read.windows if one.task] == [(0, 60), (90, 60), (180, 60)]
