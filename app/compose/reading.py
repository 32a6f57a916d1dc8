"""A written workout as it was understood, for the page and the command: each window in words beside the words it came from."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from app.compose.event_form import format_form
from app.compose.event_plain import Told, how_it_ends, line_text, task_text, told
from app.compose.event_strip import Strip, strip_of
from app.rules.reading.reader import understand
from app.rules.reading.talk import LEAVE_OUT, MATTERS, Question, Remark, Span
from app.rules.reading.understood import Understood
from app.rules.values.clock_times import minutes_text
from app.rules.values.words import say
from app.rules.workout.formats import Format, Variant, Window
from app.rules.workout.words import listed, member_letter, who_text

MOST_STARTS = 4
ASIDE = "Set aside: this says nothing of the event"


@dataclass(frozen=True, slots=True)
class WindowLine:
    """Windows that are alike, in words: their numbers, and the stretches of the text that they came from."""

    words: str
    at: str
    windows: tuple[int, ...]
    spans: tuple[Span, ...]


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of the text: the window lines that came from it, what its number was taken as, whether it stands in red, the
    question that is about it, whether it was set aside."""

    text: str
    lines: tuple[int, ...]
    number: str
    red: bool
    asked: str
    aside: bool


@dataclass(frozen=True, slots=True)
class RedLine:
    """Words that were not understood, and why; no words where it is a whole page. `start`, `end`: where they stand in the text,
    in characters. `leave_out`: the id of the answer that leaves them out, where that can be; `matters`: of the one by which
    somebody said that they matter."""

    words: str
    why: str
    start: int
    end: int
    leave_out: str
    matters: str = ""


@dataclass(frozen=True, slots=True)
class KeptLine:
    """What is kept beside the event. `left_out`: the id of the answer by which somebody left it out; `matters`: of the one by
    which somebody says that what was set aside is part of it; `line`: the line of the text, from 1."""

    words: str
    left_out: str
    matters: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True)
class ReadView:
    """Everything that a page says about a text."""

    title: str
    divisions: tuple[str, ...]
    pieces: tuple[Piece, ...]
    lines: tuple[WindowLine, ...]
    strip: Strip | None
    told: Told | None
    versions: tuple[tuple[str, str], ...]
    assumed: tuple[str, ...]
    questions: tuple[Question, ...]
    answered: tuple[tuple[Question, str], ...]
    red: tuple[RedLine, ...]
    kept: tuple[KeptLine, ...]
    aside: tuple[KeptLine, ...]
    whole: bool
    empty: bool


def read_view(text: str, answers: Mapping[str, str]) -> ReadView:
    """What a text says, with the answers given so far."""
    read = understand(text, answers)
    format = read.format
    lines = tuple(window_lines(format, read.sources)) if format else ()
    return ReadView(
        title=read.title,
        divisions=read.divisions,
        pieces=tuple(_pieces(read, lines)),
        lines=lines,
        strip=strip_of(format_form(read.title, format)) if format else None,
        told=told(format) if format else None,
        versions=tuple((one.name, version_words(format, one)) for one in format.variants) if format else (),
        assumed=tuple(one.words for one in read.assumed),
        questions=read.questions,
        answered=read.answered,
        red=tuple(_red(read, one, one.span) for one in read.not_understood if one.span),
        kept=tuple(_kept(read, one) for one in read.kept if not one.matters),
        aside=tuple(_kept(read, one) for one in read.kept if one.matters),
        whole=read.whole,
        empty=not text.strip(),
    )


def _red(read: Understood, one: Remark, span: Span) -> RedLine:
    words = read.text[span.start : span.end]
    told = "" if words == read.text and "\n" in words else " ".join(words.split())
    return RedLine(told, one.words, span.start, span.end, one.leave_out, one.matters)


def _kept(read: Understood, one: Remark) -> KeptLine:
    line = read.text.count("\n", 0, one.span.start) + 1 if one.span else 0
    return KeptLine(" ".join(one.words.split()), one.leave_out, one.matters, line)


def window_lines(format: Format, sources: tuple[tuple[Span, ...], ...]) -> Iterator[WindowLine]:
    """The windows of a format, those that are alike told as one, in the order in which they begin."""
    alike: dict[tuple[object, ...], list[int]] = {}
    for number, window in enumerate(format.windows):
        alike.setdefault((window.task, window.who, window.holding, window.seconds), []).append(number)
    for numbers in alike.values():
        spans = tuple(dict.fromkeys(span for number in numbers for span in sources[number]))
        yield WindowLine(_words(format, numbers), _at(format, numbers), tuple(numbers), spans)


def _words(format: Format, numbers: list[int]) -> str:
    window = format.windows[numbers[0]]
    length = minutes_text(window.seconds)
    if window.task is None:
        return f"{say('rests_of', n=len(numbers), span=length)}"
    task = format.tasks[window.task]
    who = who_text(window, format.members)
    often = say("windows_of", n=len(numbers), span=length)
    held = f", while {_letters(window)} holds" if window.holding else ""
    return f"{often}{f', {who}' if who else ''}{how_it_ends(format, window.task, task)}: {task_text(format, task)}{held}"


def _letters(window: Window) -> str:
    return " and ".join(member_letter(member) for member in window.holding)


def _at(format: Format, numbers: list[int]) -> str:
    starts = [minutes_text(format.windows[number].start) for number in numbers[:MOST_STARTS]]
    return f"from {', '.join(starts)}{' …' if len(numbers) > MOST_STARTS else ''}"


def version_words(format: Format, variant: Variant) -> str:
    """What a version does otherwise: the lines or the names that differ."""
    varied = format.varied(variant.id)
    changed: list[str] = []
    for key, task in variant.tasks.items():
        first = format.tasks[key]
        if task.kind == "list" and first.kind == "list":
            changed += [
                line_text(varied, key, item) for item, before in zip(task.items, first.items, strict=False) if item != before
            ]
        else:
            changed.append(task_text(varied, task))
    changed += [movement.name for movement in variant.movements.values()]
    return ", ".join(dict.fromkeys(changed))


def _pieces(read: Understood, lines: tuple[WindowLine, ...]) -> Iterator[Piece]:
    """The text cut wherever something begins or ends that is told about it."""
    numbers = {one.span: one.words for one in read.numbers if one.span}
    red = [one.span for one in read.not_understood if one.span]
    asked = {span: one.id for one in read.questions for span in (one.span, *one.about) if span}
    aside = tuple(one.span for one in read.kept if one.span and one.matters)
    about = [*numbers, *red, *asked, *aside, *(span for line in lines for span in line.spans)]
    cuts = sorted({0, len(read.text), *(edge for span in about for edge in (span.start, span.end))})
    for start, end in pairwise(cuts):
        yield Piece(
            text=read.text[start:end],
            lines=tuple(place for place, line in enumerate(lines) if _within(start, line.spans)),
            number=next((words for span, words in numbers.items() if span.start <= start < span.end), ""),
            red=_within(start, red),
            aside=_within(start, aside),
            asked=next((id for span, id in asked.items() if span.start <= start < span.end), ""),
        )


def _within(place: int, spans: "list[Span] | tuple[Span, ...]") -> bool:
    return any(span.start <= place < span.end for span in spans)


def read_plain(text: str, answers: Mapping[str, str]) -> dict[str, Any]:
    """What a text says as plain values for other programs: the format by the schema of the competition file."""
    read = understand(text, answers)
    lines = window_lines(read.format, read.sources) if read.format else ()
    return {
        "whole": read.whole,
        "title": read.title,
        "divisions": list(read.divisions),
        "format": read.format.model_dump(mode="json") if read.format else None,
        "windows": [
            {
                "words": line.words,
                "at": line.at,
                "windows": list(line.windows),
                "from": [_span(read, span) for span in line.spans],
            }
            for line in lines
        ],
        "numbers": [_remark(read, one) for one in read.numbers],
        "assumed": [_remark(read, one) for one in read.assumed],
        "questions": [
            {
                "id": one.id,
                "words": one.words,
                "answers": [{"value": answer.value, "words": answer.words} for answer in one.answers],
                "typed": one.typed,
                "from": _span(read, one.span),
            }
            for one in read.questions
        ],
        "not_understood": [_remark(read, one) for one in read.not_understood],
        "kept": [_remark(read, one) for one in read.kept if not one.matters],
        "set_aside": [{**_remark(read, one), "id": one.matters} for one in read.kept if one.matters],
    }


def _remark(read: Understood, remark: Remark) -> dict[str, Any]:
    return {"words": remark.words, "from": _span(read, remark.span)}


def _span(read: Understood, span: Span | None) -> dict[str, Any] | None:
    if span is None:
        return None
    line = read.text.count("\n", 0, span.start) + 1
    return {"text": read.text[span.start : span.end], "line": line, "start": span.start, "end": span.end}


def read_words(text: str, answers: Mapping[str, str]) -> Iterator[str]:
    """What a text says, for a terminal."""
    view = read_view(text, answers)
    if view.title:
        yield view.title
    if view.divisions:
        yield f"  For {listed(view.divisions)}"
    for line in view.lines:
        yield f"  {line.words} ({line.at})"
    for name, words in view.versions:
        yield f"  {name}: {words}"
    yield from (f"  {sentence}" for sentence in (view.told.scores if view.told else ()))
    kept = tuple(line.words for line in view.kept)
    aside = tuple(f"{line.words}  (line {line.line}; --answer {line.matters}={MATTERS} if it matters)" for line in view.aside)
    for heading, said in (("Assumed", view.assumed), ("Not part of the event", kept), (ASIDE, aside)):
        yield from ([f"{heading}:", *(f"  {one}" for one in said)] if said else [])
    if view.questions:
        yield "Questions:"
        for question in view.questions:
            usual = ", ".join(f"{answer.value} ({answer.words})" for answer in question.answers)
            yield f"  {question.words}  --answer {question.id}=…  {usual}"
    for red in view.red:
        out = f"  --answer {red.leave_out}={LEAVE_OUT}" if red.leave_out else ""
        yield f"NOT UNDERSTOOD: {f'“{red.words}” ' if red.words else ''}{red.why}{out}"
