"""Reads a corpus of workout texts and says of each whether it was read right, after how many questions, or silently wrong.

    python3 -m tests.rules.reading.corpora [FOLDER]

prints a row for each text. Questions are answered as a person would who knows what was meant: of all usual answers (and times and
numbers of the expectation, where one can be typed), those that lead there; at most MOST_ANSWERS, one after another.
"""

import json
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from app.rules.reading.reader import understand
from app.rules.reading.talk import Question
from app.rules.reading.understood import Understood
from tests.rules.reading.plainly import same

OWN = Path(__file__).with_name("corpus")
UNSEEN = OWN / "unseen"
HELD_BACK = OWN / "held_back"
STRANGERS = OWN / "strangers"
SECOND_STRANGERS = OWN / "second_strangers"
THIRD_STRANGERS = OWN / "third_strangers"
FOURTH_STRANGERS = OWN / "fourth_strangers"
FIFTH_STRANGERS = OWN / "fifth_strangers"
SIXTH_STRANGERS = OWN / "sixth_strangers"
SEVENTH_STRANGERS = OWN / "seventh_strangers"
EIGHTH_STRANGERS = OWN / "eighth_strangers"
TEN_MANNERS = OWN / "ten_manners"
TWENTY_MANNERS = OWN / "twenty_manners"
PLAIN_MANNERS = OWN / "plain_manners"
WRITTEN_BY = {
    OWN: "Written by those who know the grammar",
    UNSEEN: "Written by people who had not seen the grammar, since used to widen it",
    HELD_BACK: "Written by others, held back at first, and since used to widen it",
    STRANGERS: "By a stranger, tried once, and since used to widen it",
    SECOND_STRANGERS: "By another stranger, tried once, and since used to widen it",
    THIRD_STRANGERS: "By a third stranger, tried once, and since used to widen it",
    FOURTH_STRANGERS: "By a fourth stranger, tried once, and since used to widen it",
    FIFTH_STRANGERS: "By a fifth stranger, tried once, and since used to widen it",
    SIXTH_STRANGERS: "By a sixth stranger, tried once, and since used to widen it",
    SEVENTH_STRANGERS: "By three more, in manners, traps and plain ones, tried once, and since used to widen it",
    EIGHTH_STRANGERS: "By two more, plain ones and in 25 people's manners, tried once, and since used to widen it",
    TEN_MANNERS: "In ten people's manners, by one who knows the grammar, before looking how they are read",
    TWENTY_MANNERS: "In twenty people's manners, by one who had not read the grammar yet, since used to widen it",
    PLAIN_MANNERS: "Forty as organisers plainly write, by one who had not read the grammar yet, since used to widen it",
}
MOST_ANSWERS = 3
BEGINS, PARTED = "===== ", "\n-----\n"
Verdict = Literal[
    "right", "right after answers", "asked, as it must", "not understood", "asked, and not got there", "SILENTLY WRONG"
]


@dataclass(frozen=True, slots=True)
class Written:
    """A text and what it is expected to say."""

    name: str
    text: str
    plain: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a text: how many questions there were at first, and how many answers it took."""

    written: Written
    verdict: Verdict
    questions: int
    answers: int


def corpus(folder: Path = OWN) -> list[Written]:
    """The texts of a folder: in each file any number, each under a line of five equals signs and its name."""
    return [one for path in sorted(folder.glob("*.txt")) for one in _texts(path.read_text(encoding="utf-8"))]


def _texts(whole: str) -> Iterator[Written]:
    for told in f"\n{whole}".split(f"\n{BEGINS}")[1:]:
        name, _, rest = told.partition("\n")
        text, _, plain = rest.rpartition(PARTED)
        yield Written(name.strip(), text, json.loads(plain))


def outcome(written: Written) -> Outcome:
    """How a text was read."""
    first = understand(written.text)
    asked = len(first.questions)
    if written.plain.get("open"):
        return Outcome(written, "SILENTLY WRONG" if first.whole else "asked, as it must", asked, 0)
    if first.whole:
        return Outcome(written, "right" if _right(first, written) else "SILENTLY WRONG", asked, 0)
    if first.not_understood:
        return Outcome(written, "not understood", asked, 0)
    given = _answered(written, first, {}, MOST_ANSWERS)
    if given is None:
        return Outcome(written, "asked, and not got there", asked, 0)
    return Outcome(written, "right after answers", asked, len(given))


def answers_to(written: Written) -> dict[str, str] | None:
    """The answers, in turn and by their questions' ids, that lead to what was expected; None if none do."""
    return _answered(written, understand(written.text), {}, MOST_ANSWERS)


def _right(read: Understood, written: Written) -> bool:
    return read.format is not None and same(read.format, written.plain)


def _answered(written: Written, read: Understood, given: dict[str, str], left: int) -> dict[str, str] | None:
    if read.whole:
        return given if _right(read, written) else None
    if not left or read.not_understood or not read.questions:
        return None
    question = read.questions[0]
    for value in _values(question, written.plain):
        answers = {**given, question.id: value}
        took = _answered(written, understand(written.text, answers), answers, left - 1)
        if took is not None:
            return took
    return None


def _values(question: Question, plain: dict[str, Any]) -> Iterator[str]:
    """What may be answered, each once: a usual answer may be what would be typed too."""
    values = [one.value for one in question.answers]
    if question.typed == "minutes":
        values += [window["long"] for window in plain["windows"]]
    if question.typed == "count":
        values += [str(window.get("times", 1)) for window in plain["windows"]]
    return iter(dict.fromkeys(values))


def table(outcomes: list[Outcome]) -> str:
    """A row for each text, then how many came out how."""
    rows = [f"{one.written.name:34} {one.verdict:26} {one.questions} asked, {one.answers} answered" for one in outcomes]
    counted = Counter(one.verdict for one in outcomes)
    return "\n".join([*rows, "", *(f"{number:4}  {verdict}" for verdict, number in counted.most_common())])


if __name__ == "__main__":
    if len(sys.argv) > 1:
        print(table([outcome(one) for one in corpus(Path(sys.argv[1]))]))
    else:
        for folder, by in WRITTEN_BY.items():
            print(f"{by}:\n\n{table([outcome(one) for one in corpus(folder)])}\n")
