"""Workouts as people write them, in many manners: read right, right after an answer or two, never silently wrong."""

import pytest

from app.rules.reading.reader import understand
from tests.rules.reading.corpora import Written, corpus, outcome

TEXTS = corpus()
MOST_ASKED = 2


@pytest.mark.parametrize("written", TEXTS, ids=lambda written: written.name)
def test_a_workout_is_read_as_it_is_meant_or_asked_about(written: Written) -> None:
    one = outcome(written)
    assert one.verdict in ("right", "right after answers", "asked, as it must")
    assert one.answers <= MOST_ASKED


def test_a_reader_that_passes_over_what_it_does_not_know_would_be_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("app.rules.reading.talk.Talk.red", lambda *_: None)
    assert any(outcome(one).verdict == "SILENTLY WRONG" for one in TEXTS)


def test_a_reader_that_takes_its_first_answers_for_granted_would_be_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        "app.rules.reading.talk.Talk.ask", lambda self, id, span, words, answers, typed="": self.given.get(id, answers[0][0])
    )
    assert any(outcome(one).verdict == "SILENTLY WRONG" for one in TEXTS)


def test_every_window_names_the_words_it_came_from_and_every_number_is_told() -> None:
    for one in TEXTS:
        read = understand(one.text)
        assert read.format is None or len(read.sources) == len(read.format.windows)
        told = [remark.span for remark in (*read.numbers, *read.not_understood, *read.kept) if remark.span]
        told += [question.span for question in read.questions if question.span]
        for place, sign in enumerate(one.text):
            named = sign.isdigit() and read.title and one.text.startswith(read.title) and place < len(read.title)
            assert not sign.isdigit() or named or _told(place, one.text, told), one.text[place - 5 : place + 5]


def _told(place: int, text: str, spans: list) -> bool:  # type: ignore[type-arg]
    """Within something that was told; a number in the list of lines or a name (`t2b`, `1RM`) is one of letters."""
    in_name = any(beside.isalpha() for beside in text[place + 1 : place + 2]) and text[place] in "12"
    return in_name or any(span.start <= place < span.end for span in spans)
