"""Pairs and teams: who works, who holds, how they share it; and what is like it and says another thing stays open."""

import pytest

from app.rules.reading.reader import understand
from tests.rules.reading.plainly import scores_of, windows_of

LIST = "\nAMRAP 12\n10 burpees\n20 pull-ups"
SHARED = f"Pairs, split as you like{LIST}"
HOLDS = "Pairs.\n0:00-2:00 A does max burpees, B holds a plank\n2:00-4:00 B does max burpees, A holds a plank\nTotal reps."
TURNS = "Pairs.\n0:00-2:00 A does max burpees\n2:00-4:00 B does max sit-ups\nTotal reps."
IN_STEP = "Pairs, everything synchro.\nAMRAP 9\n8 burpees\n12 air squats"
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
]


@pytest.mark.parametrize("text", OPEN)
def test_what_says_another_thing_of_its_members_stays_open(text: str) -> None:
    assert not understand(text).whole
