"""One lane, one tablet at a time: which marks count when two tablets marked in one window."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping, Sequence

from app.rules.records.kinds import JUDGED
from app.rules.records.marks import Mark

Places = Mapping[str, Sequence[int]]  # of each tablet, the places of its marks in the order of all


def doubled(marks: Sequence[Mark], quiet_ms: int) -> frozenset[str]:
    """The marks of one window that a second tablet made while another was at work; they do not count.

    One tablet takes the lane over from another with its first mark after the other's last: then all of both count. Where the
    marks of two lie mixed, two of them that are no more than `quiet_ms` apart may be one repetition that both saw, for a judge
    needs longer from one tablet to another; so of such marks only one tablet's count. Which: as many marks as can count do, and
    of equals the earlier ones. So who really counts is not pulled down by a stray touch on another tablet, and who counts beside
    another adds nothing. The rest waits for a person who strikes out what is wrong on either tablet. Declarations, racked bars,
    notes and signatures may come from anywhere. Common practice, no source. `marks` stand (none is struck out) and come in order.
    Judges on sheets of their own are no second tablet to one another.

    One mark more may count for less here: where it shows that what looked like a handover was none. No rule can add up every
    handover, never count twice what two saw, and never take anything back (rules/workout/less_for_more.py).
    """
    sheets = {mark.sheet for mark in marks}
    if len(sheets) > 1:
        return frozenset().union(*(doubled([mark for mark in marks if mark.sheet == sheet], quiet_ms) for sheet in sheets))
    judged = [mark for mark in marks if mark.kind in JUDGED]
    places: dict[str, list[int]] = {}
    for place, mark in enumerate(judged):
        places.setdefault(mark.device, []).append(place)
    if len(places) < 2:
        return frozenset()
    kept = _most(judged, places, quiet_ms)
    return frozenset(mark.id for place, mark in enumerate(judged) if place not in kept)


def _most(marks: Sequence[Mark], places: Places, quiet_ms: int) -> frozenset[int]:
    """The most marks of which no two are doubled, by their places: from the last backwards, how many can still follow each."""
    times = [mark.at for mark in marks]
    after: dict[int, int | None] = {}
    many: dict[int | None, int] = {None: 0}
    for place in reversed(range(len(marks))):
        followers = (_next(marks, times, places, place, device, quiet_ms) for device in places)
        after[place] = max(followers, key=lambda one: (many[one], -len(marks) if one is None else -one), default=None)
        many[place] = 1 + many[after[place]]
    first = max(range(len(marks)), key=lambda one: (many[one], -one))
    return frozenset(_chain(first, after))


def _chain(first: int, after: Mapping[int, int | None]) -> Iterator[int]:
    place: int | None = first
    while place is not None:
        yield place
        place = after[place]


def _next(marks: Sequence[Mark], times: Sequence[int], places: Places, place: int, device: str, quiet_ms: int) -> int | None:
    """The first mark of a tablet that may count after another mark, by its place; None if there is none."""
    own, theirs = places[marks[place].device], places[device]
    mixed = own is not theirs and times[own[-1]] > times[theirs[0]] and times[theirs[-1]] > times[own[0]]
    behind = max(place + 1, bisect_right(times, times[place] + quiet_ms)) if mixed else place + 1
    index = bisect_left(theirs, behind)
    return theirs[index] if index < len(theirs) else None
