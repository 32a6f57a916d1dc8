"""What members do in turn: the same by another, in the same order or the reverse, so often, or until so long has gone."""

from copy import deepcopy
from dataclasses import replace

from app.rules.reading.drafting.said_work import span_of
from app.rules.reading.drafting.state import Drafting
from app.rules.reading.drafts import Stretch
from app.rules.reading.each_member import EVERY_MEMBER
from app.rules.reading.grammar import Statement

MOST_TURNS = 100


class Turns(Drafting):
    """Who works after whom."""

    def _since_last(self, statement: Statement) -> str:
        """The text between what was done last and a statement."""
        return self.talk.text[self.last.span.end : statement.start] if self.last else ""

    def _mirrored(self, statement: Statement, member: int, reverse: bool) -> bool:
        """What the first has done, by the second: in the same order, or in the reverse."""
        if self.here.start is not None and not self.here.works and self.here.kind in ("windows", "amrap"):
            return not reverse and self._mirrored_there(statement, member)
        self.trailing_rest(self.here)
        done = [one for one in self.draft.stretches if one.who or one.works]
        if any(one.seconds for one in self.draft.stretches if not one.works and not one.rest_only):
            return False
        if not done or member > 2 or any(one.who != (3 - member,) for one in done if one.works):
            return False
        again = [deepcopy(one) for one in (reversed(done) if reverse else done)]
        rests = [one.after for one in done]
        for place, one in enumerate(again):
            one.spans = [*one.spans, span_of(statement)]
            one.who, one.holder = (member,), ((3 - member,) if one.holder else None)
            one.after = (list(reversed(rests[:-1])) if reverse else rests[:-1])[place] if place < len(rests) - 1 else 0
        while self.draft.stretches and not self.draft.stretches[-1].works:
            self.draft.stretches.pop()
        self.draft.stretches += again
        self.both = [*done, *again]
        self.member = None
        return True

    def _mirrored_there(self, statement: Statement, member: int) -> bool:
        """`6:00-12:00 B, the same`: what another has done, at that time and as long."""
        here, done = self.here, [one for one in self.draft.stretches if one.works]
        first = done[-1] if done else None
        if here.kind == "amrap" and (first is None or first.kind != "amrap"):
            return False
        if first is None or first.seconds != here.seconds or first.who is None or len(first.who) > 1 or member in first.who:
            return False
        if here.who not in (None, (member,), first.who) or first.count or (first.holder and first.holder != (member,)):
            return False
        again = deepcopy(first)
        again.start, again.who, again.holder = here.start, (member,), first.who if first.holder else None
        again.after, again.after_span, again.spans = 0, None, [*first.spans, *here.spans, span_of(statement)]
        self.draft.stretches[-1], self.member = again, None
        return True

    def _own_again(self, statement: Statement) -> bool:
        """`4:00-6:00 A again`: what that member has done before, and as long, whatever another does."""
        here, member = self.here, self.member
        own = [one for one in self.draft.stretches if one.works and one.who is not None and one.who == member]
        begun = here.start is not None and not here.works and here.kind == "windows"
        if not begun or not own or own[-1].seconds != here.seconds or own[-1].count or own[-1].after:
            return False
        spans = [*own[-1].spans, *here.spans, span_of(statement)]
        self.draft.stretches[-1] = replace(deepcopy(own[-1]), start=here.start, spans=spans)
        self.draft.stretches[-1].group.closed = True
        self.member = None
        return True

    def _again(self, count: int) -> bool:
        """What both of a pair have done, in turn, so often."""
        if count > MOST_TURNS or self.both[-1].after:
            return False
        for _ in range(count - 1):
            self.draft.stretches += [deepcopy(one) for one in self.both]
        self.both, self.gone_round = [], count
        return True

    def _so_many_turns(self, count: int) -> bool:
        """`8 minutes, so 4 turns each`: so often what both have done in turn, or what is said of it already."""
        self.both = self.both or ([] if self.gone_round else self._by_turns())
        return self._again(count) if self.both else self.gone_round == count

    def _of_the_other(self, statement: Statement, seconds: int) -> bool:
        """`A goes a minute on the rower, then B goes a minute`: the same by the other, as long."""
        here = self.here
        alone = len(here.works) == 1 and here.works[0].amount is not None and here.works[0].amount.kind == "time"
        told = int(here.works[0].amount.values[0]) if alone and here.works[0].amount else here.seconds
        if not self.member or not here.works or told != seconds or self.ahead not in ("", "sep", "switch"):
            return False
        return here.who is not None and here.who != self.member and self._mirrored(statement, self.member[0], reverse=False)

    def _of_each_member(self, here: Stretch, seconds: int) -> bool:
        """`3 person team. 9 min. Each athlete 3 min …`: how long it is for each, behind how long for all of them."""
        members = self.draft.members or 1
        told = EVERY_MEMBER.search(self.talk.text.casefold()) is not None or self.each_next
        if members == 1 or not told or here.seconds != members * seconds or self.draft.total is not None:
            return False
        self.draft.total, self.draft.total_span = here.seconds, here.span
        return True

    def _goes_round(self, seconds: int) -> bool:
        """`… Carry on like that for 12 minutes`: what both have done in turn, until all of it lasts so long."""
        self.both = self.both or self._by_turns()
        once = sum(_lasting(one) for one in self.both)
        if not once or seconds % once or seconds == once or self.ahead not in ("", "sep", "rounds"):
            return False
        return self._again(seconds // once)

    def _by_turns(self) -> list[Stretch]:
        """All that is done, where each member has done one thing."""
        done = [one for one in self.draft.stretches if one.works]
        whose = [one.who for one in done]
        each = len(done) > 1 and len(done) == len(self.draft.stretches) and len(set(whose)) == len(done)
        return done if each and all(who is not None and len(who) == 1 for who in whose) else []


def _lasting(stretch: Stretch) -> int:
    """Seconds of a stretch, with the rest behind it; of one thing with a time of its own that."""
    amount = stretch.works[0].amount if len(stretch.works) == 1 else None
    own = int(amount.values[0]) if amount and amount.kind == "time" else 0
    return (stretch.seconds or own) * (stretch.count or 1) + stretch.after
