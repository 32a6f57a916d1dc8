"""The marks of a sheet that can't be told one by one: what was taken back, what was done at the bar, who signed."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from app.rules.count.placing import place, said_member
from app.rules.count.received import as_heard, is_judged
from app.rules.count.ruled_marks import judged_anew
from app.rules.count.sheet_clock import SheetClock
from app.rules.count.tally_shape import Flag
from app.rules.records.kinds import JUDGED, PLACED
from app.rules.records.marks import Mark
from app.rules.workout.formats import Format


@dataclass(slots=True)
class Together:
    """What came of them. heard: the marks that were looked at, as they were judged and heard. struck: the marks that are taken
    back. flags: what is odd. standing, taken_back: by window what counts there, and the declarations that do no more, with their
    strike-outs; both in order. struck_out: in which window what was judged and taken back would count. signs: the moments at
    which that was judged and taken back. signatures: those that stand, in order. judged: it shows that somebody judged."""

    heard: Mapping[str, Mark] = field(default_factory=dict)
    struck: frozenset[str] = frozenset()
    flags: list[Flag] = field(default_factory=list)
    standing: dict[int, list[Mark]] = field(default_factory=dict)
    taken_back: dict[int, list[Mark]] = field(default_factory=dict)
    struck_out: dict[str, int] = field(default_factory=dict)
    signs: frozenset[int] = frozenset()
    signatures: tuple[Mark, ...] = ()
    judged: bool = False


def looked_at(
    format: Format, clock: SheetClock, marks: Mapping[str, Mark], named: Mapping[str, Mark], into_hold: Mapping[str, int]
) -> Together:
    """Looks at them. `marks`: all of them by id; `named`: what they take back of the others; both at their moments on the true
    heat clock. `into_hold`: how far into a hold each was made that was made in one."""
    flags: list[Flag] = []
    heard = as_heard(judged_anew({**named, **marks}, clock.ruled), clock, flags)
    struck = _struck(heard, flags)
    made = Together(heard, struck, flags, judged=is_judged(heard))
    declared = {mark.id: mark for mark in heard.values() if mark.kind == "declare"}

    def where(mark: Mark, odd: list[Flag]) -> int | None:
        return place(format, mark, said_member(mark, declared), into_hold.get(mark.id), odd)

    in_order = sorted(heard.values(), key=lambda mark: mark.order)
    for mark in (mark for mark in in_order if mark.kind in PLACED and (mark.id in struck or mark.id not in named)):
        index = where(mark, [] if mark.id in struck else flags)
        if index is not None:
            _put(made, mark, index, heard)
    strikes = [mark for mark in in_order if mark.kind == "strike" and mark.body["mark"] in made.struck_out]
    made.signs = frozenset(mark.at for mark in [*strikes, *(heard[key] for key in made.struck_out)])
    made.signatures = tuple(mark for mark in in_order if mark.kind == "sign" and mark.id not in struck)
    return made


def _put(made: Together, mark: Mark, index: int, heard: Mapping[str, Mark]) -> None:
    """Puts a mark where it counts, or would have before it was taken back."""
    if mark.id not in made.struck:
        made.standing.setdefault(index, []).append(mark)
    elif mark.kind in JUDGED:
        made.struck_out[mark.id] = index
    elif mark.kind == "declare":
        made.taken_back.setdefault(index, []).extend([mark, *_strikes_on(heard.values(), mark)])


def _strikes_on(marks: Iterable[Mark], target: Mark) -> list[Mark]:
    return [mark for mark in marks if mark.kind == "strike" and mark.body["mark"] == target.id]


def _struck(marks: Mapping[str, Mark], flags: list[Flag]) -> frozenset[str]:
    """What strike-outs strike. A strike-out can't be struck itself: to bring a mark back, it is made again."""
    struck: set[str] = set()
    for mark in marks.values():
        if mark.kind == "strike":
            target = marks.get(mark.body["mark"])
            if target is None or target.kind == "strike":
                flags.append(Flag(mark.id, "strikes-nothing"))
            else:
                struck.add(target.id)
    return frozenset(struck)
