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
UNSEEN = OWN / "unseen"  # by people who had not seen the grammar, since used to widen it
HELD_BACK = OWN / "held_back"  # by others too, kept back at first, and since used to widen it as well
STRANGERS = OWN / "strangers"  # by a stranger to all of it, tried once, and since used to widen it
SECOND_STRANGERS = OWN / "second_strangers"  # by another one, tried once, and since used to widen it
THIRD_STRANGERS = OWN / "third_strangers"  # by a third one, tried once, and since used to widen it
FOURTH_STRANGERS = OWN / "fourth_strangers"  # by a fourth one, tried once, and since used to widen it
FIFTH_STRANGERS = OWN / "fifth_strangers"  # by a fifth one, tried once; since used to widen it
SIXTH_STRANGERS = OWN / "sixth_strangers"  # by a sixth one, tried once, and since used to widen it
TEN_MANNERS = OWN / "ten_manners"  # by one who knows the grammar, in ten people's manners, before looking how they are read
TWENTY_MANNERS = OWN / "twenty_manners"  # by one who had not read the grammar yet, in twenty people's manners
PLAIN_MANNERS = OWN / "plain_manners"  # forty as organisers plainly write, by one who had not read the grammar yet
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
    given = answers_to(written)
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
    yield from (one.value for one in question.answers)
    if question.typed == "minutes":
        yield from dict.fromkeys(window["long"] for window in plain["windows"])
    if question.typed == "count":
        yield from dict.fromkeys(str(window.get("times", 1)) for window in plain["windows"])


def table(outcomes: list[Outcome]) -> str:
    """A row for each text, then how many came out how."""
    rows = [f"{one.written.name:34} {one.verdict:26} {one.questions} asked, {one.answers} answered" for one in outcomes]
    counted = Counter(one.verdict for one in outcomes)
    return "\n".join([*rows, "", *(f"{number:4}  {verdict}" for verdict, number in counted.most_common())])


if __name__ == "__main__":
    if len(sys.argv) > 1:
        print(table([outcome(one) for one in corpus(Path(sys.argv[1]))]))
    else:
        print("Written by those who know the grammar:\n\n" + table([outcome(one) for one in corpus(OWN)]))
        print("\nWritten by people who had not seen the grammar, since used to widen it:\n")
        print(table([outcome(one) for one in corpus(UNSEEN)]))
        print(
            "\nWritten by others, held back at first, and since used to widen it:\n\n"
            + table([outcome(one) for one in corpus(HELD_BACK)])
        )
        print("\nBy a stranger, tried once, and since used to widen it:\n\n" + table([outcome(one) for one in corpus(STRANGERS)]))
        print("\nBy another stranger, tried once, and since used to widen it:\n")
        print(table([outcome(one) for one in corpus(SECOND_STRANGERS)]))
        print("\nBy a third stranger, tried once, and since used to widen it:\n")
        print(table([outcome(one) for one in corpus(THIRD_STRANGERS)]))
        print("\nBy a fourth stranger, tried once, and since used to widen it:\n")
        print(table([outcome(one) for one in corpus(FOURTH_STRANGERS)]))
        print("\nBy a fifth stranger, tried once, and since used to widen it:\n")
        print(table([outcome(one) for one in corpus(FIFTH_STRANGERS)]))
        print("\nBy a sixth stranger, tried once, and since used to widen it:\n")
        print(table([outcome(one) for one in corpus(SIXTH_STRANGERS)]))
        print("\nIn ten people's manners, by one who knows the grammar, since used to widen it:\n")
        print(table([outcome(one) for one in corpus(TEN_MANNERS)]))
        print("\nIn twenty people's manners, by one who had not read the grammar yet, since used to widen it:\n")
        print(table([outcome(one) for one in corpus(TWENTY_MANNERS)]))
        print("\nAs organisers plainly write, by one who had not read the grammar yet, since used to widen it:\n")
        print(table([outcome(one) for one in corpus(PLAIN_MANNERS)]))
