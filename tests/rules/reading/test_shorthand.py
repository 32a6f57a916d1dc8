"""The plain shorthand of gyms: however a load, an amount or a rest stands beside what is done, it is the same event; what that
leaves open is asked."""

import pytest

from app.rules.reading.reader import understand
from app.rules.reading.things import HELD
from app.rules.reading.writing.written_text import written_text
from app.rules.workout.formats import Format
from app.rules.workout.movements import library
from tests.rules.reading.plainly import scores_of, windows_of

CLEANS = "AMRAP 9: 6 power cleans 60 kg, 8 burpees"
BOTH = "AMRAP 9: 6 power cleans (men 60 kg, women 40 kg), 8 box jumps (60 cm)"
TURNS = "EMOM 12\nmin 1: 12 cal row\nmin 2: 10 burpees\nmin 3: 8 pull-ups\nTotal reps"
ROUNDS = "For time, cap 15: 5 rounds of 200 m run, 10 deadlifts 100 kg"
RAISED = "For time, cap 9: 50 burpees, 40 pull-ups. Each rep left at the cap adds 1 s"
PARTS = "0:00-3:00 max cal bike\n4:00-7:00 max burpees\n8:00-11:00 max wall balls 9 kg\nScore: total reps"
COMPLEX = "10 min, as heavy as possible: 1 power clean + 1 hang squat clean + 1 front squat"
EACH = "Teams of 3\n" + "\n".join(
    f"{2 * at}:00-{2 * at + 2}:00 athlete {who}: max wall balls 9 kg" for at, who in enumerate("ABC")
)
BY_MINUTES = "Pairs, EMOM 4\nA: minutes 1, 3: 12 cal row\nB: minutes 2, 4: 12 burpees\nTotal reps"
SAME = [
    # A load before what it is for, and an amount behind it.
    (CLEANS, "AMRAP 9: 6 x 60 kg power clean, 8 burpees"),
    (CLEANS, "AMRAP 9: 60 kg power clean x 6, burpees x 8"),
    (CLEANS, "AMRAP 9: 6 60kg power cleans, 8 burpees"),
    (CLEANS, "AMRAP 9: power clean 60 kg x 6, 8 burpees"),
    ("For time, cap 9: 5 rounds of 5 back squats 60 kg", "Back squat 5x5 @ 60 kg\nFor time, cap 9"),
    ("For time, cap 3: 4 rounds of 20 m sled push 100 kg", "Sled push 4 x 20 m, 100 kg, for time, cap 3"),
    (
        "For time, cap 6: 10 deadlifts 100 kg, 8 deadlifts 110 kg, 6 deadlifts 120 kg",
        "Deadlifts: 10 @ 100, 8 @ 110, 6 @ 120 kg, for time. Cap 6.",
    ),
    ("2 min: max bench press 60 kg", "Bench press: max reps at 60 kg, one attempt, 2 min"),
    ("AMRAP 9: 20 walking lunges, 8 burpees", "AMRAP 9: 20 walking lunges (10 per leg), 8 burpees"),
    # Whose loads they are.
    (BOTH, "AMRAP 9: 6 power cleans (M: 60 kg / F: 40 kg), 8 box jumps (60 cm)"),
    (BOTH, "AMRAP 9: 6 power cleans 60kg M / 40kg W, 8 box jumps (60 cm)"),
    (BOTH, "AMRAP 9: 6 power cleans, 8 box jumps (60 cm)\nM: 60 kg\nF: 40 kg"),
    (BOTH, "AMRAP 9: 6 power cleans, 8 box jumps (60 cm)\nLoads (M/W): 60/40 kg"),
    (
        BOTH.replace("(60 cm)", "(men 60 cm, women 50 cm)"),
        "AMRAP 9: 6 power cleans (M 60 kg, F 40 kg), 8 box jumps (M 60 cm, F 50 cm)",
    ),
    # Rounds, minutes, rests, penalties.
    (ROUNDS, "RFT 5, TC 15\n200 m run\n10 deadlifts 100 kg"),
    (ROUNDS, "Rounds: 5\nCap: 15\n- run 200 m\n- 10 DL 100 kg"),
    (ROUNDS, "5 rounds: 200 m run, 10 deadlifts 100 kg ft, tc 15"),
    (TURNS, "EMOM 12\n1: 12 cal row\n2: 10 burpees\n3: 8 pull-ups\nTotal reps"),
    (TURNS, "EMOM 12 so 4 times round\n1 12 cal row\n2 10 burpees\n3 8 pull-ups\nTotal reps"),
    (PARTS, "A) 3 min max cal bike\nB) 3 min max burpees\nC) 3 min max wall balls 9 kg\n1 min rest between\nScore: total reps"),
    (
        "2 x 4 min AMRAP, 2 min rest between:\n9 burpees\nTotal reps",
        "4 min AMRAP, 2 min rest, 4 min AMRAP:\n9 burpees\nTotal reps",
    ),
    (RAISED, "For time: 50 burpees, 40 pull-ups. Time cap 9 min (+1s per rep)"),
    (RAISED, "For time: 50 burpees, 40 pull-ups. Cap 9 min. If capped, 1 sec per missed rep."),
    ("3 rounds: 1 min max cal row, 1 min max burpees. Total reps", "3 rounds\n1:00 row cals\n1:00 burpees\nTotal reps"),
    ("For time, cap 10: 1-2-3-4-5 burpees, pull-ups", "10 min cap. 1-5 ladder: burpees, pull-ups"),
    # As heavy, and as long as possible.
    (COMPLEX, "Clean complex (1 power clean, 1 hang squat clean, 1 front squat), unbroken, heaviest in 10 mins"),
    ("10 min, as heavy as possible: snatch", "10 min snatch 1RM"),
    ("10 min, as heavy as possible: snatch", "10 min: find your max snatch. Score: kg"),
    ("3 min: max dead hang", "Hang from the bar as long as possible. Score: seconds. Cap 3 min"),
    ("3 min: max dead hang", "Dead hang, max time, cap 3 min"),
    # What each of several does.
    (EACH, "Teams of 3, relay: 2 min max wall balls 9 kg each. Total reps."),
    (EACH, "3 person team. 6 min. Each athlete 2 min max wall balls 9 kg. Total reps."),
    (BY_MINUTES, "Pairs, EMOM 4\nA: 12 cal row in minutes 1, 3\nB: 12 burpees in minutes 2, 4\nTotal reps"),
]
OPEN = {
    "sexes": "AMRAP 9: 6 power cleans, 8 burpees\nRx: 60/42.5 kg\nScaled: 43/30 kg",
    "versions": "AMRAP 9: 6 power cleans, 60 (40) kg, 8 burpees",
    "lines": "EMOM 12\n1) 12 cal row\n2) 10 burpees\n3) 8 pull-ups\nTotal reps",
    "each": "Teams of 2: 5 min max cal row each. Total calories",
    "rest": "For time, cap 15: 4 x 400 m run, rest 1 min between",
    "cannot": "5 min max reps bench press @ bodyweight",
}


def plainly(format: Format) -> list[object]:
    """What an event says, whatever its lines are called."""
    others = [(one.name, one.ranked, windows_of(format.varied(one.id))) for one in format.variants]
    return [format.members, format.miss_puts_out, windows_of(format), scores_of(format), others]


@pytest.mark.parametrize(("plain", "said"), SAME, ids=[said for _, said in SAME])
def test_shorthand_is_the_event_that_it_is_short_for(plain: str, said: str) -> None:
    meant, read = understand(plain), understand(said)
    assert meant.whole and read.whole
    assert meant.format is not None and read.format is not None
    assert plainly(read.format) == plainly(meant.format)


@pytest.mark.parametrize("about", OPEN)
def test_what_shorthand_leaves_open_is_the_one_thing_that_is_asked(about: str) -> None:
    read = understand(OPEN[about])
    assert [question.id.partition("-")[0] for question in read.questions] == [about]
    assert not read.not_understood


def test_two_numbers_of_two_versions_are_four_events() -> None:
    read = understand(OPEN["sexes"])
    answered = understand(OPEN["sexes"], {read.questions[0].id: "women-men"})
    assert answered.format is not None and answered.whole
    loads = [answered.format.varied(variant.id).tasks["work"].items[0].load for variant in answered.format.variants]
    assert [variant.name for variant in answered.format.variants] == ["Rx men", "Scaled women", "Scaled men"]
    assert [load.text() for load in loads] == ["42.5 kg", "43 kg", "30 kg"]
    assert [variant.ranked for variant in answered.format.variants] == ["with", "after", "after"]


def test_schemes_that_differ_by_version_are_versions() -> None:
    read = understand("Rx: 21-15-9 thrusters 43 kg, pull-ups\nScaled: 15-12-9 thrusters 30 kg, ring rows\nFor time. Cap 10 min")
    assert read.whole and read.format is not None
    scaled = read.format.varied(read.format.variants[0].id)
    assert [item.reps for item in scaled.tasks["work"].items] == [15, 15, 12, 12, 9, 9]


def test_a_death_by_several_things_climbs_in_all_of_them_and_is_printed_exactly() -> None:
    read = understand("Death by burpees and thrusters (30 kg), cap 4 minutes. Score: reps")
    assert read.whole and read.format is not None and read.format.miss_puts_out
    reps = [[item.reps for item in read.format.tasks[window.task or ""].items] for window in read.format.windows]
    assert reps == [[1, 1], [2, 2], [3, 3], [4, 4]]
    written = written_text(read.format)
    assert written.exact and "Add 1 reps each window." in written.text


def test_calories_are_no_score_of_what_has_none() -> None:
    assert not understand("AMRAP 9: 6 power cleans 60 kg, 8 burpees. Score: total calories").whole


def test_whatever_is_held_is_a_movement_of_the_library() -> None:
    assert set(HELD) <= set(library().movements)


def test_lifts_that_nothing_joins_are_asked_about_and_their_best_are_added() -> None:
    said = "3 attempts each: back squat, bench press, deadlift"
    lifts = understand(said).questions[0]
    assert lifts.id.startswith("lifts-")
    apart, joined = (understand(said, {lifts.id: told}) for told in ("apart", "complex"))
    assert apart.format is not None and joined.format is not None
    assert [len(one.format.tasks) for one in (apart, joined) if one.format] == [3, 1]
    assert scores_of(apart.format) == ["sum kg"]


def test_a_kettlebell_of_so_many_kilograms_is_no_pound_for_a_box_in_inches() -> None:
    read = understand('AMRAP 10: 10 KBS (24 / 16), 10 box jumps (24/20")')
    assert "unit" in [question.id.partition("-")[0] for question in read.questions]


def test_a_rest_behind_what_each_does_lies_between_them() -> None:
    read = understand("Teams of 3, relay: 2 min max cal row each, 30 s to change. Total calories")
    assert read.whole and read.format is not None
    starts = [(window.start, window.who) for window in read.format.windows if window.task]
    assert starts == [(0, (1,)), (150, (2,)), (300, (3,))]


def test_what_else_is_done_in_a_rest_is_set_aside() -> None:
    said = "5 min max cal row. Then 2 minutes to lie on the floor{}. Then 5 min max burpees. Two separate scores."
    plain, talked = understand(said.format("")), understand(said.format(" and question your choices"))
    assert plain.format is not None and talked.format is not None and talked.whole
    assert plainly(plain.format) == plainly(talked.format)
    assert not understand(said.format(" and lose a point")).whole


def test_a_load_named_by_what_is_lifted_is_no_version() -> None:
    read = understand("Max reps in 60 s: log press\nLog: 70 kg")
    assert [question.id.partition("-")[0] for question in read.questions] == ["movement"]
    assert read.format is not None and not read.format.variants


def test_a_load_before_things_that_are_joined_is_not_of_the_first_alone_in_silence() -> None:
    shared = understand("AMRAP 9: 60 kg power clean x 5 + jerk x 1, 8 burpees")
    assert shared.whole and shared.format is not None
    assert [line.kg for line in windows_of(shared.format)[0].lines] == [60, 60, None]
    assert not understand("AMRAP 9: 5 x 60 kg power clean + 1 jerk, 8 burpees").whole


def test_a_load_that_is_a_share_of_a_best_is_a_note_once_it_is_answered() -> None:
    said = "E2MOM x 4: 3 back squats @ 80 % 1RM. Total reps"
    asked = understand(said).questions
    assert [one.id.partition("-")[0] for one in asked] == ["cannot"]
    read = understand(said, {asked[0].id: asked[0].answers[0].value})
    assert read.whole and read.format is not None
    assert [one.name for one in read.format.movements.values()] == ["back squats, 80 % 1RM"]
