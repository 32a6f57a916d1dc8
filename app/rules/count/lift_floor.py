"""The bars of a lift window, mark by mark: which declaration each stands under, when it is locked, what was really on it.

A declaration can be changed until the bar leaves the rack; from then on it is locked for that lift. What is declared meanwhile
waits, and stands when the attempt is over: with a good lift, with the bar racked, or with the one try that the event allows. What
is said of a bar from elsewhere, after it has left the rack, waits for a ruling (authority.py); marks come as they were heard.

A declaration that was taken back stands under no try and says no load. Whose bar it was, and when that bar was racked, it still
says, for as long as it stood: taking it back later moves no time, so it makes no lift late. static/js/rules/lift_floor.js is the
twin.
"""

from collections.abc import Sequence
from dataclasses import replace

from app.rules.count.lifting.bars import NO_TIME, Bar, Try, said
from app.rules.count.lifting.decided_twice import decided_before
from app.rules.count.lifting.in_time import before_it_left
from app.rules.count.lifting.next_attempt import Turns, doubtful, is_change, refused
from app.rules.count.lifting.window import Floor, another
from app.rules.records.authority import waits
from app.rules.records.kinds import ROWS
from app.rules.records.marks import Mark, body_load


def walk(floor: Floor, marks: Sequence[Mark], taken_back: Sequence[Mark] = ()) -> Floor:
    """Takes the marks of one window in order. `taken_back`: the declarations of it that were struck out, and what struck them.
    Where another decision of a try stands than its first, the marks are walked again by what stands."""
    floor.declared = {mark.id: mark for mark in marks if mark.kind == "declare"}
    floor.gone = {mark.id: mark for mark in taken_back if mark.kind == "declare"}
    for mark in sorted([*marks, *taken_back], key=lambda mark: mark.order) if taken_back else marks:
        step = STEPS.get(mark.kind)
        if step is not None:
            step(floor, mark)
    if floor.twices.turned and not floor.known.further:
        return walk(floor.anew(floor.twices), marks, taken_back)
    return floor


def _declare(floor: Floor, mark: Mark) -> None:
    bar = floor.bar(floor.member(mark))
    out = bar.out is not None
    if mark.id in floor.gone:
        bar.made.declare(mark, out)
        return
    if (why := _refused(floor, mark, bar)) is not None:
        floor.odd.append((mark.id, why))
        floor.refused.add(mark.id)
        return
    bar.made.declare(mark, out)
    bar.kept.declare(mark, out)
    if bar.out is not None and not another(floor.member(mark), floor.member(bar.out, bar.under)):
        floor.odd.append((mark.id, "declared-late"))


def _refused(floor: Floor, mark: Mark, bar: Bar) -> str | None:
    """Why the event's rules do not let a declaration stand; else it is counted among those of its attempt."""
    task, load, member = floor.task, body_load(mark.body), floor.member(mark)
    coming = floor.coming(bar, member)
    asked = (task, floor.window.start_ms, coming, load, said(mark), floor.late_ms)
    why, admitted = refused(*asked), mark.id in floor.admitted
    if why is None and not admitted and (doubt := doubtful(*asked)) is not None:
        floor.odd.append((mark.id, doubt))
    if why is None or admitted:
        change = is_change(task, coming, said(mark), floor.late_ms)
        floor.turns.setdefault(member, Turns()).declared(coming, load, mark.body["by"] == "rule", change, bar.out is not None)
        return None
    return why


def _take_back(floor: Floor, mark: Mark) -> None:
    """From here on stands again what would have stood without the declaration."""
    for bar in floor.bars.values():
        if bar.made.now is not None and bar.made.now.id == mark.body["mark"]:
            bar.made.now = bar.kept.now
        if bar.made.next is not None and bar.made.next.id == mark.body["mark"]:
            bar.made.next = bar.kept.next


def _begun(floor: Floor, mark: Mark) -> None:
    about = floor.said(mark)
    bar = floor.bar(floor.member(mark, about))
    if bar.out is not None:
        if another(floor.member(bar.out, bar.under), floor.member(mark, about)):
            floor.odd.append((mark.id, "two-on-bar"))
            return
        pressed = floor.pressed.setdefault(bar.out.id, [bar.out.id])
        pressed.append(mark.id)
        floor.pressed[mark.id] = pressed
        return
    if about is not None and about.id in floor.refused:
        bar.made.now = bar.kept.now = about
    elif about is not None and about.id not in floor.racked:
        bar.made.unseen(about)
        if about.id not in floor.gone and bar.kept.unseen(about):
            floor.odd.append((mark.id, "begun-unseen"))
    bar.out, bar.under = mark, about or bar.made.now
    floor.bar_anew(bar.under)
    _flag_early(floor, bar.under, mark)
    bar.time = floor.time_of(bar, bar.under)
    for one in (bar.under, bar.standing if about is None else None):
        _lock(floor, mark, one.id if one else None)


def _flag_early(floor: Floor, under: Mark | None, begun: Mark) -> None:
    """Where a declaration has one try, whoever decided it before its bar left pressed too early, or the bar came late."""
    last = None if floor.task.tries_until_racked else floor.last_of(under)
    if last is not None and last.under is under and not last.apart and before_it_left(last, begun):
        floor.odd.append((last.mark.id, "decided-early"))


def _called(floor: Floor, mark: Mark) -> None:
    about = floor.named(mark) or (None if "declared" in mark.body else floor.meant(mark).standing)
    if about is not None:
        floor.calls[about.id] = mark


def _loaded(floor: Floor, mark: Mark) -> None:
    bar = floor.meant(mark)
    about = floor.named(mark) or (None if "declared" in mark.body else bar.standing or bar.lifted)
    if mark.body["by"] == "loader":
        floor.bar_anew(about)
    if about is None:
        floor.odd.append((mark.id, "loads-nothing"))
    elif about.id in floor.locks and mark.receipt is not None and waits(mark, floor.locks[about.id]):
        floor.odd.append((mark.id, floor.locks[about.id]))
    else:
        floor.loaded[about.id] = mark
        floor.stands_again(about)


def _lock(floor: Floor, mark: Mark, declared: str | None) -> None:
    """From the judge's mark on what was on the bar of a declaration is the judge's alone."""
    lock = ROWS[mark.kind].locks
    if declared is not None and lock is not None:
        floor.locks[declared] = lock


def _lift(floor: Floor, mark: Mark) -> None:
    about = floor.meant(mark)
    if mark.id in floor.known.further:
        floor.flag_twice(floor.known.further[mark.id])
        return
    if (twice := decided_before(floor, mark, floor.admitted)) is not None:
        floor.flag_twice(twice.flagged)
        floor.twices.note(twice, mark)
        floor.instead(twice.first, replace(twice.first, mark=twice.stands))
        return
    under = floor.named(mark) or (about.standing if "declared" not in mark.body else None)
    _lock(floor, mark, under.id if under else None)
    member = floor.member(mark, floor.said(mark) or (about.made.now if "declared" not in mark.body else None))
    bar = floor.bar(member)
    other = bar.out is not None and another(floor.member(bar.out, bar.under), member)
    out = None if other else bar.out
    attempt = str(mark.body.get("declared", about.made.now.id if about.made.now else mark.id))
    stands = floor.known.stands.get(mark.id, mark)
    floor.tries.append(Try(stands, under, attempt, out, member, bar.time if out else NO_TIME, attempt in floor.racked))
    if other:
        floor.odd.append((mark.id, "two-on-bar"))
        return
    bar.out, bar.lifted, bar.tried = None, under or bar.lifted, True
    if stands.body["good"] or not floor.task.tries_until_racked:
        floor.over(floor.tries[-1], said(mark))
        bar.over(said(mark))


def _racked(floor: Floor, mark: Mark) -> None:
    """The bar is racked. That ends the attempt that was tried on it, even where its declaration does not stand any more: another
    was made since, or it was taken back."""
    named = mark.body.get("declared")
    bar = _racked_bar(floor, mark)
    if named is None:
        named = _racked_declaration(floor, bar)
    if named is not None:
        floor.racked.add(named)
    _lock(floor, mark, named)
    again = floor.task.order != "lanes" and floor.again(floor.declared.get(named or "")) is not None
    if not again:
        bar.kept.rack(named)
    if bar.tried and bar.out is None:
        floor.over(next(one for one in reversed(floor.tries) if floor.bar(one.member) is bar), said(mark))
    if (not again and bar.made.rack(named)) or (bar.tried and bar.out is None):
        bar.over(said(mark))


def _racked_declaration(floor: Floor, bar: Bar) -> str | None:
    """What is racked by a mark that names nothing: what the bar is out under or was tried under, for the next may be declared by
    then; else what stood then. None for a try under no declaration."""
    if bar.out is None and bar.tried:
        attempt = next(one.attempt for one in reversed(floor.tries) if floor.bar(one.member) is bar)
        return attempt if attempt in floor.declared or attempt in floor.gone else None
    stood = bar.under if bar.out is not None else bar.made.now
    return stood.id if stood is not None else None


def _racked_bar(floor: Floor, mark: Mark) -> Bar:
    """The bar of the declaration that is named, else of whoever tried under it, else the only one in use, else the newest."""
    in_use = [bar for bar in floor.bars.values() if bar.out is not None or bar.tried]
    if "declared" not in mark.body and len(in_use) == 1:
        return in_use[0]
    about = floor.said(mark)
    if about is not None:
        return floor.bar(floor.member(about))
    tried = [one for one in floor.tries if one.attempt == mark.body.get("declared")]
    return floor.bar(tried[-1].member) if tried else floor.meant(mark)


STEPS = {
    "declare": _declare,
    "called": _called,
    "begun": _begun,
    "loaded": _loaded,
    "lift": _lift,
    "racked": _racked,
    "strike": _take_back,
}
