"""Statements of work: things to do, what is held, loads that stand apart."""

import re

from app.rules.reading.drafting.lifts import SaysLifts
from app.rules.reading.drafting.said_work import (
    ends_there,
    load_alike,
    reps_of,
    said_load,
    said_size,
    said_work,
    same_clause,
    says_how,
    span_of,
    talks_behind,
)
from app.rules.reading.drafts import Amount, Group, Stretch, Work
from app.rules.reading.grammar import Statement
from app.rules.reading.scan.frames.blocks_said import part_number
from app.rules.reading.things import HELD, is_such, needs_bar
from app.rules.reading.versions.loaded_work import is_as_high, loadable, told_later, with_what

OF_THE_OTHER = re.compile(
    r"\n[ \t]*(?:partner|athlete|member)?[ \t]*[A-D\d][ \t]*:[^\n]*$", re.IGNORECASE
)  # a line of the other's
BEGUN_ANEW = re.compile(r"\n|\b(?:then|next|after\w*)\b", re.IGNORECASE)


class SaysWork(SaysLifts):
    """What is done."""

    def _say_sep(self, statement: Statement) -> bool:
        kind = statement.toks[0].kind
        self.comma = kind == "COMMA" or kind == "AT"
        self.joined = kind == "PLUS"
        if kind == "PART":
            self.part(part_number(statement.toks[0]))
        if kind == "STOP":
            self.let_go()
            self.in_complex = False
            self.scoring = self.meanwhile = self.holding = False
            if self.member and self.draft.stretches and self.here.start is not None and not self.here.works:
                self.here.who = self.here.who or self.member  # `Minutes 0-5: athlete A only.`
            self.member = None
        if kind == "THEN" and self.draft.stretches:
            self.meanwhile = False
            group = self.here.group
            if group.rounds > 1 and group.rounds_span and not group.works and self.here.works and self.ahead == "work":
                self.talk.red(group.rounds_span, "There is no work under this heading.")  # `do 4 rounds, then 50 burpees`
            headed = group.works and (group.rounds > 1 or group.scheme or group.role)
            if headed and not group.role and self.ahead in ("sep", "") and talks_behind(self.talk.text, statement):
                self.then_comes = statement
            elif headed and (group.role or self._after_all(statement)):
                self.here.groups.append(Group())
        return kind != "AT"

    def _after_all(self, statement: Statement, *, told_later: bool = False) -> bool:
        """`3 rounds: 10 burpees, then 200 m run`: whether what follows is done in each round, or once after all, is asked."""
        group = self.here.group
        if group.begins_each and len(group.works) == 1:
            return False
        if (self.ahead != "work" and not told_later) or group.closed:
            return True
        span = group.rounds_span or group.scheme_span or span_of(statement)
        answers = [("each", "In each of them"), ("after", "Once, after all of them")]
        told = self.talk.text[statement.start :].partition("\n")[0].partition(",")[0].strip()
        after = self.talk.ask("then", span, f"“{told}”: in each round, or once after all?", answers) == "after"
        self.in_each = not after
        return after

    def _say_max(self, statement: Statement) -> bool:
        kinds, self.most_span = {tok.kind for tok in statement.toks}, span_of(statement)
        self.most = "calories" if kinds & {"CAL", "T_CAL"} else "distance" if kinds & {"M", "T_DIST"} else "any"
        if "T_LOAD" in kinds:
            self.most = ""
            return self._say_lift(statement)
        here = self.here
        if self.cycle is not None:
            return True
        timed = [work for work in here.works if work.amount and work.amount.kind == "time"]
        if len(here.works) > 1 and self.last in timed and here.kind == "" and self.most != "any" and self.last is not None:
            self.last.most, self.most = self.most, ""  # `1:00 row for calories` among others
            return True
        if here.works and here.works[-1] in timed and here.kind == "" and len(here.works) == 1:
            return self._most_behind(here)
        if here.kind == "every" and here.works and here.works[-1] in timed and here.works[-1] is self.last:
            return self._most_inside(here.works[-1])
        if self._of_the_last(here):
            return True
        if here.group.role == "rest-of-time" or here.kind in ("every", "windows", "amrap"):
            return True
        rounds = self.pending_rounds()
        self._times(self.fresh("windows"), rounds)
        return True

    def _most_behind(self, here: Stretch) -> bool:
        """`row 4 min for max calories`."""
        work = here.works[-1]
        assert work.amount is not None
        here.kind, here.seconds = "windows", int(work.amount.values[0])
        here.count, here.group.rounds = (here.group.rounds if here.group.rounds > 1 else here.count), 1
        work.amount, work.most, self.most = None, self.most, ""
        return True

    def _of_the_last(self, here: Stretch) -> bool:
        """`1:30 row, max calories`: the words stand behind the thing, and nothing follows."""
        last = self.last
        if self.ahead in ("work", "hold") or last is None or here.kind not in ("", "windows", "every") or last not in here.works:
            return False
        if last.amount is not None or last.most or last.rest:
            return False
        last.most, self.most = self.most, ""
        here.count, here.group.rounds = (here.group.rounds if here.group.rounds > 1 else here.count), 1
        here.kind = here.kind or "windows"
        return True

    def _most_inside(self, work: Work) -> bool:
        """`every 90 s: 30 s row, max calories`: a time of its own inside the window."""
        assert work.amount is not None
        work.long, work.amount, work.most, self.most = int(work.amount.values[0]), None, self.most, ""
        return True

    def _say_hold(self, statement: Statement) -> bool:
        self.holding, self.hold_span = True, span_of(statement)
        return True

    def _say_work(self, statement: Statement) -> bool:
        work = said_work(statement)
        work.joined, self.joined = self.joined or (self.in_complex and bool(self.here.works)), False
        self.both = []
        if work.too_many:
            return False
        if not work.known and work.amount is None and not self.wants_things and not self.meanwhile and not self._for_most():
            return False
        if self.scoring and work.amount is None and not self.most:
            return self._counts(work)
        if self.meanwhile and self.draft.stretches:
            held, self.holding = self.holding, False
            self.here.held = work
            return work.amount is None and (held or work.key in HELD)
        if self.holding and self.member and not self.here.works and self.here.held is None and work.amount is None:
            self.here.held, self.here.holder, self.holding, self.member = work, self.member, False, None
            return True
        if self._held_beside(work) or (self._tells_no_more() and told_later(self.draft, work)):
            return True
        if self.most:
            work.most, self.most = work.most or self.most, ""  # `max row cals` says of what
        if self.cycle is not None:
            told, self.cycle = str(self.cycle), None
            if work.amount is not None:
                return False
            work.amount = Amount("time", (told,), "")
            self._place(work)
            return True
        if self.inside is not None:
            work.long, self.inside = self.inside, None
            work.most = work.most or "any"
            if work.amount is not None:
                return False
        if self.here.kind == "every" and self.here.adds and work.amount is None and self._climbs_too(work):
            work.amount = Amount("reps", (str(self.here.adds),), "")
        self._place(work)
        return self._as_long(work)

    def _for_most(self) -> bool:
        """`Axle press, 80 kg, 75 s, max reps`: whether the sentence tells how long and as many as possible of that one thing."""
        rules = [statement.rule for statement in self.told]
        return rules.count("work") == 1 and "for_long" in rules and bool({"max", "amrap"} & set(rules)) and not self.here.works

    def _climbs_too(self, work: Work) -> bool:
        """`Death by burpees and thrusters`: of everything in that line there is one more in each minute."""
        here = self.here
        alike = all(reps_of(one) == here.adds for one in here.works)
        return alike and (not here.works or "\n" not in self.talk.text[here.works[-1].span.end : work.span.start])

    def _counts(self, work: Work) -> bool:
        """`Score: total burpees` is no more work: of all that is done, these count."""
        done = {one.key for stretch in self.draft.stretches for one in stretch.works}
        plain = work.known and not (work.load or work.size or work.note or work.each_side or work.sync)
        if not plain or not any(is_such(key, work.key) for key in done):
            return False
        self.draft.score_of.append((work.key, work.span))
        return True

    def _tells_no_more(self) -> bool:
        """Whether nothing asks for a thing to be done here."""
        return not (self.most or self.cycle is not None or self.inside is not None or self.wants_things or self.here.group.scheme)

    def _held_beside(self, work: Work) -> bool:
        """`A does max thrusters, B holds a plank`, `A: max thrusters. B: plank`: what the other holds meanwhile."""
        here, other = self.here, self.member
        if not (other and here.works and here.who) or self.most:
            return False
        if work.amount is not None or work.load is not None or work.key not in HELD or set(other) & set(here.who):
            return False
        by_itself = self.holding and [one.rule for one in self.told if one.rule != "sep"] == ["member", "hold", "work"]
        if here.held is not None:  # `B, the same; A holds a plank`
            again = by_itself and here.held.key == work.key and here.holder == other
            self.holding, self.member = self.holding and not again, None if again else self.member
            return again
        if self.last is None:
            return False
        between = self.talk.text[self.last.span.end : work.span.start]
        if by_itself and here.seconds and not BEGUN_ANEW.search(between):  # `0:00-4:00 A: …; B holds a plank`
            here.held, here.holder, self.holding, self.member = work, other, False, None
            return True
        if self.holding and OF_THE_OTHER.search(between):
            between = between.replace("\n", " ")
        if not (same_clause(between) if self.holding else here.works[0].most and "\n" not in between):
            return False
        here.held, here.holder, self.holding, self.member = work, other, False, here.who
        return True

    def _as_long(self, work: Work) -> bool:
        """`max burpees in 3 min`, `a heavy clean in 10 min`: the time is the window's."""
        here = self.here
        if not (work.most or here.kind == "lift") or work.amount is None or work.amount.kind == "reps":
            return not work.most or work.amount is None
        if work.amount.kind == "time" and here.kind == "" and here.seconds is None and work.most in ("calories", "distance"):
            return True  # `1:00 row cals`, one of several with a time each
        if work.amount.kind != "time" or here.seconds is not None or here.kind not in ("windows", "lift"):
            return False
        here.seconds, work.amount = int(work.amount.values[0]), None
        return True

    def _place(self, work: Work) -> None:
        if self.here.group.scheme and says_how(self.talk.text, work, self.last, self.here.group.works):
            self.talk.doubted.append(work.span)
            return
        waits, self.then_comes = self.then_comes, None
        if waits is not None and self.here.group.works and self._after_all(waits, told_later=True):
            self.here.groups.append(Group())
        here = self.fresh("") if self.here.rest_only else self.here
        full = here.kind in ("windows", "lift") and here.works and here.group.label is None
        if full and not self._same_line(here) and not (here.kind == "windows" and (here.count or here.one_by_one)):
            here = self.fresh("")
        if here.kind in ("time", "amrap") and self.member:
            work.who = self.member
        elif self.member and here.group.label is not None and here.who is None:
            here.group.who = here.group.who or self.member
        elif self.member and not here.works:
            here.who = self.member
        elif self.member and here.who != self.member and not work.joined:
            here = self.fresh("")
            here.who = self.member
        if here.kind == "lift" and not here.works:
            self._announced(here, work)
        if (not self.each_set and self._under_a_full_line(work)) or self._under_a_scheme(work):
            here.groups.append(Group())
        if here.group.closed:  # `the same AMRAP, but with 10 burpees`, `3 rounds in all`, and below it 5 pull-ups
            self.talk.red(work.span, "It was told above what is done here, and that it is all.")
        if here.group.own_scheme and here.group.works:  # `thrusters 21-15-9`, and below it pull-ups
            self.talk.red(work.span, "Whether this is done by the scheme of the line above is not said.")
        here.group.works.append(work)
        here.each_does, self.each_next = here.each_does or self.each_next, False
        self.last = work
        self._lift_again()

    def _announced(self, here: Stretch, work: Work) -> None:
        """`Max back squat`, and below it `12 minutes to find your heaviest back squat`: the heading is no work beside it."""
        before = self.draft.stretches[-2] if len(self.draft.stretches) > 1 else None
        works = before.works if before else []
        named = len(works) == 1 and works[0].key == work.key and works[0].most == "any" and not works[0].load and needs_bar(work)
        if before is None or not named or before.count or before.start is not None or (before.seconds and here.seconds):
            return
        here.seconds, here.spans = here.seconds or before.seconds, [*before.spans, *here.spans]
        self.draft.stretches.remove(before)

    def _under_a_scheme(self, work: Work) -> bool:
        """`15-12-9 of thrusters and pull-ups`, then 10 muscle-ups: in each set, or once after all? It is asked."""
        group = self.here.group
        if self.each_set:
            work.own_number, self.each_set = reps_of(work) > 0 and bool(group.scheme), False
            return False
        if not group.scheme or not group.works or group.scheme_span is None or reps_of(work) == 0:
            return False
        if self.in_each:  # it is asked already
            work.own_number, self.in_each = True, False
            return False
        answers = [("after", "Once, after all of them"), ("each", "In each of them")]
        asked = f"“{self.talk.text[work.span.start : work.span.end]}”: in each set, or once after all?"
        told = self.talk.ask("then", work.span, asked, answers)
        work.own_number = told == "each"
        return told == "after"

    def _under_a_full_line(self, work: Work) -> bool:
        """`5 rounds of 10 pull-ups, 10 push-ups`, then a line of its own: in each round, or once after all? It is asked."""
        group, text = self.here.group, self.talk.text
        heading = group.rounds_span if group.rounds > 1 else None
        if heading is None or not group.works or self.last is None or group.works[-1] is not self.last:
            return False
        first, before = group.works[0].span, text[self.last.span.end : work.span.start]
        same_line = "\n" not in text[heading.end : first.start] and heading.end <= first.start
        if not same_line or "\n" not in before or before.strip(" \t\n.;-•*"):
            return False
        answers = [("each", "In each of them"), ("after", "Once, after all of them")]
        asked = f"“{text[work.span.start : work.span.end]}”: in each round, or once after all?"
        return self.talk.ask("then", heading, asked, answers) == "after"

    def _same_line(self, here: Stretch) -> bool:
        return not here.group.inline

    def _say_loose_load(self, statement: Statement) -> bool:
        load, alike = said_load(statement), self.alike
        self.alike = False
        if alike and self.last is not None and self.last.load is None and not load.gear:
            for work in self.here.works:
                if work.load is None and with_what(work) == with_what(self.last):
                    work.load = load
            return ends_there(self.talk.text, load.span)
        same_line = self.last is not None and "\n" not in self.talk.text[self.last.span.end : load.span.start]
        if self.comma and same_line and self.last is not None and self.last.load is None and self.last.key and not load.gear:
            self.last.load = load
        else:
            self.draft.loose.append(("", load))
            self.loose_line = True
        return True

    def _say_same_load(self, statement: Statement) -> bool:
        """`45 goblet squats, same bell`: what was loaded last, for this and for whatever here lacks the load of its bar."""
        if self.last is not None and self.ahead == "loose_load" and loadable(self.last) and self.last.load is None:
            self.alike = True  # `swings and goblet squats with the same bell (20 kg)`
            return True
        last, told = self.last, [work.load for stretch in self.draft.stretches for work in stretch.works if work.load]
        if last is None or not told or not loadable(last) or not ends_there(self.talk.text, span_of(statement)):
            return False
        load_alike(self.here.works, last, told[-1])
        return last.load is not None

    def _say_late_amount(self, statement: Statement) -> bool:
        """`Snatch with 40 kg, reps 12`: how many stands behind all else."""
        if not self.comma or self.last is None or self.last.amount or self.last.most or self.scoring:
            return False
        self.last.amount = Amount("reps", statement.toks[0].values, "")
        return True

    def _say_loose_size(self, statement: Statement) -> bool:
        if self.draft.loose and self.loose_line and not self.comma and not statement.toks[0].key:
            self.draft.loose[-1][1].size = said_size(statement)
            return True
        tok, versions = statement.toks[0], statement.part("versions")
        names = versions.toks[0].values if versions else ()
        if not self.comma or self.last is None or self.last.size or (tok.key and not is_as_high(self.last, tok.key)):
            self.draft.heights += [(tok.key, said_size(statement), names, span_of(statement))] if tok.key else []
            return bool(tok.key)
        self.last.size = said_size(statement)
        self.last.versions = self.last.versions or names
        return True
