"""Statements that stand over work: rounds, schemes, ladders, which window, before and after."""

import re
from copy import deepcopy

from app.rules.reading.drafting.blocks import SaysBlocks
from app.rules.reading.drafting.said_work import said_load, span_of
from app.rules.reading.drafting.state import length_of, whole
from app.rules.reading.drafting.time_left import SaysTimeLeft
from app.rules.reading.drafting.turns import Turns
from app.rules.reading.drafts import Group, Stretch
from app.rules.reading.grammar import Statement
from app.rules.reading.scan.pieces import OWN_SCHEME, Tok
from app.rules.reading.talk import Span

ALL_TOLD = re.compile(r" (?:in all|in total|altogether|all together|all told)[ \t]*(?:[.!\n)]|$)")
OF_EACH, PARTED = re.compile(r" of \S"), re.compile(r"[ \t]*[,;:(\n]")  # `3 rounds of 4 minutes`; `3 rounds, 12 minutes`
APART, HEADS = re.compile(r"[\n,;:.–—/+&]| - | and "), re.compile(r"[ \t]*:")  # `10 burpees, buy-out: 50 sit-ups`
NEXT_LINE, ENDS_LINE = re.compile(r"\n"), re.compile(r"[ \t).!]*(?:\n|$)")  # `50 burpees: buy-in`, and below it the rounds
OF_WINDOWS = re.compile(r"\b(?:block|interval|window)", re.IGNORECASE)
MOST_COUNTDOWN = 100
MOST_TIMES = 20  # that all of it is done


class SaysHeadings(SaysBlocks, SaysTimeLeft, Turns):
    """What stands over work."""

    def _say_rounds(self, statement: Statement) -> bool:
        count, here = whole(statement.toks[0]), self.here
        if count is None or count < 1 or self.most:
            return False  # `max two rounds`
        if here.kind == "amrap" and here.works and not here.off and not self.ahead and statement.toks[0].kind == "ROUNDS":
            return False  # as many rounds as possible, and then so many
        if statement.toks[0].unit == "TURNSEACH":
            return self._so_many_turns(count)
        if self.both:
            return self._again(count)
        if here.works and here.group.rounds == count and here.kind in ("", "time") and self._of_all_rounds(statement):
            here.group.closed = True
            return True
        if "lap" in statement.toks[0].text.casefold() and here.works:
            return False  # `run 2 laps`
        if here.kind == "amrap" and not here.works:
            if here.count is not None or statement.toks[0].kind == "ROUNDS":
                return False
            here.count = count
            return True
        if here.kind == "windows" and here.count == count and here.off:
            return True  # said twice
        if here.kind == "windows" and here.stations and here.count == 1 and not here.works:
            here.count = count  # `three stations, …, three times through`
            return True
        if here.kind == "every" and here.total is not None and not here.works and here.total == count * (here.seconds or 0):
            return True  # `for 12 min (6 sets)`
        if here.kind in ("windows", "every", "amrap") and here.count is None and (here.works or here.kind != "amrap"):
            here.count = count
            if here.until is not None and here.kind == "windows":  # several windows don't begin again where it ends
                here.ends = here.until, span_of(statement)
        elif here.kind == "lift" or (here.kind in ("windows", "every") and here.count is not None):
            return False
        else:
            if here.group.works or here.group.rounds > 1 or here.group.scheme:
                if not here.group.works:
                    return False
                here.groups.append(Group())
            here.group.rounds, here.group.rounds_span = count, span_of(statement)
            here.group.times = statement.toks[0].kind == "TIMES"
        return True

    def _say_once(self, statement: Statement) -> bool:
        """`Once through`; in an event for time so it is."""
        self.here.once = True
        return self.here.kind == "amrap" or (self.here.kind in ("", "time") and self.timed_line and self.here.group.rounds == 1)

    def _of_all_rounds(self, statement: Statement) -> bool:
        """`All four rounds as fast as you can`, `4 rounds in all`: whether it says no more than how many there are."""
        told, text = span_of(statement), self.talk.text.casefold()
        if text[: told.start].endswith("all ") or text[told.start : told.end].startswith("all "):
            return self.ahead != "work"
        return ALL_TOLD.match(text, told.end) is not None

    def _say_all_of_it(self, statement: Statement) -> bool:
        """`The whole thing x 3`: rounds of the list that stands above it."""
        count, here = whole(statement.toks[-1]), self.here
        told = [one for one in self.draft.stretches if one.works or one.rest_only or one.kind or one.seconds]
        if count and told and all(one.kind == "windows" or one.rest_only for one in told):
            self.draft.stretches[:] = told
            return self._all_windows_again(count)
        plain = len(here.groups) == 1 or all(not group.works for group in here.groups[1:])
        first = here.groups[0]
        if not count or here.kind not in ("", "time") or not plain or first.rounds > 1 or first.scheme or not first.works:
            return False
        first.rounds, first.rounds_span = count, span_of(statement)
        return True

    def _all_windows_again(self, count: int) -> bool:
        """`2 min max burpees, 1 min rest, 2 min max sit-ups, 1 min rest, and all of that once more`."""
        self.trailing_rest(self.here)
        done = list(self.draft.stretches)
        worked = [one for one in done if one.works]
        timed = all(one.kind == "windows" and one.seconds and one.start is None and one.count in (None, 1) for one in worked)
        plain = worked and timed and all(one.works or one.rest_only for one in done) and count <= MOST_TIMES
        rests = any(one.rest_only or one.after for one in done)
        if not plain or (rests and not (done[-1].rest_only or done[-1].after)):
            return False  # whether there is a rest before it begins again is not said
        self.draft.stretches += [deepcopy(one) for _ in range(count - 1) for one in done]
        return True

    def _say_scheme(self, statement: Statement) -> bool:
        here, tok = self.here, statement.toks[0]
        if here.kind in ("windows", "lift") or not all(value.isdigit() for value in tok.values):
            return False
        numbers = tuple(int(value) for value in tok.values)
        if not all(numbers):
            return False
        if here.group.works or here.group.scheme:
            if not here.group.works or here.kind == "every":
                return False
            here.groups.append(Group())
        span = span_of(statement)
        here.group.scheme, here.group.scheme_span = self._rungs(numbers, tok, span), span
        here.group.open_end, here.group.own_scheme = tok.unit == "open", tok.unit == OWN_SCHEME
        return bool(here.group.scheme)

    def _rungs(self, numbers: tuple[int, ...], tok: Tok, span: Span) -> tuple[int, ...]:
        """`10-1` and `10 to 1` are all the numbers between; of two other numbers it is asked."""
        if len(numbers) != 2 or tok.unit == "open":
            return numbers
        first, last = numbers
        step = 1 if last > first else -1
        between = tuple(range(first, last + step, step))
        if first == last or len(between) > MOST_COUNTDOWN:
            return ()
        if 1 in numbers:
            self.talk.assume(f"“{tok.text}” is every number from {first} to {last}.", span)
            return between
        said = f"“{tok.text}”: is that two sets, or every number between as well?"
        told = self.talk.ask(
            "scheme",
            span,
            said,
            [("two", f"Two sets: {first}, then {last}"), ("all", f"Every number from {first} to {last}")],
        )
        return numbers if told == "two" else between

    def _say_ladder(self, statement: Statement) -> bool:
        if self.here.kind == "every" and not self.here.works:
            self.here.climbs = span_of(statement)  # `EMOM, ascending`: how is told below
        told = self.here.group.scheme and (self.here.kind == "time" or self.draft.cap is not None)  # `1-10 ladder`, with a cap
        self.here.group.open_end = not told and self.here.kind != "every"
        return self.here.kind in ("amrap", "", "time") or self.here.climbs is not None

    def _say_adds(self, statement: Statement) -> bool:
        added = whole(statement.toks[-1])
        self.here.adds = added or 0
        return bool(added) and self.here.kind in ("every", "amrap")

    def _say_grown(self, statement: Statement) -> bool:
        """`5 rounds. In every round you do …` says once more that it is done in rounds."""
        again = self.here.group.rounds > 1 and not self.here.group.works and self.ahead == "work"
        return again or self.here.adds > 0 or self.ahead in ("on", "for_long")

    def _say_fail(self, statement: Statement) -> bool:
        self.here.puts_out = True
        return self.here.kind == "every"

    def _say_again(self, statement: Statement) -> bool:
        """`Then back to the rower`, `go back to 2) and repeat`: where that is the first thing of the list."""
        here, tok = self.here, statement.toks[0]
        if here.group.label is not None and not here.group.works and tok.key:  # `in block three it's back to the burpees`
            again = [work for group in here.groups[:1] for work in group.works if work.key == tok.key and not work.amount]
            here.group.works += deepcopy(again[:1])
            return bool(again)
        if not here.works or here.kind not in ("", "amrap", "windows") or len(here.groups) > 1:
            return False
        first = here.works[0]
        if tok.values:
            line = self.talk.text[: first.span.start].rpartition("\n")[2].strip()
            same = line.rstrip(".):").lstrip("(") == tok.values[0]
        else:
            same = first.key == tok.key
        here.until_bell = here.until_bell or same
        return same

    def _say_after_each(self, statement: Statement) -> bool:
        """`After each set 4 muscle-ups`: in each of the sets or rounds above, with a number of its own."""
        group = self.here.group
        self.each_set = bool(group.works) and (bool(group.scheme) or group.rounds > 1) and self.ahead == "work"
        return self.each_set

    def _say_buy_in(self, statement: Statement) -> bool:
        """`Buy-in: 50 burpees`; and `50 burpees (buy-in)`, `50 burpees: buy-in`, where nothing else stands before it."""
        group = self.here.group
        ends = ENDS_LINE.match(self.talk.text, statement.end) is not None
        if not self._told_behind(statement, NEXT_LINE if ends else APART):
            return self._role("buy-in")
        if len(group.works) > 1 or group.rounds > 1 or group.scheme or group.role:
            return False
        group.role = "buy-in"
        self.here.groups.append(Group())
        return True

    def _say_cash_out(self, statement: Statement) -> bool:
        """`Cash-out: 50 burpees`; and `50 burpees (cash-out)`, behind what is done before."""
        group = self.here.group
        if self.ahead == "work" or HEADS.match(self.talk.text, statement.end) or not self._told_behind(statement, APART):
            return self._role("cash-out")
        of_each = group.rounds > 1 and "out" not in self.talk.text[statement.start : statement.end].casefold()
        if len(group.works) == 1 or group.role or of_each:
            return False  # `5 rounds: 400 m run, 10 burpees to finish`: each of them, or all?
        last = group.works.pop()
        self._role("cash-out")
        self.here.group.works.append(last)
        return True

    def _told_behind(self, statement: Statement, apart: re.Pattern[str]) -> bool:
        """Whether what a thing is for stands behind it, and nothing that sets it apart between them."""
        works = self.here.group.works
        return bool(works) and works[-1] is self.last and not apart.search(self._since_last(statement))

    def _say_minute(self, statement: Statement) -> bool:
        here, tok = self.here, statement.toks[0]
        if self.a_block(tok):
            return True
        of_minutes = tok.kind in ("ODD", "EVEN") or "min" in tok.text.casefold()
        if here.kind == "" and here.seconds and not here.works and here.group.rounds == 1 and of_minutes:
            here.kind, here.total, here.seconds = "every", here.seconds, 60
            self.talk.assume("Each minute is a window, and after the last that is told it begins again.", span_of(statement))
        if of_minutes and here.kind == "" and not here.works and here.start is None:
            _minutes_in_rounds(here, tok, self.talk.text)
        if here.kind == "" and not here.works and here.group.rounds == 1 and tok.values:
            if "min" in tok.text.casefold() and here.seconds is None:
                here.kind, here.seconds = "every", 60
            elif here.seconds is not None:
                here.kind = "windows"
        if here.kind not in ("every", "windows"):
            return False
        if here.group.works or here.group.label is not None:
            here.groups.append(Group())
        here.numbered_windows = OF_WINDOWS.search(tok.text) is not None
        here.group.label = tuple(map(int, tok.values)) if tok.values else "odd" if tok.kind == "ODD" else "even"
        return True

    def _say_starts(self, statement: Statement) -> bool:
        """`Part 2 (starting at 8:00)`: when it begins, told before it."""
        seconds = length_of(statement.toks[-1])
        if statement.toks[-1].values == ("0",):
            return not any(one.works or one.rest_only for one in self.draft.stretches)
        if seconds and not any(one.works or one.rest_only for one in self.draft.stretches):
            return False  # `at 9:00 the hall opens`: the first thing begins with the clock
        if self.here.works or self.here.rest_only:
            self.draft.stretches.append(Stretch())
        if seconds is None or self.here.start is not None or self.here.kind:
            return False
        self.here.start = seconds
        self.by_a_minute(self.here, statement.toks[-1], span_of(statement))
        return all(one.kind != "every" for one in self.draft.stretches) or self.here.start_minute is None

    def _say_stations(self, statement: Statement) -> bool:
        told, here = statement.tok("BARE"), self.here
        if told is None:
            return self._one_by_one()
        kinds = ("every",) if "turn" in statement.toks[-1].text.casefold() else ("", "windows", "every")  # `3 things in turn`
        if here.works or here.kind not in kinds or here.stations is not None:
            return False
        here.stations = whole(told)
        if here.kind == "":
            here.kind, here.count, here.group.rounds = "windows", here.group.rounds, 1
        return self._one_by_one()

    def _say_alternating(self, statement: Statement) -> bool:
        self.here.alternates = True
        return self._one_by_one()

    def _one_by_one(self) -> bool:
        """Each thing that is named has a window of its own."""
        self.here.one_by_one = True
        return self.here.kind in ("windows", "every") or (self.here.kind == "" and not self.here.works)

    def _say_own_window(self, statement: Statement) -> bool:
        """Of a lift each member has a window of their own; else they do what is told one after the other."""
        if self.draft.stretches and self.here.kind == "lift":
            self.here.own_windows = True
        elif "own" in statement.toks[0].text.casefold() or "bar" in statement.toks[0].text.casefold():
            return False
        else:
            self.draft.in_order = span_of(statement)
        return True

    def _say_plates(self, statement: Statement) -> bool:
        load, here = said_load(statement), self.here
        what = {"BARWEIGHT": "bar", "STEP": "step", "PLATE": "plate"}[statement.toks[0].kind]
        if here.kind != "lift" or len(load.values) != 1 or getattr(here, what) is not None:
            return False
        setattr(here, what, load)
        return True

    def _say_bars(self, statement: Statement) -> bool:
        here = self.here
        if here.kind != "lift" and statement.toks[0].kind == "OWNBAR" and here.works:
            return True  # in a list nobody waits for a bar
        here.own_bars, here.one_bar = statement.toks[0].kind == "OWNBAR", statement.toks[0].kind == "ONEBAR"
        return here.kind == "lift"


def _minutes_in_rounds(here: Stretch, tok: Tok, text: str) -> None:
    """`6 x 1 min. A: max cal row in minutes 1, 3, 5`: windows; `3 rounds, 12 minutes. Min 1: …`, `3 rounds of 4 minutes. …`: a
    cycle, three times."""
    rounds, seconds = here.group.rounds, here.seconds or 0
    behind = text[here.group.rounds_span.end :] if here.group.rounds_span else ""
    if seconds == 60 and 1 < len(tok.values) < rounds:
        here.total = rounds * 60
    elif tok.values == ("1",) and rounds > 1 and seconds > 60 and OF_EACH.match(behind):
        here.total, here.count = rounds * seconds, rounds
    elif tok.values == ("1",) and rounds > 1 and seconds > rounds * 60 and PARTED.match(behind):
        here.total, here.count = seconds, rounds
    else:
        return
    here.kind, here.seconds, here.group.rounds = "every", 60, 1
