"""Rounds that are told apart: `x 3 rounds` below all that is done, and those of each version."""

from copy import deepcopy

from app.rules.reading.drafts import Group, Stretch
from app.rules.reading.talk import Span
from app.rules.reading.things import Things

MOST_AGAIN = 30


def rounds_told_last(things: Things) -> None:
    """Rounds under which nothing stands are those of what stands above them, where that is one list, or windows in a row."""
    told = things.draft.stretches
    if not told or things.pick or not (empty := _empty(told[-1])):
        return
    last, rounds, span = told[-1], empty.rounds, empty.rounds_span
    works = [group for group in last.groups if group.works]
    if len(works) == 1 and last.kind in ("", "time") and len(told) == 1 and works[0].rounds == 1 and not works[0].scheme:
        works[0].rounds, works[0].rounds_span = rounds, span
        last.groups.remove(empty)
    elif not last.works and _in_a_row(told[:-1]) and rounds <= MOST_AGAIN:
        told.pop()
        told += [deepcopy(one) for _ in range(rounds - 1) for one in list(told)]
    else:
        return
    things.talk.assume(f"“{_said(things, span)}” goes for all that stands above it.", span)


def rounds_of_this_version(things: Things) -> None:
    """`Elite: 5 rounds, Intermediate: 4 rounds`: of a list that is done for time, and of no windows."""
    told = things.draft.rounds_of
    if told is None:
        return
    groups = [
        group
        for stretch in things.draft.stretches
        for group in stretch.groups
        if group.rounds_span == told.span and stretch.kind in ("", "time") and not things.draft.of_both
    ]
    for group in groups:
        group.rounds = told.counts[min(things.pick, len(told.counts) - 1)]
    if not groups:
        where = "in a mixed entry" if things.draft.of_both else "where there are windows, a bell or a rest between them"
        things.talk.red(told.span, f"Rounds of each version can't be told {where}.")


def _empty(last: Stretch) -> Group | None:
    """A heading of rounds at the end, under which there is nothing."""
    group = last.groups[-1]
    plain = not group.works and group.rounds > 1 and not group.scheme and not group.role and group.label is None
    return group if plain and group.rounds_span and (len(last.groups) > 1 or not last.kind) else None


def _in_a_row(told: list[Stretch]) -> bool:
    plain = [one for one in told if not one.rest_only]
    timed = all(one.kind == "windows" and one.seconds and not one.count and one.start is None for one in plain)
    return len(plain) > 1 and timed and all(not one.who for one in plain)


def _said(things: Things, span: Span | None) -> str:
    return things.talk.text[span.start : span.end] if span else ""
