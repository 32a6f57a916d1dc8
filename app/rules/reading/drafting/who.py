"""Statements on who works, and on what counts."""

import re

from app.rules.reading.drafting.said_work import span_of
from app.rules.reading.drafting.state import length_of
from app.rules.reading.drafting.turns import Turns
from app.rules.reading.drafts import Group
from app.rules.reading.grammar import Statement
from app.rules.reading.scan.numbered import AGAIN
from app.rules.reading.scan.told_shortly import IN_ORDER, OF_ALL
from app.rules.reading.scan.uncounted_said import ASKED
from app.rules.reading.things import needs_bar
from app.rules.reading.writing.written_scores import read_each_lift
from app.rules.workout.tasks import MOST_MEMBERS

ONE_AT_A_TIME = re.compile(r"^(?:as long as )?(?:only )?(?:one|1)\b")  # `one works at a time`: nothing of when they change
OF_ROUNDS = re.compile(r"\bround|\balternat|\beach\b|\bevery\b")


def _way_of(told: list[tuple[str, str]]) -> str:
    """What several ways of sharing come to, each with its words; nothing where they do not fit.

    That one works at a time fits with turns (`I go you go, one at a time`) and with a relay; turns whose length nothing tells
    may be as they like (`one works, one rests, switch whenever you like`), and a full round each may not.
    """
    kinds = {kind for kind, _ in told} - {"ALLTOGETHER"}
    if len(kinds) < 2:
        return next(iter(kinds), "ALLTOGETHER") if told[-1][0] != "ALLTOGETHER" or not kinds else ""
    turns = " ".join(said for kind, said in told if kind == "TURNS")
    freely = [said for kind, said in told if kind == "SPLIT" and not ONE_AT_A_TIME.match(said)]
    if kinds == {"RELAY", "SPLIT"}:
        return "" if freely else "RELAY"
    if kinds != {"TURNS", "SPLIT"}:
        return ""
    if OF_ROUNDS.search(turns):
        return "" if freely else "TURNS"
    return "SPLIT" if freely or "rest" in " ".join(said for _, said in told) else "TURNS"


class SaysWho(Turns):
    """Who works, and what counts."""

    def _say_members(self, statement: Statement) -> bool:
        tok = statement.toks[0]
        if tok.kind == "SOLO" and tok.text.casefold() == "alone" and self.member:
            return True  # `A rows alone for 3 minutes`
        told = {"PAIR": "2", "TRIO": "3", "SOLO": "1"}.get(tok.kind) or tok.values[0]
        number = int(told) if told.isdecimal() else 0  # `teams of 1.3`
        if self.draft.members not in (None, number) or not 1 <= number <= MOST_MEMBERS:
            return False
        self.draft.members, self.draft.members_span = number, span_of(statement)
        return True

    def _say_style(self, statement: Statement) -> bool:
        kind = statement.toks[0].kind
        if kind == "SYNC" and self.here.works and self.last is not None and not self.here.group.inline:
            self.last.sync = True
            return True
        told = [*self.style_told, (kind, statement.toks[0].text.casefold())]
        made, here = _way_of(told), self.draft.stretches[-1:]
        headed = bool(here) and self._heads_here(statement)
        if headed and not made and kind in ("SYNC", "ALLTOGETHER") and here[0].style in ("", "ALLTOGETHER"):
            here[0].style = kind  # `8:00-12:00, both together, in step: …`, behind what one does after the other
            return any(one.works for one in self.draft.stretches[:-1])
        if not made:
            return False
        for one in here if headed else [one for one in self.draft.stretches if one.style == "ALLTOGETHER"]:
            one.style = made if headed else ""  # `you have 14 minutes together … Split it up as you like`
        if made == kind or not self.draft.style:
            self.draft.style_span = span_of(statement)
        self.style_told, self.draft.style = told, made
        return True

    def _heads_here(self, statement: Statement) -> bool:
        """Whether a sentence tells of the stretch at hand, and not of the event: its time or its kind stands before."""
        before = {one.rule for one in self.told if one.start < statement.start}
        return bool(before & {"span", "for_long", "amrap", "on", "max"}) and bool(self.here.kind or self.here.seconds)

    def _say_each_does(self, statement: Statement) -> bool:
        """`5 min max cal row each`, `relay, each: …`; where nobody is a member it is `on each side`."""
        if (self.draft.members or 1) > 1 or self.draft.style:
            self.each_next, self.here.each_does = not self.here.works, bool(self.here.works)
            return True
        if self.here.kind == "windows" and len(self.here.works) > 1 and not any(work.amount for work in self.here.works):
            return True  # `three stations: …, max reps each`
        if self.most:
            return False
        if self.last is None or self.last.amount is None or self.last.amount.kind != "reps" or self.last.each_side:
            return False
        self.last.each_side = True
        return True

    def _say_member(self, statement: Statement) -> bool:
        tok = statement.toks[0]
        if tok.kind == "LETTER" and (self.draft.members or 1) == 1 and len(tok.values) == 1:
            if self._lettered_window(tok.values):
                return True
            return self.part()  # `A:` without a pair or a team is a part of the workout
        numbers = {"MEMBERA": (1,), "MEMBERB": (2,), "MEMBERC": (3,), "BOTH": (1, 2)}.get(tok.kind) or tuple(
            numbered(value) for value in tok.values
        )
        if not all(1 <= number <= MOST_MEMBERS for number in numbers):
            return False
        if self.meanwhile:
            self.here.holder = numbers
            return True
        if tok.kind == "BOTH" and self.ahead == "style" and self._heads_here(statement) and not self.here.works:
            self.here.who = numbers  # `5 min AMRAP, both together: …`
            return True
        between = self.talk.text[self.named_until : statement.start].casefold().split()
        if self.member and between in (["and"], ["&"], ["+"]):  # `partner A and partner B: …`
            numbers = tuple(sorted({*self.member, *numbers}))
        self.member, self.named_until = numbers, statement.end
        return True

    def _lettered_window(self, letters: tuple[str, ...]) -> bool:
        """`EMOM 16` and below it `A: 12 cal row`, `B: 15 push-ups`: each letter is a window, one after another."""
        here = self.here
        told = [group for group in here.groups if group.works or group.label is not None]
        if here.kind != "every" or here.one_by_one or any(group.label is None for group in told) or len(letters) != 1:
            return False
        if letters != (str(len(told) + 1),):
            return False
        if here.group.works or here.group.label is not None:
            here.groups.append(Group())
        here.group.label = (len(told) + 1,)
        return True

    def _say_while(self, statement: Statement) -> bool:
        self.meanwhile = bool(self.here.works)
        return self.meanwhile or self.here.held is not None  # `A holds while B works` begins with the hold

    def _say_switch(self, statement: Statement) -> bool:
        resting = next((one for one in reversed(self.draft.stretches) if one.kind or one.works or one.rest_only), None)
        if resting is not None and resting.rest_only and resting.start is not None:  # `3:00-4:00 rest, change places`
            self.draft.changes.append((len(self.draft.stretches), span_of(statement)))
            return True
        first = next((one.who for one in self.draft.stretches if one.who), None)
        return self._mirrored(statement, 1 if first == (2,) else 2, reverse=False)

    def _say_order(self, statement: Statement) -> bool:
        told = statement.tok("DUR")
        if statement.toks[0].unit == AGAIN:
            return self._own_again(statement)
        if told is not None:
            done = [one for one in self.draft.stretches if one.works]
            if not done or done[-1].kind != "amrap" or done[-1].seconds != length_of(told):
                return False
        same = self._mirrored(statement, (self.member or (2,))[0], reverse=any(tok.kind == "REVERSE" for tok in statement.toks))
        self.here.group.closed = same
        return same

    def _say_score(self, statement: Statement) -> bool:
        """`Score: total reps`, and `total reps is the score`."""
        self.scoring = True
        if name := statement.tok("NOTE"):
            self.draft.score_names.append(name.text.strip("“”"))
        self.draft.takes += self.early
        self.early.clear()
        return True

    def _say_take(self, statement: Statement) -> bool:
        kind, lifted = statement.toks[0].kind, statement.tok("MOVE")
        self.draft.claims += [(int(value), span_of(statement)) for value in statement.toks[0].values]
        if lifted is not None:
            known = {work.key for one in self.draft.stretches if one.kind == "lift" for work in one.works}
            return self.scoring and lifted.key in known and self._take("T_SUM", statement)
        if kind == "T_MISS" and self.draft.stretches:
            self.here.puts_out = True
            if self.here.kind != "every":
                return False
        elif (
            kind == "T_LOAD" and not self.scoring and self.ahead in ("work", "sep") and not self.here.works and not self.here.kind
        ):
            self.fresh("lift")  # `heaviest complex of …`
            return True
        elif not self.scoring and statement not in self.alone:
            self.early.append((kind, span_of(statement)))
            return True
        self.draft.takes.append((kind, span_of(statement)))
        return True

    def _say_apart(self, statement: Statement) -> bool:
        self.draft.apart = True
        return True

    def _say_unit(self, statement: Statement) -> bool:
        """`Score: total, in kg`."""
        if not self.scoring or self.draft.score_unit:
            return False
        self.draft.score_unit = statement.toks[0].kind.lower()
        return True

    def _say_counting(self, statement: Statement) -> bool:
        take = {"LOWCOUNTS": "T_LOW", "BESTCOUNTS": "T_BEST", "ALLCOUNT": "T_SUM"}[statement.toks[0].kind]
        self.draft.takes.append((take, span_of(statement)))
        return True

    def _say_tie(self, statement: Statement) -> bool:
        return True

    def _say_tie_step(self, statement: Statement) -> bool:
        self.draft.ties.append((statement.toks[0], span_of(statement)))
        return True

    def _say_norest(self, statement: Statement) -> bool:
        """No rest in between: so it is where none is said."""
        alone = len(self.draft.stretches) == 1 and (self.here.count or 1) == 1
        if alone and self.here.kind == "windows" and any(work.most for work in self.here.works):
            return False  # `as many double-unders as possible without a break`: in one set, it may be
        extra = "extra" in statement.toks[0].text.casefold()  # beside the rest between any two windows
        return (self.here.off == 0 or extra) and self.here.round_off == 0 and self.here.after == 0

    def _say_uncounted(self, statement: Statement) -> bool:
        """`The row doesn't count`. That somebody does not count it may be for another to count it: it is asked."""
        tok, span = statement.toks[0], span_of(statement)
        answers = [("nothing", "It counts nothing in the score"), ("counts", "It counts; somebody else counts it")]
        asked = f"“{self.talk.text[span.start : span.end]}”: does it count in the score?"
        if tok.unit != ASKED or self.talk.ask("uncounted", span, asked, answers) == "nothing":
            self.draft.uncounted.append((tok.key, span))
        return True

    def _say_score_of(self, statement: Statement) -> bool:
        """`Score A`, `the second score`: each part has a score of its own."""
        self.draft.scored_apart = self.scoring = True
        self.draft.scored_in_order |= statement.toks[0].unit == IN_ORDER
        return True

    def _say_each_try(self, statement: Statement) -> bool:
        """`Each attempt has a window of one minute`: as many windows as attempts."""
        here, told = self.here, statement.tok("DUR")
        if here.kind != "lift" or not here.attempts or here.count or here.seconds or told is None:
            return False
        here.count, here.attempts, here.seconds = here.attempts, 1, length_of(told)
        return here.seconds is not None

    def _say_each_one(self, statement: Statement) -> bool:
        """`1 calorie = 1 rep`: so it is counted, but where a line is said to count nothing."""
        return all(work.worth != 0 for stretch in self.draft.stretches for work in stretch.works)

    def _say_every_part(self, statement: Statement) -> bool:
        self.draft.every_part = span_of(statement)
        return True

    def _say_each_lift(self, statement: Statement) -> bool:
        """Beside the total each lift has a standing of its own, with ties of its own."""
        self.draft.each_lift = read_each_lift(statement.toks[0].text)
        self.draft.each_span = span_of(statement)
        return self.draft.each_lift is not None

    def _say_claim(self, statement: Statement) -> bool:
        """`All three added`: how many there are is compared with what is done; so is the most of `total reps (max 84)`."""
        tok = statement.toks[0]
        if not tok.values[0].isdigit() or (tok.unit == OF_ALL and not self.scoring):
            return False
        claims = self.draft.claims_of_all if tok.unit == OF_ALL else self.draft.claims
        claims.append((int(tok.values[0]), span_of(statement)))
        return True

    def _say_late(self, statement: Statement) -> bool:
        """What comes after the bell does not count: so it is."""
        return True

    def _say_held_rule(self, statement: Statement) -> bool:
        """Repetitions count while the other holds: so it is where somebody holds, which may be told below."""
        self.draft.held_rule = self.draft.held_rule or span_of(statement)
        return True

    def _say_free(self, statement: Statement) -> bool:
        """As many attempts as they like: so it is where no number is said, and what has attempts is a lift."""
        here = self.here
        if here.kind in ("", "windows") and here.works and all(needs_bar(work) and not work.load for work in here.works):
            here.kind = "lift"
        return here.kind in ("lift", "") and here.attempts is None

    def _say_lift_time(self, statement: Statement) -> bool:
        """`Snatch: 8 min lifting time`: how long a lift lasts that stands before, or comes."""
        part, told = statement.part("length"), statement.tok("DUR")
        told = part.toks[0] if part else told
        here = self.here
        if here.kind == "lift" or (
            here.kind == "" and here.works and not here.seconds and all(not one.amount for one in here.works)
        ):
            here.kind = "lift"
        else:
            here = self.fresh("lift")
        here.seconds = here.seconds or (length_of(told) if told else None)
        return here.seconds is not None

    def _say_capped(self, statement: Statement) -> bool:
        """Who does not finish is ranked by repetitions: so it is for time."""
        return self.here.kind in ("time", "") and not any(one.kind not in ("time", "") for one in self.draft.stretches)

    def _say_loads_in(self, statement: Statement) -> bool:
        self.draft.unit, self.draft.unit_span = statement.toks[-1].kind.lower(), span_of(statement)
        return True


def numbered(value: str) -> int:
    return int(value) if value.isdigit() else 1
