"""Another movement for one version: `Scaled: ring rows instead of pull-ups`, `push-ups replace the handstand push-ups`."""

import re
from collections.abc import Callable, Iterator

from app.rules.reading.drafts import Draft, Work
from app.rules.reading.scan.pieces import Tok
from app.rules.reading.talk import Span, Talk
from app.rules.reading.versions.lines import Instead
from app.rules.reading.versions.loaded_work import loadable

CUE = re.compile(r"\b(?:instead of|in place of|replaces?|rather than)\b", re.IGNORECASE)
PARTS = re.compile(r"[,;]|\band\b|\bplus\b|\+|\.(?=\s|$)")
BETWEEN = ("PROSE", "COMMA", "COLON", "STOP", "AND", "NOTE")
VERBS = {"do", "does", "doing", "perform", "performs", "use", "uses"}


def replaced(text: str, version: str, start: int, end: int, words: Callable[[int, int], list[Tok]]) -> list[Instead] | None:
    """What a stretch of the text says is done in a version instead of what; None where it says anything else."""
    found: list[Instead] = []
    for begins, ends in _parts(text, start, end):
        cue = CUE.search(text, begins, ends)
        if cue is None:
            return None
        new, old = _movement(words(begins, cue.start())), _movement(words(cue.end(), ends))
        if new is None or old is None:
            return None
        found.append(Instead(version, old.key, new.key, new.name or text[new.start : new.end], Span(begins, ends)))
    return found


def _parts(text: str, start: int, end: int) -> Iterator[tuple[int, int]]:
    at = start
    for one in [*PARTS.finditer(text, start, end), None]:
        stop = one.start() if one else end
        if text[at:stop].strip():
            yield at + len(text[at:stop]) - len(text[at:stop].lstrip()), at + len(text[at:stop].rstrip())
        at = one.end() if one else end


def _movement(toks: list[Tok]) -> Tok | None:
    """The one movement that is named; None where more is said."""
    left = [tok for tok in toks if tok.kind not in BETWEEN and tok.text.casefold() not in VERBS]
    return left[0] if [tok.kind for tok in left] == ["MOVE"] else None


def place_instead(draft: Draft, talk: Talk) -> None:
    """Gives what is done instead to the work that it is for; where a load is another matter, it is asked."""
    for one in list(draft.instead):
        works = [work for stretch in draft.stretches for work in stretch.works if work.key == one.old and work.known]
        loaded = any(work.load is not None for work in works) or loadable(Work(one.name, one.key, True, one.span, one.span))
        if not works or loaded:
            told = talk.text[one.span.start : one.span.end]
            talk.cannot(one.span, f"“{told}”: other work for one version is set in the event, as a variant.")
            draft.instead.remove(one)
            continue
        for work in works:
            work.instead[one.version] = one.name
