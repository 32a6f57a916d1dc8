"""Whether somebody was judging a window on a sheet: what the sheet's own marks prove.

Who counted nothing because there was nothing to count, and whose tablet was dark, both have no repetition. What tells them apart
is what else they judged there: a repetition refused, one taken back, or their signature under the sheet after it. Where there is
nothing of the kind, nobody is known to have been there. A note, a stop and what was marked beside the windows are told and change
no number, so they prove nothing here either. Common practice, no source.
"""

from collections.abc import Collection, Mapping, Sequence
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
    """The windows in which a sheet shows that somebody was judging, and when they did so last, in ms on the heat clock."""

    windows: frozenset[int]
    last_ms: int | None


def presence(format: Format, where: Mapping[str, int], marks: Mapping[str, Mark], struck: Collection[str]) -> Presence:
    """What the marks of one sheet, by id, show of whoever judged on it. `where`: the window in which each mark counts, or would
    if it had not been struck out."""
    judged = [mark for mark in marks.values() if mark.id in where and mark.kind in JUDGED]
    strikes = [mark for mark in marks.values() if mark.kind == "strike" and mark.body["mark"] in where]
    signed = [mark for mark in marks.values() if mark.kind == "sign" and mark.id not in struck]
    until = max((mark.at for mark in signed), default=None)
    windows = {where[mark.id] for mark in judged}
    if until is not None:
        windows |= {i for i, window in enumerate(format.windows) if window.task is not None and window.end_ms <= until}
    return Presence(frozenset(windows), max((mark.at for mark in [*judged, *strikes, *signed]), default=None))


def fell_dark(window: WindowTally, last_ms: int | None, other: WindowTally, end_ms: int) -> bool:
    """Whether a counter's tablet went dark in the middle of a window, which ends at `end_ms`, while another counted on.

    Nothing at all came from it after its last repetition here (`last_ms`: when its last mark was made), neither a mark nor a
    signature; up to then both had counted alike; and the other went on for longer than a lane that is at work is silent.
    """
    if window.count < ENOUGH or last_ms is None or last_ms > window.marked[-1].at:
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
