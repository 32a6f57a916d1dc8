"""The bars of a lift window, mark by mark: which declaration each stands under, when it is locked, what was really on it.

A declaration can be changed until the bar leaves the rack; from then on it is locked for that lift. What is declared meanwhile
waits, and stands when the attempt is over: with a good lift, with the bar racked, or with the one try that the event allows. What
is said of a bar from elsewhere, after it has left the rack, waits for a ruling (authority.py); marks come as they were heard.
static/js/rules/lift_floor.js is its twin.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from app.rules.records.authority import waits
from app.rules.records.kinds import ROWS, Lock
from app.rules.records.marks import Mark
from app.rules.workout.formats import LiftTask, Window

Odd = list[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class Try:
    """One judged try: its mark, the declaration it was made under, its attempt (the id of its declaration, also of one that was
    taken back since, else its own), the mark of the bar leaving its rack, whose it was, since when the bar had been free for this
    attempt (ms on the heat clock), and whether the bar had been racked before."""

    mark: Mark
    under: Mark | None
    attempt: str
    begun: Mark | None
    member: int | None
    free_ms: int
    racked: bool


@dataclass(slots=True)
class Bar:
    """One bar: the declaration that stands; while the bar is out, the mark that says so and the declaration it is out under; the
    declaration that waits; the last one lifted; whether it was tried since it was last free; since when it has been free (ms on
    the heat clock)."""

    free_ms: int
    standing: Mark | None = None
    out: Mark | None = None
    under: Mark | None = None
    waiting: Mark | None = None
    lifted: Mark | None = None
    tried: bool = False

    def over(self, at: int) -> None:
        """The attempt is over: what waits stands, and the time of the next one begins."""
        self.out, self.free_ms, self.tried = None, at, False
        if self.waiting is not None:
            self.standing, self.waiting = self.waiting, None


@dataclass(slots=True)
class Floor:
    """The window as its marks leave it: the tries in order, what was said to be on the bar by declaration, and what is odd."""

    task: LiftTask
    window: Window
    tries: list[Try] = field(default_factory=list)
    loaded: dict[str, Mark] = field(default_factory=dict)
    odd: Odd = field(default_factory=list)
    bars: dict[int | None, Bar] = field(default_factory=dict)
    declared: dict[str, Mark] = field(default_factory=dict)
    racked: set[str] = field(default_factory=set)
    locks: dict[str, Lock] = field(default_factory=dict)  # what the judge's hand had done under a declaration

    def bar(self, member: int | None) -> Bar:
        """The bar of a member: their own where each has one, else the one bar."""
        key = member if self.task.bars == "each" else None
        return self.bars.setdefault(key, Bar(self.window.start_ms))

    def newest(self) -> Bar:
        """The bar whose declaration was made last; the one bar where there is only one."""
        standing = [bar for bar in self.bars.values() if bar.standing is not None]
        return max(standing, key=lambda bar: bar.standing.order if bar.standing else (), default=self.bar(None))

    def member(self, mark: Mark, under: Mark | None = None) -> int | None:
        """Whose a mark is: as it says, as its declaration says, else the window's only member's, else nobody's in particular."""
        only = self.window.who[0] if isinstance(self.window.who, tuple) and len(self.window.who) == 1 else None
        return mark.body.get("member") or (under.body.get("member") if under else None) or only

    def named(self, mark: Mark) -> Mark | None:
        """The declaration that a mark names, if it is on this sheet and in this window."""
        return self.declared.get(mark.body.get("declared", ""))


def walk(task: LiftTask, window: Window, marks: Sequence[Mark]) -> Floor:
    """Takes the marks of one window in order."""
    floor = Floor(task, window, declared={mark.id: mark for mark in marks if mark.kind == "declare"})
    for mark in marks:
        step = STEPS.get(mark.kind)
        if step is not None:
            step(floor, mark)
    return floor


def _declare(floor: Floor, mark: Mark) -> None:
    bar = floor.bar(floor.member(mark))
    if bar.out is None:
        bar.standing, bar.waiting = mark, None
        return
    bar.waiting = mark
    if not _another(floor.member(mark), floor.member(bar.out, bar.under)):
        floor.odd.append((mark.id, "declared-late"))


def _begun(floor: Floor, mark: Mark) -> None:
    named = floor.named(mark)
    bar = floor.bar(floor.member(mark, named))
    if bar.out is not None:
        if _another(floor.member(bar.out, bar.under), floor.member(mark, named)):
            floor.odd.append((mark.id, "two-on-bar"))
        return  # else pressed twice
    if named is not None and bar.standing is not None and named.order < bar.standing.order and named.id not in floor.racked:
        floor.odd.append((mark.id, "begun-unseen"))
        bar.waiting, bar.standing = bar.standing, named
    bar.out, bar.under = mark, named or bar.standing
    _lock(floor, mark, bar.under.id if bar.under else None)


def _loaded(floor: Floor, mark: Mark) -> None:
    bar = floor.bar(mark.body["member"]) if "member" in mark.body else floor.newest()
    about = floor.named(mark) or (None if "declared" in mark.body else bar.standing or bar.lifted)
    if about is None:
        floor.odd.append((mark.id, "loads-nothing"))
    elif about.id in floor.locks and mark.receipt is not None and waits(mark, floor.locks[about.id]):
        floor.odd.append((mark.id, floor.locks[about.id]))
    else:
        floor.loaded[about.id] = mark


def _lock(floor: Floor, mark: Mark, declared: str | None) -> None:
    """From the judge's mark on what was on the bar of a declaration is the judge's alone."""
    lock = ROWS[mark.kind].locks
    if declared is not None and lock is not None:
        floor.locks[declared] = lock


def _lift(floor: Floor, mark: Mark) -> None:
    said = floor.bar(mark.body["member"]) if "member" in mark.body else floor.newest()
    under = floor.named(mark) or (said.standing if "declared" not in mark.body else None)
    _lock(floor, mark, under.id if under else None)
    member = floor.member(mark, under)
    bar = floor.bar(member)
    other = bar.out is not None and _another(floor.member(bar.out, bar.under), member)
    out = None if other else bar.out
    attempt = under.id if under else str(mark.body.get("declared", mark.id))
    floor.tries.append(Try(mark, under, attempt, out, member, bar.free_ms, attempt in floor.racked))
    if other:
        floor.odd.append((mark.id, "two-on-bar"))
        return
    bar.out, bar.lifted, bar.tried = None, under or bar.lifted, True
    if mark.body["good"] or not floor.task.tries_until_racked:
        bar.over(mark.at)


def _another(one: int | None, two: int | None) -> bool:
    """Whether two members are known to be two."""
    return one is not None and two is not None and one != two


def _racked(floor: Floor, mark: Mark) -> None:
    """The bar is racked. That ends the attempt that was tried on it, even where its declaration does not stand any more: another
    was made since, or it was taken back."""
    named = mark.body.get("declared")
    bar = _racked_bar(floor, named)
    if named is None and bar.standing is not None:
        named = bar.standing.id
    if named is not None:
        floor.racked.add(named)
    _lock(floor, mark, named)
    if bar.standing is not None and bar.standing.id == named:
        bar.standing = None
        bar.over(mark.at)
    elif bar.tried and bar.out is None:
        bar.over(mark.at)


def _racked_bar(floor: Floor, named: str | None) -> Bar:
    """The bar of the declaration that is named, else of whoever tried under it, else the newest."""
    about = floor.declared.get(named or "")
    if about is not None:
        return floor.bar(floor.member(about))
    tried = [one for one in floor.tries if one.attempt == named]
    return floor.bar(tried[-1].member) if tried else floor.newest()


STEPS = {"declare": _declare, "begun": _begun, "loaded": _loaded, "lift": _lift, "racked": _racked}
