"""Workouts by people who had not seen the grammar, since used to widen it: what falls short is named, and nothing else is."""

import functools
import re
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from app.rules.reading.reader import understand
from tests.rules.reading.corpora import (
    EIGHTH_STRANGERS,
    FIFTH_STRANGERS,
    FOURTH_STRANGERS,
    HELD_BACK,
    OWN,
    PLAIN_MANNERS,
    SECOND_STRANGERS,
    SEVENTH_STRANGERS,
    SIXTH_STRANGERS,
    STRANGERS,
    TEN_MANNERS,
    THIRD_STRANGERS,
    TWENTY_MANNERS,
    UNSEEN,
    Outcome,
    corpus,
    outcome,
)

MOST_ASKED = 2
# The texts that an organiser still has to change, with what is missing. Held both ways: one that is read leaves this list.
KNOWN_SHORTFALLS = {
    "film rounds": "what is done in each round, and how it ends, told as one speaks: three questions",
    "film four rungs": "the scheme told once more as an example",
    "film hands": "a countdown spoken out, and a distance measured",
    "paragraphs one more each minute": "a ladder of minutes told in sentences",
}
# Of fifty texts that nobody looked at while the grammar was first made 2 were right at once, 6 rightly asked about, 42 partly in
# red. Since then they have widened it.
HELD_BACK_SHORTFALLS = {
    "b02_mail_run_and_bike": "windows told by the minute in talk",
    "b03_foreign_max_lift": "words of another language's order",
    "b04_school_together": "stations under a time for each, told in talk",
    "b04_school_rotation": "three at three stations at once, moving on",
    "b06_erg_pair_shared": "members told by what they do",
    "b07_edge_nested": "brackets in brackets",
}
# Of eighty texts by a stranger, when they were tried, 10 were right at once, 2 after answers, 13 rightly asked about.
STRANGERS_SHORTFALLS = {
    "video corrects himself": "somebody who corrects what he said",
    "sheet descending": "a table with the things to do over its columns",
}
# Of eighty by another stranger 4 were right at once, 1 after answers, 13 rightly asked about. So they stand now:
SECOND_STRANGERS_STAND = {
    "right": 23,
    "right after answers": 26,
    "asked, as it must": 13,
    "not understood": 13,
    "asked, and not got there": 5,
}
# Of eighty by a third 1 was right at once, 18 after answers, 10 rightly asked about, 43 in red, 7 asked about in vain, and 1
# silently wrong: that each part is scored on its own was passed over. So they stand now:
THIRD_STRANGERS_STAND = {
    "right": 18,
    "right after answers": 34,
    "asked, as it must": 10,
    "not understood": 13,
    "asked, and not got there": 5,
}
# Of eighty by a fourth, when they were tried, 14 were right at once, 10 after answers, 4 rightly asked about, 38 in red, 13 asked
# about in vain, and 1 silently wrong: a target 15 cm above somebody's reach was read as one at 15 cm. So they stand now:
FOURTH_STRANGERS_STAND = {
    "right": 26,
    "right after answers": 18,
    "asked, as it must": 4,
    "not understood": 19,
    "asked, and not got there": 13,
}
# Of eighty by a fifth, when they were tried, 14 were right at once, 20 after answers, 6 rightly asked about, 14 in red, 24 asked
# about in vain, and 1 silently wrong: `same bell` was passed over, and so was its load. One was right, but told in another form.
FIFTH_STRANGERS_STAND = {
    "right": 36,
    "right after answers": 27,
    "asked, as it must": 6,
    "not understood": 6,
    "asked, and not got there": 5,
}
# Of sixty by a sixth, when they were tried, 11 were right at once, 18 after answers, 5 rightly asked about, 14 in red, 12 asked
# about in vain. So they stand now:
SIXTH_STRANGERS_STAND = {
    "right": 32,
    "right after answers": 19,
    "asked, as it must": 4,
    "not understood": 3,
    "asked, and not got there": 2,
}
# Of 155 by three more (45 in fifteen people's manners, sixty traps, fifty as organisers plainly write), when they were tried, 11
# were right at once, 39 after answers, 37 rightly asked about, 41 in red, 27 asked about in vain, and none silently wrong. So
# they stand now:
SEVENTH_STRANGERS_STAND = {
    "right": 65,
    "right after answers": 35,
    "asked, as it must": 37,
    "not understood": 10,
    "asked, and not got there": 8,
}
# Of a hundred by two more who had not seen the grammar, fifty as organisers plainly write and fifty in 25 people's manners, 7
# were right at once, 30 after answers, 5 rightly asked about, 31 in red, 26 asked about in vain, and one silently wrong: three
# rounds for time under a stretch of the clock were one, and a load told once more went to a carry too. So they stand now:
EIGHTH_STRANGERS_STAND = {
    "right": 9,
    "right after answers": 29,
    "asked, as it must": 5,
    "not understood": 31,
    "asked, and not got there": 26,
}
# Of forty in ten people's manners, by one who knew the grammar and wrote them before looking how they are read, 4 were right at
# once, 11 after answers, 3 rightly asked about, 16 in red, 6 asked about in vain (one of these was right, told in another form).
# So they stand now:
TEN_MANNERS_STAND = {
    "right": 19,
    "right after answers": 11,
    "asked, as it must": 3,
    "not understood": 4,
    "asked, and not got there": 3,
}
# Of forty in twenty people's manners, by one who wrote them before reading the grammar or any of these texts, none was right at
# once, 11 after answers, 9 rightly asked about, 11 in red, 9 asked about in vain, and none silently wrong. The makers of two
# machines were named in them, and are no more; two were told in another form. So they stand now:
TWENTY_MANNERS_STAND = {
    "right": 5,
    "right after answers": 19,
    "asked, as it must": 9,
    "not understood": 4,
    "asked, and not got there": 3,
}
# Of forty as organisers plainly write, by one who wrote them before reading the grammar, 3 were right at once, 17 after answers,
# 2 rightly asked about, 5 in red, 12 asked about in vain, and 1 silently wrong: a version told in capitals was ranked with those
# who did the event as written. Two were told in another form, and one of what no event can say. So they stand now:
PLAIN_MANNERS_STAND = {
    "right": 9,
    "right after answers": 28,
    "asked, as it must": 3,
}
STAND = {
    PLAIN_MANNERS: PLAIN_MANNERS_STAND,
    TWENTY_MANNERS: TWENTY_MANNERS_STAND,
    SECOND_STRANGERS: SECOND_STRANGERS_STAND,
    THIRD_STRANGERS: THIRD_STRANGERS_STAND,
    FOURTH_STRANGERS: FOURTH_STRANGERS_STAND,
    FIFTH_STRANGERS: FIFTH_STRANGERS_STAND,
    SIXTH_STRANGERS: SIXTH_STRANGERS_STAND,
    SEVENTH_STRANGERS: SEVENTH_STRANGERS_STAND,
    EIGHTH_STRANGERS: EIGHTH_STRANGERS_STAND,
    TEN_MANNERS: TEN_MANNERS_STAND,
}
SHORTFALLS = {UNSEEN: KNOWN_SHORTFALLS, HELD_BACK: HELD_BACK_SHORTFALLS, STRANGERS: STRANGERS_SHORTFALLS}


@functools.cache
def outcomes(folder: Path) -> dict[str, Outcome]:
    """What became of a folder's texts, by name. They are read when a test asks, once: every process of tests collects this file,
    and one of them runs it."""
    return {one.name: outcome(one) for one in corpus(folder)}


@functools.cache
def whole() -> list[str]:
    """The texts that are read without a question."""
    own = [one.text for one in corpus(OWN) if understand(one.text).whole]
    return own + [one.written.text for folder in SHORTFALLS for one in outcomes(folder).values() if one.verdict == "right"]


@pytest.mark.parametrize(
    ("folder", "name"),
    [pytest.param(folder, one.name, id=one.name) for folder in (*SHORTFALLS, *STAND) for one in corpus(folder)],
)
def test_a_text_of_somebody_else_is_never_silently_wrong(folder: Path, name: str) -> None:
    assert outcomes(folder)[name].verdict != "SILENTLY WRONG"


@pytest.mark.parametrize("folder", SHORTFALLS, ids=lambda folder: folder.name)
def test_exactly_the_known_shortfalls_are_neither_read_nor_asked_about(folder: Path) -> None:
    found = outcomes(folder).values()
    assert len(found) == len(corpus(folder)) >= 50
    short = ("not understood", "asked, and not got there")
    shortfalls = {one.written.name for one in found if one.verdict in short or one.answers > MOST_ASKED}
    assert shortfalls == set(SHORTFALLS[folder])


@pytest.mark.parametrize("folder", STAND, ids=lambda folder: folder.name)
def test_the_texts_of_later_strangers_stand_as_they_stood(folder: Path) -> None:
    assert Counter(one.verdict for one in outcomes(folder).values()) == STAND[folder]


# Without the 10, `one 10 kg dumbbell` says one kilogram.
COUNT = re.compile(r"(?<![-–—] )(?<!one )(?<!\S)\d{1,3}(?!\S)(?! [-–—x×])")


@settings(max_examples=40, deadline=None)
@given(st.deferred(lambda: st.sampled_from(whole())), st.integers(0, 60))
def test_a_number_that_is_dropped_never_changes_the_event_without_a_word(text: str, at: int) -> None:
    counts = list(COUNT.finditer(text))
    assume(counts)
    dropped = counts[at % len(counts)]
    before, read = understand(text), understand(text[: dropped.start()] + text[dropped.end() :])
    told = {one.words for one in read.assumed} - {one.words for one in before.assumed}
    assert not read.whole or read.format == before.format or told
