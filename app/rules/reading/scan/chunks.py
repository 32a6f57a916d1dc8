"""Numbers with the units and words beside them: `43/30 kg` is a load, `3 rounds` a number of rounds, `21-15-9` a scheme.

What a number is depends on what stands behind it, and for a bare one on whether a thing to do follows. Brackets around what
belongs to a thing (`(43 kg)`) are taken off, others become separators; a bracket of other words is a note.
"""

from collections.abc import Callable
from dataclasses import replace

from app.rules.reading.scan.brackets import without_brackets
from app.rules.reading.scan.left_over import all_rounds, left_over
from app.rules.reading.scan.loads_beside import (
    complexes,
    counted,
    loads_between,
    one_in_each,
    own_weights,
    pieces_loaded,
    rungs_in_line,
)
from app.rules.reading.scan.minutes_said import (
    begins_at,
    durations_together,
    from_minute,
    from_to,
    in_seconds,
    listed_minutes,
    on_and_off,
    part_by_the_minute,
    told_as_spans,
    until_over,
    up_to,
    whole_seconds,
)
from app.rules.reading.scan.names_beside import as_meant, heights_apart, names_behind, of_entries
from app.rules.reading.scan.pieces import BLIND, Tok
from app.rules.reading.scan.plain_talk import pronouns, talk, unknown_things
from app.rules.reading.scan.spelt_out import adjectives, bells, in_both_hands, in_hand, spelt_out, told_twice
from app.rules.reading.scan.spoken_numbers import filled
from app.rules.reading.scan.units_beside import (
    THINGS,
    above_reach,
    after_each_set,
    back_to,
    benches,
    capped_by_most,
    changing_over,
    gear_of_versions,
    heights,
    inches,
    lanes_told,
    loads_named,
    minutes_behind,
    most_in_the_rest,
    of_every_member,
    penalties,
    tries_at_most,
    units_scored,
    worths,
)
from app.rules.reading.scan.versions_said import (
    gear,
    letters_of_versions,
    loads_of_the_bar,
    loads_together,
    named_loads,
    named_weights,
    one_in_each_hand,
    versions,
    words_before,
)

UNITS = {
    **dict.fromkeys(("KG", "LB", "POOD"), "LOAD"),
    **dict.fromkeys(("M", "KM", "YD", "MI"), "LENG"),
    **dict.fromkeys(("IN", "CM", "FT"), "SIZE"),
    **dict.fromkeys(("CAL", "KJ"), "CALS"),
    "REP": "REPS",
    **dict.fromkeys(("ROUND", "TURNSEACH"), "ROUNDS"),
    "SET": "SETS",
    **dict.fromkeys(("INTERVAL", "WINDOW"), "WINDOWS"),
    "ATTEMPT": "ATTEMPTS",
    **dict.fromkeys(("PRIME", "DPRIME"), "PRIMED"),
}
BEHIND = {"REP": "REPS", "ROUND": "ROUNDS", "SET": "SETS"}
UNTIL, BY_MINUTES = ("until", "till"), (["DASH", "NUM", "MIN", "COLON"], ["TO", "NUM", "MIN", "COLON"])
SECONDS = {"SEC": 1, "MIN": 60, "HOUR": 3600}


# What is done with a line's words in turn, and of which kinds a word must be there for it to change any; of none: it always may.
STEPS: tuple[tuple[Callable[[list[Tok]], list[Tok]], tuple[str, ...]], ...] = (
    (worths, ("EQUALS",)),
    (as_meant, ("WOMENMEN", "RM")),
    (one_in_each_hand, ()),
    (gear, ()),
    (words_before, ()),
    (versions, ("SLASH",)),
    (heights_apart, ("TARGET",)),
    (loads_together, ("LOAD", "CALS", "SIZE")),
    (names_behind, ("VERSIONS",)),
    (of_entries, ("LOAD", "SIZE")),
    (letters_of_versions, ("LOAD", "NUM", "SIZE")),
    (loads_of_the_bar, ("BARWEIGHT", "VERSIONS")),
    (named_loads, ("LOAD", "NUM", "SIZE")),
    (loads_of_the_bar, ("BARWEIGHT", "VERSIONS")),
    (named_weights, ("COLON",)),
    (rungs_in_line, ("LOAD",)),
    (loads_between, ("LOAD", "TIMES")),
    (own_weights, ("TIE_BODY", "SIGN")),
    (complexes, ("COMPLEX",)),
    (durations_together, ("DUR",)),
    (begins_at, ("AT", "MINUTE")),
    (told_as_spans, ("DUR",)),
    (until_over, ("MAX",)),
    (penalties, ("REP",)),
    (changing_over, ("SWITCH",)),
    (inches, ("PRIMED",)),
    (benches, ("SIZE",)),
    (heights, ("LENG", "PRIMED", "SIZE")),
    (above_reach, ("SIZE",)),
    (units_scored, ("SCORE", "SCOREOF")),
    (capped_by_most, ("MAX", "CAP")),
    (tries_at_most, ("MAX",)),
    (in_hand, ("LOAD",)),
    (adjectives, ("SYNC", "UNBROKEN")),
    (gear_of_versions, ("LOAD",)),
    (loads_named, ("COLON",)),
    (of_every_member, ()),
    (talk, BLIND),
    (pronouns, ("PROSE",)),
    (unknown_things, ("WORD", "TARGET")),
    (counted, ("NUM", "PRIMED")),
    (one_in_each, ("TIMES",)),
    (back_to, ("BACKTO",)),
    (lanes_told, ("PROSE",)),
    (after_each_set, ("BETWEEN",)),
    (most_in_the_rest, ("AMRAP",)),
    (without_brackets, ("LPAR", "RPAR")),
    (pieces_loaded, ("TIMES",)),
    (left_over, ()),
    (all_rounds, ("T_SUM",)),
    (minutes_behind, ("MINUTE",)),
    (up_to, ("EMOM", "DUR")),
)


def chunks(toks: list[Tok]) -> list[Tok]:
    """The words of a line with every number made into what it is a number of."""
    made = _Chunker(in_both_hands(bells(told_twice(spelt_out(toks))))).made()
    kinds = {tok.kind for tok in made}
    for step, wanted in STEPS:
        if not wanted or not kinds.isdisjoint(wanted):
            made = step(made)
            kinds = {tok.kind for tok in made}
    return made


class _Chunker:
    def __init__(self, toks: list[Tok]) -> None:
        self.toks = toks
        self.at = 0

    def kind(self, ahead: int = 0) -> str:
        place = self.at + ahead
        return self.toks[place].kind if place < len(self.toks) else ""

    def made(self) -> list[Tok]:
        found: list[Tok] = []
        while self.at < len(self.toks):
            found.append(self._one())
        return found

    def _one(self) -> Tok:
        tok = self.toks[self.at]
        if tok.kind == "CLOCK":
            return self._clock(tok)
        labelled = self.kind(1) == "DASH" and self.kind(3) in (*UNITS, *THINGS) and self.at == 0  # `min 1 - 12 cal row`
        if labelled and tok.kind == "MINUTE" and self.kind(2) == "NUM":
            self.toks[1] = replace(self.toks[1], kind="COLON")
        if tok.kind == "MINUTE" and self.kind(1) in ("DASH", "TO") and self.kind(2) == "NUM":
            other = self.toks[self.at + 2]
            self.at += 3
            return in_seconds(tok.to(other, "SPAN", values=(*tok.values, *other.values)))
        if tok.kind == "MINUTE" and (listed := listed_minutes(self.toks, self.at)):
            self.at = listed[1]
            return listed[0]
        if tok.kind in BEHIND and tok.text.casefold().endswith("s") and self._lone_number(1):
            self.at += 2  # `reps 12`, `the rounds are 5`
            return tok.to(self.toks[self.at - 1], BEHIND[tok.kind], values=self.toks[self.at - 1].values)
        if tok.kind == "X" and self.kind(1) == "NUM" and self.kind(2) not in UNITS | SECONDS:
            self.at += 2
            return tok.to(self.toks[self.at - 1], "TIMES", values=self.toks[self.at - 1].values)
        pieces = [self.kind(place) for place in range(1, 3)] == ["X", "NUM"] and self.kind(3) in ("KG", "LB")
        if tok.values in (("1",), ("2",)) and pieces:
            self.at += 3  # `2 x 22.5 kg`: one in each hand, each of that load
            return replace(self._number(self.toks[self.at - 1]), start=tok.start)
        if tok.kind in ("WINDOW", "INTERVAL") and self._every_such():
            self.at += 1  # `in every 2 min window`
            return replace(tok, kind="GLUE")
        if (
            tok.kind == "NUM"
            and self.kind(1) == "NUM"
            and self.kind(2) in SECONDS
            and self.kind(3) in ("WINDOW", "INTERVAL", "ROUND")
        ):
            self.at += 1  # `six one-minute pieces`
            return replace(tok, kind="TIMES")
        if tok.kind == "NUM" and self.kind(1) == "X" and (self.kind(2) == "CLOCK" or self.kind(3) in SECONDS):
            self.at += 2
            return tok.to(self.toks[self.at - 1], "TIMES")
        if tok.kind == "NUM" and [self.kind(place) for place in range(1, 5)] in BY_MINUTES:
            last = self.toks[self.at + 2]
            self.at += 4
            values = (*tok.values, *last.values)
            if all(one.isdigit() for one in values):
                return tok.to(self.toks[self.at - 1], "SPAN", values=tuple(str(int(one) * 60) for one in values))
            self.at -= 4
        if tok.kind == "NUM" and (told := part_by_the_minute(self.toks, self.at)):
            self.at = told[1]
            return told[0]
        if tok.kind == "NUM" and (bare := on_and_off(self.toks, self.at)):
            self.toks[self.at : self.at + len(bare)] = bare
            self.at += 1
            return bare[0]
        spans = {"NUM": from_to, "MINUTE": from_minute}.get(tok.kind)
        if spans and (minutes := spans(self.toks, self.at)):
            self.at = minutes[1]
            return minutes[0]
        if tok.kind in ("MIN", "MINUTE") and (span := self._minutes(tok)):
            return span
        if tok.kind == "NUM" and self.kind(1) == "X" and self.kind(2) in ("MOVE", "WORD"):  # `6 × power snatch`
            self.at += 2
            return tok
        self.at += 1
        if tok.kind == "X" and self.kind() == "NUM":
            return replace(tok, kind="GLUE")
        return self._number(tok) if tok.kind == "NUM" else tok

    def _until(self, ahead: int) -> bool:
        """Whether what stands there leads from one time to the next: `from 0:00 until 5:00`."""
        return self.kind(ahead) in ("DASH", "TO") or (bool(self.kind(ahead)) and self.toks[self.at + ahead].text in UNTIL)

    def _every_such(self) -> bool:
        """Whether `every 2 min` stands before a window that is not several."""
        before = [one.kind for one in self.toks[max(0, self.at - 3) : self.at]]
        alone = not self.toks[self.at].text.casefold().endswith("s")
        return alone and before[:2] == ["EVERY", "NUM"] and before[2:] in (["MIN"], ["SEC"])

    def _lone_number(self, ahead: int) -> bool:
        """A number with nothing that it could be a number of behind it."""
        return self.kind(ahead) == "NUM" and self.kind(ahead + 1) in ("", "COMMA", "STOP", "RPAR", "AND", "COLON", "FORTIME")

    def _minutes(self, tok: Tok) -> Tok | None:
        """`min 0-3`, `minutes 3 to 6`: from when to when."""
        first = [tok] if tok.values else self.toks[self.at + 1 : self.at + 2]
        at = self.at + (1 if tok.values else 2)
        rest = self.toks[at : at + 2]
        if (
            [one.kind for one in rest] not in (["DASH", "NUM"], ["TO", "NUM"])
            or not first
            or first[0].kind not in ("NUM", "MINUTE")
        ):
            return None
        numbers = (*first[0].values, *rest[1].values)
        follows = self.toks[at + 2].kind if at + 2 < len(self.toks) else "COLON"
        if not all(one.isdigit() for one in numbers) or follows in THINGS:
            return None
        self.at = at + 2
        return tok.to(rest[1], "SPAN", values=tuple(str(int(one) * 60) for one in numbers))

    def _clock(self, tok: Tok) -> Tok:
        if self._until(1) and self.kind(2) == "CLOCK":
            other = self.toks[self.at + 2]
            self.at += 3
            return tok.to(other, "SPAN", values=(*tok.values, *other.values))
        self.at += 1
        if self.kind() == "MIN":  # `17:00 min`
            self.at += 1
            return tok.to(self.toks[self.at - 1], "DUR")
        return replace(tok, kind="DUR")

    def _number(self, tok: Tok) -> Tok:
        values, last = list(tok.values), tok
        while self.kind() == "SLASH" and self.kind(1) == "NUM":
            last = self.toks[self.at + 1]
            values.append(last.values[0])
            self.at += 2
        several = tok.to(last, "NUM", values=tuple(values))
        if len(values) == 1:
            return self._scheme(several) or self._with_unit(several)
        return self._with_unit(several)

    def _scheme(self, tok: Tok) -> Tok | None:
        """`21-15-9`, `3-6-9-…`, `10 to 1`, `21, 15 and 9`."""
        if self.kind() == "TO" and self.kind(1) == "NUM" and self.kind(2) not in UNITS | SECONDS:
            other = self.toks[self.at + 1]
            self.at += 2
            return tok.to(other, "SCHEME", values=(*tok.values, *other.values), unit="to")
        dashed = self._row(tok, ("DASH",), 2)
        return dashed or self._row(tok, ("COMMA", "AND"), 3)

    def _row(self, tok: Tok, between: tuple[str, ...], least: int) -> Tok | None:
        place, values, last, open_end, gap = self.at, [tok.values[0]], tok, "", 0
        if self._alike(place - 1) or self._alike(place - 3):
            return None  # `2 and 2, 3 and 3`: as many of each of two things
        while place < len(self.toks):
            step = place + (self.toks[place].kind in between)
            if step < len(self.toks) and step > place and self.toks[step].kind == "AND" and between != ("DASH",):
                step += 1
            if step < len(self.toks) and self.toks[step].kind == "ELLIPSIS":
                last, open_end, place, gap = self.toks[step], "open", step + 1, len(values)
                continue
            behind = gap == len(values) and between != ("DASH",)  # `10, 9, 8 ... 1`
            if step >= len(self.toks) or (step == place and not behind) or self.toks[step].kind != "NUM" or self._alike(step):
                break
            last, place = self.toks[step], step + 1
            values.append(last.values[0])
        followed = self.toks[place].kind if place < len(self.toks) else ""
        if len(values) < least or (between != ("DASH",) and followed in {*UNITS, *SECONDS, "X", "SLASH"} - {"REP"}):
            return None
        if gap and gap < len(values):
            values, open_end = filled(values[:gap], values[gap:]), ""
            if not values:
                return None
        self.at = place
        return tok.to(last, "SCHEME", values=tuple(values), unit=open_end)

    def _alike(self, at: int) -> bool:
        """Whether `3 and 3` begins there."""
        run = self.toks[max(at, 0) : at + 3]
        return at >= 0 and [tok.kind for tok in run] == ["NUM", "AND", "NUM"] and run[0].values == run[2].values

    def _with_unit(self, tok: Tok) -> Tok:
        unit = self.toks[self.at] if self.at < len(self.toks) else None
        if unit is None:
            return tok
        if unit.kind in SECONDS:
            self.at += 1
            return whole_seconds(tok.to(unit, "DUR"), SECONDS[unit.kind])
        if unit.kind in UNITS and not (unit.kind == "IN" and unit.start - tok.end > 1):  # `between two athletes in turn`
            self.at += 1
            return tok.to(unit, UNITS[unit.kind], unit=unit.kind)
        if unit.kind == "PERCENT":
            self.at += 1
            return tok.to(unit, "SIGN", unit="PERCENT")
        if unit.kind == "X" and len(tok.values) == 1:
            self.at += 1
            return tok.to(unit, "TIMES")
        return tok
