"""The bars of a lift window: which declaration stands at each, which one waits, since when it has been free; and a judged try."""

from dataclasses import dataclass, field
from typing import NamedTuple

from app.rules.records.marks import Mark


@dataclass(frozen=True, slots=True)
class Try:
    """One judged try: its mark, the declaration it was made under, its attempt (the id of its declaration as it stood then, also
    of one that was taken back since, else its own), the mark of the bar leaving its rack, whose it was, the time that the attempt
    had when the bar left, and whether the bar had been racked before. apart: it is made again under the same declaration, so what
    is told of the bar since is about the next try; `loaded` was told of its own."""

    mark: Mark
    under: Mark | None
    attempt: str
    begun: Mark | None
    member: int | None
    time: "AttemptTime"
    racked: bool
    apart: bool = False
    loaded: Mark | None = None


@dataclass(frozen=True, slots=True)
class AttemptTime:
    """The time of an attempt: since when it runs, in ms on the heat clock, None where it does not run; how many seconds, None for
    no limit; whether the lifter follows themselves, or may; how far its start may be off, in ms; the moments of which the latest
    began it."""

    since_ms: int | None = None
    seconds: int | None = None
    follows: bool = False
    off_ms: int = 0
    told: tuple["Said", ...] = ()


NO_TIME = AttemptTime()


class Said(NamedTuple):
    """A moment as a clock told it: in ms on the heat clock; how far that clock may have been off; in which life of which device's
    clock, empty where that is not known; and the moment by that life alone, whatever its heat clock was moved by since."""

    at: int
    off_ms: int
    life: str = ""
    own: int = 0


def said(mark: Mark) -> Said:
    """When a mark was made. What was marked before a hold and after it is held to be of two lives, and so is what was marked
    before and after a clock went by the desk's again that had been started by hand."""
    body = mark.body
    if "life" not in body:
        return Said(mark.at, mark.err)
    by = "hand" if body.get("hand") else "desk"
    life = f"{mark.device}/{mark.epoch}/{body['life']}/{by}/{body.get('held', 0)}"
    return Said(mark.at, mark.err, life, mark.at - body.get("moved", 0))


def latest(*moments: Said) -> Said:
    """The latest of some moments, off by as much as the last that any of them may have been lies after it: before it it may lie
    by its own clock's bound alone, which is no more."""
    at = max(one.at for one in moments)
    return Said(at, max(one.at + one.off_ms for one in moments) - at)


@dataclass(slots=True)
class Stands:
    """Which declaration stands at a bar, and which one waits for it."""

    now: Mark | None = None
    next: Mark | None = None

    def declare(self, mark: Mark, out: bool) -> None:
        """A new one stands, or waits while the bar is out."""
        self.now, self.next = (self.now, mark) if out else (mark, None)

    def unseen(self, named: Mark) -> bool:
        """The bar left under one that had been replaced, unseen: it stands, the newer one waits. Whether that was so."""
        if self.now is None or named.order >= self.now.order:
            return False
        self.now, self.next = named, self.now
        return True

    def rack(self, named: str | None) -> bool:
        """The bar of the declaration with that id is racked; whether it was the one that stood."""
        if self.now is None or self.now.id != named:
            return False
        self.now = None
        return True

    def over(self) -> None:
        """What waits stands."""
        if self.next is not None:
            self.now, self.next = self.next, None


@dataclass(slots=True)
class Bar:
    """One bar: what stands of the declarations that were not taken back (`kept`) and what stood at the time (`made`); while the
    bar is out, the mark that says so, the declaration it is out under and the time that the attempt had; the last one lifted;
    whether it was tried since it was last free; since when it has been free."""

    free: Said
    kept: Stands = field(default_factory=Stands)
    made: Stands = field(default_factory=Stands)
    out: Mark | None = None
    under: Mark | None = None
    time: AttemptTime = NO_TIME
    lifted: Mark | None = None
    tried: bool = False

    @property
    def standing(self) -> Mark | None:
        """The declaration that stands."""
        return self.kept.now

    @property
    def waiting(self) -> Mark | None:
        """The declaration that waits."""
        return self.kept.next

    def over(self, at: Said) -> None:
        """The attempt is over: what waits stands, and the time of the next one begins."""
        self.out, self.free, self.tried = None, at, False
        self.kept.over()
        self.made.over()
