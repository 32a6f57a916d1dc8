"""Lines of versions (`Masters 35-44: 55 kg bar, 60 cm box`) become loads and heights of several numbers, or a second number."""

from dataclasses import replace

from app.rules.reading.drafts import Amount, Draft, Loaded, Work
from app.rules.reading.talk import Span, Talk
from app.rules.reading.versions.lines import Told, VersionLine
from app.rules.reading.versions.loaded_work import done_with, is_as_high, is_boxed, loadable
from app.rules.reading.versions.paired import lines_in_pairs

BASE = {"Women": "Men", "Men": "Women", "Scaled": "Rx"}
AS_WRITTEN = "As written"
UNLIKE = "The versions do not tell the same things."


def from_lines(draft: Draft, talk: Talk) -> None:
    """Gives what the lines of versions say to what it is for."""
    _named_by_what_is_lifted(draft, talk)
    if [line.name for line in draft.version_lines] == ["Rx"] and not _has_numbers(draft, draft.version_lines[0]):
        _loads_alone(draft, draft.version_lines[0])
        return
    lines = lines_in_pairs(draft, talk, draft.version_lines)
    names = [line.name for line in lines]
    if len(set(names)) != len(names):
        talk.red(lines[-1].span, "A version is told twice.")
    elif lines and (len(draft.version_lines) == 1 or _has_numbers(draft, lines[0])):
        base = BASE.get(draft.version_lines[0].name, AS_WRITTEN) if len(draft.version_lines) == 1 else AS_WRITTEN
        bases = tuple(f"{base} {whose}".strip() for whose in draft.paired or ("",))
        draft.versions = len(lines) + len(bases)
        _further_numbers(draft, talk, lines, (*bases, *names))
    elif lines:
        _several(draft, talk, lines)


def _named_by_what_is_lifted(draft: Draft, talk: Talk) -> None:
    """`Log: 70 kg` where log presses are done: no version has that name, but what is lifted."""
    for line in [one for one in draft.version_lines if len(one.told) == 1 and one.told[0].tok.kind == "LOAD"]:
        words = [(work, work.name.casefold().split()) for work in _works(draft) if not work.load and not work.rest]
        alike = [work for work, name in words if line.name.casefold() in name]
        tok = line.told[0].tok
        if not alike or len({work.name.casefold() for work in alike}) > 1 or line.told[0].of:
            continue
        draft.version_lines.remove(line)
        for work in alike:
            work.load = Loaded(tok.values, tok.unit, Span(tok.start, tok.end))
        talk.assume(f"“{talk.text[line.span.start : line.span.end]}” is for {alike[0].name}.", line.span)


def _loads_alone(draft: Draft, line: VersionLine) -> None:
    """`Rx: 43/30 kg`, and no other version: loads that stand apart."""
    for one in line.told:
        span = Span(one.tok.start, one.tok.end)
        if one.tok.kind == "LOAD":
            draft.loose.append(("", Loaded(one.tok.values, one.tok.unit, span, line.whose, one.of)))
        else:
            size = Amount("size", one.tok.values, one.tok.unit)
            draft.loose[-1:] = [(of, replace(load, size=size)) for of, load in draft.loose[-1:]]


def _has_numbers(draft: Draft, line: VersionLine) -> bool:
    """Whether what the line tells has a number already, without a version."""
    loads = [work for work in _works(draft) if work.load and loadable(work)]
    told = [one for one in line.told if one.tok.kind == "LOAD"]
    return bool(told) and all(any(_meant(work, one) for work in loads) for one in told)


def _several(draft: Draft, talk: Talk, lines: list[VersionLine]) -> None:
    names = tuple(line.name for line in lines)
    lines = _as_the_first(lines)
    kinds = {tuple((one.of, one.tok.kind, one.tok.unit) for one in line.told) for line in lines}
    if len(kinds) != 1:
        talk.red(lines[-1].span, UNLIKE)
        return
    draft.versions = len(lines)
    for told in zip(*(line.told for line in lines), strict=True):
        first, span = told[0], Span(told[0].tok.start, told[0].tok.end)
        values = tuple(one.tok.values[0] for one in told)
        if first.tok.kind == "LOAD":
            draft.loose.append(("", Loaded(values, first.tok.unit, span, names, first.of)))
        else:
            _heights(draft, talk, first, Amount("size", values, first.tok.unit), names)


def _as_the_first(lines: list[VersionLine]) -> list[VersionLine]:
    """`Rx men: thruster 50 kg, kettlebell 28 kg`, and below it `Rx women: 35 kg, 20 kg`: of what each is, as in the first."""
    first = [(one.tok.kind, one.tok.unit) for one in lines[0].told]
    return [
        replace(line, told=tuple(replace(one, of=like.of) for one, like in zip(line.told, lines[0].told, strict=True)))
        if [(one.tok.kind, one.tok.unit) for one in line.told] == first and not any(one.of for one in line.told)
        else line
        for line in lines
    ]


def _heights(draft: Draft, talk: Talk, told: Told, size: Amount, names: tuple[str, ...]) -> None:
    works = [work for work in _works(draft) if work.size is None and _as_high(work, told)]
    for work in works:
        work.size, work.versions = size, names
    if not works:
        talk.red(Span(told.tok.start, told.tok.end), "There is nothing that this height could be for.")


def _further_numbers(draft: Draft, talk: Talk, lines: list[VersionLine], names: tuple[str, ...]) -> None:
    """`Scaled: thrusters 30 kg` under thrusters with 43 kg: every further version has all that one of them has."""
    if len({tuple((one.of, one.tok.kind, one.tok.unit) for one in line.told) for line in lines}) != 1:
        talk.red(lines[-1].span, UNLIKE)
        return
    for told in zip(*(line.told for line in lines), strict=True):
        values = tuple(one.tok.values[0] for one in told)
        found = _loads_get if told[0].tok.kind == "LOAD" else _heights_get
        if not found(draft, told[0], values, names, len(names) - len(lines)):
            talk.red(Span(told[0].tok.start, told[0].tok.end), "For what this is, and what the first version has, is not clear.")


def _loads_get(draft: Draft, told: Told, values: tuple[str, ...], names: tuple[str, ...], of_first: int) -> bool:
    works = [work for work in _works(draft) if work.load and len(work.load.values) == of_first and _meant(work, told)]
    if len({(work.load.values, work.load.unit) for work in works if work.load}) != 1:
        return False
    for work in works:
        if (old := work.load) is not None:
            if "" not in (old.unit, told.tok.unit) and old.unit != told.tok.unit:
                return False
            work.load = Loaded((*old.values, *values), told.tok.unit or old.unit, old.span, names, old.gear, old.size)
    return True


def _heights_get(draft: Draft, told: Told, values: tuple[str, ...], names: tuple[str, ...], of_first: int) -> bool:
    works = [work for work in _works(draft) if work.size and len(work.size.values) == of_first and is_as_high(work, told.of)]
    if not told.of:  # `to the 9 ft line`, beside boxes in inches
        works = [work for work in works if work.size and work.size.unit == told.tok.unit]
    sizes = {(work.size.values, work.size.unit) for work in works if work.size}
    if len(sizes) != 1 or next(iter(sizes))[1] != told.tok.unit:
        return False
    for work in works:
        if work.size is not None:
            work.size, work.versions = Amount("size", (*work.size.values, *values), work.size.unit), names
    return True


def _as_high(work: Work, told: Told) -> bool:
    return is_as_high(work, told.of) if told.of else is_boxed(work)


def _meant(work: Work, told: Told) -> bool:
    return (loadable(work) and not told.of) or (
        bool(told.of) and (loadable(work) or bool(work.load)) and done_with(work, told.of)
    )


def _works(draft: Draft) -> list[Work]:
    return [work for stretch in draft.stretches for work in stretch.works]
