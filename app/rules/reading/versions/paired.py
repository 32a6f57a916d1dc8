"""Two numbers under the name of each version (`RX 43/30 kg`, below it `Scaled 30/20 kg`): men and women of each of them."""

from collections.abc import Sequence
from dataclasses import replace

from app.rules.reading.drafts import Amount, Draft, Loaded
from app.rules.reading.talk import Span, Talk
from app.rules.reading.versions.lines import Told, VersionLine

SEXES = ("men", "women")
GRADES = ("Rx", "scaled")
FIRST_ONLY = "first"


def whose_of_each(draft: Draft, talk: Talk, names: Sequence[str], span: Span, said: tuple[str, ...] = ()) -> tuple[str, ...]:
    """Whose the first and the second number of each version are: told, or asked once for all; one name where the second is
    left out."""
    if not draft.paired:
        within = GRADES if {name.casefold() for name in names} <= set(SEXES) else SEXES
        first, second = within
        answers = [
            (f"{first}-{second}".casefold(), f"{first.capitalize()}, then {second}, of each"),
            (f"{second}-{first}".casefold(), f"{second.capitalize()}, then {first}, of each"),
            (FIRST_ONLY, "Only the first numbers count"),
        ]
        text = talk.text[span.start : span.end]
        if not said and {one.casefold() for one in within} == set(draft.whose):
            said = draft.whose
        told = "-".join(said) or talk.ask("sexes", span, f"Two numbers stand in “{text}”. Whose are they?", answers)
        draft.paired = within if told == answers[0][0] else within[::-1] if told == answers[1][0] else ("",)
    return draft.paired


def each_named(draft: Draft, talk: Talk, names: Sequence[str], span: Span, said: tuple[str, ...] = ()) -> tuple[str, ...]:
    """`Rx men`, `Rx women`, `Scaled men`, …: the names of all."""
    return tuple(f"{name} {whose}".strip() for name in names for whose in whose_of_each(draft, talk, names, span, said))


def lines_in_pairs(draft: Draft, talk: Talk, lines: Sequence[VersionLine]) -> list[VersionLine]:
    """The lines of versions, each that tells two numbers for a thing as two lines."""
    double = next((one.tok for line in lines for one in line.told if len(one.tok.values) > 1), None)
    if double is None:
        return list(lines)
    amounts = [work.amount for stretch in draft.stretches for work in stretch.works if work.amount]
    unclear = not double.unit and any(len(amount.values) > 1 for amount in amounts)  # `Scaled: 15/12`: calories, or a load
    if (draft.members or 1) > 1 or unclear:
        told = "Two numbers in every version, of teams or beside calories of two, are set in the event, as variants."
        talk.cannot(Span(double.start, double.end), told)
        return []
    said = next((line.whose for line in lines if line.whose), ())
    whose = whose_of_each(draft, talk, [line.name for line in lines], Span(double.start, double.end), said)
    if len(whose) == 1:
        _first_alone(draft)
    return [
        replace(line, name=f"{line.name} {of}".strip(), told=tuple(_nth(one, place) for one in line.told))
        for line in lines
        for place, of in enumerate(whose)
    ]


def _first_alone(draft: Draft) -> None:
    """Of two numbers of the event itself the first counts as well."""
    draft.loose[:] = [(of, load if load.versions else replace(load, values=load.values[:1])) for of, load in draft.loose]
    for work in (work for stretch in draft.stretches for work in stretch.works):
        if work.load is not None and not work.load.versions:
            work.load = replace(work.load, values=work.load.values[:1])
        if work.amount is not None and not work.versions:
            work.amount = replace(work.amount, values=work.amount.values[:1])
        if work.size is not None and not work.versions:
            work.size = replace(work.size, values=work.size.values[:1])


def _nth(told: Told, place: int) -> Told:
    values = told.tok.values
    return replace(told, tok=replace(told.tok, values=(values[min(place, len(values) - 1)],)))


def pair_up(draft: Draft, talk: Talk) -> None:
    """`10 deadlifts (RX 100/70 kg, Scaled 70/50 kg)`: names of which each has two numbers; and how many versions there are."""
    draft.loose[:] = [(of, _load_of_pairs(draft, talk, load)) for of, load in draft.loose]
    draft.versions = max([draft.versions, *(len(load.versions) for _, load in draft.loose)])
    for work in (work for stretch in draft.stretches for work in stretch.works):
        if work.load is not None:
            work.load = _load_of_pairs(draft, talk, work.load)
        size = work.size
        if isinstance(size, Amount) and _in_pairs(size.values, work.versions):
            names = each_named(draft, talk, work.versions, work.span)
            work.size, work.versions = replace(size, values=_left(size.values, work.versions, names)), names
        told: list[tuple[str, ...]] = [work.versions, *([work.load.versions] if isinstance(work.load, Loaded) else [])]
        draft.versions = max(draft.versions, *(len(names) for names in told))
    if len(draft.paired) == 1:
        _first_alone(draft)


def _load_of_pairs(draft: Draft, talk: Talk, load: Loaded) -> Loaded:
    if not _in_pairs(load.values, load.versions):
        return load
    names = each_named(draft, talk, load.versions, load.span)
    return replace(load, versions=names, values=_left(load.values, load.versions, names))


def _in_pairs(values: Sequence[str], names: Sequence[str]) -> bool:
    return len(names) > 1 and len(values) == 2 * len(names)


def _left(values: tuple[str, ...], before: Sequence[str], names: Sequence[str]) -> tuple[str, ...]:
    """The numbers that count: all of them, or the first of each two."""
    return values[::2] if len(names) == len(before) else values
