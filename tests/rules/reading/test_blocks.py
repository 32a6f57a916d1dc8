"""Windows told by the clock, in parts and blocks, at stations, and with a list inside: read as they are meant, or not at all."""

import pytest

from app.rules.reading.reader import understand
from app.rules.workout.formats import ListTask
from tests.rules.reading.plainly import scores_of, windows_of

TABATA = "8 x 20 s on, 10 s off: max"
# The first as people say it, the second as it is written short.
SAME = {
    "blocks": (
        "Block 1: 8 x 20 s max air squats, 10 s rest\nBlock 2: 8 x 20 s max push-ups, 10 s rest. Block 2 begins at 6:00 on the "
        "clock.\nTotal reps",
        f"Part 1\n{TABATA} air squats\nPart 2\nStarts at 6:00\n{TABATA} push-ups\nTotal reps",
    ),
    "a block that begins by the clock": (
        "Block 1: 6 x 30 s work / 15 s rest, push-ups, max reps\nBlock 2 starts at 6:00 on the same clock: 6 x 30 s work / 15 s "
        "rest, burpees, max reps\nTotal reps",
        "Part 1\n6 x 30 s on, 15 s off: max push-ups\nPart 2\nStarts at 6:00\n6 x 30 s on, 15 s off: max burpees\nTotal reps",
    ),
    "a part that begins for everyone": (
        "4A: for time, cap 7 minutes\n20 thrusters 40 kg\n4B: starts for everyone at 9:00, no matter when you finished 4A.\n"
        "9:00-12:00 max push-ups\nTwo separate scores.",
        "Part A\nFor time, cap 7 minutes\n20 thrusters 40 kg\nPart B\n9:00-12:00 max push-ups\nTwo separate scores.",
    ),
    "a part that starts and ends": (
        "PART A\n0:00, for time, cap 7:00\n30 cal row\nPART B\nStarts at 9:00, ends at 14:00\nFind your heaviest clean\n"
        "Two separate scores.",
        "For time, cap 7:00\n30 cal row\n9:00-14:00 heaviest clean\nTwo separate scores.",
    ),
    "parts by the minute": (
        "Part A (0-8 min): as many rounds as possible of\n8 burpees\n10 pull-ups\n8-10 min: rest, set up your bar\n"
        "Part B (10-14 min): heaviest clean\nPart A and Part B are scored separately: A total reps, B kilos.",
        "0:00-8:00 AMRAP 8 burpees, 10 pull-ups\n8:00-10:00 rest\n10:00-14:00 heaviest clean\nTwo separate scores.",
    ),
    "a tabata between two times": (
        "0:00-4:00 Tabata push-ups (20 s on / 10 s off x 8)\n4:00-5:00 rest\n5:00-9:00 Tabata sit-ups (20 s on / 10 s off x 8)\n"
        "Total reps",
        f"{TABATA} push-ups\n4:00-5:00 rest\nPart 2\nStarts at 5:00\n{TABATA} sit-ups\nTotal reps",
    ),
    "stations gone round": (
        "2 rounds, 30 s work / 30 s rest at each station:\n1) push-ups\n2) sit-ups\nMax reps at every station. Total reps",
        "0:00-0:30 max push-ups\n1:00-1:30 max sit-ups\n2:00-2:30 max push-ups\n3:00-3:30 max sit-ups\nTotal reps",
    ),
    "stations with a rest to change": (
        "2:00 at each station, 1:00 rest to change\n1. Max push-ups\n2. Max sit-ups\n3. Max cal bike\nTotal reps, 1 cal = 1 rep",
        "0:00-2:00 max push-ups\n3:00-5:00 max sit-ups\n6:00-8:00 max cal bike\nTotal reps, 1 cal = 1 rep",
    ),
    "the clock runs on": (
        "Three stations, 2 minutes at each, no rest and no transition time between, the clock just runs on to 6:00:\n"
        "1. max push-ups\n2. max air squats\n3. max sit-ups\nTotal reps",
        "0:00-2:00 max push-ups\n2:00-4:00 max air squats\n4:00-6:00 max sit-ups\nTotal reps",
    ),
    "laps of stations": (
        "45 on / 15 off. Two stations, two laps, so four work pieces:\nwall balls (6 kg) - box jumps (50 "
        "cm), and then the same two "
        "once more. Everything added up.",
        "0:00-0:45 max wall balls 6 kg\n1:00-1:45 max box jumps (50 cm)\n2:00-2:45 max wall balls 6 kg\n"
        "3:00-3:45 max box jumps (50 cm)\nTotal reps",
    ),
    "the same again": (
        "We do 20 seconds of work and 10 seconds of rest, four times, so it's over in two minutes. The "
        "exercises change each time "
        "in this order:\nair squats, push-ups, and then the same two a second time.\nTotal reps.",
        "4 x 20 s on, 10 s off\nalternate:\nair squats\npush-ups\nTotal reps.",
    ),
    "a list in each interval": (
        "4 x 2:00 work / 1:00 rest\nEach interval: 10 burpees, then max wall balls in the remaining time\nTotal reps",
        "4 x 2:00 on, 1:00 off\n10 burpees\nin the remaining time: max wall balls\nTotal reps",
    ),
    "until the minutes are over": (
        "Every 2 minutes for 6 minutes:\n14 cal row, then max burpees until the 2 minutes are over.\nNo rest "
        "in between, the next "
        "14 cal start straight away.\nTotal reps",
        "Every 2 minutes for 6 minutes:\n14 cal row\nin the remaining time: max burpees\nTotal reps",
    ),
    "always from the top": (
        "3 times a 4 minute AMRAP, always starting from the top:\n10 wall balls 9 kg\n10 pull-ups\nRest 1 min between\n"
        "Total reps of all 3 AMRAPs",
        "3 x 4 min AMRAP, 1 min rest between\n10 wall balls 9 kg\n10 pull-ups\nTotal reps",
    ),
    "each of them starts again": (
        "3 x AMRAP 3:00, rest 1:30 between\n5 deadlifts 120 kg\n7 box jumps (24 in)\nEach AMRAP starts again "
        "with the deadlifts.\n"
        "Total reps",
        "3 x AMRAP 3:00, rest 1:30 between\n5 deadlifts 120 kg\n7 box jumps (24 in)\nTotal reps",
    ),
    "the last minute is the rest": (
        "4 rounds, a round is 3 minutes on the clock and the third minute of each is your rest:\nmax cal bike\n"
        "So 12 minutes altogether. Total calories.",
        "4 x 2 min on, 1 min off: max cal bike. Total calories.",
    ),
    "a rest without its unit": (
        "We will work for 25 seconds and rest for 15, seven times in a row, and the movement is the air "
        "squat all the way through. "
        "Lowest round counts.",
        "7 x 25 s on, 15 s off: max air squats. Lowest round counts.",
    ),
    "works": (
        "The event has 6 works. Each work is during 40 seconds and after each work there is a pause of 20 seconds. Max burpees. "
        "Total reps.",
        "6 x 40 s on, 20 s off: max burpees. Total reps.",
    ),
    "stations by the clock": (
        "Station 1 (0:00-2:00): max cal row\nStation 2 (2:30-4:30): max burpees\nTotal reps, 1 cal = 1 rep",
        "0:00-2:00 max cal row\n2:30-4:30 max burpees\nTotal reps, 1 cal = 1 rep",
    ),
    "so long at each station": (
        "Each station lasts 1:30, with 30 s between.\nStation 1: push-ups\nStation 2: sit-ups\nTotal reps",
        "2 stations, 1:30 work, 30 s rest\npush-ups\nsit-ups\nTotal reps",
    ),
    "time spent at stations": (
        "You spend 90 seconds at each of the two stations and have 30 seconds to move on.\n1. push-ups\n2. sit-ups\nTotal reps",
        "0:00-1:30 max push-ups\n2:00-3:30 max sit-ups\nTotal reps",
    ),
    "exercises gone through": (
        "2 exercises, 40 seconds work and 20 seconds rest each, go through it 2 times\npush-ups\nsit-ups\nTotal reps",
        "0:00-0:40 max push-ups\n1:00-1:40 max sit-ups\n2:00-2:40 max push-ups\n3:00-3:40 max sit-ups\nTotal reps",
    ),
    "stations gone round twice": (
        "2 stations x 1 min, 30 s between stations, go round twice (30 s before the second lap as well).\n1. "
        "lunges\n2. push-ups\n"
        "Total reps",
        "0:00-1:00 max lunges\n1:30-2:30 max push-ups\n3:00-4:00 max lunges\n4:30-5:30 max push-ups\nTotal reps",
    ),
    "when the clock says so": (
        "Part A\n8 min AMRAP: 10 burpees, 10 sit-ups\nWhen the clock hits 10:00 begin part B: 5 min max cal "
        "row\nTwo separate scores",
        "0:00-8:00 AMRAP 10 burpees, 10 sit-ups\n10:00-15:00 max cal row\nTwo separate scores",
    ),
    "at a mark": (
        "8 min AMRAP: 10 burpees, 10 sit-ups\nAt the 10 minute mark: 5 min max cal row\nTwo separate scores",
        "0:00-8:00 AMRAP 10 burpees, 10 sit-ups\n10:00-15:00 max cal row\nTwo separate scores",
    ),
    "the same with another thing": (
        f"{TABATA} air squats\nWhen the clock says 5:00 the same again with sit-ups.\nTotal reps",
        f"{TABATA} air squats\nAt 5:00\n{TABATA} sit-ups\nTotal reps",
    ),
    "blocks by their numbers": (
        "Three blocks of 4 minutes with 2 minutes rest between the blocks. In block 1 max sit-ups. In block "
        "2 max burpees. In block 3 "
        "it's back to the sit-ups. Total reps.",
        "0:00-4:00 max sit-ups\n6:00-10:00 max burpees\n12:00-16:00 max sit-ups\nTotal reps.",
    ),
    "sets by their numbers": (
        "Set 1: 3 min max sit-ups. 1 min rest. Set 2: 3 min max burpees. Total reps.",
        "0:00-3:00 max sit-ups\n4:00-7:00 max burpees\nTotal reps.",
    ),
    "easy work between": (
        "3 x 1 min all out on the bike for calories, 1 min easy spinning (doesn't count) in between. Total calories.",
        "3 x 1 min on, 1 min off: max cal bike. Total calories.",
    ),
    "you do that so often": (
        "25 seconds of air squats, as many as you can, 15 seconds off, and you do that seven times. Lowest round counts.",
        "7 x 25 s on, 15 s off: max air squats. Lowest round counts.",
    ),
    "a time before each line": (
        "0:00 row max cal\n3:00 rest\n4:00 max burpees\n7:00 end\nTotal reps, 1 cal = 1 rep",
        "0:00-3:00 max cal row\n4:00-7:00 max burpees\nTotal reps, 1 cal = 1 rep",
    ),
    "from the start": (
        "From the start until 5:00: max lunges. From 6:00 until 9:00: max burpees. Total reps.",
        "0:00-5:00 max lunges\n6:00-9:00 max burpees\nTotal reps.",
    ),
    "a part at a minute": (
        "Part A: 8 min AMRAP of 10 burpees, 10 sit-ups\nPart B starts at minute 10: 5 min max cal row\nTwo separate scores",
        "0:00-8:00 AMRAP 10 burpees, 10 sit-ups\n10:00-15:00 max cal row\nTwo separate scores",
    ),
    "each of several": (
        "3 x 5 min AMRAP / 2 min rest\neach AMRAP: 10 pull-ups, 20 push-ups\nTotal reps",
        "3 x 5 min AMRAP, 2 min rest between\n10 pull-ups, 20 push-ups\nTotal reps",
    ),
    "machines": (
        "You have three minutes on each machine and one minute to get to the next: rower, ski. Max calories. Total calories.",
        "0:00-3:00 max cal row\n4:00-7:00 max cal ski\nTotal calories.",
    ),
    "a rest told first": (
        "5 intervals of 90 seconds. Between intervals you rest 90 seconds. Max burpees. Lowest interval counts.",
        "5 x 90 s on, 90 s off: max burpees. Lowest interval counts.",
    ),
    "a pair of numbers": ("10 rounds of 30/30: max burpees. Total reps", "10 x 30 s on, 30 s off: max burpees. Total reps"),
    "the rest of the minute": (
        "EMOM 10: 12 wall balls 9 kg, then max burpees in the rest of the minute. Total reps.",
        "EMOM 10\n12 wall balls 9 kg\nin the remaining time: max burpees\nTotal reps.",
    ),
    "for so long": (
        "30 sec work, 30 sec rest for 4 minutes, alternating push-ups and sit-ups. Total reps.",
        "4 x 30 s on, 30 s off\nalternate:\npush-ups\nsit-ups\nTotal reps.",
    ),
    "numbers of lists": (
        "AMRAP 1 (0:00-6:00)\n10 burpees\n10 sit-ups\nAMRAP 2 (9:00-15:00)\n12 lunges\n12 push-ups\nTotal reps of both AMRAPs",
        "0:00-6:00 AMRAP 10 burpees, 10 sit-ups\n9:00-15:00 AMRAP 12 lunges, 12 push-ups\nTotal reps",
    ),
    "on and of": ("Air squats, 25 sec on 15 sec of, 7 times. Total reps.", "7 x 25 s on, 15 s off: max air squats. Total reps."),
}


@pytest.mark.parametrize("told", SAME)
def test_what_is_told_by_the_clock_is_what_its_shorthand_says(told: str) -> None:
    spoken, short = (understand(text) for text in SAME[told])
    assert spoken.format is not None and short.format is not None
    assert not spoken.not_understood and not short.not_understood
    assert [one.words for one in spoken.questions] == [one.words for one in short.questions]
    assert windows_of(spoken.format) == windows_of(short.format)
    assert scores_of(spoken.format) == scores_of(short.format)


STATIONS = ":\nkettlebell swings 24 kg\nbox step-ups (20 in)\nTotal reps"
TWO = "Block 1: 8 x 20 s max air squats, 10 s rest\nBlock {}: 8 x 20 s max push-ups, 10 s rest. {}\nTotal reps"
PARTS = "4A: for time, cap 7 minutes\n20 thrusters 40 kg\n4B: starts {}\n{}-12:00 max push-ups\nTwo separate scores."
LAPS = (
    "45 on / 15 off. Three stations, two laps{}:\nwall balls (6 kg) - box jumps (50 cm) - kettlebell "
    "swings (16 kg){}. Total reps."
)
LEFT = "3 rounds of 4 minutes, 2 minutes rest between\n10 burpees, then max kettlebell swings 24 kg until {} over\nTotal reps"
REST = "E2MOM 10: 12 wall balls 9 kg, then max burpees in the rest of the {}. Total reps."
TOP = "3 times a 4 minute AMRAP, {}:\n10 wall balls 9 kg\n10 pull-ups\nTotal reps"
TIMED = "20 seconds of work and 10 seconds of rest, {} times{}:\nair squats, push-ups, sit-ups, lunges{}.\nTotal reps."
MARK = "Part A\n8 min AMRAP: 10 burpees, 10 sit-ups\n{}: 5 min max cal row\nTwo separate scores"
AGAIN = "8 x 20 s on, 10 s off: max air squats\nWhen the clock says {}.\nTotal reps"
BLOCKS = "Three blocks of 4 minutes with 2 minutes rest between. {}. Total reps."
# Each says more, or another thing, than what is read in its place would.
TURNED = [
    "30 sec work, 15 sec rest, for 7 minutes. Max air squats. Total reps.",
    "30 sec work, 15 sec rest, but not for 6 minutes. Max air squats. Total reps.",
    "30 sec work, 15 sec rest, 8 times for 6 minutes. Max air squats. Total reps.",
    "AMRAP 12 (0:00-15:00)\n10 burpees\n10 sit-ups\nTotal reps",
    "AMRAP 1 (0:00-6:00)\n10 burpees\nAMRAP 3 (9:00-15:00)\n12 lunges\nTotal reps",
    "0:00 row max cal\n3:00 rest\n2:00 max burpees\n7:00 end\nTotal reps, 1 cal = 1 rep",
    "0:00 row max cal, 2 min\n3:00 rest\n4:00 max burpees\n7:00 end\nTotal reps, 1 cal = 1 rep",
    "0:00 row max cal\n3:00 rest\n4:00 max burpees\n7:00 end of round one\nTotal reps, 1 cal = 1 rep",
    "Not from the start until 5:00: max lunges. From 6:00 until 9:00: max burpees. Total reps.",
    "Part A: 8 min AMRAP of 10 burpees\nPart B starts at minute 7: 5 min max cal row\nTwo separate scores",
    "3 x 5 min AMRAP / 2 min rest\nevery second AMRAP: 10 pull-ups, 20 push-ups\nTotal reps",
    "5 intervals of 90 seconds. Between the last two intervals you rest 90 seconds. Max burpees. Lowest interval counts.",
    "5 intervals of 90 seconds. Between intervals you never rest 90 seconds. Max burpees. Lowest interval counts.",
    "From 0:00 to 12:00, 2 rounds, every 4 minutes: 10 burpees, 10 sit-ups. Total reps.",
    "From 0:00 to 8:00, 5 sets: heaviest clean",
    "0:00-5:00: 10 burpees, 5 sit-ups\nFor time: 20 sit-ups, cap 10\nTwo scores",
    "0:00-5:00: 10 burpees, 5 sit-ups, for time: 20 pull-ups",
    "From 0:00 to 6:00\n2 rounds of\nmax burpees\nTotal reps",
    "Station 1 (0:00-2:00): max sit-ups\nStation 2 (1:30-4:30): max burpees\nTotal reps",
    "Station 1 (0:00-2:00): max sit-ups\nStation 3 (2:30-4:30): max burpees\nTotal reps",
    "Station 2 (0:00-2:00): max sit-ups\nStation 1 (2:30-4:30): max burpees\nTotal reps",
    "Set 1: 3 min max sit-ups. 1 min rest. Set 2: 3 min max burpees. Total reps of set 2.",
    "2 exercises, 40 seconds work and 20 seconds rest each, do one of them 2 times\npush-ups\nsit-ups\nTotal reps",
    "Set 1: 3 min max sit-ups. 1 min rest. Set 3: 3 min max burpees. Total reps",
    MARK.format("When the clock hits 7:00 begin part B"),
    MARK.format("When the clock hits 10:00 begin part C"),
    MARK.format("If the clock hits 10:00 begin part B"),
    "AMRAP 12: 10 burpees, 10 sit-ups\nAt the 6 minute mark: 20 lunges.\nTotal reps",
    AGAIN.format("3:00 the same with sit-ups"),
    AGAIN.format("5:00 the same with sit-ups but six times"),
    AGAIN.format("5:00 not the same with sit-ups"),
    BLOCKS.format("Block 1: max sit-ups. Block 2: max burpees"),
    BLOCKS.format("Block 1: max sit-ups. Block 2: max burpees. Block 3: it's back to the lunges"),
    "3 rounds, 4 minutes each, 2 minutes rest between. Station 1: max lunges. Station 2: max burpees. Station 3: max sit-ups. "
    "Total reps.",
    "4 exercises, 40 seconds work and 20 seconds rest each, go through it 4 times\npush-ups\nsit-ups\nair squats\nTotal reps",
    "5 x 1 min on the bike for calories, 1 min easy spinning (counts too) in between.\nTotal calories",
    "5 x 1 min on the bike for calories, 1 min easy spinning.\nTotal calories",
    "2 stations x 1 min, 30 s between stations, go round twice (60 s before the third lap as well).\n1. lunges\n2. push-ups\n"
    "Total reps",
    "Each station lasts 1:30, with 30 s between the first two.\nStation 1: push-ups\nStation 2: sit-ups\nTotal reps",
    "Tabata air squats\nrest 1 min\nTabata push-ups\nTotal reps",
    f"4 rounds, 30 s work / 30 s rest at each station, 45 s at the last{STATIONS}",
    f"4 x 30 s work / 30 s rest at each station{STATIONS}",
    TWO.format(2, "Block 1 begins at 6:00 on the clock."),
    TWO.format(2, "Block 2 begins at 3:00 on the clock."),
    TWO.format(2, "Block 2 never begins at 6:00 on the clock."),
    TWO.format(3, ""),
    PARTS.format("for everyone at 9:00, but not if you finished 4A.", "9:00"),
    PARTS.format("at 9:00 only if you finished 4A.", "9:00"),
    PARTS.format("at 9:00.", "10:00"),
    (
        "PART A\nfor time, cap 7:00\n30 cal row\nPART B\nStarts at 9:00, ends at 8:00\nFind your heaviest "
        "clean\nTwo separate scores."
    ),
    "Part A (8-5 min): AMRAP\n10 burpees\n8-10 min: rest\nPart B (10-14 min): heaviest clean\nTwo separate scores.",
    "0:00-8:00 AMRAP 8 burpees\n8:00-10:00 rest, set up your bar with 60\n10:00-14:00 heaviest clean\nTwo separate scores.",
    "0:00-5:00 Tabata push-ups\nTotal reps",
    "0:00-4:00 Tabata push-ups (20 s on / 10 s off x 6)\nTotal reps",
    "0:00-4:00 Tabata push-ups (30 s on / 10 s off x 8)\nTotal reps",
    (
        "2:00 at each station, 1:00 rest to change, 2:00 after the second\n1. Max push-ups\n2. Max "
        "sit-ups\n3. max burpees\nTotal reps"
    ),
    (
        "Three stations, 2 minutes at each, no rest and no transition time between, the clock just runs on to 7:00:\n"
        "1. max push-ups\n2. max air "
        "squats\n3. max sit-ups\nTotal reps"
    ),
    LAPS.format(", so five work pieces", ""),
    LAPS.format("", ", and then the same two once more"),
    LAPS.format("", ", and then the same three in reverse"),
    LAPS.format("", ", and then not the same three once more"),
    TIMED.format("six", "", ", and then the same four a second time"),
    TIMED.format("eight", ". The exercises change every second time in this order", ", and then the same four a second time"),
    "AMRAP 10\n10 burpees\n20 sit-ups, and then the same two once more\nTotal reps",
    "Every 2 minutes for 10 minutes:\n14 cal row, then 10 burpees\nThe next 12 cal start straight away.\nTotal reps",
    "Every 2 minutes for 10 minutes:\n14 cal row, then 10 burpees\nThe next 14 cal start a minute later.\nTotal reps",
    TOP.format("never starting from the top"),
    TOP.format("only the first starting from the top"),
    TOP.format("starting from the top twice"),
    (
        "3 x AMRAP 3:00, rest 1:30 between\n5 deadlifts 120 kg\n7 box jumps (24 in)\nEach AMRAP starts again "
        "with the box jumps.\nTotal reps"
    ),
    "3 x AMRAP 3:00, rest 1:30 between\n5 deadlifts 120 kg\n7 box jumps (24 in)\nTotal reps of the two AMRAPs",
    "4 rounds, a round is 3 minutes on the clock and the second minute of each is your rest:\nmax cal bike\nTotal calories.",
    "4 rounds, a round is 3 minutes on the clock and the third minute of the last is your rest:\nmax cal bike\nTotal calories.",
    "4 x 2 min on, 1 min off: max cal bike\nSo 10 minutes altogether. Total calories.",
    "Work for 25 seconds and rest for 15, seven times, and the movement is the air squat in the first three. Total reps",
    "Each work is during 40 seconds and after the third work there is a pause of 20 seconds. 6 rounds. Max burpees. Total reps.",
]


@pytest.mark.parametrize("text", TURNED)
def test_a_word_that_turns_it_is_never_passed_over(text: str) -> None:
    assert not understand(text).whole


@pytest.mark.parametrize(
    ("text", "so", "not_so"),
    [
        (LEFT, "the 4 minutes are", ("the 3 minutes are", "10 are", "the first 4 minutes are")),
        (REST, "two minutes", ("minute", "first two minutes")),
    ],
)
def test_a_list_that_leaves_another_time_asks_more_than_whether_it_counts(text: str, so: str, not_so: tuple[str, ...]) -> None:
    (question,) = understand(text.format(so)).questions
    assert question.id.startswith("tail-") and understand(text.format(so), {question.id: question.answers[0].value}).whole
    for said in not_so:
        told = understand(text.format(said)).questions
        answered = {one.id: one.answers[0].value for one in told if one.id.startswith("tail-")}
        assert not understand(text.format(said), answered).whole


@pytest.mark.parametrize(
    "heading",
    [
        "From 0:00 to 8:00\n3 rounds for time",
        "From 0:00 to 8:00: 3 rounds for time of",
        "Part 1 (0:00-8:00)\n3 rounds\nfor time",
        "0:00-8:00\n3 times for time",
        "0:00-8:00 for time\n3 rounds of",
        "0:00-8:00: 3 rounds of 12 deadlifts 70 kg, 10 burpees for time",
        "Minute 0 to 8: 3 rounds of 12 deadlifts 70 kg and 10 burpees as fast as possible",
    ],
)
def test_rounds_for_time_in_a_stretch_of_the_clock_are_done_so_often(heading: str) -> None:
    work = "" if "burpees" in heading else "\n12 deadlifts 70 kg\n10 burpees"
    read = understand(f"{heading}{work}\n\nFrom 10:00 to 15:00\nmax burpees\n\nTwo scores")
    assert read.whole and read.format is not None
    task = read.format.tasks["work"]
    assert isinstance(task, ListTask) and task.taps_in_round * (task.rounds or 0) == 3 * 22
    assert [(window.start, window.seconds) for window in read.format.windows] == [(0, 480), (600, 300)]


@pytest.mark.parametrize(("told", "loads"), [("again", ["70", ""]), ("0", ["70", "70"])])
def test_a_load_that_something_has_already_may_be_told_once_more(told: str, loads: list[str]) -> None:
    text = "AMRAP 8\n12 deadlifts 70 kg\n100 m farmers carry\nAll athletes use 70 kg."
    (question,) = understand(text).questions
    read = understand(text, {question.id: told})
    assert read.whole and read.format is not None and isinstance(task := read.format.tasks["work"], ListTask)
    assert [item.load.amount if item.load else "" for item in task.items] == loads
    assert understand(text.replace("use 70", "use 60")).whole, "of another load it is plain what it is for"
