"""Where the sentences of a line end; those that are read as a whole are one word each."""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace

from app.rules.reading.scan.frames.attempts_said import ends_at
from app.rules.reading.scan.frames.ladders_said import begins_to_go_on
from app.rules.reading.scan.frames.loads_by_round import loads_by_round
from app.rules.reading.scan.pieces import Tok
from app.rules.reading.writing.written_scores import read_each_lift
from app.rules.workout.growth import read_growth, read_rules

HEADS = ("SCORE", "CAP", "TIE")
UNTIL_A_MISS = re.compile(
    r"\b(?:until|till)\s+(?:you|they|he|she|somebody|someone|everybody|everyone|(?:the|an)\s+athlete)\s+"
    r"(?:can\s*not|can['’]?t|can\s+no\s+longer|(?:are|is)\s+(?:unable|no\s+longer\s+able)\s+to|fails?\s+to|do(?:es)?\s*n[o'’]t)\s+"
    r"(?:finish|complete|make|do|manage|get)\s+(?:(?:all|the|your|their|them|it|of|that|reps?|repetitions?|work|number|required)\s+)+"
    r"(?:in|inside|within|before)\s+(?:(?:the|that|a|one|your|its|their|end|of|next)\s+)*(?:minute|window|interval|time)\b",
    re.IGNORECASE,
)
SO = re.compile(r"so (?:please )?(?:don't|don’t|dont|do not)\b", re.IGNORECASE)
OF_A_WARNING = {"PROSE", "UNKNOWN", "AND", "COMMA", "BARE", "STOP", "COUNT", "SEC", "SPLIT"}
# Sentences that are read as a whole, by the word that they begin with.
WHOLE: Mapping[str, Callable[[str], object]] = {
    "GROWS": lambda said: read_growth(said, "kg"),
    "LIFTRULES": lambda said: read_rules(said, "kg"),
    "EACHLIFT": read_each_lift,
}


def with_sentences(text: str, toks: list[Tok]) -> list[Tok]:
    """A line's words, those of a sentence that is read as a whole as one: `The load grows each window: 60 kg, then by 5 kg`."""
    found: list[Tok] = []
    for sentence in sentences_of(toks):
        stop = next((place for place, tok in enumerate(sentence) if tok.kind == "STOP"), len(sentence))
        said = text[sentence[0].start : sentence[stop - 1].end] if stop else ""
        if stop and (read := WHOLE.get(sentence[0].kind)) and read(said) is not None:
            numbers = tuple(re.findall(r"\d+", said))
            found += [sentence[0].to(sentence[stop - 1], sentence[0].kind, text=said, values=numbers), *sentence[stop:]]
        else:
            found += sentence
    return found


def with_misses(text: str, toks: list[Tok]) -> list[Tok]:
    """A line's words, those by which a miss ends it as one: `until you can no longer finish the reps inside the minute`."""
    if not toks:
        return toks
    found = list(toks)
    for said in UNTIL_A_MISS.finditer(text, toks[0].start, toks[-1].end):
        inside = [tok for tok in found if said.start() <= tok.start and tok.end <= said.end()]
        across = any(tok not in inside and tok.start < said.end() and said.start() < tok.end for tok in found)
        if inside and not across and not any(tok.values or tok.key for tok in inside):
            at = found.index(inside[0])
            fail = inside[0].to(inside[-1], "FAIL", text=said[0], values=())
            found[at : at + len(inside)] = [replace(fail, start=said.start(), end=said.end())]
    return found


def going_on(text: str, sentences: list[list[Tok]], whole: Callable[[list[Tok]], bool]) -> Iterator[list[Tok]]:
    """Sentences, those of work that say how a ladder goes on in two, and so those from which a warning follows, or with
    more behind the times of attempts; `whole`: whether one is told as it stands, of those so far."""
    for sentence in sentences:
        at = begins_to_go_on(sentence) or _so(sentence) or ends_at(text, sentence)
        if at is not None and whole(sentence):
            continue
        if at is not None:
            yield sentence[:at]
        yield sentence[at or 0 :]


def loads_in_two(text: str, sentences: list[list[Tok]], numbers: Mapping[str, int]) -> list[list[Tok]]:
    """Sentences, two as one that tell only together what a bar weighs: `it starts at 60 kg. After each round 10 kg come on`."""
    found: list[list[Tok]] = []
    for sentence in sentences:
        loaded = found and all(any(tok.kind == "LOAD" for tok in one) for one in (found[-1], sentence))
        if (
            loaded
            and loads_by_round(text, both := [*found[-1], *sentence], numbers)
            and "\n" not in text[both[0].start : both[-1].end]
        ):
            found[-1] = both
        else:
            found.append(sentence)
    return found


def _so(sentence: list[Tok]) -> int | None:
    """`Your score is your worst interval, so don't be a hero in the first one`: where what follows from it begins."""
    for at, tok in enumerate(sentence[:-1]):
        after = sentence[at + 1]
        if at and tok.kind == "COMMA" and SO.match(after.text) and all(one.kind in OF_A_WARNING for one in sentence[at + 1 :]):
            return at + 1
    return None


def sentences_of(toks: list[Tok]) -> list[list[Tok]]:
    """A line's sentences, each with its stops."""
    found: list[list[Tok]] = [[]]
    for tok in toks:
        heading = [one.kind for one in found[-1][:-1]] in [[kind] for kind in HEADS]  # `Ties.`
        if found[-1] and found[-1][-1].kind == "STOP" and tok.kind != "STOP":
            if heading:
                found[-1].pop()
            else:
                found.append([])
        found[-1].append(tok)
    return found
