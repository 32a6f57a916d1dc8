"""Whether somebody was judging a window on a sheet: what the sheet's own marks prove.

Who counted nothing because there was nothing to count, and whose tablet was dark, both have no repetition. What tells them apart
is anything else that they did: a refused repetition, one taken back, a note or a stop while the window ran, or their signature
under the sheet after it. Where there is nothing of the kind, nobody is known to have been there. Common practice, no source.
"""

from bisect import bisect_left
from collections.abc import Collection, Iterable, Sequence

from app.rules.count.doubts import BOUNDS
from app.rules.count.tally_shape import WindowTally
from app.rules.records.kinds import OF_THE_BAR
from app.rules.records.marks import Mark
from app.rules.workout.formats import Format, Window

ENOUGH = 5  # of fewer repetitions nobody can say that two count alike
ONE_IN = 10  # two who count alike are no more than one apart, or one in so many


def own_marks(marks: Iterable[Mark]) -> list[Mark]:
    """The marks that only whoever judges makes: not the lifter's and the loaders' word on the bar, nor what takes that back."""
    own = {mark.id: mark for mark in marks if mark.kind not in OF_THE_BAR and mark.kind != "plan"}
    return [mark for mark in own.values() if mark.kind != "strike" or mark.body["mark"] in own]


def there(format: Format, own: Sequence[Mark], struck: Collection[str]) -> frozenset[int]:
    """The windows of work in which a judge's own marks on one sheet, struck ones too, show that somebody was judging."""
    stop = min((mark.at for mark in own if mark.kind == "stop" and mark.id not in struck), default=None)
    signed = max((mark.at for mark in own if mark.kind == "sign" and mark.id not in struck), default=None)
    named, times = {mark.win for mark in own}, sorted(mark.at for mark in own)

    def shown(index: int, window: Window) -> bool:
        during = bisect_left(times, window.start_ms) < bisect_left(times, window.end_ms)
        stopped = stop is not None and stop < window.end_ms
        return index in named or during or stopped or (signed is not None and signed >= window.end_ms)

    return frozenset(i for i, window in enumerate(format.windows) if window.task is not None and shown(i, window))


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
