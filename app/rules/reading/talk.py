"""What is said back about a text: questions with their usual answers, what was assumed, what was not understood, what an event
can't say yet. Everything names the span of the text that it is about."""

import re
import zlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from app.rules.values.clock_times import minutes_text

Typed = Literal["", "minutes", "count"]
MINUTES = re.compile(r"([0-9]{1,3}):([0-5][0-9])")
MOST_ANSWER = 40
LEAVE_OUT = "leave-out"
WITHOUT = "without"
MATTERS = "matters"
NOT_KNOWN = "This was not understood."


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of the text, in characters: from `start`, before `end`."""

    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Answer:
    """A usual answer: its value, and its words."""

    value: str
    words: str


@dataclass(frozen=True, slots=True)
class Question:
    """Something that changes the score and is not said. `typed` says that another answer than the usual ones can be typed: a time
    as m:ss, or a whole number; `about`: the stretches of the text that it is about, where they are several."""

    id: str
    words: str
    answers: tuple[Answer, ...]
    span: Span | None
    typed: Typed = ""
    about: tuple[Span, ...] = ()


@dataclass(frozen=True, slots=True)
class Remark:
    """A sentence about a stretch of the text. `leave_out`: the id of the answer by which somebody leaves it out of the event;
    `matters`: of the one by which somebody says that what was set aside is part of it."""

    words: str
    span: Span | None
    leave_out: str = ""
    matters: str = ""


@dataclass(slots=True)
class Talk:
    """What is said back while a text is read. Answers that were given are asked for no more."""

    text: str
    given: Mapping[str, str] = field(default_factory=dict)
    questions: dict[str, Question] = field(default_factory=dict)
    assumed: dict[str, Remark] = field(default_factory=dict)
    not_understood: list[Remark] = field(default_factory=list)
    kept: list[Remark] = field(default_factory=list)
    doubted: list[Span] = field(default_factory=list)
    answered: dict[str, tuple[Question, str]] = field(default_factory=dict)

    def id(self, about: str, span: Span | None) -> str:
        """A question's id: what it is about, and a digest of the words that it is about, so that an answer stays with its words
        wherever they go, and is none to other words."""
        return f"{about}-{zlib.crc32(self.text[span.start : span.end].encode()):08x}" if span else about

    def ask(self, about: str, span: Span | None, words: str, answers: Sequence[tuple[str, str]], typed: Typed = "") -> str:
        """The answer that was given; else the first usual one for now, and the question is open."""
        id = self.id(about, span)
        question = Question(id, words, tuple(Answer(*one) for one in answers), span, typed)
        said = self.given.get(id, "")
        if said and (any(said == value for value, _ in answers) or fits(said, typed)):
            self.answered.setdefault(id, (question, said))
            return said
        self.questions.setdefault(id, question)
        return answers[0][0]

    def seconds(self, about: str, span: Span | None, words: str, usual: Sequence[int]) -> int:
        """A length in seconds that is not said: one of the usual ones, or typed as m:ss."""
        told = self.ask(about, span, words, [(minutes_text(one), minutes_text(one)) for one in usual], "minutes")
        return _as_seconds(told) or usual[0]

    def count(self, about: str, span: Span | None, words: str, usual: Sequence[int]) -> int:
        """A whole number that is not said."""
        return int(self.ask(about, span, words, [(str(one), str(one)) for one in usual], "count"))

    def assume(self, words: str, span: Span | None = None) -> None:
        """Something usual that the text does not say and that is no question."""
        self.assumed.setdefault(words, Remark(words, span))

    def red(self, span: Span, why: str) -> None:
        """A stretch that does not fit where it stands: the text has to be changed."""
        if all(one.span != span for one in self.not_understood):
            self.not_understood.append(Remark(why, span))

    def unknown(self, span: Span, why: str) -> None:
        """A stretch that says nothing the grammar knows, and of which nothing was taken: it may be left out."""
        id = self.id("red", span)
        if self.given.get(id) == LEAVE_OUT:
            self.kept.append(Remark(self.text[span.start : span.end], span, id))
        elif all(one.span != span for one in self.not_understood):
            self.not_understood.append(Remark(why, span, id))

    def set_aside(self, span: Span) -> None:
        """A stretch that says nothing of the event: it is shown apart, and whoever says that it matters has it in red."""
        if not any(sign.isalnum() for sign in self.text[span.start : span.end]):
            return
        id = self.id("aside", span)
        if self.given.get(id) == MATTERS:
            self.not_understood.append(Remark("You said that this matters: say it in other words.", span, matters=id))
        else:
            self.kept.append(Remark(self.text[span.start : span.end], span, matters=id))

    def settle(self, agrees: Callable[[Span], bool]) -> None:
        """Of the sentences that were not understood, those that say what the event says anyhow are no question."""
        told = [one for one in self.doubted if agrees(one)]
        self.doubted = [one for one in self.doubted if one not in told]
        for one in told:
            self.set_aside(one)

    def ask_doubts(self) -> None:
        """Sentences that were not understood and tell no work: whether one of them changes the event is asked once for all."""
        if not self.doubted:
            return
        said = [self.text[one.start : one.end] for one in self.doubted]
        about = f"doubt-{zlib.crc32('|'.join(said).encode()):08x}"
        one = len(said) == 1
        words = (
            "This was not understood. Does it change the event?"
            if one
            else "These were not understood. Does one of them change the event?"
        )
        answers = [
            ("none", "No: leave it out" if one else "No: leave them out"),
            ("some", "Yes: show it in red" if one else "Yes: show them in red"),
        ]
        told = self.ask(about, None, " ".join([words, *(f"“{' '.join(part.split())}”" for part in said)]), answers)
        if about in self.questions:
            self.questions[about] = replace(self.questions[about], about=tuple(self.doubted))
        for doubt in self.doubted:
            if told == "some":
                self.unknown(doubt, NOT_KNOWN)
            elif about in self.answered:
                self.kept.append(Remark(self.text[doubt.start : doubt.end], doubt))

    def cannot(self, span: Span, words: str) -> None:
        """Something that was understood and that an event can't say yet: whether to go on without it is asked."""
        told = [(WITHOUT, "Go on without it: I see to it by hand")]
        self.ask("cannot", span, words, told)
        if self.given.get(self.id("cannot", span)) == WITHOUT:
            self.kept.append(Remark(words, span))


def fits(said: str, typed: Typed) -> bool:
    """Whether an answer is one that can be typed."""
    if len(said) > MOST_ANSWER:
        return False
    if typed == "minutes":
        return 0 < _as_seconds(said) <= 3 * 3600
    return typed == "count" and bool(re.fullmatch(r"[0-9]{1,4}", said)) and int(said) > 0


def _as_seconds(said: str) -> int:
    found = MINUTES.fullmatch(said)
    return int(found[1]) * 60 + int(found[2]) if found else 0
