"""Other movements and numbers for one version: `Scaled: ring rows instead of pull-ups`, `scaled does single-unders + ring rows`,
`Masters: 18 cal row, 15 sit-ups, 12 thrusters @ 35 kg`. In place of what each is done is told, plain by its kind, or asked."""

import re
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, replace

from app.rules.reading.drafts import Amount, Draft, Loaded, Work
from app.rules.reading.scan.pieces import Tok
from app.rules.reading.talk import WITHOUT, Span, Talk
from app.rules.reading.versions.lines import Instead, VersionLine, version_line
from app.rules.reading.versions.loaded_work import is_boxed, loadable, with_what

CUE = re.compile(r"\b(?:instead of|in place of|replaces?|rather than)\b", re.IGNORECASE)
PARTS = re.compile(r"[,;]|\band\b|\bplus\b|\+|\.(?=\s|$)")
ALIKE = re.compile(
    r"\W*(?:(?:all|the|with|at|in|for|everything|rest|else|other|is|are|stays?|numbers?|reps?|repetitions|counts?|rounds|cap|time|"
    r"rx|order)\W+)*(?:the\s+)?same(?:\W+(?:as|rx|numbers?|reps?|repetitions|counts?|rounds|time|cap|order|for|everything|else))*\W*",
    re.IGNORECASE,
)
BETWEEN = ("PROSE", "COMMA", "COLON", "STOP", "AND", "NOTE", "AT")
ARTICLES = {"the", "a", "an", "of", "with", "at"}
VERBS = {"do", "does", "doing", "perform", "performs", "use", "uses"}
AMOUNTS = {"COUNT": "reps", "REPS": "reps", "CALS": "calories", "LENG": "distance", "DUR": "time"}


@dataclass(frozen=True, slots=True)
class OtherWork:
    """What a line says of one version: movements and numbers there, and loads of what is done anyhow."""

    instead: tuple[Instead, ...]
    loads: VersionLine | None


def other_work(
    text: str, version: str, span: Span, words: Callable[[int, int], list[Tok]], done: Collection[str]
) -> OtherWork | None:
    """What a stretch of the text says is done in a version, where movements `done` in the event are; None where it says anything
    else, or tells loads alone."""
    found: list[Instead] = []
    loads: VersionLine | None = None
    for begins, ends in _parts(text, span.start, span.end):
        cue = CUE.search(text, begins, ends)
        if cue is not None:
            new, old = _thing(words(begins, cue.start())), _thing(words(cue.end(), ends))
            if new is None or old is None or old.load is not None:
                return None
            found.append(_instead(text, version, old.thing.key, new, Span(begins, ends)))
            continue
        if ALIKE.fullmatch(text, begins, ends):
            continue
        toks = words(begins, ends)
        new = _thing(toks)
        if new is not None and not _says_no_more(text, begins, ends, new):
            return None
        if new is not None and not (new.load is not None and new.amount is None and new.thing.key in done):
            found.append(_instead(text, version, new.thing.key if new.thing.key in done else "", new, Span(begins, ends)))
        elif (told := version_line(text, toks, version)) is not None:
            loads = replace(told, told=(*loads.told, *told.told)) if loads is not None else told
        else:
            return None
    return OtherWork(tuple(found), loads) if found else None


def _parts(text: str, start: int, end: int) -> Iterator[tuple[int, int]]:
    at = start
    for one in [*PARTS.finditer(text, start, end), None]:
        stop = one.start() if one else end
        if text[at:stop].strip():
            yield at + len(text[at:stop]) - len(text[at:stop].lstrip()), at + len(text[at:stop].rstrip())
        at = one.end() if one else end


@dataclass(frozen=True, slots=True)
class _Thing:
    thing: Tok
    amount: Tok | None
    load: Tok | None


def _thing(toks: Sequence[Tok]) -> _Thing | None:
    """The one movement that is named, with its amount and its load; None where more is said."""
    left = [tok for tok in toks if tok.kind not in BETWEEN and tok.text.casefold() not in VERBS]
    amount = left.pop(0) if left and left[0].kind in AMOUNTS and len(left[0].values) == 1 else None
    load = left.pop() if left and left[-1].kind == "LOAD" and len(left[-1].values) == 1 else None
    return _Thing(left[0], amount, load) if [tok.kind for tok in left] == ["MOVE"] else None


def _says_no_more(text: str, begins: int, ends: int, new: _Thing) -> bool:
    """Whether nothing but what is done is said: not in `women start with the push-ups`."""
    left = list(text[begins:ends])
    for tok in (new.thing, new.amount, new.load):
        if tok is not None:
            left[tok.start - begins : tok.end - begins] = " " * (tok.end - tok.start)
    return set(re.findall(r"[^\W_]+", "".join(left).casefold())) <= VERBS | ARTICLES


def _instead(text: str, version: str, old: str, new: _Thing, span: Span) -> Instead:
    name = new.thing.name or text[new.thing.start : new.thing.end]
    return Instead(version, old, new.thing.key, name, span, new.amount, new.load)


def place_instead(draft: Draft, talk: Talk) -> None:
    """Gives what is done instead to the work that it is for. Where that is not told, nor plain by its kind, it is asked, and so
    is whether what is not named in a list with numbers is done as well."""
    for version in dict.fromkeys(one.version for one in draft.instead):
        every = [one for one in draft.instead if one.version == version]
        if not _in_order(draft, every):
            talk.cannot(every[0].span, f"What “{version}” does in place of what is not clear; it is set as a variant.")
            draft.instead[:] = [one for one in draft.instead if one.version != version]
            continue
        told = {one.old for one in every}
        left = list(dict.fromkeys(work.key for work in _works(draft) if work.key and work.key not in told))
        for one in every:
            old = one.old or _in_place_of(draft, talk, one, left, whole=len(every) == len({work.key for work in _works(draft)}))
            if not old or not _placed(draft, one, old):
                if old:
                    said = talk.text[one.span.start : one.span.end]
                    talk.cannot(
                        one.span, f"“{said}” of “{version}”: for what that is, or its load, is not clear; it is a variant."
                    )
                draft.instead.remove(one)
                continue
            left = [key for key in left if key != old]
        named = any(one.amount is not None or one.old == one.key for one in every)
        if left and named and not any(_cued(talk, one) for one in every):
            _rest_alike(draft, talk, version, left, every)


def _in_order(draft: Draft, every: Sequence[Instead]) -> bool:
    """Whether a list with as many things as the event has them where the event has them: `10 push-ups, 20 air squats` beside 10
    pull-ups and 20 push-ups may be either."""
    keys = list(dict.fromkeys(work.key for work in _works(draft)))
    return len(every) != len(keys) or all(not one.old or one.old == key for one, key in zip(every, keys, strict=True))


def _cued(talk: Talk, one: Instead) -> bool:
    return CUE.search(talk.text, one.span.start, one.span.end) is not None


def _in_place_of(draft: Draft, talk: Talk, one: Instead, left: Sequence[str], whole: bool) -> str:
    """The key of what it is done in place of; empty where somebody sees to it by hand."""
    kinds = [key for key in left if key.endswith(f"_{one.key}") or one.key.endswith(f"_{key}")]
    plain = kinds if len(kinds) == 1 else list(left) if whole and len(left) == 1 else []
    works = {work.key: work for work in _works(draft) if work.key in left}
    said = talk.text[one.span.start : one.span.end]
    if plain:
        talk.assume(f"“{said}” of “{one.version}” is done in place of {works[plain[0]].name}.", one.span)
        return plain[0]
    alike = [key for key in left if one.amount is not None and _alike(works[key], one.amount)]
    order = [*alike, *(key for key in left if key not in alike)]
    answers = [*((key, f"In place of {works[key].name}") for key in order), (WITHOUT, "Go on without it: I see to it by hand")]
    told = talk.ask("instead", one.span, f"“{said}” of “{one.version}”: in place of what?", answers)
    return "" if told == WITHOUT else told


def _alike(work: Work, amount: Tok) -> bool:
    return work.amount is not None and (work.amount.kind, work.amount.values) == (AMOUNTS[amount.kind], amount.values)


def _rest_alike(draft: Draft, talk: Talk, version: str, left: Sequence[str], every: Sequence[Instead]) -> None:
    """`Women: 20 thrusters 30 kg` beside 30 thrusters and 40 box jumps: whether they do the box jumps too."""
    names = " and ".join(dict.fromkeys(work.name for work in _works(draft) if work.key in left))
    span = Span(every[0].span.start, every[-1].span.end)
    answers = [("as-well", f"Yes: {names} too"), (WITHOUT, "No: I see to it by hand")]
    if talk.ask("rest", span, f"What “{version}” does is told, but not {names}. Is that done as well?", answers) != WITHOUT:
        return
    for work in _works(draft):
        work.instead.pop(version, None)
    draft.instead[:] = [one for one in draft.instead if one.version != version]


def _placed(draft: Draft, one: Instead, old: str) -> bool:
    """Whether it could be given to all that it is for: with a load of its own, with none, or as heavy as told for the version."""
    works = [work for work in _works(draft) if work.key == old]
    made = [_made(work, one) for work in works]
    if not works or None in made:
        return False
    for work, other in zip(works, made, strict=True):
        if other is not None:
            work.instead[one.version] = other
    return True


def _made(work: Work, one: Instead) -> Work | None:
    """The work of a version in place of another; None where its load is not said."""
    amount = Amount(AMOUNTS[one.amount.kind], one.amount.values, one.amount.unit) if one.amount is not None else work.amount  # type: ignore[arg-type]
    if one.amount is not None and work.amount is None:
        return None  # under a scheme it has no number of its own
    other = replace(work, name=one.name, key=one.key, known=True, amount=amount, instead={}, load=None, note="")
    if one.load is not None:
        other.load = Loaded(one.load.values, one.load.unit, Span(one.load.start, one.load.end), gear=one.load.key)
    elif loadable(other):
        of_versions = work.load is not None and len(work.load.values) > 1
        if work.key != one.key and not (of_versions and with_what(work) == with_what(other)):
            return None
        other.load = work.load
    elif work.key == one.key:
        other.load = work.load
    other.size = work.size if work.key == one.key or is_boxed(other) == is_boxed(work) else None
    return other


def named_of(draft: Draft, version: str) -> tuple[str, ...]:
    """The names of a version: its own, or those of its men and its women where each version has two numbers."""
    return (version, *(f"{version} {whose}" for whose in draft.paired if whose))


def of_version(draft: Draft, nth: int, work: Work) -> Work:
    """What is done in the version of that place instead of a thing: itself in most, and in the first."""
    if not nth or not work.instead or not draft.names:
        return work
    mine = (other for version, other in work.instead.items() if draft.names[nth] in named_of(draft, version))
    return next(mine, work)


def _works(draft: Draft) -> list[Work]:
    return [work for stretch in draft.stretches for work in stretch.works if not work.rest]
