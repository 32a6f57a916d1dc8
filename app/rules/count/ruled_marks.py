"""What rulings do to the marks of one sheet before these are added up: a lift judged anew, repetitions added or taken.

So whatever follows from a repetition or a lift follows by the rules of the event as if the judge had marked it so.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from hashlib import sha256

from app.rules.records.marks import Mark, at_another
from app.rules.records.rulings import Ruling
from app.rules.workout.formats import Window

MADE_BY = "ruling"  # the device of a repetition that no tablet marked; no tablet's id has seven letters


def judged_anew(marks: Mapping[str, Mark], rulings: Sequence[Ruling]) -> dict[str, Mark]:
    """The marks with every lift as the rulings have it; the newest on a lift holds. `rulings` come in the order made.

    A lift that is credited is a good lift, and no attempt's clock takes it away (see credited); that it was one attempt too
    many, or came after the bell, is still the event's rule to judge, unless the ruling says at which moment of the heat clock it
    is to be counted, or whose lift it was.
    """
    changed = dict(marks)
    for ruling in rulings:
        mark = marks.get(str(ruling.body.get("mark"))) if ruling.kind == "lift" else None
        if mark is None or mark.kind != "lift":
            continue
        body = {key: value for key, value in mark.body.items() if key != "fault"} | {"good": ruling.body["good"]}
        body |= {key: ruling.body[key] for key in ("fault", "member") if key in ruling.body}
        ruled = replace(mark, body=body)
        changed[mark.id] = at_another(ruled, int(ruling.body["at"])) if "at" in ruling.body else ruled
    return changed


def credited(rulings: Sequence[Ruling]) -> frozenset[str]:
    """The marks of the lifts that the newest ruling on each calls good: what a wrong clock took is restored by it. `rulings` come
    in the order made."""
    ruled = {str(ruling.body["mark"]): bool(ruling.body["good"]) for ruling in rulings if ruling.kind == "lift"}
    return frozenset(mark for mark, good in ruled.items() if good)


def on_repetitions(index: int, rulings: Sequence[Ruling]) -> list[Ruling]:
    """The rulings that add repetitions to a window or take some from it."""
    return [ruling for ruling in rulings if ruling.kind == "reps" and ruling.body["window"] == index]


def with_repetitions(index: int, window: Window, marks: Sequence[Mark], about: Sequence[Ruling]) -> list[Mark]:
    """The marks of one window, in order, with the repetitions that the rulings on them add and without those they take.

    Taken are the marks that a ruling names, else the last ones; a named one that is not there takes the last instead, so that
    each counter's sheet loses as many. Added ones stand at the moment of the window's last repetition (of an empty window, at
    its end): they were done no later than what the judge saw last. Rulings add up, whatever their order.
    """
    if not about:
        return list(marks)
    named = [str(mark) for ruling in about for mark in ruling.body.get("marks", ())]
    reps = [mark for mark in marks if mark.kind == "rep"]
    taken = {mark.id for mark in reps if mark.id in named}
    more = sum(int(ruling.body["add"]) for ruling in about) + len(taken)
    kept = [mark for mark in reps if mark.id not in taken]
    if more < 0:
        taken.update(mark.id for mark in kept[more:])
    left = [mark for mark in marks if mark.id not in taken]
    if more <= 0:
        return left
    last = kept[-1].at if kept else window.end_ms - 1
    made = [_made(index, number, last, marks) for number in range(more)]
    behind = left.index(kept[-1]) + 1 if kept else len(left)
    return [*left[:behind], *made, *left[behind:]]


def _made(index: int, number: int, at: int, marks: Sequence[Mark]) -> Mark:
    sheet = marks[0].sheet if marks else ""
    identity = sha256(f"{sheet} {index} {number}".encode()).hexdigest()[:32]
    return Mark(identity, sheet, MADE_BY, 1, number + 1, "rep", at, 0, index, {})
