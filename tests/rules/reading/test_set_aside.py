"""What changes an event is never set aside, and talk that does not is: whatever words it is told in."""

import pytest

from app.rules.reading.reader import understand
from app.rules.reading.talk import LEAVE_OUT, MATTERS

BASES = (
    "AMRAP 12: 10 burpees, 15 thrusters 43 kg, 20 pull-ups",
    "3 rounds for time, cap 15:\n10 burpees\n15 thrusters 43 kg\n400 m run",
    "5 rounds of 1 min max burpees, 1 min rest between. Score: total reps.",
    "In pairs, split as you like.\nAMRAP 12:\n10 burpees\n15 thrusters 43 kg",
    "Find your heaviest snatch in 10 minutes",
)
CHANGING = (
    "The best of both heats counts.",
    "Use the empty bar.",
    "Women do two rounds fewer.",
    "The last minute counts double.",
    "Partner B skips the run.",
    "Everybody gets a second try on Sunday and the better one goes in.",
    "The heat is run twice and the times are added.",
    "Take ten kilos off after the first round.",
    "Kids use a broomstick.",
    "No weight for the juniors.",
    "You may stop after the second movement.",
    "The pull-ups are done strictly by the men only.",
    "Only one partner needs to finish.",
    "A no-rep costs five burpees.",
    "Whoever drops the ball starts again.",
    "The first one across the line wins.",
    "We throw out everybody's worst.",
    "The clock does not stop for anybody over forty until they are done.",
    "There will be a two minute break in the middle.",
    "After the horn you have ten seconds for one more rep.",
    "All reps after the tenth count half.",
    "The lighter one is ahead if it is equal.",
    "Every third one is done with the left hand.",
    "Instead of the burpees you can step.",
    "The run is optional when it rains.",
    "If it rains the run is off.",
    "In the rain we leave the run out.",
    "Nobody does more than three rounds.",
    "It is over when the first team is done.",
    "Each partner has to do at least a third.",
    "The smaller of the two numbers is what we write down.",
    "Plus a bonus for the loudest.",
    "Minus the fouls.",
    "Fouls are taken off.",
    "One foul and you are gone.",
    "Two fouls and that was it for you.",
    "The reps of the quicker half do not count.",
    "Time only matters when two are level.",
    "Reverse the order on the way back.",
    "On the way back it is the other way round.",
    "Add a plate whenever you pass the table.",
    "You carry the sandbag to the table and back first.",
    "There's a run to the gate before it all begins.",
    "The bar goes up when everybody is through.",
    "Then froggers until the horn.",
    "You hop back to the start.",
    "The team with the fewest drops is ahead.",
    "The captain does it alone.",
    "The others hold the bar while one works.",
    "The masters go down to one round.",
    "For the seniors it is half the distance.",
    "Those under sixteen leave out the bar.",
    "Beginners get an extra minute.",
    "We give the girls a head start.",
    "Newcomers use the small ball.",
    "Do it unbroken.",
    "You can't put the bar down.",
    "It's not for time.",
    "This is not scored.",
    "Forget what I wrote above.",
    "Please ignore the second line.",
    "The above is for the men.",
    "That was the scaled version.",
    "The real one has thrusters.",
    "Same thing again after lunch, both are added up.",
    "Your average is what we rank.",
    "Your final is the sum of this one and the one before.",
    "Whoever rests is out.",
    "Not more than one break.",
    "The clock is paused when you change the plates.",
    "Double for the reps on the left side.",
    "You do the whole thing in a vest.",
    "In full kit.",
    "With the heavy ball.",
    "Using the lighter bell.",
    "On the smaller box.",
    "Strict ones only.",
    "Dads get the big bell.",
    "You hand over to your mate when you are tired.",
    "Those from the village get a lead.",
    "The jury picks who is in the final.",
    "You have as long as you like.",
    "We shave a bit off for the oldies.",
    "Whoever smiles most is on top.",
    "Nobody needs the bar.",
    "Please put the pink one on.",
    "Each one is scored on its own.",
    "Every part makes a score of its own.",
    "These are two scores.",
    "They are ranked individually.",
    "The halves are not added.",
    "None of it is summed.",
    "The loudest is the winner.",
    "You need no barbell for it.",
    "Grab the yellow one.",
    "Nobody has to use the box.",
    "The plates get lighter for the old boys.",
    "Cut it short when you are dizzy.",
    "The referee may let you off.",
    "Those with a bad knee do their own thing.",
    "You owe your judge one for each drop.",
    "It counts for the one who did it, not for the pair.",
    "Only what you did in the dark is written down.",
    "We knock off the fifth.",
    "Mums have a minute more.",
    "They are told apart by the tenth.",
    "It ends when the music ends.",
    "When the song is over we are done.",
    # Beside each kind of words that may say something again, or fill a sentence: what is so like it and changes the event.
    "Whatever you don't finish in the minute counts in the next one.",
    "Anything not done is done at the end.",
    "Misses cost you a burpee.",
    "A miss is not free.",
    "The movements are done in the reverse order.",
    "The exercises may be done in another order.",
    "Time stops after the first rep.",
    "The clock stops when the last one of your team is under the rig.",
    "The same weight for everybody but the juniors.",
    "All use the same bar at the same time.",
    "Back to the start after each movement.",
    "Go back to the first movement when you drop the bar.",
    "Wipe the floor ten times.",
    "Cheer for ten seconds after each round.",
    "Set the timer for half of that.",
    "The clock runs as long as the song.",
    "So three is the most you do.",
    "Max two rounds.",
    "Don't be the last one to stand up or you do it again.",
    "Don't go under the tenth before the bell.",
    "Start with 4 burpees at the 3-2-1.",
    "Best time gets a bonus.",
    "So 5 burpees, 5 pull-ups, and so on until the tens.",
    # Told kindly: who has it easier, what is left open, when it is over, that nothing counts.
    "We will be kind to the new ones.",
    "We go easy on the rookies.",
    "The old hands get no mercy, the young ones do.",
    "Our guests from the valley get a discount.",
    "There is some slack for the over fifties.",
    "My mum is allowed to cheat.",
    "First-timers are treated nicely.",
    "What you do after that is written on the wall.",
    "A surprise movement is announced at the start.",
    "We may alter it if it is too hot.",
    "Everybody has a joker.",
    "You can pass one on to your mate.",
    "Skippers may leave it to their crew.",
    "Nobody leaves before the last one is through.",
    "A friend may step in for you.",
    "Bring somebody who takes over.",
    "Your dog may finish it for you.",
    "Style is rewarded.",
    "Late comers are given what is left.",
    "Listen to the song, it tells you when.",
    "Who talks is sent to the back.",
    "Who laughs is done.",
    "A fall and that was it.",
    "It is for fun, nobody keeps a score.",
    "Nobody counts anything.",
    "We don't write anything down.",
    # What hinges on something: a fall, a bell, somebody's return; and what refers to something that is told elsewhere.
    "If it touches the ground it is finished.",
    "If the bar touches the ground it is finished.",
    "At every bell everybody drops to the ground.",
    "At the bell you drop.",
    "When the whistle goes everybody lies down.",
    "When the horn sounds you get on the floor.",
    "On the gong you freeze.",
    "If it is dropped that is that.",
    "If you let go it is over.",
    "If you sit down that was it.",
    "If you fall off, you go home.",
    "If you are sick you walk.",
    "Once it is down it is down.",
    "The moment it lands it's over.",
    "Whoever touches the rope goes back.",
    "Start when you like.",
    "You do it blindfolded.",
    "Left hand first.",
    "Draw a card, that is your number.",
    "Pick your own poison.",
    "It is up to you how.",
    "Nice ones get more.",
    "Less is fine.",
    "House rules.",
    "As last year.",
    "Like last time.",
    "Tall people go under.",
    "That does not go on the card.",
)
TALK = (
    "Chalk stays in the bucket.",
    "Folding chairs are welcome, glass bottles are not.",
    "Gates open at 7 am.",
    "Prize-giving is at three o'clock on the slipway.",
    "There is coffee in the yard and the cake pays for the new carpet.",
    "Wear something warm, the hall is not heated.",
    "Somebody left a blue jacket by the desk.",
    "The bus to the station leaves from the bridge.",
    "Heats 8:30, 8:50, 9:10.",
    "My sister takes photographs, please smile.",
    "The mayor says hello.",
    "We are looking forward to seeing you.",
    "Ask Petra about the keys.",
    "Glass bottles are not welcome in the yard.",
    "Don't be late.",
    "It is going to be a hot day, so drink.",
    "Judges wear yellow shirts.",
    "Tell us if you can't make it.",
    "Lmk if you need a judge.",
    "Lost and found is a blue crate by the desk.",
    "Who wants soup can tell Marta.",
    "The neighbours have asked us not to park in the lane.",
    "Shirts can be picked up between 8 and 9.",
    "Dogs on a leash please.",
    "Protests are lodged in writing within ten minutes of the results.",
)
TWO_PARTS = "AMRAP 6: 6 pull-ups, 12 air squats\nrest 3 min\nAMRAP 6: 9 burpees, 12 sit-ups\n"


PLACES = ("{base}\n{said}", "{said}\n{base}", "{base}\n2. {said}", "{base}\n({said})", "{base}\nHave fun, {said}")


@pytest.mark.parametrize("turn", range(len(BASES)))
def test_what_changes_an_event_leaves_something_open_wherever_it_stands(turn: int) -> None:
    """Every sentence with every event, each time in another place: below, above, numbered, in brackets, behind a comma."""
    silent = []
    for at, said in enumerate(CHANGING):
        place = PLACES[(at + turn) % len(PLACES)]
        text = place.format(base=BASES[turn], said=said)
        if understand(text).whole:
            silent.append(text)
    assert silent == []


def test_a_line_among_standards_that_changes_the_event_is_none() -> None:
    base = "AMRAP 12: 10 burpees, 15 thrusters 43 kg, 20 pull-ups\nScore: total reps\nStandards:\nPull-up: chin over the bar.\n"
    assert understand(base).whole
    assert [said for said in CHANGING if understand(base + said).whole] == []


@pytest.mark.parametrize("base", BASES)
def test_talk_leaves_the_event_as_it_is_and_is_shown_apart(base: str) -> None:
    plain = understand(base)
    for said in TALK:
        read = understand(f"{base}\n{said}")
        assert read.whole and read.format == plain.format, (said, read.questions, read.not_understood)
        assert all(one.matters for one in read.kept) and read.kept, said


def test_whoever_says_that_it_matters_has_it_in_red() -> None:
    text = f"{BASES[0]}\nChalk stays in the bucket."
    (aside,) = understand(text).kept
    read = understand(text, {aside.matters: MATTERS})
    (red,) = read.not_understood
    assert not read.whole and not read.kept and red.matters == aside.matters


def test_whether_sentences_that_were_not_understood_change_the_event_is_asked_once_for_all() -> None:
    text = f"{BASES[0]}\nThe captain waves a towel.\nThe winner gets a ham.\n"
    (question,) = understand(text).questions
    assert "captain waves a towel" in question.words and "winner gets a ham" in question.words
    assert understand(text, {question.id: "none"}).whole
    reds = understand(text, {question.id: "some"}).not_understood
    assert len(reds) == 2
    left = understand(text, {question.id: "some", **{one.leave_out: LEAVE_OUT for one in reds}})
    assert left.whole and len(left.kept) == 2


@pytest.mark.parametrize(
    "said",
    [
        "each one scored on its own, total reps",
        "4. total reps, individually",
        "Score: total reps (apart)",
        "total reps, two scores",
    ],
)
def test_parts_that_are_scored_each_on_its_own_are_not_summed(said: str) -> None:
    read = understand(TWO_PARTS + said)
    assert read.whole and read.format and [len(score.parts) for score in read.format.scores] == [1, 1]
    assert not understand(TWO_PARTS + said.replace("total reps", "the sum of both")).whole


def test_that_each_window_begins_with_the_first_thing_in_it_is_no_question() -> None:
    text = "4 x 3 min AMRAP, 1 min rest between:\n9 cal row\n9 push-ups\nScore: total reps.\n"
    plain, said = understand(text), understand(f"{text}Every interval begins again at the row.")
    assert plain.whole and said.whole and said.format == plain.format and said.kept
    for other in ("Every interval begins again at the push-ups.", "Every interval begins again at the row with 5 calories less."):
        assert not understand(text + other).whole


TIMED = "For time, cap 9: 10-8-6 burpees and pull-ups\n"
EACH_MINUTE = "EMOM 10\nodd: 12 kb swings 20 kg\neven: 10 burpees\nScore: total reps\n"


@pytest.mark.parametrize(
    ("base", "so", "not_so"),
    [
        (TIMED, "Time stops with the last pull-up.", "Time stops with the last burpee."),
        (
            TIMED,
            "So 10 burpees, 10 pull-ups, 8 burpees, 8 pull-ups and so on.",
            "So 10 burpees, 8 pull-ups, 10 burpees and so on.",
        ),
        (TIMED, "The movements are performed in the order stated.", "The movements are performed in another order."),
        (TIMED, "The cap is 9 minutes.", "The cap is 8 minutes."),
        (TIMED, "The timer beeps at 3-2-1.", "The timer beeps at 3-2-2."),
        (TIMED, "Same weight for everybody.", "Same weight for nobody."),
        (EACH_MINUTE, "Whatever you get done inside the minute counts.", "Whatever you don't get done inside the minute counts."),
        (EACH_MINUTE, "So 110 is the most you can get.", "So 120 is the most you can get."),
        ("Find your heaviest snatch in 10 minutes\n", "Misses cost you nothing.", "Misses cost you something."),
    ],
)
def test_what_the_event_says_anyhow_is_no_question_and_what_differs_is_one(base: str, so: str, not_so: str) -> None:
    plain, again = understand(base), understand(base + so)
    assert plain.whole and again.whole and again.format == plain.format
    assert not understand(base + not_so).whole


SUMMED = "5 rounds of 1 min max burpees, 1 min rest between. Score: total reps.\n"
TWO_LIFTS = "10 min heaviest snatch\nrest 3 min\n10 min heaviest clean & jerk\nScore: total load\n"
RUNS = "3 rounds for time, cap 15:\n10 burpees\n15 thrusters 43 kg\n400 m run\n"


@pytest.mark.parametrize(
    ("base", "so", "not_so"),
    [
        (SUMMED, "We count all the reps, and the five are added.", "We count all the reps, and the best three are added."),
        (SUMMED, "Every burpee is one point.", "Every burpee is two points."),
        ("AMRAP 9: 10 burpees, 9 pull-ups\n", "Each rep counts as one.", "Each round counts as one."),
        (TWO_LIFTS, "Total kilos lifted.", "Total kilos of the second."),
        (TWO_LIFTS, "Mini total.", "No total."),
        (RUNS, "First across the line wins.", "Last across the line wins."),
        (RUNS, "Fifteen minutes on the clock and I want you moving.", "Sixteen minutes on the clock and I want you moving."),
        (RUNS, "The run is out to the cone and back, 200 m each way.", "The run is out to the cone and back, 150 m each way."),
        (RUNS, "Equipment: barbells, mats and a timer.", "Equipment: 24 kg kettlebells, mats and a timer."),
        (RUNS, "Bring running shoes!", "Bring somebody who runs for you!"),
        (RUNS, "First heat 9:00 and then every 25 minutes.", "First movement 9:00 and then every 25 minutes."),
    ],
)
def test_what_is_told_around_the_work_is_proven_against_it(base: str, so: str, not_so: str) -> None:
    plain, again = understand(base), understand(base + so)
    assert plain.whole and again.whole and again.format == plain.format
    assert not understand(base + not_so).whole


@pytest.mark.parametrize("base", [*BASES, SUMMED, TWO_LIFTS])
@pytest.mark.parametrize(
    "said",
    [
        "Both do all reps.",
        "All reps are done together.",
        "The sum of the best three counts.",
        "The sum of the last three counts.",
        "Only the thrusters count.",
        "Score is the reps of the weaker partner.",
        "Score is your fastest round.",
        "The slowest of the five times counts.",
        "The average of the five times counts.",
        "The time of the last round counts.",
        "The second best lift counts.",
        "The total of both counts double.",
        "Fewest reps wins.",
        "The run is 200 m out and 300 m back.",
        "Turn at the cone and do 5 burpees.",
        "Gear: 20 kg bar, no collars.",
        "Change plates after each round.",
        "Bring a lighter bar.",
        "Hands stay on the bar.",
        "Touch the rig with your hand at the end.",
        "Both feet must touch the mat to finish.",
        "Athletes may only load up.",
        "Athletes load the bar of their partner.",
        "The monitor is set to 300 by the judge.",
        "Wait for the call before you start.",
        "No rep = five burpees.",
    ],
)
def test_what_is_like_a_proof_and_changes_the_event_leaves_something_open(base: str, said: str) -> None:
    assert not understand(f"{base.rstrip()}\n{said}").whole


SYNCHRO = "In pairs.\n3 rounds for time, cap 11:00\n15 synchro burpees\n10 synchro toes-to-bar\n"
COMPLEX = "8 min to find the heaviest complex: 1 power clean + 1 front squat + 1 push jerk\n"
MACHINE = "5 x 1 min max cal row, 1 min rest between. Score: total calories\n"
BARBELL = "AMRAP 7\n14 double-unders\n7 hang power snatches 35 kg\n"
PRESSED = "3 rounds for time, cap 15:\n10 push-ups\n15 thrusters 43 kg\n400 m run\n"
COUNTED = "AMRAP 9: 200 m run, 10 burpees, 9 pull-ups\nScore: total reps\n"


@pytest.mark.parametrize(
    ("base", "so", "not_so"),
    [
        (
            PRESSED,
            "Push-ups: chest touches the floor, elbows locked out at the top.",
            "Push-ups: chest touches the floor five times.",
        ),
        (BARBELL, "Depth = hip crease under the knee.", "Depth = hip crease under the knee every third rep."),
        (
            SYNCHRO,
            "Toes-to-bar: both athletes' feet touch the bar at the same moment.",
            "Both athletes' feet leave the floor at once.",
        ),
        (
            TWO_LIFTS,
            "Wait for the down call on every rep or it does not count.",
            "Wait for the down call before the next attempt.",
        ),
        (COMPLEX, "Bar may not be dropped before the jerk is locked out.", "Bar may not be dropped before the squat is done."),
        (
            COMPLEX,
            "Hands stay on the bar from the first power clean to the last jerk.",
            "Hands stay on the bar from the first clean.",
        ),
        (BARBELL, "No rep = repeat it.", "No rep = repeat the round."),
        (BARBELL, "Plates may be loaded by the athlete only.", "Plates may be loaded by the partner only."),
        (BARBELL, "Athletes load their own bars.", "Athletes choose their own load."),
        (BARBELL, "Same bar the whole way.", "Same bar for the first half."),
        (TWO_LIFTS, "The load of each attempt is chosen by the athlete.", "The load of each attempt is chosen by the judge."),
        (TWO_LIFTS, "Load is free and may be changed between attempts.", "The load is changed after each attempt."),
        (MACHINE, "Monitor is not reset between intervals.", "Monitor is not reset after the third interval."),
        (
            MACHINE,
            "Row: the monitor must read zero at the start of each set.",
            "Row: the monitor must read 50 at the start of each set.",
        ),
        (MACHINE, "The monitor shows calories.", "The monitor shows metres."),
        (MACHINE, "The monitor reads zero at the start of each set.", "The monitor is not to read zero."),
        (PRESSED, "Heat 2 starts at 9:00.", "Heat 2 starts at 9:00 of the clock."),
        (COUNTED, "A finished run counts as one rep.", "A finished run counts as two reps."),
        (COUNTED, "every pull-up is one rep", "every round is one rep"),
        (PRESSED, "So 15 minutes altogether.", "So 16 minutes altogether."),
        (PRESSED, "And done after the third.", "And done after the second."),
        (BARBELL, "Heat 1 9:40 / heat 2 10:00", "Heat 1 stops at 9:40 / heat 2 10:00"),
        (BARBELL, "Be at check-in 15 min before.", "Be at the rower 15 min before."),
        (PRESSED, "Wave 2 starts at 16:00", "Wave 2 starts at 10:00"),
        (BARBELL, "Equipment: barbell, bumper plates, clips", "Equipment: barbell, 20 kg vest"),
        (
            BARBELL,
            "6.3.4 Equipment\n1 rope (own), 1 bar, collars, 2 x 10 kg plates",
            "1 rope (own), 1 bar, collars, 2 x 10 kg plates",
        ),
        (TWO_LIFTS, "Equipment: bench, rack, 20 kg bar, plates", "Equipment: bench, rack, 15 kg bar, plates"),
        (MACHINE, "Drag as you like.", "Drag factor 110."),
        (TWO_LIFTS, "Only loads in steps of 1 kg.", "Only loads in steps of 5 kg."),
        (COUNTED, "Trainers must be tied.", "Trainers must be off for the second round."),
        (COUNTED, "Attempts do not count.", "Attempts count half."),
        (COUNTED, "(version 2, please bin version 1)", "(version 2 is for the women)"),
        (COUNTED, "Burpees: two feet on top", "Burpees: two feet higher"),
        (COUNTED, "Judges write the tie-break in the small box.", "Judges write the tie-break down for the second round only."),
        (COUNTED, "When the horn goes you tell your judge where you are.", "When the horn goes you change your machine."),
        (COUNTED, "The rest and the cap stay as they are.", "The rest and the cap stay as they are for the men."),
        (BARBELL, "(ignore page 2, that is last year's)", "(ignore line 2, that is last year's)"),
    ],
)
def test_how_it_is_judged_and_what_is_told_of_the_day_is_no_question(base: str, so: str, not_so: str) -> None:
    plain, again = understand(base), understand(base + so)
    assert plain.whole and again.whole and again.format == plain.format, (again.questions, again.not_understood)
    assert not understand(base + not_so).whole


@pytest.mark.parametrize(
    ("base", "so", "not_so"),
    [
        (TWO_LIFTS, "Snatch Evening @ The Old Tannery", "Deadlift Evening @ The Old Tannery"),
        (MACHINE, "Winter erg test", "Partner erg test"),
        (MACHINE, "Rower test, event 1 of 4.", "Rower test, 4 rounds."),
        (TWO_LIFTS, "Winter strength test (singles only)", "Winter strength test (women only)"),
        (PRESSED, "Sprint test", "No sprint test"),
    ],
)
def test_a_first_line_that_names_the_day_and_what_is_done_is_no_question(base: str, so: str, not_so: str) -> None:
    plain, again = understand(base), understand(f"{so}\n{base}")
    assert plain.whole and again.whole and again.format == plain.format, (again.questions, again.not_understood)
    assert not understand(f"{not_so}\n{base}").whole
