"""From statements to a draft: what each statement of the grammar means where it stands.

A statement that has no meaning where it stands is not passed over: it stands in red.
"""

from collections.abc import Callable

from app.rules.reading.drafting.headings import SaysHeadings
from app.rules.reading.drafting.said_work import span_of
from app.rules.reading.drafting.state import named_alone
from app.rules.reading.drafting.times import SaysTimes
from app.rules.reading.drafting.who import SaysWho
from app.rules.reading.drafting.work import SaysWork
from app.rules.reading.drafts import Amount, Group, Loaded, Work
from app.rules.reading.grammar import Statement
from app.rules.reading.scan.frames.ladders_said import rungs_of
from app.rules.reading.scan.frames.minute_ladders import MinuteLadder
from app.rules.reading.scan.sense_words import Known
from app.rules.reading.talk import Span
from app.rules.reading.things import HELD, needs_bar

SUMMED = {"total", "most", "sum", "σ"}
NOT_HERE = "This has no meaning where it stands."
# Rules of the grammar whose words are about the event as a whole, or about a load, and not about one window.
OF_NO_STRETCH = {"sep", "members", "style", "score", "uncounted", "take", "tie", "tie_step", "loads_in", "cap", "loose_load"}
OF_NO_STRETCH |= {"member"}


class Drafter(SaysTimes, SaysHeadings, SaysWork, SaysWho):
    """Takes statements line by line."""

    def line(self, statements: list[Statement]) -> None:
        """The statements of one sentence."""
        self.known_now = None
        self.told = statements
        self.alone = _takes_alone(statements)
        for place, statement in enumerate(statements):
            self.ahead = statements[place + 1].rule if place + 1 < len(statements) else ""
            self.at = statement.start
            self._one(statement)
        self._hangs([one for one in statements if one.rule != "sep"])

    def _hangs(self, told: list[Statement]) -> None:
        """What only announces something, and stands behind what is done or what counts with nothing behind it: `40 kg max`, `15
        push-ups at most`, `total reps (both)`, and `10 lunges together` where nothing tells of several."""
        if len(told) < 2 or not {one.rule for one in told[:-1]} & {"work", "take"}:
            return
        last = told[-1]
        cap = last.rule == "cap" and last.tok("DUR", "BARE", "PRIMED") is None
        apart = last.toks[0].kind == "ALLTOGETHER" and self.draft.members is None and told[-2].rule == "work"
        if cap or apart or (last.rule == "max" and self.most) or (last.rule == "member" and self.member is not None):
            self.most, self.member = "", None
            self.red(last)

    def end_line(self) -> None:
        """What goes for one line alone is over."""
        self.known_now = None
        for kind, span in self.early:
            words = set(self.talk.text[span.start : span.end].casefold().split())
            if kind in ("T_REPS", "T_CAL", "T_DIST", "T_ROUNDS") and words & SUMMED:  # `… 10 box jumps, total reps`
                self.draft.takes.append((kind, span))
            else:
                self.talk.red(span, NOT_HERE)
        self.early.clear()
        self.let_go()
        self.in_each = self.alike = self.in_complex = False
        self.scoring = self.loose_line = self.named_before = self.meanwhile = self.joined = self.comma = self.holding = False
        if self.most and self.last is None:
            self._each_for_most()
        if self.inside is not None and self.draft.stretches:
            self.talk.red(self.here.span or Span(0, 0), NOT_HERE)
            self.inside = None
        if self.draft.stretches:
            group = self.here.group
            group.inline = group.inline or bool(group.works)

    def known(self) -> Known:
        """What is done so far, and how long its stretches last."""
        if self.known_now is None:
            self.known_now = self._known()
        return self.known_now

    def _known(self) -> Known:
        done: dict[str, bool] = {}
        ones, in_step, counts = set[str](), set[str](), set[str]()
        left = [
            work.key for told in self.draft.stretches for one in told.groups if one.role == "rest-of-time" for work in one.works
        ]
        told = ((stretch, work) for stretch in self.draft.stretches for group in stretch.groups for work in group.works)
        for stretch, work in told:
            if not work.rest:
                done[work.key] = stretch.kind == "lift" or (not work.load and needs_bar(work))
            if work.amount and work.amount.kind == "distance" and work.worth in (None, 1):
                ones.add(work.key)
            if work.amount and work.amount.kind == "reps":
                counts.update(work.amount.values)
            if work.sync:
                in_step.add(work.key)
        lasts = frozenset(one for one in (*(told.seconds for told in self.draft.stretches), self.draft.cap) if one)
        lifts = frozenset(key for key, lifted in done.items() if lifted)
        total = sum((one.seconds or 0) * (one.count or 1) for one in self.draft.stretches) or self.draft.total or 0
        last = next((work.key for one in reversed(self.draft.stretches) for work in reversed(one.works) if not work.rest), "")
        tail = frozenset(left if all(one.kind in ("", "time") for one in self.draft.stretches) else ())
        return Known(frozenset(done), lifts, lasts, frozenset(in_step), frozenset(ones), tail, last, total, frozenset(counts))

    def done_or_held(self) -> set[str]:
        """All that is done so far, or held by somebody."""
        told = self.draft.stretches
        return {work.key for one in told for work in (*one.works, *((one.held,) if one.held else ()))}

    def named_alone(self) -> Work | None:
        """The only thing that was named here, without a number."""
        return named_alone(self.here) if self.draft.stretches else None

    def in_each_minute(self) -> Work | None:
        """The one thing that is done in each minute, so many times; once a minute is told by its number, it is there alone."""
        here = self.draft.stretches[-1] if self.draft.stretches else None
        works = here.works if here else []
        alike = {
            (work.key, work.name, work.amount.values if work.amount and work.amount.kind == "reps" else ()) for work in works
        }
        if here is None or here.kind != "every" or len(alike) != 1 or not works[0].known or not works[0].amount or here.adds:
            return None
        first = works[0]
        if here.group.label is None:
            if len(works) > 1 or first.load is not None or here.group.rounds > 1 or here.group.scheme:
                return None
            here.groups = [Group()]
        return first

    def climb(self, ladder: MinuteLadder, span: Span) -> bool:
        """A ladder of minutes: of the one thing that it names, that was named before it, or of which its first minutes are."""
        here = self.draft.stretches[-1] if self.draft.stretches else None
        named = self.named_alone()
        if ladder.thing is not None:
            thing = ladder.thing
            work = Work(thing.name or thing.text, thing.key, True, Span(thing.start, thing.end), Span(thing.start, thing.end))
            if (load := ladder.load) is not None:
                work.load = Loaded(load.values, load.unit, Span(load.start, load.end), gear=load.key)
            if here is None or here.works or here.kind not in ("", "every") or here.group.rounds > 1:
                here = self.fresh("every")
        elif here is not None and (rungs_of(here) or (named and here.kind in ("", "every") and here.group.rounds == 1)):
            work = here.works[0]
        else:
            return False
        lasts = ladder.minutes * 60 if ladder.minutes else None
        if here.seconds not in (None, 60) or here.count is not None or (lasts and here.total not in (None, lasts)):
            return False
        work.amount = Amount("reps", (str(ladder.first),), "")
        here.kind, here.seconds, here.adds, here.groups = "every", 60, ladder.by, [Group(works=[work])]
        here.total, here.puts_out = lasts or here.total, here.puts_out or ladder.until_miss
        here.spans.append(span)
        self.last = work
        return True

    @property
    def in_a_complex(self) -> bool:
        """Whether several lifts under one load were told last: nobody lets go of the bar between them."""
        here = self.draft.stretches[-1:]
        return bool(here) and here[0].kind == "lift" and len(here[0].works) > 1

    def only_named(self, last: Work | None) -> None:
        """A thing that was named without a number, and of which so many and so many follow: the name is done with."""
        group = self.here.group
        if last is not None and last in group.works and last.amount is None and last.load is None and not last.most:
            group.works.remove(last)

    def amid_work(self, at: int) -> bool:
        """Whether a place of the text is inside a list: `10 burpees, rest what is left, 10 sit-ups` may be two windows."""
        lists = [one.works for told in self.draft.stretches for one in told.groups if one.works and not told.one_by_one]
        return any(works[0].span.start < at < works[-1].span.start for works in lists)

    def attempt(self, nth: int, first: int, last: int, span: Span) -> bool:
        """`Attempt 2: 3:00 - 4:30`: when an attempt at the lift that was told begins and ends; all as long, and as far apart."""
        here, long = self.here, last - first
        held = here.kind == "windows" and len(here.works) == 1 and here.works[0].key in HELD
        if not (here.kind == "lift" or held) or not here.works or long <= 0 or (nth == 1) != (here.seconds is None):
            return False
        if nth == 1:
            here.start, here.seconds, here.count, here.expected = first, long, 1, here.count if held else here.attempts
        off = first - (here.start or 0) - long * (nth - 1)
        if nth != 1 and (nth != (here.count or 0) + 1 or long != here.seconds or off < 0 or off % (nth - 1)):
            return False
        if nth > 2 and here.off != off // (nth - 1):
            return False
        here.count, here.off, here.attempts = nth, off // (nth - 1) if nth > 1 else 0, 1
        here.spans.append(span)
        return True

    def _each_for_most(self) -> None:
        """`3 rounds, each for max reps`: a heading, whose things have times of their own."""
        self.most, here = "", self.here
        here.most_span = self.most_span
        if here.kind == "windows" and not here.works and here.seconds is None:
            here.kind, here.group.rounds, here.count = "", here.count or 1, None

    def blank(self) -> None:
        """An empty line ends a group that has a heading of its own."""
        if (
            self.draft.stretches
            and self.here.group.works
            and (self.here.group.rounds > 1 or self.here.group.scheme or self.here.group.role)
        ):
            self.here.groups.append(Group())

    def red(self, statement: Statement) -> None:
        """Not understood here."""
        self.talk.red(span_of(statement), NOT_HERE)

    def _one(self, statement: Statement) -> None:
        handler: Callable[[Statement], bool] = getattr(self, f"_say_{statement.rule}", self._nothing)
        comma = self.comma
        self.known_now = None
        if not handler(statement):
            self.red(statement)
            return
        if statement.rule != "sep":
            self.comma = False
            if statement.rule not in OF_NO_STRETCH and self.draft.stretches:
                self.here.spans.append(span_of(statement))
        elif comma:
            self.comma = True

    def _nothing(self, statement: Statement) -> bool:
        return False


def _takes_alone(statements: list[Statement]) -> list[Statement]:
    """What counts, said in a sentence of its own: `Total reps.`"""
    found: list[Statement] = []
    sentence: list[Statement] = []
    for statement in [*statements, None]:
        if statement is None or (statement.rule == "sep" and statement.toks[0].kind == "STOP"):
            if {one.rule for one in sentence} <= {"take", "sep"}:
                found += sentence
            sentence = []
        else:
            sentence.append(statement)
    return found
