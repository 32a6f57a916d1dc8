"""A small edit that changes the event changes what is read, or leaves something open: found by editing texts of the corpora."""

import pytest

from app.rules.reading.reader import understand

LIST = "AMRAP 9: 10 burpees, 30 sit-ups"
TIMED = "For time, cap 12\n400 m run\n15 dumbbell thrusters, 15 kg\n12 burpees"
MINUTES = "EMOM 12\nmin 1: 10 wall balls 9 kg\nmin 2: 8 toes-to-bar\nmin 3: 12 cal row\nTotal reps"
INTERVALS = "4 x 3 min AMRAP, 1 min rest between:\n9 cal row\n9 push-ups\nScore: total reps."
HEAVIEST = "7 minutes to find the heaviest snatch"
EVERY = "Every 90 s for 8 rounds: 5 burpees, 3 pull-ups. Total reps."
RUN = f"{TIMED}\nThe run is to the gate and back, 200 m each way."
SHEET = "Start\tEnd\tWhat\tScore\n0:00\t3:00\tmax cal row\tcal\n4:00\t7:00\tmax cal ski erg\tcal\nTotal\t\tsum of the two\tcal"
BY_MEMBERS = "Clock;Athlete A;Athlete B\n0:00-2:00;max burpees;rest\n2:00-4:00;rest;max burpees\nPairs\nTotal reps"
STANDARDS = f"{LIST}\nTotal reps\nStandards:\nBurpee: chest on the floor."

EDITS = [
    # How many of what: pieces of a load are no rounds, and what limits an amount is no filler.
    (TIMED, "thrusters, 15 kg", "thrusters, 4 x 15 kg"),
    (LIST, "30 sit-ups", "30 sit-ups at most"),
    (LIST, "30 sit-ups", "30 sit-ups max"),
    (LIST, "10 burpees", "up to 10 burpees"),
    (LIST, "AMRAP 9", "AMRAP 9 once"),
    (LIST, "30 sit-ups", "30 cal row each side"),
    # Rounds and minutes that do not fit one another.
    (MINUTES, "Total reps", "3 rounds\nTotal reps"),
    (MINUTES, "Total reps", "(8 times through)\nTotal reps"),
    (LIST, "30 sit-ups", "30 sit-ups\nScore: total reps\nMax two rounds."),
    (EVERY, "Every 90 s", "Every second 90 s"),
    # What counts.
    (TIMED, "For time", "For reps"),
    (HEAVIEST, "the heaviest", "the second heaviest"),
    (INTERVALS, "total reps", "best reps"),
    (EVERY, "Total reps", "Score is total rounds"),
    (SHEET, "row\tcal", "row\tm"),
    (SHEET, "row\tcal", "row\tcal but the last minute"),
    # Who works.
    (LIST, "30 sit-ups", "30 sit-ups (both)"),
    (LIST, "30 sit-ups", "30 sit-ups together"),
    (LIST, "30 sit-ups", "30 sit-ups. Score: reps (A only)"),
    (TIMED, "For time", "Alternating teams of 2, for time"),
    (BY_MEMBERS, "rest;max burpees", "work;max burpees"),
    (LIST, "AMRAP 9: 10 burpees, 30 sit-ups", "E2.5MOM x 5\n10 burpees"),
    (HEAVIEST, "7 minutes to find the heaviest snatch", "Snatch, 1.5 rep max, 7 minutes"),
    (f"Teams of 2, split as you like.\n{LIST}", "of 2", "of 2.5"),
    # In which order, and how far.
    (TIMED, "12 burpees", "12 burpees, then start again"),
    (RUN, "200 m each way", "400 m each way"),
    # Among standards: of some repetitions alone, and what is none of a repetition.
    (STANDARDS, "floor.", "floor in every second one."),
    (STANDARDS, "floor.", "floor.\nStart when you like."),
]


@pytest.mark.parametrize(("text", "said", "instead"), EDITS)
def test_an_edit_that_changes_the_event_is_never_passed_over(text: str, said: str, instead: str) -> None:
    before, read = understand(text), understand(text.replace(said, instead, 1))
    assert before.whole and before.format is not None
    assert not read.whole, "it is read, and something must be open"


@pytest.mark.parametrize(
    ("text", "said", "instead"),
    [
        (TIMED, "thrusters, 15 kg", "thrusters, 2 x 15 kg"),
        (MINUTES, "Total reps", "4 rounds\nTotal reps"),
        (LIST, "30 sit-ups", "30 sit-ups\nScore: best reps"),
    ],
)
def test_what_is_like_it_and_changes_nothing_is_no_question(text: str, said: str, instead: str) -> None:
    before, read = understand(text), understand(text.replace(said, instead, 1))
    assert before.whole and read.whole and read.format == before.format
