"""What a tally is."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from app.rules.count.lifting.judged import LiftTally
from app.rules.count.lifting.next_attempt import NextAttempt
from app.rules.records.marks import Mark
from app.rules.records.seats import SheetKind
from app.rules.values.units import Load
from app.rules.workout.formats import Format


@dataclass(frozen=True, slots=True)
class Presence:
    """Whether somebody was judging on a sheet, and when: what the sheet's own marks prove.

    Who counted nothing because there was nothing to count, and whose tablet was dark, both have no repetition. What tells them
    apart is what else they judged there: a repetition refused, or one taken back. A note, a stop and what was marked beside the
    windows are told and change no number, so they prove nothing here either. Common practice, no source.

    judged: the windows in which they judged something, be it taken back. signed: those that were over when they signed, which
    the athlete's signature does not show. signs: all moments at which they judged or took something back, in ms on the heat
    clock, in order.
    """

    judged: frozenset[int]
    signed: frozenset[int]
    signs: tuple[int, ...]


NOBODY = Presence(frozenset(), frozenset(), ())


def presence(format: Format, judged: Iterable[int], signs: Iterable[int], signed: Iterable[Mark]) -> Presence:
    """What a sheet shows. `judged`, `signs`: as in Presence; `signed`: the signatures that stand on it."""
    until = max((mark.at for mark in signed if mark.body["who"] != "athlete"), default=-1)
    over = (i for i, window in enumerate(format.windows) if window.task is not None and window.end_ms <= until)
    return Presence(frozenset(judged), frozenset(over), tuple(signs))


@dataclass(frozen=True, slots=True)
class Flag:
    """An odd mark, kept and shown to the head judge: `why` is a key of rules.count.flags.FLAGS."""

    mark: str
    why: str


@dataclass(frozen=True, slots=True)
class Dark:
    """A stretch of a window, in ms on the heat clock, in which a counter shows nothing and `others` counted: what is taken for
    theirs."""

    kind: SheetKind
    from_ms: int
    to_ms: int
    others: tuple[SheetKind, ...]
    taken: Fraction


@dataclass(frozen=True, slots=True)
class Share:
    """A member's part of a window, None for what is nobody's in particular: repetitions marked and refused, and the measured
    number that counts of theirs."""

    member: int | None
    count: int = 0
    norep: int = 0
    measure: Fraction | None = None


@dataclass(frozen=True, slots=True)
class WindowTally:
    """What one window holds.

    count: repetitions marked. norep: repetitions refused. credited: repetitions of work that count (after target, elimination
    and worth). reps: (time, worth, member) of each credited repetition in order. finish_ms: finish of the work list since the
    window's start. tapped: that finish was marked, else it is the last repetition. left: repetitions of work left of a list
    with an end. measure: the measured number that counts. shares: whose these are, in the order of members. best: the
    heaviest good lift. declaration: id of the declaration that stands, None before one and after its bar was racked. begun:
    id of the mark that the bar left its rack, while it is out. waiting: id of the declaration made meanwhile. loaded: what
    was said to be on the bar of the declaration that stands. free_ms: since when its bar has been free. since_ms,
    attempt_seconds: since when the time of the attempt that stands runs, and how long; None where it does not. since_off_ms:
    how far that start may be off, by the clocks of those who told it. coming: what the next declaration is for, None where no
    load is lifted. comings: the same of each member who declared or lifted. marked: the marks of its counted repetitions, before
    target and elimination. joined: what counts of the counts of several counters together, None while one sheet's own stands.
    by: whose sheets it counts by. away: counters beside them who judged nothing here, though others did. dark: stretches of which
    others' counts are taken for a counter's. unlike: counters who judged otherwise what can't be joined. ruled: a ruling says how
    many count there, or whose sheet. barred: of a list of which nothing counts, for the entry was out, the window as it was.
    """

    index: int
    count: int = 0
    norep: int = 0
    credited: int = 0
    target: int | None = None
    reps: Sequence[tuple[int, int, int | None]] = ()
    finish_ms: int | None = None
    tapped: bool = False
    left: int | None = None
    measure: Fraction | None = None
    shares: tuple[Share, ...] = ()
    lifts: tuple[LiftTally, ...] = ()
    best: LiftTally | None = None
    declaration: str | None = None
    begun: str | None = None
    waiting: str | None = None
    loaded: Load | None = None
    free_ms: int | None = None
    since_ms: int | None = None
    since_off_ms: int = 0
    attempt_seconds: int | None = None
    coming: NextAttempt | None = None
    comings: tuple[tuple[int, NextAttempt], ...] = ()
    marked: tuple[Mark, ...] = ()
    joined: Fraction | None = None
    by: tuple[SheetKind, ...] = ("lane",)
    away: tuple[SheetKind, ...] = ()
    dark: tuple[Dark, ...] = ()
    unlike: tuple[SheetKind, ...] = ()
    ruled: bool = False
    barred: "WindowTally | None" = None

    @property
    def holds(self) -> bool:
        """Whether something was judged in it, be it refused."""
        marked = self.count or self.joined or self.norep or self.lifts
        return bool(marked) or self.measure is not None or self.finish_ms is not None

    @property
    def told(self) -> bool:
        """Whether something that was judged stands in it and may be told. A load that is declared, a bar that has left its rack,
        is no work yet; a lift that the judges are still deciding is not told. What was ruled is, be it that nothing counts."""
        waits = bool(self.lifts) and not self.norep and all(lift.doubt == "waiting" for lift in self.lifts)
        return self.ruled or (self.holds and not waits)

    @property
    def unfinished(self) -> bool:
        """Whether it is of a list with an end that was not reached, be it that no line is left that counts."""
        return self.left is not None and self.finish_ms is None

    @property
    def counted(self) -> Fraction:
        """The repetitions of work that count, whoever counted them."""
        return Fraction(self.credited) if self.joined is None else self.joined


@dataclass(frozen=True, slots=True)
class Tally:
    """A sheet added up. `any_marks` tells an empty sheet (did not start?) from a zero; `recounts` names the windows whose several
    counts lie too far apart to be joined. `seen`: what the sheet shows of whoever judged on it."""

    windows: tuple[WindowTally, ...]
    stops: tuple[str, ...]
    signed: tuple[tuple[str, str], ...]
    flags: tuple[Flag, ...]
    struck: tuple[str, ...]
    any_marks: bool
    recounts: tuple[int, ...] = ()
    seen: Presence = NOBODY

    @property
    def worked(self) -> bool:
        """Whether anything that was judged stands in one of its windows: not what was struck out, or marked beside them all."""
        return any(window.holds for window in self.windows)

    def says(self, window: int) -> bool:
        """Whether it says something of a window, by index: what was judged in it, or, by a signature after its end, that nothing
        was."""
        return self.windows[window].told or window in self.seen.signed
