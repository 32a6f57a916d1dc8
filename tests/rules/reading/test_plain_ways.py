"""How a whiteboard and a message tell things is the event that the shorthand says; what changes it is never passed over."""

import pytest

from app.rules.reading.reader import understand
from app.rules.reading.writing.written_text import written_text
from app.rules.workout.formats import Format
from app.rules.workout.points import Point
from tests.rules.reading.plainly import scores_of, windows_of

CHIPPER = "For time, cap 15\n40 cal row\n30 wall balls 9 kg\n20 burpees\n"
STEPS = "For time, cap 10\n3-6-9-6-3\nthrusters 40 kg\npull-ups\n"
ROUNDS = "3 rounds for time, cap 12\n400 m run\n12 thrusters 40 kg\n"
PARTS = "A) 7 min: 1RM power snatch\nrest 2 min\nB) 5 min AMRAP\n8 burpees\n8 sit-ups\n"
IN_TURN = "In pairs. 1 min A does max wall balls 9 kg while B holds a plank, then you swap. Total wall balls is the score. "
LIFT = "Complex: 1 power clean, 1 hang clean, 1 split jerk. "
MINUTES = "Every minute on the minute. In the first minute do 4 burpees, in the second minute 5, in the third minute 6, "


def _read(text: str) -> Format:
    read = understand(text)
    assert read.whole and read.format is not None, (read.not_understood, read.questions)
    return read.format


@pytest.mark.parametrize(
    ("said", "short"),
    [
        (
            "25 on / 15 off x6\nair bike for cals\nscore = lowest round",
            "6 x 25 s on, 15 s off: max cal air bike\nLowest round counts",
        ),
        ("2 on, 1 off, 4 rounds\nburpees\ntotal reps", "4 x 2 min on, 1 min off: max burpees\nTotal reps"),
        ("Ascending ladder 9 min: 1 burpee, 1 pull-up, 2 and 2, 3 and 3 ...", "9 min AMRAP\n1-2-3-…\nburpees\npull-ups"),
        ("8 min ladder\n2 burpees\n2 pull-ups\n4 + 4\n6 + 6\n... keep adding 2", "8 min AMRAP\n2-4-6-…\nburpees\npull-ups"),
        (
            "12 minutes\nBuy-in: 1 km run\nThen, in the remaining time, as many rounds as possible of:\n8 burpees\n9 sit-ups",
            "12 min AMRAP\nBuy-in: 1 km run\nthen\n8 burpees\n9 sit-ups",
        ),
        (f"{IN_TURN}8 minutes so 4 turns each.", f"{IN_TURN}Carry on like that for 8 minutes."),
        (
            "6 min max m row. Then from minute nine you have three minutes for max burpees. Two scores.",
            "0:00-6:00 max m row\n9:00-12:00 max burpees\nTwo scores.",
        ),
        (
            "Pairs, 4 x 1:00\nA: max cal row in minutes 1, 3\nB: max cal row in minutes 2, 4\nTotal calories",
            "Pairs, EMOM 4\nA: max cal row in minutes 1, 3\nB: max cal row in minutes 2, 4\nTotal calories",
        ),
        (
            "2 rounds, 6 minutes:\nMin 1: max cal row\nMin 2: max burpees\nMin 3: rest\nTotal reps",
            "EMOM 6\nMin 1: max cal row\nMin 2: max burpees\nMin 3: rest\nTotal reps",
        ),
        (
            "3 rounds of 4 minutes:\nMin 1: max cal row\nMin 2: max burpees\nMin 3: max lunges\nMin 4: rest\nTotal reps",
            "EMOM 12\nMin 1: max cal row\nMin 2: max burpees\nMin 3: max lunges\nMin 4: rest\nTotal reps",
        ),
        ("On the minute, every minute, for 7 minutes: 5 burpees. Total reps", "EMOM 7: 5 burpees. Total reps"),
        (
            "Every single minute for 6 minutes: 7 burpees. What is left of the minute is rest. Total reps",
            "EMOM 6: 7 burpees. Total reps",
        ),
        ("E2MOM x 4\n10 burpees\nRest whatever is left of your 2 minutes. Total reps", "E2MOM x 4\n10 burpees\nTotal reps"),
        (
            "EMOM 8 alternating: 9 burpees, rest the rest of the minute, 9 sit-ups. Total reps",
            "EMOM 8 alternating: 9 burpees, 9 sit-ups. Total reps",
        ),
        ("E2MOM x 4\n10 burpees\nRest for what remains. Total reps", "E2MOM x 4\n10 burpees\nTotal reps"),
        ("E2MOM x 4\n10 burpees\nRest the rest of the 2 minutes. Total reps", "E2MOM x 4\n10 burpees\nTotal reps"),
        ("Every 4 min x 5: 9 burpees, then rest the remainder of the 4 min. Total reps", "E4MOM x 5: 9 burpees. Total reps"),
        (
            "AMRAP 9\n500 m row\nthen max burpees for the rest of the 9 minutes",
            "AMRAP 9\n500 m row\nmax burpees in the remaining time",
        ),
        *(
            (
                f"AMRAP 9\n50 burpees{said}\n9 cleans 40 kg\n9 pull-ups",
                "AMRAP 9\nBuy-in: 50 burpees\nThen:\n9 cleans 40 kg\n9 pull-ups",
            )
            for said in (" (buy-in)", " buy-in, then:", ": buy-in", " - buy in")
        ),
        (
            "For time, cap 9\n3 rounds\n9 burpees\n9 pull-ups\n400 m run cash-out",
            "For time, cap 9\n3 rounds\n9 burpees\n9 pull-ups\nCash-out: 400 m run",
        ),
        ("For time, cap 12\n1 round of 21-15-9\nburpees\npull-ups", "For time, cap 12\n21-15-9\nburpees\npull-ups"),
        (
            "Teams of 2\nMinute 0 to 4, athlete A: AMRAP of 8 burpees and 8 sit-ups\n"
            "Minute 4 to 8, athlete B: the same AMRAP from the start\nTotal reps",
            "Teams of 2\n0:00-4:00 A: AMRAP of 8 burpees and 8 sit-ups\n4:00-8:00 B: same thing\nTotal reps",
        ),
        (f"{ROUNDS}Do all three rounds as fast as you can.", ROUNDS),
        (f"{ROUNDS}3 rounds in total.", ROUNDS),
        (f"{ROUNDS}3 rounds in total. Then 50 burpees.", f"{ROUNDS}\n50 burpees"),
        ("EMOM 8. In each minute: 5 burpees. Total reps", "EMOM 8: 5 burpees. Total reps"),
        (
            "21-15-9\npower cleans 40 kg\npull-ups\nFor time, cap 9 (21 cleans, 21 pull-ups, 15 cleans and so on)",
            "21-15-9\npower cleans 40 kg\npull-ups\nFor time, cap 9",
        ),
        (
            "Two stations, 3 rounds, 45 s on, 15 s off: wall balls 6 kg, burpees. Max reps each. Total reps",
            "Two stations, 3 rounds, 45 s on, 15 s off: wall balls 6 kg, burpees. Total reps",
        ),
        ("AMRAP 9: 8 devil's presses 2x15, 6 swings 24 kg", "AMRAP 9: 8 devil's presses 15 kg, 6 swings 24 kg"),
        ("Hold a plank for as long as you can, up to 4 minutes. Score: seconds", "Max plank hold, 4 min. Score: seconds"),
        (f"{IN_TURN}4 turns each.", f"{IN_TURN}Carry on like that for 8 minutes."),
        (
            f"{LIFT}No letting go of the bar. You get 9 minutes to find your heaviest.",
            "9 min to find the heaviest complex: 1 power clean + 1 hang clean + 1 split jerk",
        ),
        ("MAX BACK SQUAT\n9 minutes to establish a one-rep-max back squat.", "9 min to find the heaviest back squat"),
        (
            "For time, cap 9\n10 kb swings and 5 goblet squats with the same bell (20kg), then run 200m again",
            "For time, cap 9\n10 kb swings 20 kg\n5 goblet squats 20 kg\n200 m run",
        ),
        (
            "EMOM 12\nA: 12 cal row\nB: 15 push ups\nC: rest\ntotal reps",
            "EMOM 12\nmin 1: 12 cal row\nmin 2: 15 push-ups\nmin 3: rest\nTotal reps",
        ),
        (
            "3 rounds for max reps: 40s on 20s off\npush-ups\nsit-ups\nrest\nLowest score counts",
            "3 rounds: 40 s on, 20 s off\nmax push-ups\nmax sit-ups\nrest\nLowest window counts",
        ),
        ("4 rounds\n1 min max row cals\n1 min rest\ntotal", "4 x 1 min on, 1 min off: max cal row\nTotal calories"),
        ("For time (cap 9) 1) 10 burpees 2) 12 sit-ups", "For time, cap 9\n10 burpees\n12 sit-ups"),
        (f"{PARTS}A = kg, B = reps", f"{PARTS}Part A is scored in kg, part B in reps."),
        (
            f"{MINUTES}and so on, one more every minute, until you can no longer finish the reps inside the minute. Nobody goes "
            "beyond minute 9. Total reps.",
            f"{MINUTES}and so on, one more every minute, until you miss. Nobody goes beyond minute 9. Total reps.",
        ),
    ],
)
def test_a_plain_way_of_saying_it_is_the_same_event(said: str, short: str) -> None:
    told, written = _read(said), _read(short)
    assert windows_of(told) == windows_of(written) and scores_of(told) == scores_of(written)
    assert told.miss_puts_out == written.miss_puts_out


@pytest.mark.parametrize(
    ("text", "point"),
    [
        (f"{CHIPPER}Tie = time at which the wall balls were completed", Point(line=2)),
        (f"{CHIPPER}Tiebreak: time after the 30 wall balls.", Point(line=2)),
        (f"{CHIPPER}TB: your time when the row is done", Point(line=1)),
        (f"{STEPS}Tie-break: time when the set of 9 is finished", Point(scheme=9)),
        (f"{STEPS}Tiebreak: time at the end of the 9 pull-ups.", Point(line=6)),
        (f"{ROUNDS}tie break is your time after 2 rounds", Point(round=2)),
    ],
)
def test_a_tie_is_told_by_what_is_done_there(text: str, point: Point) -> None:
    assert [(one.kind, one.point) for one in _read(text).scores[0].ties] == [("time_at", point)]


@pytest.mark.parametrize(
    "text",
    [
        f"{CHIPPER}Tie: time after the 25 wall balls",
        f"{CHIPPER}Tie: time after the thrusters",
        f"{CHIPPER}Tie: time after the first half of the wall balls",
        f"{STEPS}Tie: time after the 6 pull-ups",  # there are two such lines
        f"{STEPS}Tie: time when the set of 6 is finished",
        f"{ROUNDS}Tie: time after the thrusters",  # of which round?
        f"{ROUNDS}Tie: time after 4 rounds",
        f"{CHIPPER}Tie: 2 rounds of burpees decide",
        f"{PARTS}A = reps, B = kg",
        f"{PARTS}A = kg, B = kg",
        f"{IN_TURN}8 minutes so 5 turns each.",
        f"{IN_TURN}4 turns.",
        f"{MINUTES}and so on, one more every minute, until you can no longer finish half of the reps. Total reps.",
        "Pairs: partner A goes first, AMRAP 9\n10 burpees\n10 sit-ups",
        "EMOM 12\n1. 5 pull-ups\n2. 10 push-ups\n3. 15 air squats\ntotal reps",  # all in each minute, or in turn?
        "E2MOM x 6\n150 m row\nthen max strict pull-ups\ntotal reps",
        "EMOM 12: max burpees, max sit-ups. Total reps.",
        "EMOM 12: 1) 12 cal row 2) 10 burpees 3) max wall balls 9 kg. Total wall balls.",
        "For time, cap 18: 3 rounds of 10 burpees, 9 sit-ups. Rest 1 min. 3 rounds of 10 thrusters 40 kg.",  # in each round?
        "3 rounds, 3 min each, 1 min rest\n15 cal row\nmax burpees\nTotal reps",
        "Snatch ladder: start at 40 kg, +5 kg every minute, until you fail",  # how many bars?
        "Snatch ladder: start at 40 kg, +5 kg every minute. 9 bars.",  # and who misses one?
        "Snatch ladder: start at 40 kg, +5 lb every minute, until you fail",
        "7 min: heaviest clean. 1 min rest. 2 min max burpees. Score: worst of the two",
        "6 min: as many double unders as possible without a break",  # in one set?
        "Pairs, you go I go, 6 x 1 min max cal row. Total cals",  # one member after the other?
        "2 x 500m row, 2 min rest between. Score: best time. Cap 10",  # the better of two times can't be told yet
        "8 on, 3 off x4\nburpees\ntotal reps",  # minutes, or seconds?
        f"{LIFT}No letting go of the bar before the bell. You get 9 minutes to find your heaviest.",
        "AMRAP 9\n10 burpees\n10 thrusters 40/30 kg\nRx and scaled\nno scaling",
        "Teams of 3, relay. Each does 500 m row, 20 burpees. For time, cap 17. Clock stops when number two is done.",
        "AMRAP 9: 8 devil's presses 2x15, 6 burpees",  # of what?
        "AMRAP 9: 5 deadlifts @ 60% of your 1RM, 10 burpees",  # another load for everybody
        "AMRAP 9: 5 deadlifts 100 kg @ 60%, 10 burpees",
        "AMRAP 9: 8 power cleans 2x25, 6 swings 24 kg",
        "21-15-9\npower cleans 40 kg\npull-ups\nFor time, cap 9 (21 cleans, 21 pull-ups, 12 cleans and so on)",
        "EMOM 6: 7 burpees. Rest one minute until the next round. Total reps",
        "EMOM 6: max burpees. Rest what is left. Total reps",  # how long?
        "Pairs, split as you like. 4 min: burpees, max reps each. Total reps",
        "AMRAP 9: 5 burpees, 5 lunges, max each.",
        f"{ROUNDS}4 rounds in total.",
        f"{ROUNDS}Do 3 rounds in all, then 50 burpees.",  # rounds of what?
        "0:00-4:00 AMRAP of 8 burpees and 8 sit-ups\nRest 2 min\n6:00-10:00 the same AMRAP\nTotal reps",
        "Teams of four. Two work, two rest. AMRAP 20\n20 burpees\n20 deadlifts 60 kg",  # who works at once is not held
        "Teams of four. One works, two rest. AMRAP 20\n20 burpees",
        "For time, cap 10\n5 power cleans 60 kg + 1 jerk\n10 burpees",
        "5 min max m run. From minute six you have four minutes for max burpees. Two scores.",  # at 5:00, or at 6:00?
        "12 min AMRAP: 5 burpees, 9 sit-ups. From minute 8 you have 2 minutes for max pull-ups. Total reps.",
        "EMOM 4\nMinutes 1, 3, 5: max burpees\nMinutes 2, 4, 6: max sit-ups\nTotal reps",
        "3 rounds of 1 min\nMinute 1: max burpees\nMinute 2: max sit-ups\nTotal reps",
        "3 rounds, 12 minutes:\nMin 1: max cal row\nMin 2: max burpees\nMin 3: rest\nTotal reps",
        "2 rounds, 2 minutes:\nMin 1: max cal row\nMin 2: max burpees\nTotal reps",  # two minutes each, or in all?
        "Pairs, 6 x 1:00\nA: max cal row in minutes 1, 3, 5\nB: max cal row in minutes 2, 4\nTotal calories",  # the sixth?
        "For time, cap 12\n5 rounds of 21-15-9\nburpees\npull-ups",
        "For time, cap 12\n3 x 21-15-9\nburpees\npull-ups",  # a set each time, or all of it?
        f"{ROUNDS}3 rounds in total\n9 pull-ups",
        f"{ROUNDS}Rest 3 min\nAs fast as you can:\n400 m run\n20 sit-ups",  # one time, or two?
        "Teams of 2\n0:00-4:00 A: AMRAP of 8 burpees and 8 sit-ups\n4:00-8:00 B: the same AMRAP but with 9 burpees\nTotal reps",
        "E2MOM x 4\n10 burpees\nRest what is left\n10 sit-ups\nTotal reps",  # two windows, or one?
        "EMOM 10: 5 burpees. Rest every remaining minute. Total reps",
        "EMOM 10\n5 burpees\nRest as needed\nTotal reps",
        "E2MOM x 4: 9 burpees. Rest for what remains of the 2 minutes. Then 5 min max sit-ups. Total reps",
        "E2MOM x 4: 9 burpees. Take the rest of the 2 minutes easy. Then 5 min max sit-ups. Total reps",
        "Every 4 min x 5: 9 burpees, rest the remainder of the 3 min. Total reps",
        "AMRAP 9\n500 m row\nthen max burpees for the rest of the 8 minutes",
        "AMRAP 9\n9 burpees\n9 pull-ups\n400 m run cash-out",
        "For time, cap 9\n3 rounds\n50 burpees buy-in\n9 pull-ups",
        "AMRAP 9\n9 pull-ups\n50 burpees buy-in",
        "5 rounds for time, cap 9: 400 m run, 9 burpees to finish",  # each round, or all of it?
        "2-4-6-8 etc.\ncleans 40 kg\npull-ups\nFor time, cap 9 (2 cleans, 4 pull-ups, 6 cleans, 8 pull-ups and so on)",
        "AMRAP 9: 5 deadlifts @ 60% + 20 kg, 10 burpees",
        "AMRAP 9: 20 dumbbell lunges 2x10, 6 swings 24 kg",  # ten on each side
        "AMRAP 9: 10 goblet squats 2x16, 6 swings 24 kg",  # with one bell
        "Teams of four. Two work, two rest. AMRAP 20\n20 synchro burpees\n20 deadlifts 60 kg",
    ],
)
def test_what_is_not_plain_is_asked_or_stands_in_red(text: str) -> None:
    assert not understand(text).whole


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("5 min max m row. Then from minute nine you have two minutes for max burpees. Two scores.", "“minute nine” is 9:00 on"),
        ("Every minute, up to 7 minutes: 5 burpees. Total reps", "“up to 7 minutes” is all of the 7 minutes"),
        ("EMOM 8\nMinutes 1, 3: max burpees\nMinutes 2, 4: max sit-ups\nTotal reps", "it begins again"),
    ],
)
def test_what_a_plain_way_takes_for_granted_is_told(text: str, told: str) -> None:
    read = understand(text)
    assert read.whole and any(told in one.words for one in read.assumed)


@pytest.mark.parametrize("left", ["for the rest of the minute", "in the remainder of the time", "for the rest of the 60 seconds"])
def test_as_many_as_the_rest_of_a_window_leaves_time_for(left: str) -> None:
    read = understand(f"EMOM 8: 5 burpees, max double unders {left}. Total reps")
    (asked,) = read.questions
    assert not read.not_understood and "then each repetition 1" in asked.words


@pytest.mark.parametrize("work", ["9 cal row", "100 m row", "9 burpees, 9 sit-ups"])
def test_who_misses_is_out_whatever_is_done(work: str) -> None:
    read = understand(f"EMOM 8: {work}. Who misses a minute is out.")
    assert read.whole and read.format is not None and read.format.miss_puts_out


def test_what_is_done_behind_a_rest_for_what_is_left_is_not_left_out_with_it() -> None:
    assert understand("Every 4 min x 5: 9 burpees, rest the remainder then 9 sit-ups. Total reps").not_understood


def test_what_is_left_is_no_slip_of_another_word() -> None:
    read = understand("EMOM 8: 5 burpees. Rest the remainder. Total reps")
    assert read.whole and not any("is read as" in one.words for one in read.assumed)


def test_a_share_of_what_has_no_load_is_told_as_none() -> None:
    (asked,) = understand("AMRAP 9: 200 m run @ 80%, 10 burpees").questions
    assert "how hard it is done" in asked.words


@pytest.mark.parametrize(("said", "take"), [("worst station", "lowest points"), ("best station", "best points")])
def test_of_several_things_one_counts_where_it_is_said(said: str, take: str) -> None:
    text = f"2 min max cal bike\n1 min rest\n2 min max burpees\n1 min rest\n2 min max cal row\nScore: {said}"
    assert scores_of(_read(text)) == [take]


def test_what_is_done_in_step_among_other_things_is_written_and_read_back() -> None:
    made = _read("Teams of 2, split as you like. AMRAP 10: 20 synchro burpees, 40 wall balls 9 kg")
    written = written_text(made)
    assert not written.unsaid and understand(written.text).format == made


def test_members_that_are_named_together_work_together() -> None:
    told = "10 min AMRAP, A does 10 burpees while B rests, then B does 10 burpees while A rests"
    assert [one.who for one in windows_of(_read(f"A and B: {told}"))] == ["A+B"]


def test_lines_under_every_minute_are_put_as_it_is_answered() -> None:
    text = "EMOM 6\n1) 5 pull-ups\n2) max push-ups\ntotal reps"
    asked = next(one for one in understand(text).questions if one.id.startswith("lines"))
    done = {
        answer.value: [len(window.lines) for window in windows_of(read.format)]
        for answer in asked.answers
        if (read := understand(text, {asked.id: answer.value})).format is not None
    }
    assert done == {"turn": [1] * 6, "left": [2] * 6}


@pytest.mark.parametrize(
    "said",
    [
        "Clean ladder: start at 60 kg, +5 kg every 90 seconds, until you fail",
        "1 clean every 90 seconds starting at 60 kg, add 5 kg each round until you miss",
    ],
)
def test_a_bar_that_rises_until_a_miss_is_a_lift_in_as_many_windows_as_are_answered(said: str) -> None:
    asked = next(one for one in understand(said).questions if one.id.startswith("often"))
    read = understand(said, {asked.id: "9"})
    told = _read("9 windows of 1:30: heaviest clean. The load grows each window: 60 kg, then by 5 kg.")
    assert read.whole and read.format is not None
    assert (read.format.tasks, read.format.windows, read.format.scores) == (told.tasks, told.windows, told.scores)


def test_a_version_in_capitals_is_ranked_as_in_small_letters() -> None:
    told = "AMRAP 9\nRX:\n6 pull-ups\n12 deadlifts 90 kg\n\nSCALED:\n6 ring rows\n12 deadlifts 60 kg"
    ranked = [(one.name, one.ranked) for one in _read(told).variants]
    assert ranked == [("Scaled", "after")]
    assert [(one.name, one.ranked) for one in _read(told.replace("SCALED", "scaled")).variants] == ranked


def test_a_slip_in_a_movement_with_many_spellings_is_read_and_told() -> None:
    read = understand("AMRAP 9: 25 burpes, 10 sit-ups. Total reps.")
    assert read.whole and any("“burpes”" in one.words for one in read.assumed)


def test_seconds_are_added_for_what_is_not_completed() -> None:
    said = "Athletes who do not finish receive the cap plus one second for every repetition not completed."
    assert _read(f"{CHIPPER}{said}").scores[0].cap_adds == 1


@pytest.mark.parametrize("turns", ["one works, one rests", "you go I go"])
def test_what_is_done_once_in_turn_is_each_ones_or_shared_as_is_answered(turns: str) -> None:
    text = f"Teams of 2, {turns}. For time, cap 10: 100 burpees"
    (question,) = understand(text).questions
    each, shared = (understand(text, {question.id: answer.value}) for answer in question.answers)
    assert each.whole and shared.whole
    assert [len(windows_of(one.format)[0].lines) for one in (each, shared) if one.format] == [2, 1]
