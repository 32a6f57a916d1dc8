"""Workouts as people write them, in many manners: read right, right after an answer or two, never silently wrong."""

from itertools import accumulate

import pytest

from app.rules.reading.reader import TEXTS_KEPT, _kept, understand
from app.rules.reading.scan.chunks import STEPS, chunks
from app.rules.reading.scan.pieces import Tok
from app.rules.reading.scan.scanning import Scanner
from app.rules.reading.scan.words import words_of_language
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


def test_a_text_is_read_the_same_whatever_was_read_and_answered_before(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = [(one.text, {q.id: q.answers[-1].value for q in understand(one.text).questions if q.answers}) for one in TEXTS]
    again = [(understand(text, given), understand(text)) for text, given in asked if given]
    assert len(again) > TEXTS_KEPT
    _kept.clear()
    monkeypatch.setattr("app.rules.reading.reader.MOST_KEPT", -1)
    assert again == [(understand(text, given), understand(text)) for text, given in asked if given]


def test_no_more_than_the_last_short_texts_are_kept() -> None:
    for text in (*(one.text for one in TEXTS[:4]), "10 burpees " * 500):
        understand(text)
    assert [text for text, _ in _kept] == [one.text for one in TEXTS[4 - TEXTS_KEPT : 4]]


def test_a_step_that_is_not_taken_would_have_changed_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    def all_of(text: str) -> list[list[Tok]]:
        scanner, lines = Scanner(words_of_language()), []
        for at, line in zip(accumulate((len(one) for one in text.splitlines(True)), initial=0), text.splitlines(), strict=False):
            lines.append(chunks(scanner.read(scanner.pieces(text, at, at + len(line)))))
        return lines

    told = [all_of(one.text) for one in TEXTS]
    monkeypatch.setattr("app.rules.reading.scan.chunks.STEPS", tuple((step, ()) for step, _ in STEPS))
    assert [all_of(one.text) for one in TEXTS] == told


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
