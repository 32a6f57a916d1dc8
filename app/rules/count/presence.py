"""Whether somebody was judging on a sheet, and when: what the sheet's own marks prove.

Who counted nothing because there was nothing to count, and whose tablet was dark, both have no repetition. What tells them apart
is what else they judged there: a repetition refused, or one taken back. A note, a stop and what was marked beside the windows are
told and change no number, so they prove nothing here either. Common practice, no source.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from app.rules.records.kinds import JUDGED
from app.rules.records.marks import Mark
from app.rules.workout.formats import Format


@dataclass(frozen=True, slots=True)
class Presence:
    """What a sheet shows of whoever judged on it.

    judged: the windows in which they judged something, be it taken back. signed: those that were over when they signed, which
    the athlete's signature does not show. signs: all moments at which they judged or took something back, in ms on the heat
    clock, in order.
    """

    judged: frozenset[int]
    signed: frozenset[int]
    signs: tuple[int, ...]


NOBODY = Presence(frozenset(), frozenset(), ())


def presence(format: Format, where: Mapping[str, int], marks: Mapping[str, Mark], struck: Collection[str]) -> Presence:
    """What the marks of one sheet, by id, show. `where`: the window in which each mark counts, or would if it had not been struck
    out."""
    judged = [mark for mark in marks.values() if mark.id in where and mark.kind in JUDGED]
    strikes = [mark for mark in marks.values() if mark.kind == "strike" and mark.body["mark"] in where]
    signed = [mark for mark in marks.values() if mark.kind == "sign" and mark.id not in struck and mark.body["who"] != "athlete"]
    until = max((mark.at for mark in signed), default=-1)
    over = (i for i, window in enumerate(format.windows) if window.task is not None and window.end_ms <= until)
    signs = sorted({mark.at for mark in [*judged, *strikes]})
    return Presence(frozenset(where[mark.id] for mark in judged), frozenset(over), tuple(signs))
