"""Sentences that say once more what the event says already: proven against it, they are no question.

Each way of saying something again is a row: its words, all of which must be among them or carry nothing, and what must be so.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from app.rules.reading.scan.again.around import (
    course_again,
    gear_again,
    lasts_again,
    rest_again,
    total_again,
    unbroken_again,
    unscaled_again,
)
from app.rules.reading.scan.again.day import OF_THE_DAY
from app.rules.reading.scan.again.handled import HANDLED
from app.rules.reading.scan.again.judged import JUDGED
from app.rules.reading.scan.again.members import (
    alone_again,
    called_again,
    choice_said,
    held_again,
    held_said,
    in_step_again,
    shared_again,
    waits_again,
)
from app.rules.reading.scan.again.saying import Saying
from app.rules.reading.scan.again.scores import score_again, worth_again
from app.rules.reading.scan.again.table import AgainTable
from app.rules.reading.scan.pieces import Tok, in_small, without_things, words_in
from app.rules.reading.things import is_such
from app.rules.workout.formats import CountTask, Format, LiftTask, ListTask

COUNTED = ("COUNT", "REPS", "CALS", "LENG")
LEAST_OF_EXAMPLE = 2
EDGES = "first", "last"
AROUND = worth_again, lasts_again, total_again, course_again, gear_again, rest_again, unbroken_again, unscaled_again
OF_MEMBERS = alone_again, called_again, shared_again, in_step_again, held_again, waits_again


@dataclass(frozen=True, slots=True)
class Again:
    """The table, ready to be asked."""

    rows: dict[str, frozenset[str]]

    def said(self, said: str, toks: list[Tok], format: Format, whole: Saying) -> bool:
        """Whether a sentence says only what is so in an event, or nothing of it; `whole` is all of it, where it stands."""
        if any(proof(whole, format, self.rows) for proof in (*JUDGED, *OF_THE_DAY, *HANDLED)):
            return True
        words = words_in(without_things(said, toks))
        if any(tok.kind in ("ASKS", "SIGN", "NOTE") for tok in toks) or not (words or toks):
            return False
        return (
            self._order(words, toks, format)
            or self._clock(words, toks, format)
            or self._same(words, toks, format)
            or self._example(words, toks, format)
            or self._countdown(words, toks)
            or self._misses(words, toks, format)
            or self._in_its_minute(words, toks, format)
            or self._most(words, toks, format)
            or score_again(words, toks, format, self.rows)
            or any(proof(words, toks, format, self.rows) for proof in (*AROUND, *OF_MEMBERS))
        )

    def chooses(self, words: list[str], members: int) -> bool:
        """Whether they are to choose who is who of so many."""
        return choice_said(words, members, self.rows)

    def _any(self, words: list[str], row: str) -> bool:
        return any(word in self.rows[row] for word in words)

    def _order(self, words: list[str], toks: list[Tok], format: Format) -> bool:
        """`The movements are done in the order stated`: so they are."""
        plain = not any(tok.values or tok.key for tok in toks) and bool(_lists(format))
        return (
            plain
            and self._any(words, "order")
            and self._any(words, "stated")
            and self._all_of(words, "order", "stated", "of_order")
        )

    def _all_of(self, words: list[str], *rows: str) -> bool:
        return all(any(word in self.rows[row] for row in (*rows, "carries_nothing")) for word in words)

    def _clock(self, words: list[str], toks: list[Tok], format: Format) -> bool:
        """`The time stops with the last pull-up`, where the score is the time and pull-ups are the last thing."""
        if any(part.take != "time" for score in format.scores for part in score.parts):
            return False
        numbers = [tok.values for tok in toks if tok.values]
        several = format.members > 1 and self._any(words, "members")
        nth = several and numbers == [(str(format.members),)]  # `when number three is done`
        if numbers and not nth:
            return False
        told = self._any(words, "clock") and self._any(words, "stops") and ("last" in words or nth)
        if not told or not self._all_of(words, "clock", "stops", "of_clock", *(("members",) if nth else ())):
            return False
        done = [key for _, key, _ in _done(format)]
        return not any(tok.key for tok in toks) or all(done[-1:] == [tok.key] for tok in toks if tok.key)

    def _same(self, words: list[str], toks: list[Tok], format: Format) -> bool:
        """`Everybody has the same weight`, where there is but one version."""
        plain = not format.variants and not any(tok.values or tok.key for tok in toks if tok.text != "4")
        told = "same" in words and self._any(words, "everybody") and self._any(words, "gear_alike")
        return plain and told and self._all_of(words, "everybody", "gear_alike", "of_same")

    def _example(self, words: list[str], toks: list[Tok], format: Format) -> bool:
        """`So 1 deadlift, 1 burpee, 2 deadlifts, 2 burpees and so on`: what is done, told once more in its order."""
        told = list(_pairs(toks))
        counted = sum(1 for tok in toks if tok.values)
        if len(told) < LEAST_OF_EXAMPLE or len(told) != counted or any(tok.key and not _counted(toks, tok) for tok in toks):
            return False
        done = list(_done(format))
        within = any(
            all(one[0] == number and is_such(one[1], key) for one, (number, key) in zip(done[at:], told, strict=False))
            for at in range(len(done) - len(told) + 1)
        )
        return within and self._any(words, "exampled") and self._all_of(words, "exampled", "of_example")

    def _countdown(self, words: list[str], toks: list[Tok]) -> bool:
        """`The timer beeps at 3-2-1`."""
        numbers = [value for tok in toks for value in tok.values]
        return numbers == ["3", "2", "1"] and self._all_of(words, "clock", "of_countdown")

    def _misses(self, words: list[str], toks: list[Tok], format: Format) -> bool:
        """`Misses cost you nothing but time`, where the best lift counts and no miss puts anybody out."""
        lifts = [task for task in format.tasks.values() if isinstance(task, LiftTask)]
        free = bool(lifts) and len(lifts) == len(format.tasks) and all(task.misses_out is None for task in lifts)
        once = sum(word in self.rows["free_of"] for word in words) == 1  # `not free` is none
        told = self._any(words, "misses") and once and not any(tok.values or tok.key for tok in toks)
        return free and told and self._all_of(words, "misses", "free_of", "of_misses")

    def _in_its_minute(self, words: list[str], toks: list[Tok], format: Format) -> bool:
        """`Whatever you get done inside the minute counts`, where all of it is summed and nobody is out."""
        parts = [part for score in format.scores for part in score.parts]
        summed = bool(parts) and all(part.take == "sum" for part in parts) and len(format.windows) > 1
        out = any(isinstance(task, CountTask) and task.miss_puts_out for task in format.tasks.values())
        told = self._any(words[:2], "whatever") and not any(
            (tok.values and tok.text.casefold() != "one") or tok.key for tok in toks
        )
        undone, counts, lost = (self._any(words, row) for row in ("undone", "counts", "lost"))
        so = lost and not counts if undone else counts and not lost
        return summed and not out and told and so and self._all_of(words, "whatever", "undone", "counts", "lost", "of_minutes")

    def _most(self, words: list[str], toks: list[Tok], format: Format) -> bool:
        """`So 110 is the most you can get`, where so many are to be done."""
        numbers = [tok.values for tok in toks if tok.values]
        if not self._any(words, "most") or not self._all_of(words, "most", "of_most"):
            return False
        total = sum(count for count, _, windows in _done(format) for _ in range(windows))
        return len(numbers) == 1 and numbers[0] == (str(total),) and total > 0 and not any(tok.key for tok in toks)


def held_by_sense(text: str, toks: list[Tok], again: Again, known: Callable[[], set[str]]) -> list[Tok] | None:
    """A sentence that says that what one does counts while another holds, in the grammar's word for it, where all that it names
    is `known`: done, or held."""
    said = in_small(without_things(text[toks[0].start : toks[-1].end], toks))
    told = all(tok.kind not in ("ASKS", "SIGN", "NOTE") for tok in toks)
    held = told and held_said(words_in(said), toks, again.rows) and {tok.key for tok in toks if tok.key} <= known()
    return [replace(toks[0].to(toks[-1], "HELDRULE"), values=(), key="", unit="")] if held else None


def again_of(table: AgainTable) -> Again:
    """The table of a language, ready to be asked."""
    return Again({name: frozenset(words) for name, words in table.model_dump().items()})


def _lists(format: Format) -> list[ListTask]:
    return [task for task in format.tasks.values() if isinstance(task, ListTask)]


def _done(format: Format) -> Iterator[tuple[int, str, int]]:
    """All that is done in order: how many (of a distance or calories the number of them), the library's movement, in how many
    windows."""
    for window in format.windows:
        task = format.tasks.get(window.task or "")
        if isinstance(task, ListTask):
            for _ in range(task.rounds or 1):
                for item in task.items:
                    note = re.match(r"(\d+)", item.note or "") if item.reps == 1 else None
                    yield int(note[1]) if note else item.reps, _key(format, item.movement), 1
        elif isinstance(task, CountTask) and task.target:
            yield task.target, _key(format, task.movement), 1


def _key(format: Format, movement: str) -> str:
    return format.movements[movement].library or movement


def _counted(toks: list[Tok], one: Tok) -> bool:
    at = toks.index(one)
    return at > 0 and toks[at - 1].kind in COUNTED


def _pairs(toks: list[Tok]) -> Iterator[tuple[int, str]]:
    for tok, after in pairwise(toks):
        if tok.kind in COUNTED and after.key and len(tok.values) == 1 and Fraction(tok.values[0]).denominator == 1:
            yield int(Fraction(tok.values[0])), after.key
