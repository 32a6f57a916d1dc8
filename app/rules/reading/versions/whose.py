"""What a legend (`M/F`, told apart from the numbers) says of all pairs of numbers whose names stand nowhere else."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from app.rules.reading.drafts import Amount, Draft, Loaded, Work
from app.rules.reading.talk import Span, Talk

GREATER_FIRST = {("men", "women"): True, ("women", "men"): False, ("rx", "scaled"): True, ("scaled", "rx"): False}
TWO_ORDERS = "The numbers are told in two orders."


def tell_whose(draft: Draft, talk: Talk) -> None:
    """Gives the names of a legend to all pairs of numbers without names. Not where legends contradict one another, nor where a
    pair has its greater number where the legend has the lesser: whose they are is asked then, as without one."""
    told = list(dict.fromkeys(one.names for one in draft.legends if not (one.short and _may_be_members(draft))))
    if len(told) > 1:
        talk.red(Span(draft.legends[-1].start, draft.legends[-1].end), TWO_ORDERS)
    if len(told) != 1 or not all(_fit(values, told[0]) for values in _pairs(draft)):
        return
    if draft.slashed is not None and draft.nth is None:
        talk.red(draft.slashed, "Whether both are done, or each in one of the versions, is not said.")
    draft.whose = told[0]
    for work in _works(draft):
        if work.load is not None and not work.versions:
            _named(work.load, told[0])
        if not work.versions and any(len(one.values) == 2 for one in (work.amount, work.size) if isinstance(one, Amount)):
            work.versions = told[0]
    for _, load in draft.loose:
        _named(load, told[0])
    draft.heights = [(of, size, names or told[0], span) for of, size, names, span in draft.heights]
    if draft.rounds_of is not None and not draft.rounds_of.names and len(draft.rounds_of.counts) == 2:
        draft.rounds_of = replace(draft.rounds_of, names=told[0])


def _may_be_members(draft: Draft) -> bool:
    """`M/F` in an event of pairs: a man and a woman, or pairs of men and pairs of women."""
    return (draft.members or 1) > 1


def _named(load: Loaded, names: tuple[str, str]) -> None:
    if len(load.values) == 2 and not load.versions:
        load.versions = names


def _fit(values: Sequence[str], names: tuple[str, str]) -> bool:
    one, other = (Fraction(value) for value in values)
    greater_first = GREATER_FIRST.get(names)
    return greater_first is None or one == other or (one > other) == greater_first


def _pairs(draft: Draft) -> Iterator[Sequence[str]]:
    """The pairs of numbers whose names stand nowhere."""
    told: list[tuple[Sequence[str], Sequence[str]]] = [(load.values, load.versions) for _, load in draft.loose]
    for work in _works(draft):
        if work.load is not None:
            told.append((work.load.values, work.load.versions or work.versions))
        told += [(one.values, work.versions) for one in (work.amount, work.size) if isinstance(one, Amount)]
    told += [(size.values, names) for _, size, names, _ in draft.heights]
    if draft.rounds_of is not None:
        told.append(([str(count) for count in draft.rounds_of.counts], draft.rounds_of.names))
    told += [(one.tok.values, line.whose) for line in draft.version_lines for one in line.told]
    yield from (values for values, names in told if len(values) == 2 and not names)


def _works(draft: Draft) -> Iterator[Work]:
    for stretch in draft.stretches:
        yield from stretch.works
        if stretch.held is not None:
            yield stretch.held
