"""The weight that the bar of a platform does not go below, where its event has it so: the heaviest that it was called with in the
lift at hand, on any of the platform's sheets (never less once a lift was made at the weight announced: an older edition of the
rules of weightlifting, quoted by a page of physical education; that the call alone is enough: from memory).

A declaration below it is kept and flagged, and its lifter is not called with it. Marks come in one order on every device
(records/marks.py), so devices that were apart agree. static/js/rules/lifting/bar_floor.js is the twin.
"""

from collections.abc import Iterable, Iterator, Sequence
from itertools import chain

from app.rules.records.marks import Mark, body_load
from app.rules.values.units import Load


def bar_floor(sheets: Iterable[Sequence[Mark]], window: int) -> Load | None:
    """The heaviest load that the bar was called with, or left with, in a window; None before anybody was called. sheets: the
    marks of each lane, with those that were taken back."""
    *_, last = [None, *(floor for _, floor in _through(sheets, window))]
    return last


def declared_below(sheets: Iterable[Sequence[Mark]], window: int) -> dict[str, Load]:
    """The declarations of a window that were below the bar when they were made, each with what the bar had been called with."""
    through = _through(sheets, window)
    return {mark.id: floor for mark, floor in through if mark.kind == "declare" and floor and body_load(mark.body) < floor}


def _through(sheets: Iterable[Sequence[Mark]], window: int) -> Iterator[tuple[Mark, Load | None]]:
    """The marks of a window on all sheets in order, each with the heaviest call by then."""
    every = list(chain.from_iterable(sheets))
    struck = {mark.body["mark"] for mark in every if mark.kind == "strike"}
    loads = {mark.id: body_load(mark.body) for mark in every if mark.kind == "declare"}
    floor: Load | None = None
    for mark in sorted(every, key=lambda mark: mark.order):
        if mark.win != window or mark.id in struck:
            continue
        called = loads.get(mark.body.get("declared", "")) if mark.kind in ("called", "begun") else None
        if called is not None and (floor is None or called > floor):
            floor = called
        yield mark, floor
