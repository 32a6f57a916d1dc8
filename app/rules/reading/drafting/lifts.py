"""Statements of lifts: as heavy as possible, attempts, complexes, and the rules of the bar."""

from app.rules.reading.drafting.said_work import reps_of
from app.rules.reading.drafting.state import Drafting, whole
from app.rules.reading.drafts import Draft, Group, Stretch
from app.rules.reading.grammar import Statement
from app.rules.reading.talk import Span, Talk
from app.rules.reading.things import HELD, needs_bar
from app.rules.workout.growth import read_growth, read_rules

UNBROKEN = ("unbroken", "without letting", "without putting", "without dropping")


class SaysLifts(Drafting):
    """What is lifted."""

    def _times(self, stretch: Stretch, rounds: int | None) -> None:
        """So many windows, where rounds were said before anything was done in them."""
        if rounds:
            stretch.count, stretch.groups = rounds, [Group()]

    def _lift_before(self) -> bool:
        """`1 clean + 1 jerk`, and below it `7 minutes to find the heaviest`: a time, and nothing follows."""
        here, before = self.here, self.draft.stretches[-2:-1]
        if here.kind == "lift" and here.works and here.repetitions == 1 and self.ahead != "work":
            return True  # `back squat, one rep max: 12 minutes to find the heaviest`
        named = before and before[0].kind in ("", "lift") and before[0].seconds is None and before[0].start is None
        if not named or self.ahead == "work" or here.works or here.kind or here.seconds is None or here.start is not None:
            return False
        works, once = before[0].works, all(one.rounds == 1 and not one.scheme for one in before[0].groups)
        lifts = all(work.load is None and not work.most and not work.rest and needs_bar(work) for work in works)
        if not works or not once or not lifts or not (len(works) == 1 or all(work.joined for work in works[1:])):
            return False
        if len(works) == 1 and works[0].amount is not None and reps_of(works[0]) != 1:
            return False
        if len(works) > 1 and works[-1].note.startswith(UNBROKEN):
            works[-1].note = ""  # a complex is
        before[0].kind, before[0].seconds = "lift", here.seconds
        before[0].spans += here.spans
        self.draft.stretches.pop()
        return True

    def _lift_again(self) -> None:
        """`Front squat for load`, and below it `12 minutes to find the heaviest front squat`: one lift, told twice."""
        here, before = self.here, self.draft.stretches[-2:-1]
        if not before or here.kind != "lift" or before[0].kind != "lift" or not _one_alike(before[0], here):
            return
        first = before[0]
        if _untimed(first) and not _untimed(here) and first.attempts in (None, here.attempts):
            here.spans = [*first.spans, *here.spans]
            self.draft.stretches.remove(first)
        elif _untimed(here) and here.attempts is None and not _untimed(first):
            first.spans += here.spans
            self.draft.stretches.remove(here)
            self.last = first.works[0]

    def _lift_behind(self) -> bool:
        """`1 × clean, max. load`, `10 min snatch 1RM`, `1 clean + 1 jerk, heaviest`: the words stand behind the lift, and nothing
        follows."""
        here, last = self.here, self.last
        if self.ahead == "work" or last is None or last not in here.works or here.kind not in ("", "windows"):
            return False
        complex_ = len(here.works) > 1 and here.works[-1] is last and all(work.joined for work in here.works[1:])
        plain = all(not work.load and not work.most and not work.rest for work in here.works)
        if not plain or here.group.rounds > 1 or not (len(here.works) == 1 or (complex_ and all(map(needs_bar, here.works)))):
            return False
        here.kind = "lift"
        if len(here.works) == 1 and last.amount is not None and last.amount.kind == "time" and here.seconds is None:
            here.seconds, last.amount = int(last.amount.values[0]), None
        return last.amount is None or last.amount.kind == "reps"

    def _say_lift(self, statement: Statement) -> bool:
        if self.scoring and self.ahead == "work" and any(one.works for one in self.draft.stretches):
            return self._take("T_LOAD", statement)  # `score: heaviest clean`
        if not statement.tok("NRM") and self._lift_behind():
            return True
        if not statement.tok("NRM") and self._lift_before():
            return True
        here, rounds = self.here, self.pending_rounds()
        several = statement.tok("NRM")
        if here.kind == "lift" and here.works and [tok.kind for tok in statement.toks] == ["RM"] and rounds is None:
            return here.repetitions == 1  # `heaviest back squat (single)`
        if here.kind == "lift" and not here.works:
            stretch = here
        else:
            stretch = self.fresh("lift")
            self._times(stretch, rounds)
        if several:
            stretch.repetitions = int(several.values[0])
        return True

    def _say_attempts(self, statement: Statement) -> bool:
        if self.here.kind == "windows" and whole(statement.toks[0]) == 1 and all(work.most for work in self.here.works):
            return (self.here.count or 1) == 1  # `max reps, one attempt`: the window is that
        if self._held_tries(whole(statement.toks[0])):
            return True
        if self.here.kind == "":
            self.here.kind = "lift"
        self.here.attempts = whole(statement.toks[0])
        return self.here.kind == "lift" and bool(self.here.attempts)

    def _held_tries(self, count: int | None) -> bool:
        """`Dead hang, two tries`: what is held has no attempts with a bar, and a window for each of its tries."""
        here = self.here
        held = len(here.works) == 1 and here.works[0].key in HELD and here.works[0].amount is None and here.works[0].load is None
        if not held or here.kind not in ("", "windows") or here.count or not count or here.group.rounds > 1:
            return False
        here.kind, here.count, here.works[0].most = "windows", count, "any"
        return True

    def _say_misses_out(self, statement: Statement) -> bool:
        self.here.misses_out = whole(statement.toks[0])
        return self.here.kind == "lift" and bool(self.here.misses_out)

    def _say_complex(self, statement: Statement) -> bool:
        """`A complex: 1 power clean, 1 hang clean, 1 jerk`: what stands behind it in its line is one lift."""
        self.in_complex = self.here.kind == "" and not self.here.works
        return self.here.kind == "lift" or (self.here.kind == "" and not self.here.works)

    def _say_lift_rule(self, statement: Statement) -> bool:
        here, kind = self.here, statement.toks[0].kind
        here.one_try, here.no_down = here.one_try or kind == "TRIESRACKED", here.no_down or kind == "NODOWN"
        here.times_reps = here.times_reps or kind == "LOADREPS"
        return here.kind == "lift"

    def _say_growing(self, statement: Statement) -> bool:
        here, said = self.here, statement.toks[0].text
        if here.kind != "lift" or here.grows or read_growth(said, "kg") is None:
            return False
        here.grows = said
        return True

    def _say_lift_rules(self, statement: Statement) -> bool:
        here, said = self.here, statement.toks[0].text
        if here.kind != "lift" or here.rules or read_rules(said, "kg") is None:
            return False
        here.rules = said
        return True

    def _say_begun(self, statement: Statement) -> bool:
        """A lift that was begun before the bell may be finished: every lift of the text."""
        lifts = [one for one in self.draft.stretches if one.kind == "lift"]
        for one in lifts:
            one.begun = True
        return bool(lifts)


def compare_parts(draft: Draft, talk: Talk) -> None:
    """`The heaviest complex: 1 + 1 + 1`, and its lifts below: whether there are so many of each; `two tries` at what is held,
    each told by the clock: whether there are two."""
    for stretch in draft.stretches:
        if stretch.kind == "windows" and stretch.expected not in (None, stretch.count):
            talk.red(stretch.span or Span(0, 0), f"It says {stretch.expected} tries, and {stretch.count} are told by the clock.")
    for stretch in (one for one in draft.stretches if one.parts_told):
        counts, span = stretch.parts_told or ((), Span(0, 0))
        told = tuple(reps_of(work) if work.amount else 1 for work in stretch.works)
        if stretch.kind != "lift" or told != counts:
            talk.red(span, "The lifts of the complex are not so many.")


def _untimed(stretch: Stretch) -> bool:
    return stretch.seconds is None and stretch.start is None and stretch.count is None and not stretch.after


def _one_alike(one: Stretch, other: Stretch) -> bool:
    """Whether both are of the same lift alone, and no number, load or other thing is told of it."""
    works = [*one.works, *other.works]
    alone = len(one.works) == len(other.works) == 1 and works[0].key == works[1].key and one.repetitions == other.repetitions
    return alone and all(work.known and work.amount is None and work.load is None and not work.note for work in works)
