"""The reader of written workouts: nothing is passed over, nothing is guessed, and no text takes it long."""

import functools
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.rules.reading.reader import MOST_TEXT, understand
from app.rules.reading.talk import LEAVE_OUT
from app.rules.reading.understood import Understood
from tests.rules.reading.corpora import corpus

NOBODYS_WORD = "zorbly"
LINES = ("10 pull-ups", "15 thrusters 43/30 kg", "400 m run", "rest 1:00", "3 rounds of:", "max burpees", "words nobody knows")
SAID = (
    "AMRAP|12|min|21-15-9|thrusters|43/30|kg|for time|cap|rest|:|,|(|)|x|every|rounds|max|row|cal|then|in pairs|partner a|while"
    "|holds|score|total reps|1RM|\n|zorbly|0:30|-|♂"
)
WORDS = st.sampled_from(SAID.split("|"))


@functools.cache
def read_right() -> list[str]:
    """The texts of the corpus that are read without a question; read when a test asks, not where tests are collected."""
    return [one.text for one in corpus() if understand(one.text).whole]


READ_RIGHT = st.deferred(lambda: st.sampled_from(read_right()))


@settings(max_examples=60, deadline=None)
@given(st.lists(WORDS, max_size=30).map(" ".join) | st.text(max_size=200))
def test_any_text_gets_an_answer_and_what_is_told_lies_within_it(text: str) -> None:
    read = understand(text)
    assert read.format is not None or read.not_understood or not text.strip()
    spans = [one.span for one in (*read.numbers, *read.assumed, *read.not_understood, *read.questions) if one.span]
    assert all(0 <= span.start <= span.end <= len(text) for span in (*spans, *(span for some in read.sources for span in some)))
    assert not read.whole or not read.questions


@settings(max_examples=60, deadline=None)
@given(READ_RIGHT, st.integers(0, 200))
def test_a_word_that_nobody_knows_is_never_passed_over(text: str, at: int) -> None:
    words = text.split(" ")
    at %= len(words) + 1
    read = understand(" ".join([*words[:at], NOBODYS_WORD, *words[at:]]))
    assert not read.whole or _beside_the_work(read)


@settings(max_examples=60, deadline=None)
@given(READ_RIGHT, st.integers(0, 200))
def test_a_number_too_many_never_leaves_the_event_as_it_was(text: str, at: int) -> None:
    words = text.split(" ")
    at %= len(words) + 1
    read, before = understand(" ".join([*words[:at], "37", *words[at:]])), understand(text)
    assert not read.whole or read.format != before.format or "37" in read.title or any("37" in one.words for one in read.kept)


def _beside_the_work(read: Understood) -> bool:
    """In the title, in a note, in what is kept beside the event or in a name that the event shows."""
    shown = read.format.model_dump_json() if read.format else ""
    return NOBODYS_WORD in f"{read.title} {[one.words for one in read.kept]} {shown}".casefold()


def test_an_unknown_movement_is_a_question_and_becomes_what_is_answered() -> None:
    text = "AMRAP 5: 10 froggers, 10 burpees"
    (question,) = understand(text).questions
    assert "froggers" in question.words
    own = understand(text, {question.id: "own"})
    assert own.whole and own.format is not None and "froggers" in {one.name for one in own.format.movements.values()}
    left = understand(text, {question.id: LEAVE_OUT})
    assert left.whole and left.format is not None and len(left.format.movements) == 1


@pytest.mark.parametrize("said", ["Good luck and have fun!", "Please don't forget your shoes.", "Burpees: chest on the floor."])
def test_what_says_nothing_of_the_workout_is_kept_beside_it(said: str) -> None:
    read = understand(f"AMRAP 5: 10 burpees\n{said}")
    assert read.whole and any(one.words.endswith(said.rstrip("!.").split()[-1]) for one in read.kept)


@pytest.mark.parametrize(
    "said", ["Please rest well.", "Good luck with the 50 kg.", "We add a penalty.", "Who comes last is out."]
)
def test_talk_with_a_number_a_movement_or_a_word_of_scoring_stays_in_red(said: str) -> None:
    assert not understand(f"AMRAP 5: 10 burpees\n{said}").whole


@pytest.mark.parametrize("text", ["4 ronds, tiem cap 11: 12 dedlifts 80 kg", "4 ronuds for time cap 11 min: 12 dedlifts 80kg"])
def test_a_slip_of_the_finger_is_read_as_it_was_meant_and_told(text: str) -> None:
    read = understand(text)
    meant = understand("4 rounds for time, cap 11 min: 12 deadlifts 80 kg").format
    assert read.whole and read.format and meant and read.format.tasks == meant.tasks
    assert read.format.movements["deadlift"].standards == meant.movements["deadlift"].standards
    assert any("is read as" in one.words for one in read.assumed)


@pytest.mark.parametrize("answer", ["", "0:00", "99:99:99", "yes", "9" * 5000, "first"])
def test_an_answer_that_is_none_leaves_the_question_open(answer: str) -> None:
    (question,) = understand("For time: 10 burpees").questions
    assert understand("For time: 10 burpees", {question.id: answer}).questions == (question,)


def test_a_hundred_lines_take_less_than_a_fifth_of_a_second() -> None:
    understand("AMRAP 5: 10 burpees")
    text = "For time, cap 20\n" + "\n".join(LINES[line % len(LINES)] for line in range(99))
    began = time.process_time()
    understand(text)
    assert time.process_time() - began < 0.2


@pytest.mark.parametrize("sign", ["(", "1/", "10-", "and ", "x ", "the ", "10 burpees ", "a" * 50 + " ", "♂/"])
def test_hostile_lines_are_bounded(sign: str) -> None:
    began = time.process_time()
    understand("\n".join([(sign * 500)[:490]] * (MOST_TEXT // 500)))
    assert time.process_time() - began < 2
    (refused,) = understand(sign * MOST_TEXT).not_understood
    assert "characters" in refused.words


def test_the_parser_is_not_loaded_with_the_server() -> None:
    root = Path(__file__).resolve().parents[3]
    code = "import sys, app.server; sys.exit('lark' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], cwd=root, check=False).returncode == 0


def test_a_rest_between_a_list_and_what_follows_is_no_line_of_its_rounds_in_silence() -> None:
    follows = "rest 2:00\nthen AMRAP 6: 10 burpees, 15 cal row"
    once = understand(f"For time, cap 9: 10 thrusters 43 kg, 20 pull-ups\n{follows}")
    assert once.format is not None and [window.start for window in once.format.windows] == [0, 540, 660]
    rounds = understand(f"For time, cap 14:\n21-15-9\nthrusters 43 kg\npull-ups\n{follows}")
    assert rounds.questions[0].words == "A rest of 2:00: in each round, or once after all?"
    answered = understand(rounds.text, {rounds.questions[0].id: "each"})
    assert answered.format is not None and [window.start for window in answered.format.windows] == [0, 840]


def test_two_rests_of_the_same_rounds_are_never_one_in_silence() -> None:
    text = "4 rounds: AMRAP 3 min, rest {}1 min between rounds\n10 burpees\n9 pull-ups\nScore is total reps"
    assert understand(text.format("")).whole and not understand(text.format("37 ")).whole


def test_what_one_holds_beside_a_list_is_a_standard_of_all_that_the_other_does() -> None:
    read = understand("Pairs, 8 min AMRAP, swap as you like. P1 holds a plank, P2 works. 10 burpees, 10 push-ups. Total reps.")
    assert read.format and not read.not_understood
    assert [window.holding for window in read.format.windows] == [()]  # whoever does not work
    done = [read.format.movements[key] for key in ("burpee", "push_up")]
    assert all("holds: Plank" in one.standards[-1] for one in done)


def test_a_list_in_several_windows_is_done_in_each_of_them_whatever_is_answered() -> None:
    text = "5 x 2 min on, 1 min off: 200 m run, 10 burpees"
    ends = next(one for one in understand(text).questions if one.id.startswith("ends-"))
    for answer in ends.answers:
        made = understand(text, {ends.id: answer.value}).format
        assert made and sum(1 for window in made.windows if window.task) == 5
