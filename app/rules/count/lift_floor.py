"""The bars of a lift window, mark by mark: which declaration each stands under, when it is locked, what was really on it.

A declaration can be changed until the bar leaves the rack; from then on it is locked for that lift. What is declared meanwhile
waits, and stands when the attempt is over: with a good lift, with the bar racked, or with the one try that the event allows. What
is said of a bar from elsewhere, after it has left the rack, waits for a ruling (authority.py); marks come as they were heard.

A declaration that was taken back stands under no try and says no load. Whose bar it was, and when that bar was racked, it still
says, for as long as it stood: taking it back later moves no time, so it makes no lift late. static/js/rules/lift_floor.js is the
twin.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace

from app.rules.count.lifting.bars import NO_TIME, AttemptTime, Bar, Said, Try, latest, said
from app.rules.count.lifting.decided_twice import Twices, decided_before
from app.rules.count.lifting.judged import Tried, judged
from app.rules.count.lifting.next_attempt import NextAttempt, Over, Turns, automatic, doubtful, is_change, refused
from app.rules.records.authority import waits
from app.rules.records.kinds import ROWS, Lock
from app.rules.records.marks import Mark, body_load
from app.rules.values.units import Load

Odd = list[tuple[str, str]]


@dataclass(slots=True)
class Floor(Tried):
    """The window as its marks leave it: the tries in order, what was said to be on the bar by declaration, and what is odd."""

    odd: Odd = field(default_factory=list)
    bars: dict[int | None, Bar] = field(default_factory=dict)
    declared: dict[str, Mark] = field(default_factory=dict)
    gone: dict[str, Mark] = field(default_factory=dict)  # declarations that were taken back
    locks: dict[str, Lock] = field(default_factory=dict)  # what the judge's hand had done under a declaration
    calls: dict[str, Mark] = field(default_factory=dict)  # the newest call of a lifter by declaration
    turns: dict[int | None, Turns] = field(default_factory=dict)  # each lifter's attempts
    refused: set[str] = field(default_factory=set)  # declarations that the event's rules do not let stand
    admitted: Collection[str] = ()  # marks that a ruling lets count: a declaration among them stands, whatever the rules say
    known: Twices = field(default_factory=Twices)  # which tries are decided twice, as a walk before this one has found
    twices: Twices = field(default_factory=Twices)

    def bar(self, member: int | None) -> Bar:
        """The bar of a member: their own where each has one, else the one bar."""
        key = member if self.task.bars == "each" else None
        return self.bars.setdefault(key, Bar(Said(self.window.start_ms, 0)))

    def newest(self) -> Bar:
        """The bar whose declaration was made last; the one bar where there is only one."""
        standing = [bar for bar in self.bars.values() if bar.standing is not None]
        return max(standing, key=lambda bar: bar.standing.order if bar.standing else (), default=self.bar(None))

    def meant(self, mark: Mark) -> Bar:
        """The bar of the member that a mark names, else the one whose declaration, as they stood then, was made last."""
        if "member" in mark.body:
            return self.bar(mark.body["member"])
        stood = [bar for bar in self.bars.values() if bar.made.now is not None]
        return max(stood, key=lambda bar: bar.made.now.order if bar.made.now else (), default=self.bar(None))

    def member(self, mark: Mark, under: Mark | None = None) -> int | None:
        """Whose a mark is: as it says, as its declaration says, else the window's only member's, else nobody's in particular."""
        only = self.window.who[0] if isinstance(self.window.who, tuple) and len(self.window.who) == 1 else None
        return mark.body.get("member") or (under.body.get("member") if under else None) or only

    def named(self, mark: Mark) -> Mark | None:
        """The declaration that a mark names, if it is on this sheet and in this window."""
        return self.declared.get(mark.body.get("declared", ""))

    def said(self, mark: Mark) -> Mark | None:
        """The same, be it taken back: whose bar a mark is about."""
        return self.named(mark) or self.gone.get(mark.body.get("declared", ""))

    def time_of(self, bar: Bar, under: Mark | None) -> AttemptTime:
        """The time of the attempt at a bar under a declaration, as the marks so far tell it.

        It runs from the bar being free; by the call, from the later of the lifter's call and the bar's being ready for this
        declaration, and not before one of them (from the end of the announcement or of the loading, the later: International
        Weightlifting Federation, Technical and Competition Rules 6.5, second-hand).
        """
        task = self.task
        if task.attempt_seconds is None:
            return NO_TIME
        call = self.calls.get(under.id) if under else None
        ready = self.loaded.get(under.id) if under else None
        told = [said(mark) for mark in (call, ready) if mark is not None]
        if task.by_call and not told:
            return NO_TIME
        moments = (bar.free, *told) if task.by_call else (bar.free,)
        since = latest(*moments)
        follows = self._follows(bar, under, call)
        longer = max(task.attempt_seconds, task.follow_seconds or 0) if follows else task.attempt_seconds
        return AttemptTime(since.at, longer + self._extra(under, call), follows, since.off_ms, moments)

    def _extra(self, under: Mark | None, call: Mark | None) -> int:
        """The seconds beside the usual ones of an attempt that is made again because the bar was loaded wrong; less by a step for
        each lift that lay between, which at a shared bar only the call can say. Nobody loses time by what is not known."""
        task, last = self.task, self.last_of(under)
        if task.again_seconds is None or last is None or not self.void(last):
            return 0
        between = int(call.body.get("between", 0)) if call is not None else 0
        return max(0, task.again_seconds - between * (task.again_less_seconds or 0))

    def coming(self, bar: Bar, member: int | None) -> NextAttempt:
        """What a lifter's next declaration at a bar is for."""
        now, then, before = self.turns.get(member, Turns()).told(self.void)
        if bar.out is not None:
            return then
        if before is not None and (auto := self._by_rule(before.one, now.number)) is not None:
            due_ms = before.at.at + (self.task.declare_seconds or 0) * 1000
            now = replace(now, auto=auto, due_ms=due_ms, over=before.at)
        time = self.time_of(bar, bar.standing) if now.load is not None else NO_TIME
        return replace(now, since_ms=time.since_ms, seconds=time.seconds, told=time.told, follows=time.follows)

    def _by_rule(self, one: Try, number: int) -> Load | None:
        """The load that the rule puts in for an attempt after a try, by what came of it. None where no rule does, while its
        judges have not decided, where the event lists the loads, after the last attempt, and for who is out."""
        task = self.task
        if task.declare_seconds is None or task.loads or (task.attempts is not None and number > task.attempts):
            return None
        mine = [had for had in judged(self) if had.lift.member == one.member]
        lift = next(had.lift for had in mine if had.lift.mark == one.mark.id)
        if mine[-1].out or lift.doubt == "waiting":
            return None
        good = lift.good and lift.counts
        return automatic(task, lift.load if good else lift.asked or lift.load, good)

    def over(self, one: Try, at: Said) -> None:
        """The attempt of a try is over, and the lifter's next one comes."""
        self.turns.setdefault(one.member, Turns()).steps.append(Over(one, at))

    def again(self, under: Mark | None) -> Try | None:
        """A lifter's last try, where it is made again under that declaration, whoever else has lifted since."""
        last = self.last_of(under)
        return last if last is not None and last.under is under and not last.apart and self.void(last) else None

    def last_of(self, under: Mark | None) -> Try | None:
        """The last try of whoever a declaration is for."""
        lifter = self.member(under) if under else None
        return next((one for one in reversed(self.tries) if under and not _another(one.member, lifter)), None)

    def bar_anew(self, under: Mark | None) -> None:
        """The bar is loaded anew, or leaves again, under a declaration: where its try is made again, what was told of the bar
        stays with that try, and what is told from here on is about the next."""
        last = self.again(under)
        if last is None or under is None:
            return
        self.instead(last, replace(last, apart=True, loaded=self.loaded.pop(under.id, None)))
        self.locks.pop(under.id, None)
        self.racked.discard(under.id)

    def stands_again(self, under: Mark) -> None:
        """At a bar that lanes share the declaration of a try that is made again stands for it, though its bar was racked before
        that was known; but not where another was made meanwhile."""
        bar = self.bar(self.member(under))
        if self.task.order != "lanes" and self.again(under) is not None and bar.standing is None:
            bar.made.now = bar.kept.now = under

    def anew(self, known: Twices) -> "Floor":
        """A floor by the same rules before any mark, which knows which tries are decided twice."""
        return Floor(
            self.task,
            self.window,
            self.late_ms,
            self.verdicts,
            self.credited,
            self.asked,
            admitted=self.admitted,
            known=known,
        )

    def flag_twice(self, mark: str) -> None:
        """Which of two unlike decisions of a try should be looked at, if one should."""
        self.odd.extend([(mark, "decided-twice")] if mark else ())

    def instead(self, one: Try, made: Try) -> None:
        """Of a try more is known than was thought."""
        self.tries = [made if had is one else had for had in self.tries]
        for turns in self.turns.values():
            turns.steps = [replace(had, one=made) if isinstance(had, Over) and had.one is one else had for had in turns.steps]

    def _follows(self, bar: Bar, under: Mark | None, call: Mark | None) -> bool:
        """Whether a lifter follows themselves, or may: at a bar that the lanes share only the call can say it, for who lifted
        between stands on other lanes' sheets. Nobody loses time by what is not known."""
        if call is not None and "follows" in call.body:
            return bool(call.body["follows"])
        before = next((one for one in reversed(self.tries) if self.bar(one.member) is bar), None)
        return before is not None and not _another(before.member, self.member(under) if under else None)


def walk(floor: Floor, marks: Sequence[Mark], taken_back: Sequence[Mark] = ()) -> Floor:
    """Takes the marks of one window in order. `taken_back`: the declarations of it that were struck out, and what struck them.
    Where another decision of a try stands than its first, the marks are walked again by what stands."""
    floor.declared = {mark.id: mark for mark in marks if mark.kind == "declare"}
    floor.gone = {mark.id: mark for mark in taken_back if mark.kind == "declare"}
    for mark in sorted([*marks, *taken_back], key=lambda mark: mark.order) if taken_back else marks:
        step = STEPS.get(mark.kind)
        if step is not None:
            step(floor, mark)
    if floor.twices.turned and not floor.known.further:
        return walk(floor.anew(floor.twices), marks, taken_back)
    return floor


def _declare(floor: Floor, mark: Mark) -> None:
    bar = floor.bar(floor.member(mark))
    out = bar.out is not None
    if mark.id in floor.gone:
        bar.made.declare(mark, out)
        return
    if (why := _refused(floor, mark, bar)) is not None:
        floor.odd.append((mark.id, why))
        floor.refused.add(mark.id)
        return
    bar.made.declare(mark, out)
    bar.kept.declare(mark, out)
    if bar.out is not None and not _another(floor.member(mark), floor.member(bar.out, bar.under)):
        floor.odd.append((mark.id, "declared-late"))


def _refused(floor: Floor, mark: Mark, bar: Bar) -> str | None:
    """Why the event's rules do not let a declaration stand; else it is counted among those of its attempt."""
    task, load, member = floor.task, body_load(mark.body), floor.member(mark)
    coming = floor.coming(bar, member)
    asked = (task, floor.window.start_ms, coming, load, said(mark), floor.late_ms)
    why, admitted = refused(*asked), mark.id in floor.admitted
    if why is None and not admitted and (doubt := doubtful(*asked)) is not None:
        floor.odd.append((mark.id, doubt))
    if why is None or admitted:
        change = is_change(task, coming, said(mark), floor.late_ms)
        floor.turns.setdefault(member, Turns()).declared(coming, load, mark.body["by"] == "rule", change, bar.out is not None)
        return None
    return why


def _take_back(floor: Floor, mark: Mark) -> None:
    """From here on stands again what would have stood without the declaration."""
    for bar in floor.bars.values():
        if bar.made.now is not None and bar.made.now.id == mark.body["mark"]:
            bar.made.now = bar.kept.now
        if bar.made.next is not None and bar.made.next.id == mark.body["mark"]:
            bar.made.next = bar.kept.next


def _begun(floor: Floor, mark: Mark) -> None:
    about = floor.said(mark)
    bar = floor.bar(floor.member(mark, about))
    if bar.out is not None:
        if _another(floor.member(bar.out, bar.under), floor.member(mark, about)):
            floor.odd.append((mark.id, "two-on-bar"))
            return
        pressed = floor.pressed.setdefault(bar.out.id, [bar.out.id])
        pressed.append(mark.id)
        floor.pressed[mark.id] = pressed
        return
    if about is not None and about.id in floor.refused:
        bar.made.now = bar.kept.now = about
    elif about is not None and about.id not in floor.racked:
        bar.made.unseen(about)
        if about.id not in floor.gone and bar.kept.unseen(about):
            floor.odd.append((mark.id, "begun-unseen"))
    bar.out, bar.under = mark, about or bar.made.now
    floor.bar_anew(bar.under)
    bar.time = floor.time_of(bar, bar.under)
    for one in (bar.under, bar.standing if about is None else None):
        _lock(floor, mark, one.id if one else None)


def _called(floor: Floor, mark: Mark) -> None:
    about = floor.named(mark) or (None if "declared" in mark.body else floor.meant(mark).standing)
    if about is not None:
        floor.calls[about.id] = mark


def _loaded(floor: Floor, mark: Mark) -> None:
    bar = floor.meant(mark)
    about = floor.named(mark) or (None if "declared" in mark.body else bar.standing or bar.lifted)
    if mark.body["by"] == "loader":
        floor.bar_anew(about)
    if about is None:
        floor.odd.append((mark.id, "loads-nothing"))
    elif about.id in floor.locks and mark.receipt is not None and waits(mark, floor.locks[about.id]):
        floor.odd.append((mark.id, floor.locks[about.id]))
    else:
        floor.loaded[about.id] = mark
        floor.stands_again(about)


def _lock(floor: Floor, mark: Mark, declared: str | None) -> None:
    """From the judge's mark on what was on the bar of a declaration is the judge's alone."""
    lock = ROWS[mark.kind].locks
    if declared is not None and lock is not None:
        floor.locks[declared] = lock


def _lift(floor: Floor, mark: Mark) -> None:
    about = floor.meant(mark)
    if mark.id in floor.known.further:
        floor.flag_twice(floor.known.further[mark.id])
        return
    if (twice := decided_before(floor, mark, floor.admitted)) is not None:
        floor.flag_twice(twice.flagged)
        floor.twices.note(twice, mark)
        floor.instead(twice.first, replace(twice.first, mark=twice.stands))
        return
    under = floor.named(mark) or (about.standing if "declared" not in mark.body else None)
    _lock(floor, mark, under.id if under else None)
    member = floor.member(mark, floor.said(mark) or (about.made.now if "declared" not in mark.body else None))
    bar = floor.bar(member)
    other = bar.out is not None and _another(floor.member(bar.out, bar.under), member)
    out = None if other else bar.out
    attempt = str(mark.body.get("declared", about.made.now.id if about.made.now else mark.id))
    stands = floor.known.stands.get(mark.id, mark)
    floor.tries.append(Try(stands, under, attempt, out, member, bar.time if out else NO_TIME, attempt in floor.racked))
    if other:
        floor.odd.append((mark.id, "two-on-bar"))
        return
    bar.out, bar.lifted, bar.tried = None, under or bar.lifted, True
    if stands.body["good"] or not floor.task.tries_until_racked:
        floor.over(floor.tries[-1], said(mark))
        bar.over(said(mark))


def _another(one: int | None, two: int | None) -> bool:
    """Whether two members are known to be two."""
    return one is not None and two is not None and one != two


def _racked(floor: Floor, mark: Mark) -> None:
    """The bar is racked. That ends the attempt that was tried on it, even where its declaration does not stand any more: another
    was made since, or it was taken back."""
    named = mark.body.get("declared")
    bar = _racked_bar(floor, mark)
    if named is None:
        named = _racked_declaration(floor, bar)
    if named is not None:
        floor.racked.add(named)
    _lock(floor, mark, named)
    again = floor.task.order != "lanes" and floor.again(floor.declared.get(named or "")) is not None
    if not again:
        bar.kept.rack(named)
    if bar.tried and bar.out is None:
        floor.over(next(one for one in reversed(floor.tries) if floor.bar(one.member) is bar), said(mark))
    if (not again and bar.made.rack(named)) or (bar.tried and bar.out is None):
        bar.over(said(mark))


def _racked_declaration(floor: Floor, bar: Bar) -> str | None:
    """What is racked by a mark that names nothing: what the bar is out under or was tried under, for the next may be declared by
    then; else what stood then. None for a try under no declaration."""
    if bar.out is None and bar.tried:
        attempt = next(one.attempt for one in reversed(floor.tries) if floor.bar(one.member) is bar)
        return attempt if attempt in floor.declared or attempt in floor.gone else None
    stood = bar.under if bar.out is not None else bar.made.now
    return stood.id if stood is not None else None


def _racked_bar(floor: Floor, mark: Mark) -> Bar:
    """The bar of the declaration that is named, else of whoever tried under it, else the only one in use, else the newest."""
    in_use = [bar for bar in floor.bars.values() if bar.out is not None or bar.tried]
    if "declared" not in mark.body and len(in_use) == 1:
        return in_use[0]
    about = floor.said(mark)
    if about is not None:
        return floor.bar(floor.member(about))
    tried = [one for one in floor.tries if one.attempt == mark.body.get("declared")]
    return floor.bar(tried[-1].member) if tried else floor.meant(mark)


STEPS = {
    "declare": _declare,
    "called": _called,
    "begun": _begun,
    "loaded": _loaded,
    "lift": _lift,
    "racked": _racked,
    "strike": _take_back,
}
