"""Statements of rest: between windows, behind one, inside one, in a list."""

import re

from app.rules.reading.drafting.said_work import span_of
from app.rules.reading.drafting.state import length_of, whole
from app.rules.reading.drafting.turns import Turns
from app.rules.reading.drafts import Group, Stretch, Work
from app.rules.reading.grammar import Statement
from app.rules.reading.scan.pieces import Tok
from app.rules.reading.talk import Span
from app.rules.values.clock_times import minutes_text

STATIONS = re.compile(r"\b(?:each|every|per) (?:station|machine|exercise|movement)\b", re.IGNORECASE)
SHORT_REST, LONG_REST = 5, 15  # a bare rest up to 5 is minutes, from 15 on seconds


class SaysRests(Turns):
    """What lies between."""

    def _say_rest(self, statement: Statement) -> bool:
        part, told = statement.part("length"), statement.tok("DUR", "PRIMED")
        told = part.toks[0] if part else told
        here = self.here
        last = statement.tok("LASTOF")
        if last is not None:
            return here.kind == "every" and any(work.long for work in here.works) and self._rest_inside(here, int(last.values[0]))
        if told is None:
            return self._bare_rest(here, statement)
        seconds = self.rest_seconds(told, span_of(statement))
        if seconds is None:
            return False
        if here.kind == "every" and any(work.long for work in here.works) and not statement.part("where"):
            return self._rest_inside(here, seconds)
        where = statement.part("where")
        of_rounds = where is not None and any(tok.kind == "ROUND" for tok in where.toks)
        if of_rounds and (here.stations or (here.seconds and not here.works and (here.count or here.group.rounds > 1))):
            self._windows_of_rounds()
            here.round_off, here.off_span = seconds, span_of(statement)
        elif where is not None and self._between_parts(seconds, span_of(statement)):
            pass
        elif statement.part("where") or (here.kind == "windows" and not here.works) or (here.count or 1) > 1:
            if here.off not in (0, seconds) and here.kind == "windows" and here.works and not where and here.group.label is None:
                return self._rest_behind_the_last(here, seconds, span_of(statement))
            if here.off not in (0, seconds):
                return False
            here.off, here.off_span = seconds, span_of(statement)
        elif here.kind in ("windows", "every", "lift") and here.works and here.group.label is None:
            return self._rest_behind(here, seconds, span_of(statement))
        elif here.works or here.kind:
            span = span_of(statement)
            here.group.works.append(Work("Rest", "", True, span, span, rest=seconds))
        elif self.draft.in_order is not None and not any(one.works for one in self.draft.stretches):
            self.draft.member_rest = seconds, span_of(statement)  # `one minute each, one after the other, 15 s to swap`
        elif here.seconds is not None:
            span = span_of(statement)
            stations = STATIONS.search(self.talk.text, self.talk.text.rfind("\n", 0, span.start) + 1, span.end) is not None
            to_the_next = "next" in self.talk.text[span.start : span.end].casefold().split()
            if not stations and (here.group.rounds > 1 or not to_the_next):
                return False  # `a minute at each station, 20 s to walk to the next one`
            self._windows_of_rounds()
            here.kind, here.off, here.off_span = "windows", seconds, span_of(statement)
            here.one_by_one = here.one_by_one or stations
        else:
            here.rest_only, here.seconds = True, seconds
            self.draft.stretches.append(Stretch())
        return True

    def _once_more(self, here: Stretch, told: Tok | None) -> bool:
        """`4 min AMRAP, 2 min rest, 4 min AMRAP: …`: what is done stands below all of them."""
        rests = [work.rest for work in here.works]
        again = here.kind == "amrap" and told is not None and here.seconds == length_of(told)
        if not again or len(rests) != 1 or not rests[0] or here.off not in (0, rests[0]):
            return False
        here.off, here.off_span, here.count = rests[0], here.works[0].span, (here.count or 1) + 1
        here.groups = [Group()]
        return True

    def _between_parts(self, seconds: int, span: Span) -> bool:
        """`A) 3 min max cal bike`, `B) 3 min max burpees`, and below them `1 min rest between`: behind each but the last."""
        told = [one for one in self.draft.stretches if one.works or one.kind or one.rest_only]
        alone = all(one.works and one.seconds and (one.count or 1) == 1 and one.group.rounds == 1 for one in told)
        if len(told) < 2 or not alone or any(one.after or one.off or one.start is not None for one in told):
            return False
        for one in told[:-1]:
            one.after, one.after_span = seconds, span
        return True

    def _windows_of_rounds(self) -> None:
        """`Three times three minutes, with a minute of rest between`: rounds with a time, before anything is done in them."""
        here = self.here
        if here.kind == "" and not here.works and here.seconds is not None and here.group.rounds > 1 and here.start is None:
            here.kind, here.count, here.groups = "windows", here.group.rounds, [Group()]

    def _rest_behind(self, here: Stretch, seconds: int | None, span: Span) -> bool:
        """A rest behind a window, before what follows."""
        if not seconds or here.after:
            return False
        here.after, here.after_span = seconds, span
        self.draft.stretches.append(Stretch())
        return True

    def _rest_behind_the_last(self, here: Stretch, seconds: int, span: Span) -> bool:
        """`Tabata push-ups`, and below it `rest 1 min`: the last window has a rest of its own, or none."""
        words = f"Windows with {minutes_text(here.off)} of rest between, then {minutes_text(seconds)} of rest: from when on?"
        answers = (("work", "From the end of the last work"), ("rest", f"Behind {minutes_text(here.off)} of rest after it"))
        behind = self.talk.ask("rest", span, words, answers) == "rest"
        return self._rest_behind(here, seconds + (here.off if behind else 0), span)

    def _rest_inside(self, here: Stretch, seconds: int | None) -> bool:
        """The rest of a window, told too: it must be what is left of it."""
        return all(work.long is None or work.long + (seconds or 0) == here.seconds for work in here.works)

    def _bare_rest(self, here: Stretch, statement: Statement) -> bool:
        """`2:45-4:00 rest`, `minute 3: rest`."""
        if statement.part("where") is not None:
            return False
        resting = next((one for one in reversed(self.draft.stretches) if one.kind or one.works or one.rest_only), None)
        if resting is not None and resting.rest_only:  # `rest, change plates`
            return True
        stations = here.kind == "windows" and (here.count or 1) > 1 and here.seconds and not any(one.amount for one in here.works)
        if (
            (here.kind == "every" or stations)
            and here.works
            and here.group.label is None
            and not here.one_by_one
            and "\n" in self._since_last(statement)
        ):
            if re.match(r"[ \t]+\w", self.talk.text[statement.end :]):
                return False  # `rest as needed` in a line of its own is no window of rest
            here.one_by_one = True  # a line of its own for each window, and one of rest
            span = span_of(statement)
            here.group.works.append(Work("Rest", "", True, span, span, rest=here.seconds or 60))
            return True
        if self.meanwhile:  # one works while the other rests
            return True
        if here.group.label is not None and not here.group.works:
            span = span_of(statement)
            here.group.works.append(Work("Rest", "", True, span, span, rest=here.seconds or 60))
            return True
        if here.kind == "windows" and here.start is not None and not here.works:
            here.rest_only = True
            return True
        return False

    def rest_seconds(self, told: Tok, span: Span) -> int | None:
        if told.kind != "BARE":
            return length_of(told)
        bare = whole(told)
        if not bare or SHORT_REST < bare < LONG_REST:
            return None
        seconds = bare * 60 if bare <= SHORT_REST else bare
        self.talk.assume(f"“rest {bare}” is {bare} {'minutes' if bare <= SHORT_REST else 'seconds'}.", span)
        return seconds
