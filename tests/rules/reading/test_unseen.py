"""Workouts by people who had not seen the grammar, since used to widen it: what falls short is named, and nothing else is."""

import re

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from app.rules.reading.reader import understand
from tests.rules.reading.corpora import HELD_BACK, OWN, UNSEEN, Outcome, corpus, outcome

MOST_ASKED = 2
# The texts that an organiser still has to change, with what is missing. Held both ways: one that is read leaves this list.
KNOWN_SHORTFALLS = {
    "pairs hold": "swapped places told as a second set of windows, by letters",
    "film rounds": "one sentence without a stop, as it was spoken",
    "film two scores": "when something happens, told by the minute of the clock in talk",
    "film four rungs": "the scheme told once more as an example",
    "film hands": "a countdown spoken out, and a distance measured",
    "paragraphs amrap": "another movement for one version",
    "paragraphs one more each minute": "a ladder of minutes told in sentences",
    "chat amrap": "another movement for one version",
}
OUTCOMES = [outcome(one) for one in corpus(UNSEEN)]
# Fifty texts that nobody looked at while the grammar was made: 2 right at once, 6 rightly asked about, 42 partly in red.
HELD_BACK_OUTCOMES = [outcome(one) for one in corpus(HELD_BACK)]
ALREADY_READ = 8


@pytest.mark.parametrize("one", [*OUTCOMES, *HELD_BACK_OUTCOMES], ids=lambda one: one.written.name)
def test_a_text_of_somebody_else_is_never_silently_wrong(one: Outcome) -> None:
    assert one.verdict != "SILENTLY WRONG"


def test_exactly_the_known_shortfalls_are_neither_read_nor_asked_about() -> None:
    short = {one.written.name for one in OUTCOMES if one.verdict in ("not understood", "asked, and not got there")}
    assert short == set(KNOWN_SHORTFALLS)
    assert all(one.answers <= MOST_ASKED for one in OUTCOMES)


def test_texts_that_were_held_back_stand_in_red_rather_than_be_guessed_and_no_fewer_of_them_are_read_than_before() -> None:
    read = [one for one in HELD_BACK_OUTCOMES if one.verdict in ("right", "right after answers", "asked, as it must")]
    assert len(HELD_BACK_OUTCOMES) == 50 and len(read) >= ALREADY_READ


WHOLE = [one.text for one in (*corpus(OWN), *corpus(UNSEEN)) if understand(one.text).whole]
COUNT = re.compile(r"(?<![-–—] )(?<!\S)\d{1,3}(?!\S)(?! [-–—x×])")


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(WHOLE), st.integers(0, 60))
def test_a_number_that_is_dropped_never_changes_the_event_without_a_word(text: str, at: int) -> None:
    counts = list(COUNT.finditer(text))
    assume(counts)
    dropped = counts[at % len(counts)]
    before, read = understand(text), understand(text[: dropped.start()] + text[dropped.end() :])
    told = {one.words for one in read.assumed} - {one.words for one in before.assumed}
    assert not read.whole or read.format == before.format or told
