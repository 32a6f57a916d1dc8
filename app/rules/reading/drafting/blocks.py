"""Statements about blocks and parts by the clock, and about how often a list is gone through."""

from copy import deepcopy

from app.rules.reading.drafting.said_work import span_of
from app.rules.reading.drafting.state import Drafting, length_of, whole
from app.rules.reading.drafts import Group, Stretch, Work
from app.rules.reading.grammar import Statement
from app.rules.reading.scan.frames.blocks_said import is_a_block
from app.rules.reading.scan.minutes_said import OF_A_MINUTE
from app.rules.reading.scan.pieces import Tok
from app.rules.reading.talk import Span
from app.rules.values.clock_times import minutes_text


class SaysBlocks(Drafting):
    """When a part begins and ends, and what is said once more of all that is done."""

    def a_block(self, tok: Tok) -> bool:
        """`Block 2: …`: a part of the workout, where blocks are not the windows that were told before."""
        here = self.here
        windows = here.kind in ("every", "windows") and (not here.works or here.group.label is not None)
        timed = here.kind == "" and here.seconds is not None and not here.works
        if not is_a_block(tok) or windows or timed or whole(tok) != self.next_part:
            return False
        return self.part(int(tok.values[0]))

    def _say_part_at(self, statement: Statement) -> bool:
        """`Block 2 begins at 6:00 on the clock`: before what is done in it, or behind."""
        number, told = whole(statement.toks[0]), statement.toks[-1]
        seconds = length_of(told)
        first = told.values == ("0",)
        stretch = next((one for one in self.draft.stretches if one.part == number), None)
        if stretch is None:
            follows = number == self.next_part or (number == 2 and self.next_part == 1)
            begun = any(one.works or one.rest_only for one in self.draft.stretches)
            if not follows or first == begun:
                return False
            if self.here.works or self.here.rest_only or self.here.kind:
                self.trailing_rest(self.here)
                self.draft.stretches.append(Stretch())
            stretch, stretch.part = self.here, number
        elif stretch is not [one for one in self.draft.stretches if one.part][-1]:
            return False
        if first:
            return stretch is self.draft.stretches[0]
        if seconds is None or stretch.start not in (None, seconds):
            return False
        stretch.start = seconds
        self.by_a_minute(stretch, told, span_of(statement))
        return stretch is not self.draft.stretches[0]

    def by_a_minute(self, stretch: Stretch, told: Tok, span: Span) -> None:
        """`Part B starts at minute ten`: what that is on the clock is told."""
        if told.unit == OF_A_MINUTE and stretch.start is not None:
            stretch.start_minute = span
            said = self.talk.text[told.start : told.end]
            self.talk.assume(f"“{said}” is {minutes_text(stretch.start)} on the clock.", span)

    def _say_ends(self, statement: Statement) -> bool:
        """`2 minutes at each of three stations, the clock runs on to 6:00`: which is compared."""
        here, seconds = self.here, length_of(statement.toks[-1])
        if seconds is None or here.ends is not None:
            return False
        here.ends = (seconds, span_of(statement))
        return here.seconds is not None

    def _say_all_time(self, statement: Statement) -> bool:
        """`So 12 minutes altogether`, where how long each thing lasts is told: it is compared."""
        told = [one for one in self.draft.stretches if one.works or one.rest_only or one.kind]
        seconds = length_of(statement.toks[0].to(statement.toks[0], "DUR"))
        if not told or not all(one.seconds for one in told) or seconds is None:
            return False
        self.draft.totals.append((seconds, span_of(statement)))
        return True

    def _say_same_list(self, statement: Statement) -> bool:
        """`Squats, push-ups, lunges, and then the same three a second time.`"""
        *many, often = (int(value) for value in statement.toks[0].values)
        here, group = self.here, self.here.group
        things = [work for work in here.works if not work.rest]
        if not things or many not in ([], [len(things)]) or len(here.groups) > 1 or group.label is not None or group.scheme:
            return False
        if here.kind == "windows":
            here.one_by_one = True
            if here.count in (None, 1):
                here.count = often
            elif here.count == often * len(things) != often:
                here.alternates = True
            return here.count == often or here.alternates
        if here.kind not in ("", "time") or group.rounds not in (1, often) or group.role:
            return False
        group.rounds, group.rounds_span, group.closed = often, span_of(statement), True
        return True

    def _say_same_with(self, statement: Statement) -> bool:
        """`At 5:00 the same with sit-ups`: the windows before, so often and so long, of another thing."""
        thing, here = statement.toks[0], self.here
        done = [one for one in self.draft.stretches if one.works]
        before = done[-1] if done else None
        plain = before is not None and before.kind == "windows" and len(before.works) == len(before.groups) == 1
        if before is None or not plain or before.works[0].load or before.works[0].size or here.works or here.kind or before.who:
            return False
        made = deepcopy(before)
        made.start, made.part, made.ends, made.after, made.spans = here.start, here.part, None, 0, [*here.spans]
        span = span_of(statement)
        work = Work(thing.name or thing.text, thing.key, True, span, span, most=before.works[0].most)
        made.groups = [Group(works=[work])]
        self.draft.stretches[-1] = made
        self.last = work
        return True
