"""Sentences made to fool the reader: what may change the event is never kept as talk, as a title or as a standard."""

import pytest

from app.rules.reading.reader import understand
from app.rules.reading.writing.written_text import written_text

AMRAP = "AMRAP 12: 10 burpees, 15 thrusters 43 kg, 20 pull-ups"
FOR_TIME = "3 rounds for time, cap 15: 10 burpees, 15 thrusters 43 kg, 20 pull-ups"
WINDOWS = "5 rounds of 1 min max burpees, 1 min rest between. Score: total reps."
PAIRS = "In pairs, split as you like. AMRAP 12: 10 burpees, 15 thrusters 43 kg, 20 pull-ups"
LIFT = "Find your heaviest snatch in 10 minutes"
BEARING = {
    AMRAP: [
        "Drop the bar and you do five burpees.",
        "If you drop the bar, it's five burpees.",
        "Every drop costs you burpees.",
        "Burpees on every break.",
        "No rest on the floor, or you start over.",
        "In every 3rd round the burpees are over the bar.",
        "Every third round skip the burpees.",
        "All rounds except the first count.",
        "The first round does not count.",
        "Only complete rounds count.",
        "Only the second half counts.",
        "Minus one for each no rep.",
        "We take off a rep for each fault.",
        "You start with the pull-ups.",
        "The order is free.",
        "Do them in any order.",
        "You can do it in whatever order you like.",
        "Begin with the last movement.",
        "Go from bottom to top.",
        "The women use the lighter bar.",
        "Women do ring rows.",
        "Kids do half.",
        "Juniors do it once.",
        "Masters may step up.",
        "Beginners leave out the thrusters.",
        "If you cannot do a pull-up, do ring rows.",
        "You may swap the pull-ups for ring rows.",
        "The pull-ups are optional.",
        "Ignore the burpees.",
        "Forget the pull-ups.",
        "Scrap the thrusters, we have no bars.",
        "Pull-ups count double.",
        "Each round is worth a point.",
        "Whoever has the fewest wins.",
        "The lowest wins.",
        "Most rounds wins, reps are ignored.",
        "We only count the pull-ups.",
        "After six minutes you switch to ring rows.",
        "From minute six on the load is heavier.",
        "The load goes up each round.",
        "The bar gets heavier each time.",
        "Add a burpee every time you come back.",
        "Rest whenever you like but at least once.",
        "You must rest after each round.",
        "Take a break between rounds.",
        "You work in pairs.",
        "Your partner does the other half.",
        "Athletes take turns.",
        "Go twice.",
        "We do this two times.",
        "We run it again after lunch and add both.",
        "Teens stop at eight.",
        "You have less time than usual.",
        "The clock stops at 10.",
        "Unless the judge says otherwise, only strict ones count.",
        "Wear a vest.",
        "With a 10 kilo vest.",
        "There is a penalty for talking.",
        "Late entries get a handicap.",
        "The thrusters are with dumbbells.",
        "Replace thrusters with wall balls.",
        "Correction: it is ten minutes.",
        "Sorry, I meant for time.",
        "Actually it is for time.",
        "Same again for the second athlete.",
        "Finish with froggers.",
        "Then some froggers.",
        "And you do froggers too.",
        "Then you climb the rope.",
        "Between rounds you run around the building.",
        "Run to the tree and back after every round.",
        "Everybody who is over fifty gets a head start.",
        "The winner is whoever looks best.",
        "Score is decided by the judges.",
        "The judges decide who wins.",
        "Ties are decided by a coin.",
        "If it's a draw we flip a coin.",
        "Time is what matters, not reps.",
        "Please carry the bag to the tree first.",
        "Don't forget to add the bonus.",
        "You're out if you stop.",
        "Whoever stops is eliminated.",
        "Scaled athletes do fewer.",
        "Everything is unbroken.",
        "Do the lot before you look at the clock.",
        "Hold the plank meanwhile.",
    ],
    FOR_TIME: [
        "The rounds get shorter: drop a movement each time.",
        "Unfinished reps are added as seconds.",
        "Anyone not done gets fifteen minutes plus their missing reps.",
        "In the second round the burpees are gone.",
        "Rest a minute after each round.",
        "Each round is timed separately.",
        "Only your fastest round counts.",
        "Your score is the slowest round.",
        "The last round is doubled.",
        "Round two is without half of the thrusters.",
        "The clock stops between rounds.",
        "The time is taken after the second round.",
        "Start with the pull-ups in round two.",
        "Beginners: one round less.",
        "Women two rounds.",
        "Skip round three if you are new.",
        "Bonus for unbroken thrusters.",
        "You may skip one movement.",
        "There is no cap for masters.",
        "Without the cap for the final.",
    ],
    WINDOWS: [
        "Only the last one counts.",
        "The first minute is a warm-up.",
        "We drop the worst minute.",
        "Leave out the worst.",
        "No rest after the third.",
        "The rest gets shorter.",
        "Rounds two and four are squats.",
        "The best three count.",
        "The middle one is what counts.",
        "If you stop early you lose that round.",
    ],
    PAIRS: [
        "Each does half of it.",
        "You must alternate every round.",
        "Only one of you does the thrusters.",
        "One of you holds the bar the whole time.",
        "While one works the other hangs.",
        "You do it together, in sync.",
        "A starts and B finishes.",
        "The smaller partner does the pull-ups.",
        "You may not switch during the thrusters.",
        "Both do all reps.",
        "Nobody may do two sets in a row.",
        "Change after every movement.",
    ],
    LIFT: [
        "From the hang.",
        "After a miss you are out.",
        "No misses allowed.",
        "The bar may only go up.",
        "Body weight is deducted.",
        "Divide by your bodyweight.",
        "Women's loads count double.",
        "Best two are added.",
        "You start with an empty bar and add ten kilos each time.",
        "Lift every minute.",
    ],
}


# Whole texts made to fool it, each with one thing that is not so plain as it looks.
TWISTED = [
    "For time, cap 12: 10 thrusters 40 kg, 20 pull-ups, 10 thrusters 50 kg, 5 thrusters",
    "For time, cap 12: 10 deadlifts 100 kg, 10 burpees, 10 deadlifts (bodyweight)",
    "10 burpees",
    "20 sit-ups",
    "for time cap 9",
    "not 3 rounds",
    "Event 5 rounds for time, cap 20: 10 burpees",
    "Workout 10 burpees, 20 pull-ups for time cap 5",
    "Event 21-15-9 burpees and pull-ups for time cap 9",
    "WOD 3 rounds of 10 burpees for time cap 9",
    "Event 2 minutes max burpees",
    '"12 burpees" - AMRAP 5: 10 pull-ups',
    "For time: 10 burpees. Max 3 rounds.",
    "AMRAP 10 max: 10 burpees",
    "For time, cap 10: 10 kettlebell swings 24k",
    "AMRAP 7: 10 snatches 22.5",
    "AMRAP 7: 10 snatches at 22.5, 10 burpees",
    "10 min: max cal row then back to max burpees",
    "In pairs AMRAP 8: 10 burpees. One works, one rests, switch after every movement.",
    "In pairs AMRAP 8: 10 burpees. Only one works, the other holds a plank.",
    "In pairs AMRAP 8: 10 burpees. The work may not be split.",
    "In pairs AMRAP 8: 10 burpees. Each does all of it.",
    "In pairs AMRAP 8: 10 burpees. Share only the burpees.",
    "AMRAP 8: 10 burpees. In case of a tie the same athletes repeat the workout.",
    "AMRAP 8: 10 burpees. Ties share the prize money.",
    "AMRAP 8: 10 burpees. The same score goes to both partners.",
    "Heaviest snatch in 8 min. The lighter athlete lifts first.",
    "Heaviest snatch in 8 min. A lift begun before the bell does not count.",
    "Heaviest snatch in 8 min. The total of the best two counts.",
    "Heaviest snatch in 8 min, 3 attempts. The second attempt counts.",
    "Heaviest snatch 8 min. Your score is the average.",
    "For time cap 9: 20 burpees. If you don't finish add a minute.",
    "For time cap 9: 20 burpees. We add 5 seconds for every no rep.",
    "For time cap 9: 20 burpees. We take off a second for every rep left.",
    "For time cap 9: 20 burpees. Plus one second for each athlete.",
    "EMOM 10: 10 burpees, rest",
    "EMOM 10:",
    "10 burpees",
    "5 pull-ups",
    "rest",
    "EMOM 10: 5 burpees. Keep going until the eight minutes are over.",
    "AMRAP 10: 5 burpees. Keep going until you drop.",
    "AMRAP 10: 5 burpees. You keep going until the first ten are over.",
    "5 rounds of 1 min max burpees, 1 min rest. Score: lowest wins.",
    "5 rounds of 1 min max burpees, 1 min rest. Your score is your first round.",
    "5 rounds of 1 min max burpees, 1 min rest. The average round counts.",
    "5 rounds of 1 min max burpees, 1 min rest. Best two rounds added.",
    "5 rounds of 1 min max burpees, 1 min rest. Total minus the worst.",
    "5 rounds of 1 min max burpees, 1 min rest. The number of rounds over 10 counts.",
    "3 rounds for time cap 10: 10 burpees. Rounds two and three with a vest.",
    "3 rounds for time cap 10: 10 burpees. In every round you do one burpee more.",
    "3 rounds for time cap 10: 10 burpees. In round two you do pull-ups too.",
    "For time cap 10: 10 burpees, 10 pull-ups. Women 8 pull-ups.",
    "For time cap 10: 10 thrusters 40 kg. Women use 30.",
    "For time cap 10: 10 thrusters 40 kg. Women use less.",
    "For time cap 10: 10 thrusters 40 kg. Ladies use 30 kg for the first round.",
    "AMRAP 10",
    "Movement\tReps",
    "Burpee\t10",
    "Pull-up\t15",
    "(women 10)",
    "AMRAP 10",
    "Movement\tReps\tRounds",
    "Burpee\t10\t3",
    "Pull-up\t15\t2",
    "AMRAP 10",
    "Reps\tMovement\tScore",
    "10\tBurpee\tdouble",
    "5\tPull-up\t",
    "#\tMovement",
    "10\tBurpee",
    "20\tPull-up",
    "For time cap 9: 21-15-9 burpees and pull-ups, nine, nine",
    "AMRAP 9: 10 burpees, five, six pull-ups",
    "AMRAP 9: ten or twelve burpees",
    "AMRAP 9: 10 burpees (or 5 pull-ups)",
    "AMRAP 9: 10 burpees/pull-ups",
    "For time, cap 9: 100 burpees, every minute 5 pull-ups",
    "For time, cap 9: 100 burpees. At each minute do five pull-ups first.",
    "For time, cap 9: 100 burpees. At the top of every minute, pull-ups.",
    "For time, cap 9: 10 burpees, then the same backwards",
    "For time, cap 9: 10 burpees, 20 pull-ups, and back up",
    "For time, cap 9: 10 burpees, 20 pull-ups and up again",
    "For time, cap 9: 10 burpees, 20 pull-ups. Then back to the start.",
    "AMRAP 9 min, starting after 3 min warm-up: 10 burpees",
    "For time: 10 burpees. You have half an hour, but only the first half counts.",
    "For time: 10 burpees. You have an hour minus ten minutes.",
    "Quarter of an hour AMRAP, 10 burpees; scaled half an hour",
    "AMRAP 12: 10 burpees because we have no bars, 10 pull-ups",
    "AMRAP 12: 10 burpees, since Tom is ill 10 pull-ups instead",
    "AMRAP 12: 10 burpees, but not in round one",
    "AMRAP 12: 10 burpees but nobody counts them",
    "For time cap 9, 10 burpees. Hello Tom, please leave out the burpees.",
    "For time cap 9, 10 burpees. Thanks, twenty",
]


@pytest.mark.parametrize("text", TWISTED)
def test_a_text_with_a_twist_is_asked_about_or_stands_in_red(text: str) -> None:
    assert not understand(text).whole


@pytest.mark.parametrize(("base", "said"), [(base, said) for base, lines in BEARING.items() for said in lines])
def test_what_may_change_the_event_is_never_kept_as_talk(base: str, said: str) -> None:
    for text in (f"{base}\n{said}", f"{said}\n{base}"):
        read = understand(text)
        assert not read.whole, ([one.words for one in read.kept], read.title)


@pytest.mark.parametrize(
    "said",
    [
        "We start at nine sharp, please be there by half past eight so that Petra can tick you off the list.",
        "Doors open at 8, warm up from 8:30.",
        "Parking is behind the bakery, not in front of it.",
        "What a turnout last weekend, thank you all so much!",
        "Don't go crazy on the burpees, I mean it.",
        "Collars on for every lift, otherwise no rep.",
        "Enjoy the pull-ups at the end, hihi.",
        "Please bring shoes, it is wet.\n\nHugs, Jo",
    ],
)
def test_talk_standards_and_hours_are_kept_beside_the_event(said: str) -> None:
    read, plain = understand(f"{AMRAP}\n{said}"), understand(AMRAP)
    assert read.whole and read.format == plain.format, (read.not_understood, read.questions)
    assert all(any(word in one.words for one in read.kept) for word in said.split()[-1:] if word.isalpha())


@pytest.mark.parametrize("said", ["dont forget ur rope", "lmk if u need a lane judge", "see u at 6", "good luck have fun"])
def test_talk_behind_a_line_without_a_stop_is_kept(said: str) -> None:
    read = understand(f"for time 400m run 15 push press 40kg 17 min cap {said}")
    assert read.whole and any(said.split()[-1] in one.words for one in read.kept)


def test_a_condition_is_never_parted_from_what_it_is_a_condition_of() -> None:
    assert not understand(f"{AMRAP}\nIf you drop the bar, it's five burpees.").whole


@pytest.mark.parametrize(
    ("said", "score"),
    [("The heaviest good lift in pounds counts.", "lb"), ("Best lift in kilos is what goes on the board.", "kg")],
)
def test_the_unit_of_a_lift_is_the_one_that_its_score_names(said: str, score: str) -> None:
    read = understand(f"{LIFT}. {said}")
    assert read.whole and read.format is not None and read.format.unit == score


@pytest.mark.parametrize("said", ["Bar leaves the floor before the bell: lift counts.", "A lift begun before the horn counts."])
def test_a_lift_that_was_begun_before_the_bell_counts_where_it_says_so(said: str) -> None:
    read = understand(f"{LIFT}. {said}")
    assert read.whole and read.format is not None
    (task,) = read.format.tasks.values()
    assert task.counts_when == "begun"  # type: ignore[union-attr]
    again = understand(written_text(read.format).text)
    assert again.format is not None and next(iter(again.format.tasks.values())).counts_when == "begun"  # type: ignore[union-attr]
