"""Pairs and teams: who works, who holds, how they share it; and what is like it and says another thing stays open."""

import pytest

from app.rules.reading.reader import understand
from tests.rules.reading.plainly import scores_of, windows_of

LIST = "\nAMRAP 12\n10 burpees\n20 pull-ups"
SHARED = f"Pairs, split as you like{LIST}"
HOLDS = "Pairs.\n0:00-2:00 A does max burpees, B holds a plank\n2:00-4:00 B does max burpees, A holds a plank\nTotal reps."
TURNS = "Pairs.\n0:00-2:00 A does max burpees\n2:00-4:00 B does max sit-ups\nTotal reps."
IN_STEP = "Pairs, everything synchro.\nAMRAP 9\n8 burpees\n12 air squats"
ALTERNATELY = "\n".join(f"{at}:00-{at + 1}:00 {'AB'[at % 2]}: max kettlebell swings 16 kg" for at in range(4))
HUNG = (
    "Pairs. A does max thrusters @ 35 kg for 2 minutes while B hangs from the bar. "
    "After 2 minutes swap straight away: {}. Total reps."
)
GOES = "Pairs. {} Max burpees. Total reps."
# The first as people say it, the second as it is written short.
SAME = {
    "turns as they like": (
        f"Teams of 3, I go you go, one athlete works at a time, switch whenever you like{LIST}",
        f"Teams of 3, split as you like{LIST}",
    ),
    "a pairs event with a number": (
        f"Pairs event 1! One works, one rests, split every single rep however you like.{LIST}",
        SHARED,
    ),
    "one person moving": (f"Pairs. Share the work however you want, one person moving at a time.{LIST}", SHARED),
    "how it is shared is free": (f"Pairs{LIST}\nHow you share it between the two is free.", SHARED),
    "what they are called": (
        f"Teams of three: pupil A, pupil B, pupil C. Split as you like.{LIST}",
        f"Trios, split as you like.{LIST}",
    ),
    "a hold in its own sentence": (
        "Teams of 2 (A and B): one works, one holds\n0:00-4:00 A: AMRAP of 6 thrusters 40 kg and 12 lunges; B holds a plank\n"
        "4:00-5:00 rest, change over\n5:00-9:00 B: AMRAP of the same; A holds a plank\nTotal reps.",
        "Pairs\n0:00-4:00 A: AMRAP 6 thrusters 40 kg, 12 lunges, while B holds a plank\n4:00-5:00 rest\n"
        "5:00-9:00 B: AMRAP 6 thrusters 40 kg, 12 lunges, while A holds a plank\nTotal reps.",
    ),
    "again": (
        f"{TURNS}\n4:00-6:00 A again, 6:00-8:00 B again, same rules.",
        f"{TURNS}\n4:00-6:00 A does max burpees\n6:00-8:00 B does max sit-ups",
    ),
    "by their numbers": (
        "Pairs.\n0:00-2:00 number 1 does as many sit-ups as possible while number 2 holds a plank.\nTotal reps.",
        "Pairs.\n0:00-2:00 A: max sit-ups while B holds a plank.\nTotal reps.",
    ),
    "two ways in one event": (
        "Pairs\nFirst 5 minutes, AMRAP, both together:\n6 burpees\n9 sit-ups\n2 minutes rest\nThen 4 minutes, max pull-ups, "
        "swap whenever you want.\nTotal reps.",
        "Pairs, split as you like\n0:00-5:00 A and B: AMRAP 6 burpees, 9 sit-ups\n7:00-11:00 max pull-ups\nTotal reps.",
    ),
    "from when to when": (
        "Pair workout. Partner A goes from 0:00 to 5:00, then one minute in which nobody works, partner B from 6:00 to 11:00.\n"
        "Each for himself, from the top, as many rounds as possible of\n7 deadlifts @ 90 kg\n14 push-ups\nTotal reps.",
        "Pairs\n0:00-5:00 A: AMRAP 7 deadlifts 90 kg, 14 push-ups\n"
        "6:00-11:00 B: AMRAP 7 deadlifts 90 kg, 14 push-ups\nTotal reps.",
    ),
    "in which minutes": (
        "Athlete A works during minutes 1 and 3, athlete B during minutes 2 and 4. The athlete not working stays on the mat.\n"
        "In each minute the working athlete performs as many kettlebell swings as possible with 16 kg.\nTotal reps.",
        f"Pairs\n{ALTERNATELY}\nTotal reps.",
    ),
    "turn by turn": (
        "In twos. Kettlebell swings, 16 kg. Partner A goes for 1 minute, then partner B goes for 1 minute, and so on, turn by "
        "turn, 4 minutes altogether so each has 2 goes. As many as you can in every go.\nTotal reps.",
        f"Pairs\n{ALTERNATELY}\nTotal reps.",
    ),
    "a time behind each": (
        "Ski erg relay, teams of three, one machine\nSkier A 3:00\nswap 0:30\nSkier B 3:00\nswap 0:30\nSkier C 3:00\n"
        "As many metres as possible in every leg. Total metres.",
        "Trios\n0:00-3:00 A: max metres ski erg\n3:30-6:30 B: max metres ski erg\n7:00-10:00 C: max metres ski erg\n"
        "Total metres.",
    ),
    "a swap told in full": (
        "Teams of two. A does max thrusters @ 35 kg for 2 minutes while B hangs from the bar. "
        "After 2 minutes swap straight away: B does thrusters, A hangs, another 2 minutes. Total reps.",
        "Pairs\n0:00-2:00 A: max thrusters 35 kg while B hangs from the bar\n"
        "2:00-4:00 B: max thrusters 35 kg while A hangs from the bar\nTotal reps.",
    ),
    "a swap and who does what": (
        "Find a partner, decide who's 1 and who's 2.\nFirst 2 minutes: number 1 does max sit-ups while number 2 holds a plank.\n"
        "Then 1 minute rest.\nNext 2 minutes: swap. Number 2 does the sit-ups, number 1 holds the plank.\nTotal reps.",
        "Pairs\n0:00-2:00 A: max sit-ups while B holds a plank\n3:00-5:00 B: max sit-ups while A holds a plank\nTotal reps.",
    ),
    "a rest to swap": (
        "Teams of two, one minute each person, one after the other, 15 seconds to swap.\nPupil A: sit-ups, 1 min\n"
        "Pupil B: burpees, 1 min\nTotal reps.",
        "Pairs\n0:00-1:00 A: max sit-ups\n1:15-2:15 B: max burpees\nTotal reps.",
    ),
    "in step at the end": (
        "Relay for pairs, no breaks in between\nMinute 0 to 4, first athlete alone: AMRAP of 8 burpees and 8 sit-ups\n"
        "Minute 4 to 8, second athlete alone: the same AMRAP from the start\n"
        "Minute 8 to 12, both together, synchronised: AMRAP of 10 push-ups and 10 air squats\nTotal reps.",
        "Pairs, all synchro\n0:00-4:00 A: AMRAP 8 burpees, 8 sit-ups\n4:00-8:00 B: AMRAP 8 burpees, 8 sit-ups\n"
        "8:00-12:00 AMRAP 10 push-ups, 10 air squats\nTotal reps.",
    ),
}


@pytest.mark.parametrize(("said", "short"), SAME.values(), ids=SAME)
def test_who_works_is_read_as_in_its_shorthand(said: str, short: str) -> None:
    one, other = understand(said), understand(short)
    assert one.whole, (one.questions, one.not_understood)
    assert one.format is not None and other.format is not None and one.format.members == other.format.members
    assert windows_of(one.format) == windows_of(other.format)
    assert scores_of(one.format) == scores_of(other.format)


@pytest.mark.parametrize(
    ("event", "said"),
    [
        (SHARED, "All numbers are for the pair in total, not each."),
        (SHARED, "The twenty is per pair, not per head."),
        (SHARED, "The numbers are for the team."),
        (SHARED, "A pair consists of two athletes, hereinafter A and B."),
        (IN_STEP, "One synchronised rep = one rep."),
        (IN_STEP, "A pair's rep counts as one."),
        (IN_STEP, "Out of sync = no rep."),
        (IN_STEP, "(synchro = together at the bottom, and one pair rep counts one)"),
        (HOLDS, "Burpees only count while the partner is holding the plank."),
        (HOLDS, "Your reps only count as long as your partner is holding."),
        (HOLDS, "Burpees done while the plank is down don't count."),
        (HOLDS, "If the plank drops, the burpees stop until it's back up."),
        (HOLDS, "Knees down = stop until they're back up."),
        (HOLDS, "Choose who is A and who is B before you walk in!"),
        (HOLDS, "Decide who's 1 and who's 2."),
        (TURNS, "The athlete not working stays on the mat."),
        (TURNS, "The other one just watches and counts."),
        ("Pairs, split as you like\n4 min max pull-ups\nTotal reps", "One on the bar at a time."),
    ],
)
def test_what_is_so_of_its_members_is_no_question(event: str, said: str) -> None:
    assert understand(f"{event}\n{said}").whole


# Each is like a row above, and says more, or another thing.
OPEN = [
    f"Teams of 3, you go I go, full rounds, switch whenever you like{LIST}",
    f"Teams of 3, relay, switch whenever you like{LIST}",
    f"Teams of 3 (A and B), split as you like{LIST}",
    f"Pairs, split as you like, in step{LIST}",
    "Pairs event 3 rounds for time, cap 9, you share it: 10 burpees, 10 pull-ups",
    f"Pairs, one works, one holds, split as you like{LIST}",
    f"{SHARED}\nAll numbers are for each, not for the pair.",
    f"{SHARED}\nThe twenty is per head, not per pair.",
    f"{SHARED}\nThe thirty is per pair, not per head.",
    f"{SHARED}\nNumbers are per person.",
    f"Pairs, one full round each, you go I go{LIST}\nAll numbers are for the pair in total, not each.",
    f"Pairs, everything synchro{LIST}\nAll numbers are for the pair in total.",
    f"{SHARED}\nOne synchronised rep = one rep.",
    f"{IN_STEP}\nOne synchronised rep = two reps.",
    f"{SHARED}\nReps only count while the partner is holding.",
    f"{SHARED}\nDecide who is A, who is B and who is C.",
    f"{SHARED}\nOne on the bar at a time.",
    f"{HOLDS}\nSit-ups only count while the partner is holding.",
    f"{HOLDS}\nBurpees only count while the partner is hanging from the bar.",
    f"{HOLDS}\nReps count even when the plank drops.",
    f"{HOLDS}\nReps don't count while the partner is holding.",
    f"{HOLDS}\nReps only count while the partner rests.",
    f"{HOLDS}\nIf the plank drops, 5 burpees.",
    f"{HOLDS}\nIf the plank drops, you are out until it's up again.",
    f"{HOLDS}\nIf the plank drops, the clock stops until it's back up.",
    f"{HOLDS}\nThe other one just watches and counts.",
    f"{HOLDS}\n4:00-6:00 A again, then B holds a plank.",
    f"{TURNS}\n4:00-7:00 A again",
    f"{TURNS}\nB skips the last minute and rests on the mat.",
    "Pairs.\n0:00-2:00 A: max burpees. Then B holds a plank.\n2:00-4:00 B: max burpees\nTotal reps",
    "Pairs.\n0:00-2:00 A: max burpees\n2:00-4:00 B: max burpees\nA holds a plank\nTotal reps",
    "Pairs.\n0:00-5:00 A: max burpees\n5:00-9:00 B: AMRAP of the same\nTotal reps",
    "AMRAP 12, number 2 goes first: 10 burpees, 20 pull-ups",
    "Find a partner to count your reps.\nAMRAP 12: 10 burpees, 20 pull-ups",
    HUNG.format("B does thrusters, A hangs, another 3 minutes"),
    HUNG.format("B does burpees, A hangs, another 2 minutes"),
    HUNG.format("A does thrusters, B hangs, another 2 minutes"),
    HUNG.format("B does thrusters, A rests, another 2 minutes"),
    HUNG.format("B does thrusters with 20 kg, A hangs, another 2 minutes"),
    f"{HOLDS}\nA does the burpees, B holds the plank.",
    GOES.format("Partner A goes from 0:00 to 5:00, then two minutes in which nobody works, partner B goes from 6:00 to 11:00."),
    "Pairs. A goes from 0:00 to 5:00, B goes from 5:00 to 10:00.\nAMRAP of 10 burpees and 10 sit-ups, both together",
    GOES.format("Partner A goes from 0:00 to 5:00, partner C goes from 6:00 to 11:00."),
    GOES.format("Partner A goes from 0:00 to 5:00, partner B goes from 4:00 to 9:00."),
    GOES.format("A works during minutes 1, 3 and 5, athlete B during minutes 2, 4 and 5."),
    GOES.format("Partner A goes for 1 minute, then partner B goes for 1 minute, and so on, 7 minutes altogether."),
    GOES.format(
        "Partner A goes for 1 minute, then partner B goes for 1 minute, and so on, 8 minutes altogether, so each has 3 goes."
    ),
    GOES.format("Partner A goes for 1 minute, then partner B goes for 1 minute, and so on."),
    "Pairs. Partner A goes for 1 minute, then partner B goes for 1 minute. 2 min max burpees, 2 min max sit-ups. Total reps.",
    "Teams of 2\nRower A 3:00\nswap 0:30\nRower B 4:00\nAs many metres as possible",
    "Teams of 2, one minute each, one after the other, 15 seconds to swap.\n2 min max burpees\n1 min max sit-ups\nTotal reps.",
]


@pytest.mark.parametrize("text", OPEN)
def test_what_says_another_thing_of_its_members_stays_open(text: str) -> None:
    assert not understand(text).whole
