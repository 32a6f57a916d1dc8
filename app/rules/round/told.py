"""What a claim for an event tells, number by number: in the words of the hall's paper, as it is typed, and as it is shown.

A claim of a score that is made of several things (rounds and repetitions, a time or the repetitions at its cap, loads, several
parts) says each of them, and the kit's rule adds them up as the event does. A time that was capped is the number above the cap
that keeps its place among the others: behind all finishers, by the work left, or with the seconds that the event adds for it.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from app.rules.result.scoring import PartScore, Score, part_name, score_text, unit_word
from app.rules.round.rule import MOST_ASKS, MOST_PARTS, CapRule, EventRule, MadeOf, PartRule
from app.rules.values.clock_times import exact_text
from app.rules.values.units import Rounding, decimal_text
from app.rules.workout.format_fields import TAKES
from app.rules.workout.formats import Format, LiftTask, ListTask, Part, ScoreRule
from app.rules.workout.paper_rows import paper_windows
from app.rules.workout.score_units import part_unit

MOST_NAMED = 100  # characters of a part's name
Take = Literal["sum", "best", "worst", "last"]
TAKEN: Mapping[str, Take] = {
    "sum": "sum",
    "best": "best",
    "worst": "worst",
    "last": "last",
    "time": "sum",
    "heaviest": "sum",
}
TIME = re.compile(r"(\d{1,3}):([0-5]\d(?:[.,]\d{1,3})?)", re.ASCII)
ROUNDS = re.compile(r"(\d{1,4}) *\+ *(\d{1,4})", re.ASCII)
NUMBER = re.compile(r"\d{1,7}(?:[.,]\d{1,6})?", re.ASCII)


class NotTold(ValueError):
    """Raised for a number of a claim that can't be read; its text is the sentence to show."""


@dataclass(frozen=True, slots=True)
class Told:
    """Some numbers of a claim: the term that takes them, and the windows that each tells of. whole: they are one number for all
    that a part of the score takes, since several members did it."""

    of: MadeOf
    parts: tuple[PartRule, ...]
    windows: tuple[tuple[int, ...], ...]
    whole: bool = False


def told(format: Format, score: ScoreRule) -> tuple[Told, ...]:
    """What a claim tells of a score, term by term; nothing where the score is claimed as one number: a time beside other things,
    or less that is better and no time, for what was not credited would have no place in them."""
    times = [part for part in score.parts if part.take == "time"]
    if times and not _is_one_time(format, score, times):
        return ()
    if score.better == "less" and not times:
        return ()
    found = tuple(_term(format, score, part) for part in score.parts)
    return found if sum(len(one.parts) for one in found) <= MOST_PARTS else ()


def _is_one_time(format: Format, score: ScoreRule, times: list[Part]) -> bool:
    """Whether a score is the time of one list, of as much work whoever does it, and nothing else."""
    if len(score.parts) > 1 or times[0].weight != 1 or score.better != "less" or score.rounding is not Rounding.NONE:
        return False
    windows = format.window_indexes(times[0])
    works = {_work(one, index) for one in (format, *(format.varied(v.id) for v in format.variants)) for index in windows}
    return len(windows) == 1 and len(works) == 1


def _work(format: Format, index: int) -> int:
    task = format.tasks[format.windows[index].task or ""]
    return task.work_in_round * (task.rounds or 1) if isinstance(task, ListTask) else 0


def _term(format: Format, score: ScoreRule, part: Part) -> Told:
    windows = format.window_indexes(part)
    lifted = any(_is_lift(format, index) for index in windows)
    needed = score.every_part and lifted
    if part.take == "member_best" and format.members > 1:
        name = part_name(format, part)
        unit = part_unit(format, score, part.model_copy(update={"weight": Fraction(1)}))
        asks = TAKES[part.take].removesuffix(" of").rstrip(",").capitalize()
        kind: Literal["window", "lift"] = "lift" if lifted else "window"
        whole = PartRule(name=name[:MOST_NAMED], of=kind, does=name[:MOST_ASKS], asks=asks, unit=unit)
        return Told(MadeOf(parts=1, weight=part.weight, needed=needed), (whole,), (tuple(windows),), whole=True)
    of = MadeOf(
        parts=len(windows),
        take=TAKEN.get(part.take, "best"),  # of one athlete the best of all is each member's best
        weight=part.weight,
        drop=part.drop,
        needed=needed,
    )
    return Told(of, tuple(_number(format, score, part, index) for index in windows), tuple((index,) for index in windows))


def _number(format: Format, score: ScoreRule, part: Part, index: int) -> PartRule:
    paper = next(one for one in paper_windows(format) if one.number == index + 1)
    task = format.tasks[format.windows[index].task or ""]
    ends = "Heaviest load done" if part.take == "heaviest" else paper.ends
    cap, again = None, 0
    if isinstance(task, ListTask) and part.take == "time":
        cap = CapRule(seconds=Fraction(format.windows[index].seconds), work=_work(format, index), adds=score.cap_adds)
    elif isinstance(task, ListTask) and part.take != "heaviest":
        ends, again = "Repetitions done at the bell", task.work_in_round
    unit = part_unit(format, score, Part(take=part.take, windows=(index,)))
    none = cap.beyond(Fraction(cap.work)) if cap else Fraction(0)
    return PartRule(
        name=f"Window {index + 1}",
        of="lift" if _is_lift(format, index) else "window",
        none=none,
        does=f"{paper.clock}, {paper.what}"[:MOST_ASKS],
        asks=ends,
        unit=unit,
        cap=cap,
        round=again,
    )


def _is_lift(format: Format, index: int) -> bool:
    return isinstance(format.tasks.get(format.windows[index].task or ""), LiftTask)


def parts_of(rule: EventRule, format: Format, score: Score) -> tuple[Fraction, ...] | None:
    """The numbers that a score is claimed by; None where they do not make it, for a ruling changed it, or nothing is left at the
    cap that counts, which no number tells from a finish."""
    found = told(format, format.scores[0])
    if len(rule.parts) != sum(len(one.parts) for one in found):
        return (score.value,) if score.left is None else None
    numbers = [value for one, made in zip(found, score.parts, strict=True) for value in _values(one, made)]
    cap = rule.parts[0].cap
    if score.left == 0:
        return None
    if cap is not None and score.left is not None:
        numbers = [cap.beyond(Fraction(score.left))]
    elif cap is not None:
        numbers = [score.value]  # with the seconds that were added for the work left
    return tuple(numbers) if score.left is not None or rule.score(numbers) == score.value else None


def _values(one: Told, made: PartScore) -> Iterator[Fraction]:
    """What each number of a term was; nought where nothing was done."""
    if one.whole:
        yield made.value / made.weight if made.weight else Fraction(0)
        return
    by_window = {term.window: term.value for term in made.terms}
    yield from (by_window.get(window, Fraction(0)) for (window,) in one.windows)


def read_number(part: PartRule, typed: str) -> Fraction:
    """A number of a claim or of a look as people write it: a time as m:ss, or the repetitions done at its cap; rounds +
    repetitions of a list that starts again; else a number. Raises NotTold."""
    text = typed.strip()
    if part.cap is not None:
        return _read_capped(part, part.cap, text)
    if part.round and (both := ROUNDS.fullmatch(text)):
        return Fraction(int(both[1]) * part.round + int(both[2]))
    if time := TIME.fullmatch(text) if part.unit == "s" else None:
        return 60 * int(time[1]) + Fraction(time[2].replace(",", "."))
    if not NUMBER.fullmatch(text):
        how = f", or rounds + repetitions such as 3 + 7 (a round is {part.round})" if part.round else ""
        raise NotTold(f"{part.name} is a number such as 12{how}.")
    return Fraction(text.replace(",", "."))


def _read_capped(part: PartRule, cap: CapRule, text: str) -> Fraction:
    if time := TIME.fullmatch(text):
        seconds = 60 * int(time[1]) + Fraction(time[2].replace(",", "."))
        if seconds > cap.seconds:
            raise NotTold(
                f"{part.name}: the time cap is {exact_text(cap.seconds)}. Who did not finish says the repetitions done."
            )
        return seconds
    if not text.isascii() or not text.isdecimal() or len(text) > 6 or int(text) >= cap.work:
        raise NotTold(f"{part.name} is a time such as 4:05, or the repetitions done at the bell, fewer than {cap.work}.")
    return cap.beyond(Fraction(cap.work - int(text)))


def shown_number(part: PartRule, value: Fraction) -> str:
    """A number of a claim as it is shown: `4:05`, `30 of 60 repetitions`, `3 + 7`, `100 kg`."""
    if part.cap is not None and (left := part.cap.left(value)) is not None:
        return f"{decimal_text(part.cap.work - left)} of {part.cap.work} repetitions"
    if part.unit == "s":
        return exact_text(value)
    rounds = f" ({value // part.round} + {decimal_text(value % part.round)})" if part.round else ""
    return f"{decimal_text(value)} {unit_word(part.unit, value)}".rstrip() + rounds


def shown_parts(rule: EventRule, parts: Sequence[Fraction]) -> str:
    """The numbers of a claim, one after the other: `11 reps, 9 reps`."""
    return ", ".join(shown_number(part, value) for part, value in zip(rule.parts, parts, strict=True))


def shown_score(rule: EventRule, value: Fraction | None) -> str:
    """A score of an event as it is shown: `4:05`, `capped, 30 left`, `487`; `refused` for none."""
    if value is None:
        return "refused"
    cap = rule.parts[0].cap
    left = cap.left(value) if cap is not None and cap.adds is None else None
    return score_text(value, rule.unit, None) if left is None else f"capped, {decimal_text(left)} left"


def read_score(rule: EventRule, typed: str) -> Fraction:
    """A whole score as it is typed, such as in an answer to an appeal. Raises NotTold."""
    whole = rule.parts[0] if rule.parts[0].cap else PartRule(name="The score", unit=rule.unit)
    return read_number(whole.model_copy(update={"name": "The score"}), typed)
