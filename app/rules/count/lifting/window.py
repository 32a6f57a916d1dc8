"""A lift window as its marks leave it: what stands at its bars, the time of an attempt, what comes next. lift_floor.py takes it
there mark by mark, and says how. static/js/rules/lift_floor.js is the twin of both.
"""

from collections.abc import Collection
from dataclasses import dataclass, field, replace

from app.rules.count.lifting.bars import NO_TIME, AttemptTime, Bar, Said, Try, latest, said
from app.rules.count.lifting.decided_twice import Twices
from app.rules.count.lifting.judged import Tried, judged
from app.rules.count.lifting.next_attempt import NextAttempt, Over, Turns, automatic
from app.rules.records.kinds import Lock
from app.rules.records.marks import Mark
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
        return next((one for one in reversed(self.tries) if under and not another(one.member, lifter)), None)

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
        return before is not None and not another(before.member, self.member(under) if under else None)


def another(one: int | None, two: int | None) -> bool:
    """Whether two members are known to be two."""
    return one is not None and two is not None and one != two
