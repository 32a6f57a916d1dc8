"""Every event prints itself as a workout text, and reading it back gives the same event; what the text can't say is named."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.rules.reading.reader import understand
from app.rules.reading.same_event import comparable
from app.rules.reading.understood import Understood
from app.rules.reading.writing.written_text import written_text
from app.rules.workout.formats import Format
from app.rules.workout.presets import PRESETS
from app.rules.workout.tasks import CountTask
from tests.builders.any_format import formats
from tests.rules.reading.corpora import corpus

THINGS = st.sampled_from(
    ["burpees", "pull-ups", "air squats", "box jumps", "deadlifts @ 100 kg", "thrusters @ 43/30 kg (men/women)"]
)
LINES = st.lists(st.tuples(st.integers(1, 60), THINGS).map(lambda one: f"{one[0]} {one[1]}"), min_size=1, max_size=4)
DISTANCES = st.sampled_from([[], ["400 m run"], ["15 cal row"], ["1 km row"], ["10 lunges “each leg”"], ["20 box jumps 24 in"]])
LENGTHS = st.sampled_from(["4:00", "7:30", "12:00"])
WHO = st.sampled_from(["", "Teams of 2. Split as you like.\n", "Teams of 3. Synchro.\n", "Teams of 2. Relay.\n"])
COUNTS = st.integers(2, 9)
AMRAPS = st.builds(
    lambda who, long, more, lines: f"{who}AMRAP {long}:\n" + "\n".join([*more, *lines]), WHO, LENGTHS, DISTANCES, LINES
)
FOR_TIME = st.builds(
    lambda who, cap, rounds, lines: f"{who}For time, cap {cap}:\n{rounds} rounds:\n" + "\n".join(lines),
    st.sampled_from(["", "Teams of 2. Split as you like.\n"]),
    LENGTHS,
    COUNTS,
    LINES,
)
SCHEMES = st.builds(
    lambda cap, reps: f"For time, cap {cap}: {reps} thrusters 43 kg, pull-ups", LENGTHS, st.sampled_from(["21-15-9", "10-1"])
)
MINUTES = st.builds(
    lambda count, reps, more: f"Every minute for {count} windows: {reps} burpees{more}. Score: total reps",
    COUNTS,
    st.integers(1, 30),
    st.sampled_from(["", ". Add 2 reps each window", ". Who misses is out"]),
)
WINDOWS = st.builds(
    lambda count, work, rest, thing, score: f"{count} rounds: {work} s on, {rest} s off: {thing}. Score: {score}",
    COUNTS,
    st.integers(10, 90),
    st.integers(5, 60),
    st.sampled_from(["push-ups", "kettlebell swings 24 kg", "lunges"]),
    st.sampled_from(["total reps", "lowest window", "best window"]),
)
LIFTS = st.builds(
    lambda long, lift, more: f"{long} to build to a heavy {lift}.{more}",
    LENGTHS,
    st.sampled_from(["clean", "back squat", "1RM snatch"]),
    st.sampled_from(["", " 3 attempts.", " 4 attempts. The load may not go down.", " Steps of 2.5 kg."]),
)
TIED = st.builds(
    lambda text, point: f"{text}. Tie: {point}.",
    AMRAPS,
    st.sampled_from(
        ["time at the end of round 2", "who was sooner at repetition 7, who reached it sooner", "split at line 1 of round 3"]
    ),
)
TOTALS = st.builds(
    "{}:00, as heavy as possible: snatch\n{}Rest 2:00\n5:00, as heavy as possible: jerk\nScore: total load\n{}Tie: {}".format,
    st.integers(3, 9),
    st.sampled_from(["", "3 attempts. 3 misses running put a lifter out.\n"]),
    st.sampled_from(["", "No total without a good lift in each.\n"]),
    st.sampled_from(["the lighter entry, who made the score sooner", "fewer misses, the better part 2", "the lower part 1"]),
)
SAID = TOTALS | TIED | AMRAPS | FOR_TIME | SCHEMES | MINUTES | WINDOWS | LIFTS


def differing(one: Format, other: Format | None) -> list[str]:
    """In what two events differ."""
    assert other is not None
    before, after = comparable(one), comparable(other)
    return [field for field in before if before[field] != after[field]]


def said_again(read: Understood) -> Understood:
    assert read.format is not None
    return understand(written_text(read.format).text)


# Whole meets: a total and each lift's own score, with steps between equals for each, and the order of lifting, have no words yet.
MEETS = st.fixed_dictionaries(
    {
        "movements": st.sampled_from(["Snatch\nClean and jerk", "Back squat\nBench press\nDeadlift"]),
        "attempts": st.integers(1, 6).map(str),
        "attempt_seconds": st.integers(10, 120).map(str),
        "judges": st.sampled_from(["1", "3"]),
        "again_when": st.sampled_from(["at_once", "round_end"]),
        "every_part": st.sampled_from(["yes", ""]),
        "each": st.sampled_from(["yes", ""]),
        "unit": st.sampled_from(["kg", "lb"]),
    }
)


@pytest.mark.parametrize("key", PRESETS)
def test_a_preset_is_printed_and_read_back_the_same(key: str) -> None:
    format = PRESETS[key].make({})
    written = written_text(format, "Its name")
    read = understand(written.text)
    assert written.exact and read.whole and read.title == "Its name"
    assert differing(format, read.format) == []


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(["rising_bar", "lifts_in_rounds"]), MEETS, st.integers(1, 9), st.integers(1, 5))
def test_a_meet_of_any_rules_is_printed_and_read_back_the_same(key: str, knobs: dict[str, str], warn: int, spotters: int) -> None:
    format = PRESETS[key].make({**knobs, "warn_seconds": str(warn), "follow_seconds": "200"})
    first = next(iter(format.tasks))
    tasks = {**format.tasks, first: format.tasks[first].model_copy(update={"spotters": spotters, "decide_seconds": 40})}
    format = format.model_copy(update={"tasks": tasks})
    written = written_text(format, "Its name")
    read = understand(written.text)
    assert written.exact and read.whole, (written.text, written.unsaid, read.not_understood)
    assert differing(format, read.format) == []


def test_rules_of_a_lift_that_do_not_fit_together_stand_in_red() -> None:
    for rules in ("1 s to begin", "three judges, three judges", "spotters 0", "120 s following oneself", "whatever"):
        read = understand(f"60:00, as heavy as possible: Snatch\nLift rules: {rules}.\n")
        assert not read.whole and read.not_understood, rules
    assert not understand("60:00, as heavy as possible: Snatch\nEach lift is ranked as well.\n").whole


@settings(max_examples=80, deadline=None)
@given(SAID)
def test_what_the_grammar_says_is_printed_and_read_back_the_same(text: str) -> None:
    read = understand(text)
    assert read.whole, (text, read.questions, read.not_understood)
    assert read.format is not None and written_text(read.format).exact, (text, written_text(read.format))
    assert differing(read.format, said_again(read).format) == []


def test_a_workout_of_the_corpus_is_printed_and_read_back_the_same() -> None:
    read = [understand(one.text) for one in corpus()]
    assert all(differing(one.format, said_again(one).format) == [] for one in read if one.whole and one.format)


@settings(max_examples=40, deadline=None)
@given(formats())
def test_what_a_text_can_not_say_is_named(format: Format) -> None:
    written = written_text(format)
    read = understand(written.text)
    same = read.whole and read.format is not None and differing(format, read.format) == []
    assert written.exact == same and bool(written.unsaid) != same


@pytest.mark.parametrize(
    ("changed", "named"),
    [
        ({"late_ms": 3000}, "How long before and after the bell"),
        (
            {"movements": {"lunge": PRESETS["every_minute"].make({}).movements["lunge"].model_copy(update={"checks": ("Mat",)})}},
            "Movements",
        ),
    ],
)
def test_what_is_not_said_is_told_in_words(changed: dict[str, object], named: str) -> None:
    format = PRESETS["every_minute"].make({})
    assert isinstance(format.tasks["work"], CountTask)
    (sentence,) = written_text(format.model_copy(update=changed)).unsaid
    assert sentence.startswith(named)


NAMES = (
    st.text(st.characters(categories=("L", "N"), include_characters=" ,+:/"), min_size=1, max_size=20).map(str.strip).filter(bool)
)


@settings(max_examples=40, deadline=None)
@given(st.lists(NAMES, min_size=1, max_size=4, unique=True))
def test_the_divisions_that_an_event_is_for_are_printed_and_read_back_or_named_as_unsaid(names: list[str]) -> None:
    written = written_text(understand("AMRAP 4: 10 burpees").format, "Its name", names)  # type: ignore[arg-type]
    assert written.exact == (understand(written.text).divisions == tuple(names))
    assert written.exact or any(name.strip(",; ") != name or "," in name for name in names), names
