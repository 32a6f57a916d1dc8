"""What a text corrects further down: `sorry, typo above, it's 10 minutes and not 12`, `UPDATE: the two runs are gone`.

Only where there is one place that it can mean. Whether it goes is asked, and what is read is the text as it would have been
written then; its spans are those of the text as it is.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from fractions import Fraction
from typing import Any

from app.rules.reading.scan.pieces import Tok, words_in
from app.rules.reading.talk import Span
from app.rules.values.shapes import Base

NUMBER = r"\d{1,4}(?::[0-5]\d|[.,]\d{1,2})?"
INSTEAD = re.compile(
    rf"(?<![\w.:,])(?P<now>{NUMBER})\s*(?P<unit>[^\W\d_]*)\s*(?:,?\s*(?:and\s+)?not|instead\s+of|rather\s+than)\s+"
    rf"(?P<was>{NUMBER})(?![\w:])"
    rf"|\bnot\s+(?P<was_first>{NUMBER})\s*(?P<unit_first>[^\W\d_]*)\s*,?\s*but\s+(?P<now_last>{NUMBER})(?![\w:])",
    re.IGNORECASE,
)
GONE = re.compile(
    r"\bthe\s+(?:(?P<many>two|both|three|2|3)\s+)?"
    r"(?P<thing>[^\W\d_]+(?:[ -][^\W\d_]+)?)\s+(?:is|are)\s+(?P<gone>[^\W\d_]+(?:\s+out)?)\b"
)
SENTENCE = re.compile(r"[^.!?\n]+[.!?]*")
MOST_SHOWN = 60  # characters of a line that is quoted
MANY = {None: 1, "two": 2, "both": 2, "2": 2, "three": 3, "3": 3}
A_LINE_ALONE = {"COUNT", "LENG", "CALS", "REPS", "MOVE", "STOP", "COMMA"}


class CorrectionTable(Base):
    """Words of who corrects himself: one of `cues` stands in a sentence of `others` and of `units`, by the kind of what they
    measure; what is `gone` is left out, but where the sentence has one of `in_place`."""

    cues: tuple[str, ...]
    others: tuple[str, ...]
    units: dict[str, tuple[str, ...]]
    gone: tuple[str, ...]
    in_place: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Correction:
    """A sentence that corrects the text, the question whether it does, its answers (the first: it does), and what is written
    then in place of what."""

    span: Span
    asked: str
    answers: tuple[tuple[str, str], ...]
    edits: tuple[tuple[int, int, str], ...]

    def read(self, text: str, *, goes: bool) -> str:
        """The text without the sentence, and with what it corrects if it does."""
        made, last = "", 0
        for start, end, said in self._edits(goes):
            made, last = made + text[last:start] + said, end
        return made + text[last:]

    def back(self, read: Any, *, goes: bool) -> Any:
        """What was read in that text, with the spans of the text as it is."""
        edits = self._edits(goes)

        def moved(at: int) -> int:
            for start, end, said in edits:
                if at >= start + len(said):
                    at += end - start - len(said)
                elif at > start:
                    return start
            return at

        return _moved(read, moved)

    def _edits(self, goes: bool) -> list[tuple[int, int, str]]:
        return sorted([(self.span.start, self.span.end, ""), *(self.edits if goes else ())])


def _moved(one: Any, moved: Callable[[int], int]) -> Any:
    if isinstance(one, Span):
        return Span(moved(one.start), moved(one.end))
    if isinstance(one, tuple):
        return tuple(_moved(part, moved) for part in one)
    if is_dataclass(one) and not isinstance(one, type):
        return replace(one, **{field.name: _moved(getattr(one, field.name), moved) for field in fields(one)})
    return one


def correction_in(
    text: str, lines: Sequence[tuple[int, int]], words: Callable[[int, int], list[Tok]], table: CorrectionTable
) -> Correction | None:
    """The one correction of a text, of which `words` are the words of a line; None where there is none or more than one."""
    found = [*_numbers(text, lines, words, table), *_gone(text, lines, words, table)]
    return found[0] if len(found) == 1 else None


def _numbers(
    text: str, lines: Sequence[tuple[int, int]], words: Callable[[int, int], list[Tok]], table: CorrectionTable
) -> Iterator[Correction]:
    for said in INSTEAD.finditer(text):
        span = _sentence_of(text, said.start())
        now, was = said["now"] or said["now_last"], said["was"] or said["was_first"]
        unit = (said["unit"] or said["unit_first"] or "").casefold()
        units = {word for ways in table.units.values() for word in ways}
        told = words_in(text[span.start : span.end])
        known = {*table.cues, *table.others, *units}
        if not set(told) & set(table.cues) or not all(word in known for word in told) or now == was:
            continue
        kinds = next((kind for kind, ways in table.units.items() if unit in ways), "")
        seconds = unit.startswith("s") and kinds == "DUR"
        places = [tok for tok in _outside(span, lines, words) if _is(tok, was, kinds, seconds)]
        at = _digits(text, places[0], was) if len(places) == 1 else None
        if at is None:
            continue
        quoted, where = " ".join(text[span.start : span.end].split()), _shown(text, at)
        answers = (("goes", f"Yes: {now} in place of {was}"), ("stays", f"No: “{where}” stays"))
        yield Correction(span, f"“{quoted}”: does it correct “{where}”?", answers, ((at, at + len(was), now),))


def _is(tok: Tok, was: str, kind: str, in_seconds: bool) -> bool:
    """Whether a word of the text is the number that was wrong: of that kind, or of any if no unit is said."""
    if len(tok.values) != 1 or not re.fullmatch(r"\d+(?:\.\d+)?", tok.values[0]):
        return False
    minutes, clock, seconds = was.partition(":")
    plain = Fraction(was.replace(",", ".")) if not clock else None
    long = int(minutes) * 60 + int(seconds) if plain is None else plain * (1 if in_seconds else 60)
    timed = tok.kind == "DUR" and kind in ("", "DUR") and Fraction(tok.values[0]) == long
    other = tok.kind != "DUR" and plain is not None and Fraction(tok.values[0]) == plain
    return timed or (other and tok.kind in (kind.split() or [tok.kind]) and kind != "DUR")


def _digits(text: str, tok: Tok, was: str) -> int | None:
    """Where in a word its number stands, if it does once."""
    found = [one.start() for one in re.finditer(rf"(?<![\d.,:]){re.escape(was)}(?![\d:]|[.,]\d)", text[tok.start : tok.end])]
    return tok.start + found[0] if len(found) == 1 else None


def _shown(text: str, at: int) -> str:
    """The line that a number stands in, as far as it is short."""
    begins = text.rfind("\n", 0, at) + 1
    return " ".join(text[begins:].partition("\n")[0].split())[:MOST_SHOWN]


def _gone(
    text: str, lines: Sequence[tuple[int, int]], words: Callable[[int, int], list[Tok]], table: CorrectionTable
) -> Iterator[Correction]:
    for said in GONE.finditer(text):
        span = _sentence_of(text, said.start())
        told = set(words_in(text[span.start : span.end]))
        if said["gone"].casefold() not in table.gone or told & set(table.in_place):
            continue
        toks = words(said.start("thing"), said.end("thing"))
        key = toks[0].key if len(toks) == 1 and toks[0].kind == "MOVE" else ""
        named = [line for line in lines if not _within(line, span) and any(tok.key == key for tok in words(*line))]
        alone = all({tok.kind for tok in words(*line)} <= A_LINE_ALONE and _one_thing(words(*line)) for line in named)
        inside = [tok for tok in words(span.start, span.end) if tok.values and tok.text.casefold() not in MANY]
        if not key or len(named) != MANY[said["many"] and said["many"].casefold()] or not alone or len(inside) > 1:
            continue
        quoted = " ".join(text[span.start : span.end].split())
        which = ", ".join(f"“{text[slice(*line)].strip()}”" for line in named)
        answers = (("goes", f"Yes: without {which}"), ("stays", "No: it is done as it is written"))
        edits = tuple((start, min(end + 1, len(text)), "") for start, end in named)
        yield Correction(span, f"“{quoted}”: is it left out?", answers, edits)


def _one_thing(toks: Iterable[Tok]) -> bool:
    return sum(1 for tok in toks if tok.kind == "MOVE") == 1


def _within(line: tuple[int, int], span: Span) -> bool:
    return line[0] <= span.start < line[1] or span.start <= line[0] < span.end


def _outside(span: Span, lines: Iterable[tuple[int, int]], words: Callable[[int, int], list[Tok]]) -> Iterator[Tok]:
    """The words of all else, a bare number behind what it is the time of as a time."""
    for line in lines:
        before = ""
        for tok in words(*line):
            if not span.start <= tok.start < span.end:
                of_time = before in ("AMRAP", "EMOM", "CAP") and tok.kind == "BARE" and len(tok.values) == 1
                yield replace(tok, kind="DUR", values=(str(Fraction(tok.values[0]) * 60),)) if of_time else tok
            before = tok.kind


def _sentence_of(text: str, at: int) -> Span:
    found = next(one for one in SENTENCE.finditer(text) if one.end() > at)
    start = found.start() + len(found[0]) - len(found[0].lstrip())
    return Span(start, found.end())
