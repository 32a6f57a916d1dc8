"""Statements of time: how long, how often, what lies between."""

from app.rules.reading.drafting.rests import SaysRests
from app.rules.reading.drafting.said_work import is_timed, span_of, told_within
from app.rules.reading.drafting.state import length_of, named_alone, whole
from app.rules.reading.drafts import Group, Stretch, Work
from app.rules.reading.grammar import Statement
from app.rules.reading.scan.minutes_said import BARE, UP_TO
from app.rules.reading.scan.pieces import Tok
from app.rules.reading.talk import Span


class SaysTimes(SaysRests):
    """How long and how often."""

    def _say_amrap(self, statement: Statement) -> bool:
        here, told = self.here, statement.tok("DUR", "BARE", "PRIMED")
        if self._round_after_round(here, told):
            return True
        if (
            here.kind == "windows"
            and here.works
            and (all(one.most for one in here.works) or (len(here.works) == 1 and here.works[0].amount is None and here.seconds))
            and told is None
            and self.ahead != "work"
        ):
            return True  # `deadlift for reps, 60 seconds, as many reps as possible`
        if here.kind == "windows" and here.works and self._again_of_each(told):
            here.until_bell = True
            return True
        if here.kind == "windows" and not here.works and here.count and here.seconds and here.start is None:
            here.kind = "amrap"  # `three times three minutes, … in each of them as many rounds as possible`
            return told is None or here.seconds == length_of(told)
        again = here.kind == "amrap" and here.seconds is not None and (told is None or here.seconds == length_of(told))
        if again and not here.works and not here.rest_only and self.ahead != "for_long":
            return True  # `a nine minute AMRAP, nine minutes as many reps as they can`
        if self._once_more(here, told):
            return True
        rounds = here.group.rounds if not here.works and not here.kind else 1
        stretch = self.fresh("amrap")
        if rounds > 1:
            stretch.count, stretch.groups = rounds, [Group()]
        return told is None or self._lasts(stretch, length_of(told))

    def _round_after_round(self, here: Stretch, told: Tok | None) -> bool:
        """`Buy-in: 1 km run. Then, in the remaining time, as many rounds as possible of …`: what stands before is done once."""
        left = here.group.role == "rest-of-time" and not here.group.works and len(here.groups) > 1 and here.kind in ("", "time")
        before = [group for group in here.groups if group.works]
        if not left or told is not None or not before or any(group.role not in ("", "buy-in") for group in before):
            return False
        here.kind, here.group.role = "amrap", ""
        for group in before:
            group.role = "buy-in"
        return True

    def _again_of_each(self, told: Tok | None) -> bool:
        """`3 x 3 minutes of …. As many reps as possible.`: a list in each window, and nothing behind."""
        here = self.here
        listed = all(one.amount and not one.most for one in here.works if not one.rest)
        return listed and self.ahead in ("", "sep") and (told is None or here.seconds == length_of(told))

    def _lasts(self, stretch: Stretch, seconds: int | None) -> bool:
        """How long a stretch lasts, said once."""
        if seconds is None or stretch.seconds not in (None, seconds):
            return False
        stretch.seconds = seconds
        return True

    def _say_for_time(self, statement: Statement) -> bool:
        here = self.here
        won = {"win", "wins", "fastest", "quickest"} & set(statement.toks[0].text.casefold().split())
        if won and any(one.kind == "time" and one.works for one in self.draft.stretches):
            return True  # `fastest wins`, behind what is for time
        before = [one.rule for one in self.told if one.rule != "sep" and one.start < statement.start]
        behind = before[-1:] in (["rounds"], ["work"]) and self.ahead in ("", "sep")
        if behind and here.kind == "time" and here.works and statement.toks[0].text.casefold().startswith("as "):
            return True  # `do all four rounds as fast as you can`
        if (here.kind == "" and not here.rest_only) or (behind and not self.ahead and self.listed_from_to()):
            here.kind = "time"
        elif here.kind != "time" or here.works:
            self.fresh("time")
        return True

    def _say_every(self, statement: Statement) -> bool:
        again = statement.part("length")
        if self.here.kind == "every" and not self.here.works and again and length_of(again.toks[0]) == self.here.seconds:
            return statement.part("often") is None  # `E2MOM for 12 min. In every 2 min window: …`
        twice = statement.toks[0].kind == "EMOM" and not any(tok.values for tok in statement.toks) and self.here.seconds == 60
        if twice and self.here.kind == "every" and not self.here.works and self.here.group.label is None:
            return True  # `EMOM 10. In each minute: …`
        rounds = (self.here.count or 1 if self.here.kind else self.here.group.rounds) if not self.here.works else 1
        spanned = self.here.start is not None and not self.here.works
        total = self.here.seconds if not self.here.works and (not self.here.kind or spanned) else None
        stretch = self.fresh("every")
        stretch.groups = [Group()]
        emom = statement.tok("EMOM")
        stretch.seconds = int(emom.values[0]) * 60 if emom and emom.values else 60
        if part := statement.part("length"):
            stretch.seconds = length_of(part.toks[0])
        stretch.count, stretch.total = (rounds if rounds > 1 else None), total
        often = statement.part("often")
        told = often.toks[0] if often else statement.tok("DUR", "BARE", "PRIMED") if emom else None
        return stretch.seconds is not None and (told is None or self._often(stretch, told))

    def _often(self, stretch: Stretch, told: Tok) -> bool:
        """How often, or how long in all, said once."""
        if stretch.count is not None or stretch.total is not None:
            return False
        if told.kind in ("ROUNDS", "SETS"):
            stretch.count = whole(told) or None
        elif told.kind in ("TIMES", "WINDOWS"):
            stretch.in_windows = told.kind == "WINDOWS"
            stretch.total = (stretch.seconds or 0) * (whole(told) or 0) or None
        else:
            stretch.total = self._in_all(told)
        return stretch.count is not None or stretch.total is not None

    def _in_all(self, told: Tok) -> int | None:
        """How long all windows last together; `every minute, up to 20 minutes` is all of the twenty."""
        if told.unit == UP_TO:
            self.talk.assume(f"“up to {told.text}” is all of the {told.text}.", Span(told.start, told.end))
        return length_of(told)

    def _say_tabata(self, statement: Statement) -> bool:
        """Eight times twenty seconds, with ten of rest between: common practice, no source."""
        stretch = self.fresh("windows")
        told_within(stretch, span_of(statement))
        stretch.seconds, stretch.off, stretch.count, stretch.off_span = 20, 10, 8, span_of(statement)
        self.talk.assume("Tabata is 8 times 20 seconds of work, with 10 seconds of rest between.", span_of(statement))
        return True

    def _say_death_by(self, statement: Statement) -> bool:
        """One in the first minute, one more in each that follows, until a miss: common practice, no source."""
        stretch = self.fresh("every")
        stretch.groups, stretch.seconds, stretch.adds, stretch.puts_out = [Group()], 60, 1, True
        told = "“Death by” is one in the first minute, one more in each that follows, and out after a miss."
        self.talk.assume(told, span_of(statement))
        return True

    def _say_no_cap(self, statement: Statement) -> bool:
        """A window has an end all the same: how long it lasts is asked."""
        return self.draft.cap is None and self.here.kind in ("time", "")

    def _say_on(self, statement: Statement) -> bool:
        time = statement.toks[0] if statement.toks[0].values else statement.toks[-1]
        told, here = length_of(time), self.here
        if time.unit in BARE.values():
            self.talk.assume(f"“{time.text.strip()}” of work, and the rest beside it, are {time.unit}.", span_of(statement))
        if here.kind == "windows" and here.seconds == told and here.count and here.off and (not here.start or here.works):
            return True  # said twice
        if here.kind == "windows" and here.start is not None and not here.works and (here.count or 1) > 1 and here.ends is None:
            told_within(here, span_of(statement))  # `0:00-4:00: 8 x 20 s on, 10 s off`
            return self._lasts(here, told)
        if self.most == "any" and here.kind == "windows" and not here.works and here.seconds is None and here.start is None:
            self.most = ""  # `4 rounds for max reps: 45 s on, 15 s off`
            return self._lasts(here, told)
        if here.kind == "windows" and here.stations and here.seconds is None and not here.works:
            return self._lasts(here, told)
        if here.kind == "windows" and here.works and here.seconds is None and here.start is None and not here.who:
            self.named_before = all(work.most and not work.long for work in here.works)  # `bench press for reps. 3 x 2 min on`
            if self.named_before:
                return self._lasts(here, told)
        named = self._named_before()
        if named is not None:
            return self._lasts(named, told)
        rounds = self.pending_rounds()
        stretch = self.fresh("windows")
        stretch.groups = [Group()]
        stretch.count = rounds
        return self._lasts(stretch, told)

    def _named_before(self) -> Stretch | None:
        """`Jump squats, 10 rounds: 20 s on`: what is done was named first."""
        here = self.here
        if here.kind or not here.works or here.seconds or any(work.amount or work.rest for work in here.works):
            return None
        rounds = [group.rounds for group in here.groups if group.rounds > 1]
        if len(rounds) > 1:
            return None
        here.kind, here.count, here.groups = "windows", (rounds[0] if rounds else None), [Group(works=here.works)]
        self.named_before = True
        return here

    def _say_off(self, statement: Statement) -> bool:
        told = statement.tok("DUR", "PRIMED")
        self._windows_of_rounds()
        if self.here.kind == "every" and any(work.long for work in self.here.works) and told is not None:
            return self._rest_inside(self.here, length_of(told))
        if self.here.kind == "windows" and told is not None and self.here.off and self.here.off == length_of(told):
            return True  # said twice
        if statement.part("where") and self.here.kind == "windows" and self.here.works and told is not None and not self.here.off:
            self.here.off, self.here.off_span = length_of(told) or 0, span_of(statement)
            return True
        here = self.here
        if here.kind == "windows" and here.works and told is not None and not here.off and not self.named_before:
            if (here.count or 1) > 1:
                here.off, here.off_span = length_of(told) or 0, span_of(statement)
                return True
            return self._rest_behind(here, length_of(told), span_of(statement))
        if here.kind == "" and here.works and told is not None and all(is_timed(work) for work in here.works):
            span, seconds = span_of(statement), length_of(told) or 0
            here.group.works.append(Work("Rest", "", True, span, span, rest=seconds))
            return bool(seconds)  # `two minutes of burpees. One minute of rest.`
        if self.here.kind != "windows" or (self.here.works and not self.named_before) or told is None:
            return False
        self.here.off, self.here.off_span = length_of(told) or 0, span_of(statement)
        return True

    def _say_in_turn(self, statement: Statement) -> bool:
        pair, times = statement.tok("PAIRNUM", "DURS"), statement.tok("TIMES")
        if pair is None or times is None or len(pair.values) != 2 or not all(one.isdigit() for one in pair.values):
            return False
        stretch = self.fresh("windows")
        stretch.groups = [Group()]
        stretch.seconds, stretch.off, stretch.count = int(pair.values[0]), int(pair.values[1]), whole(times)
        if pair.kind == "PAIRNUM":
            self.talk.assume(f"“{pair.text}” is seconds of work and of rest.", span_of(statement))
        return True

    def _say_for_long(self, statement: Statement) -> bool:
        told = statement.tok("DUR", "PRIMED")
        seconds = length_of(told) if told else None
        if seconds is None and told is not None and told.values == ("0",) and ":" in told.text:
            return not any(one.works or one.rest_only for one in self.draft.stretches)  # `0:00, for time`: so it begins
        if seconds is None:
            return self._numbered_line(statement)
        here = self.here
        if self._of_the_other(statement, seconds) or self._goes_round(seconds):
            return True
        if self.both and here.seconds == seconds and self.ahead in ("", "sep"):
            return True  # `then swap, another 3 min`
        if self.ahead == "max" and self._in_cycle(here):
            self.cycle = seconds
        elif self._of_what_was_named(here):
            here.seconds, here.kind = seconds, "windows"
        elif (here.kind in ("windows", "lift", "amrap") and here.seconds is None) or (
            here.kind == "time" and here.seconds is None and (not here.works or named_alone(here)) and not here.group.scheme
        ):
            here.seconds = seconds
        elif here.kind == "every" and not here.works and seconds == (here.total or (here.count or 0) * (here.seconds or 0)):
            return True  # `every 90 s x 5 (7.5 min in all)`
        elif not here.works and here.count and here.seconds == seconds:
            return True  # said twice
        elif here.start is not None and not here.works and here.kind == "windows" and here.seconds == seconds:
            return True  # `6:00-10:00: 4 minutes for …`
        elif self._inside_window(here, seconds):
            self.inside = seconds
        elif here.kind == "windows" and not here.works and here.count and here.start is None:
            return False
        elif here.kind == "every" and not here.works and here.total is None and here.count is None and told is not None:
            here.total = self._in_all(told)
        elif here.works or here.kind:
            self.fresh("").seconds = seconds
        elif here.seconds is not None and self._of_each_member(here, seconds):
            here.seconds = seconds
        elif here.seconds is not None:
            return here.seconds == seconds and self.comma  # `six minutes, six minutes to …`
        else:
            here.seconds = seconds
        return True

    def _numbered_line(self, statement: Statement) -> bool:
        """`1: 12 cal row` in a line of its own, under minutes: which of them it is."""
        here, number = self.here, whole(statement.toks[0])
        labels = [group.label for group in here.groups if group.label is not None]
        begins = not self.talk.text[: statement.start].rpartition("\n")[2].strip(" \t-•*")
        if not number or statement.toks[0].kind != "BARE" or here.kind != "every" or not begins:
            return False
        follows = labels[-1] == (number - 1,) if labels else number == 1 and not here.works
        if not follows or self.ahead not in ("work", "sep", "rest"):
            return False
        if labels:
            here.groups.append(Group())
        here.group.label = (number,)
        return True

    def _in_cycle(self, here: Stretch) -> bool:
        """`3 rounds: 1 min max burpees, 1 min max sit-ups`: each has its time in every round."""
        group = here.group
        if here.kind or here.seconds is not None or group.rounds < 2 or group.rounds_span is None or len(here.groups) > 1:
            return False
        return all(work.rest or (work.amount and work.amount.kind == "time") for work in group.works)

    def _of_what_was_named(self, here: Stretch) -> bool:
        """`Row, 6 minutes`: the time behind a thing that has no number, in its line."""
        bare = here.works and all(work.amount is None and not work.rest and not work.long for work in here.works)
        if (
            not bare
            or not all(work.joined for work in here.works[1:])
            or self.last is None
            or here.kind
            or here.seconds is not None
            or self.ahead in ("work", "on", "off")
        ):
            return False
        once = all(group.rounds == 1 and not group.scheme for group in here.groups)
        return once and here.group.label is None and "\n" not in self.talk.text[self.last.span.end : self.at]

    def _say_cap_adds(self, statement: Statement) -> bool:
        seconds = length_of(statement.toks[-1])
        if seconds is None or self.draft.cap_adds is not None:
            return False
        self.draft.cap_adds = seconds
        return True

    def _inside_window(self, here: Stretch, seconds: int) -> bool:
        """`every minute: 40 s max burpees`: how long a thing is done in its window."""
        told = here.total is not None or here.count is not None
        return here.kind == "every" and told and self.inside is None and seconds < (here.seconds or 0) and not here.group.works

    def _say_span(self, statement: Statement) -> bool:
        first, last = (int(value) for value in statement.toks[0].values)
        here = self.here
        if last <= first or (here.start not in (None, first) and not here.works and not here.kind):
            return False
        if here.kind == "lift" and not here.works and here.seconds is None and here.start is None:
            here.start, here.seconds = first, last - first  # `1RM`, and below it `0-8 min: clean`
            return True
        if self.draft.stretches and here.start is not None and here.spans and self.named_until > here.spans[0].start:
            self.member = None  # whose the window before was is told with it
        if here.seconds is not None and not here.works and not here.kind and here.group.rounds == 1 and self.draft.total is None:
            self.draft.total, self.draft.total_span, here.seconds = here.seconds, here.span, None
        if here.seconds is not None and not here.works and not here.rest_only:
            return False
        stretch = self.fresh("windows")
        stretch.start, stretch.seconds, stretch.until = first, last - first, last
        return True

    def _say_cap(self, statement: Statement) -> bool:
        told = statement.tok("DUR", "BARE", "PRIMED")
        if told is None and self.ahead in ("", "sep", "cap"):
            return True  # a heading; without a length it is asked
        seconds = length_of(told) if told else None
        if seconds is None:
            return False
        if self.draft.cap == seconds and self.draft.stretches and len(self.draft.stretches) == 1:
            return True  # said twice
        if self.draft.stretches and self.here.kind in ("time", "") and self.here.seconds is None and self.here.works:
            self.here.seconds, self.here.capped = seconds, True
        elif self.here.kind == "time" and self.here.seconds == seconds:
            self.here.capped = True
        elif self.here.capped and self.here.seconds == seconds and self.here.kind in ("time", ""):
            pass  # said twice
        elif self.here.kind == "every" and self.here.total is None and self.here.count is None:
            self.here.total = seconds  # `every minute, 12 minutes at most`
        elif self.draft.cap is None:
            self.draft.cap, self.draft.cap_span = seconds, span_of(statement)
        else:
            return self.draft.cap == seconds
        return True
