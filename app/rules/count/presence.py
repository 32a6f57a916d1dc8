"""Whether somebody was judging a window on a sheet: what the sheet's own marks prove.

Who counted nothing because there was nothing to count, and whose tablet was dark, both have no repetition. What tells them apart
is what else they judged there: a repetition refused, one taken back, or their own signature under the sheet after it. The
athlete's says nothing of who counted. Where there is nothing of the kind, nobody is known to have been there. A note, a stop and
what was marked beside the windows are told and change no number, so they prove nothing here either. Common practice, no source.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from app.rules.count.doubts import BOUNDS
from app.rules.count.tally_shape import WindowTally
from app.rules.records.kinds import JUDGED
from app.rules.records.marks import Mark
from app.rules.workout.formats import Format

ENOUGH = 5  # of fewer repetitions nobody can say that two count alike
ONE_IN = 10  # two who count alike are no more than one apart, or one in so many


@dataclass(frozen=True, slots=True)
class Presence:
    """The windows in which a sheet shows that somebody was judging; and of each window until when they are known to have been
    there, in ms on the heat clock: their last mark before its end, or a signature after it."""

    windows: frozenset[int]
    until_ms: Mapping[int, int]


def presence(format: Format, where: Mapping[str, int], marks: Mapping[str, Mark], struck: Collection[str]) -> Presence:
    """What the marks of one sheet, by id, show of whoever judged on it. `where`: the window in which each mark counts, or would
    if it had not been struck out."""
    judged = [mark for mark in marks.values() if mark.id in where and mark.kind in JUDGED]
    strikes = [mark for mark in marks.values() if mark.kind == "strike" and mark.body["mark"] in where]
    signed = [mark for mark in marks.values() if mark.kind == "sign" and mark.id not in struck and mark.body["who"] != "athlete"]
    until = max((mark.at for mark in signed), default=None)
    windows = {where[mark.id] for mark in judged}
    if until is not None:
        windows |= {i for i, window in enumerate(format.windows) if window.task is not None and window.end_ms <= until}
    return Presence(frozenset(windows), dict(_until(format, [mark.at for mark in [*judged, *strikes]], until)))


def _until(format: Format, moments: Sequence[int], signed_ms: int | None) -> Iterator[tuple[int, int]]:
    signed = [] if signed_ms is None else [signed_ms]
    for index, window in enumerate(format.windows):
        there = [*(at for at in moments if at < window.end_ms), *signed]
        if there:
            yield index, max(there)


def fell_dark(window: WindowTally, until_ms: int | None, other: WindowTally, end_ms: int) -> bool:
    """Whether a counter's tablet went dark in the middle of a window, which ends at `end_ms`, while another counted on.

    Nothing at all came from it in the window after its last repetition there (`until_ms`: until when somebody was there, see
    Presence), and no signature later, though it may be back for the next window; up to then both had counted alike; and the other
    went on for longer than a lane that is at work is silent.
    """
    if window.count < ENOUGH or until_ms is None or until_ms > window.marked[-1].at:
        return False
    since = window.marked[-1].at
    before = sum(1 for mark in other.marked if mark.at <= since)
    alike = abs(before - window.count) <= max(1, window.count // ONE_IN)
    return alike and _goes_on([mark.at for mark in other.marked], since, end_ms)


def _goes_on(times: Sequence[int], since: int, end_ms: int) -> bool:
    """Whether somebody counted in each half of a span that is too long to be silent, and up to its end."""
    middle, until = since + BOUNDS.silent_ms // 2, since + BOUNDS.silent_ms
    halves = any(since < at <= middle for at in times) and any(middle < at for at in times)
    return until <= end_ms and halves and times[-1] >= until
