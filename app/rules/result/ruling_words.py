"""Rulings in words: what each decided, by whom and why; and what a sheet's clock went through."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from app.rules.count.sheet_clock import SheetClock
from app.rules.records.in_force import after_sign_off, taken_back
from app.rules.records.marks import Mark, sheet_key
from app.rules.records.rulings import Ruling
from app.rules.records.seal import mark_print
from app.rules.records.seats import SHEETS
from app.rules.result.explain_windows import Line
from app.rules.result.results import STATUS_TEXT, TELLING, Row
from app.rules.values.clock_times import clock_ms_text
from app.rules.values.units import decimal_text
from app.rules.values.words import decimal, known, say
from app.rules.workout.formats import Format
from app.rules.workout.words import inside, listed, member_letter, window_text

CALLED: Mapping[str, str] = {
    "late": "Came late to the lane",
    "early": "Started early",
    "judge": "Another judge took the lane over",
    "other": "Noted",
}
DECIDED: Mapping[str, str] = {
    "upheld": "Protest upheld",
    "partly": "Protest upheld in part",
    "refused": "Protest refused",
    "withdrawn": "Protest withdrawn",
}


@dataclass(frozen=True, slots=True)
class Saying:
    """What is needed to say a ruling: the format of what it is on, marks by id, and where a lane assignment stands in words."""

    format: Format
    marks: Mapping[str, Mark]
    lanes: Mapping[str, str]


def ruling_text(ruling: Ruling, about: Saying) -> str:
    """What a ruling decided: `2 repetitions added in window 3, …`."""
    return SAID[ruling.kind](ruling, about)


def ruling_line(ruling: Ruling, about: Saying) -> str:
    """The same with who decided it and why."""
    return say("{ruling}. Ruled by {by}: {why}", ruling=ruling_text(ruling, about), by=ruling.by, why=ruling.why)


def ruling_lines(row: Row, event: str, rulings: Sequence[Ruling], about: Saying) -> Iterator[Line]:
    """The rulings on one row of a standing, then those that were taken back or came after the sign-off: they change nothing."""
    yield from (Line(ruling_line(ruling, about), _named(ruling)) for ruling in row.rulings)
    counts = {ruling.id for ruling in row.rulings}
    mine = [r for r in rulings if r.kind in TELLING and r.id not in counts and is_about(r, event, row)]
    back = taken_back(rulings)
    for ruling in mine:
        if ruling.id in back:
            by = back[ruling.id]
            yield Line(
                say("{ruling}. Taken back by {by}: {why}", ruling=ruling_line(ruling, about), by=by.by, why=by.why),
                _named(ruling),
                False,
            )
    late = {ruling.id for ruling in after_sign_off(rulings, event)}
    for ruling in mine:
        if ruling.id in late:
            yield Line(
                say("{ruling}. Made after the event was signed off", ruling=ruling_line(ruling, about)), _named(ruling), False
            )


def is_about(ruling: Ruling, event: str, row: Row) -> bool:
    """Whether a ruling, in force or not, is on this row of an event's standing."""
    if ruling.assignment is not None and ruling.assignment == row.assignment:
        return True
    return ruling.assignment is None and ruling.entry == row.entry.id and ruling.event in (None, event)


def clock_lines(clock: SheetClock, marks: Sequence[Mark]) -> Iterator[Line]:
    """What a sheet's clock went through: holds of the heat, a start by hand, a shift."""
    for hold in clock.holds:
        how_long = (
            say("and did not resume") if hold.for_ms is None else say("for {time}", time=decimal(clock_ms_text(hold.for_ms)))
        )
        yield Line(
            say(
                "The heat was held at {time} {how_long}; no time ran on any lane",
                time=clock_ms_text(hold.at_ms),
                how_long=how_long,
            )
        )
    by_hand = tuple(mark.id for mark in marks if mark.body.get("hand"))
    if by_hand:
        moved = say(", moved {shifted} by ruling", shifted=_shifted(clock.shift_ms)) if clock.shift_ms else ""
        yield Line(say("The judge started this lane's clock by hand{moved}", moved=moved), by_hand)


def _named(ruling: Ruling) -> tuple[str, ...]:
    return (str(ruling.body["mark"]),) if "mark" in ruling.body else tuple(ruling.body.get("marks", ()))[:50]


def _shifted(ms: int) -> str:
    seconds = decimal(decimal_text(Fraction(abs(ms), 1000), 3))
    return say("{seconds} s later" if ms > 0 else "{seconds} s earlier", seconds=seconds)


def _reps(ruling: Ruling, about: Saying) -> str:
    number, index = abs(ruling.body["add"]), ruling.body["window"]
    verb = say("added to") if ruling.body["add"] > 0 else say("taken from")
    where = window_text(about.format, index) if index < len(about.format.windows) else say("window {number}", number=index + 1)
    return f"{say('repetitions', n=number)} {verb} {inside(where)}"


def _lift(ruling: Ruling, about: Saying) -> str:
    mark = about.marks.get(ruling.body["mark"])
    when = say(" at {time}", time=decimal(clock_ms_text(mark.at))) if mark else ""
    at = say(", counted at {time}", time=clock_ms_text(ruling.body["at"])) if "at" in ruling.body else ""
    whose = say(" as the lift of {member}", member=member_letter(ruling.body["member"])) if "member" in ruling.body else ""
    return say(
        "{light}: the lift{when} judged again{whose}{at}",
        light=say("lift.good" if ruling.body["good"] else "lift.no"),
        when=when,
        whose=whose,
        at=at,
    )


def _admit(ruling: Ruling, about: Saying) -> str:
    return say("Marks waiting for a ruling count: {marks}", marks=say("marks", n=len(ruling.body["marks"])))


def _penalty(ruling: Ruling, about: Saying) -> str:
    return say(
        "Penalty of {amount} taken back" if ruling.body["amount"][0] == "-" else "Penalty of {amount} given",
        amount=decimal(ruling.body["amount"].removeprefix("-")),
    )


def _shift(ruling: Ruling, about: Saying) -> str:
    ms = ruling.body["ms"]
    return (
        say("The lane's clock moved {shifted}", shifted=_shifted(ms))
        if ms
        else say("The lane's clock put back where the judge had it")
    )


def _status(ruling: Ruling, about: Saying) -> str:
    said = known(STATUS_TEXT.get(ruling.body["status"], ""))
    return f"{said[:1].upper()}{said[1:]}" if said else say("Takes part again")


def _move(ruling: Ruling, about: Saying) -> str:
    key = sheet_key(ruling.body["sheet"])
    return say("Marks made on {lane} were this entry's work", lane=about.lanes.get(key.assignment, "another lane"))


def _stand(ruling: Ruling, about: Saying) -> str:
    key = sheet_key(ruling.body["sheet"])
    sheet = known(SHEETS[key.kind].sheet)
    where = listed([say("window {number}", number=index + 1) for index in sorted(ruling.body.get("windows", ()))])
    opened = f"{sheet[0].upper()}{sheet[1:]}"
    if where:
        return say("{sheet} of run {run} stands in {where}", sheet=opened, run=key.run, where=where)
    return say("{sheet} of run {run} stands", sheet=opened, run=key.run)


def _run(ruling: Ruling, about: Saying) -> str:
    return say("Run {run} of the heat counts", run=ruling.body["run"])


def _rerun(ruling: Ruling, about: Saying) -> str:
    again = about.lanes.get(ruling.body["again"], say("another lane"))
    return say(
        "Rerun on {again}: that run counts" if ruling.body["counts"] == "again" else "Rerun on {again}: the first one counts",
        again=again,
    )


def _medical(ruling: Ruling, about: Saying) -> str:
    cleared = ruling.body["state"] == "cleared"
    return say("Cleared by the medic, {medic}", medic=ruling.body["medic"]) if cleared else say("Stopped for a medical reason")


def _number(ruling: Ruling, about: Saying) -> str:
    named = next((mark for mark in about.marks.values() if mark_print(mark) == ruling.body["print"]), None)
    which = say("the mark at {time}", time=clock_ms_text(named.at)) if named else say("one of them")
    return say("Of the marks with the same number, {which} counts", which=which)


def _sign_off(ruling: Ruling, about: Saying) -> str:
    return say("Results signed off") if ruling.body["state"] == "signed" else say("Results reopened")


def _undo(ruling: Ruling, about: Saying) -> str:
    return say("An earlier ruling taken back")


SAID: Mapping[str, Callable[[Ruling, Saying], str]] = {
    "status": _status,
    "penalty": _penalty,
    "shift": _shift,
    "reps": _reps,
    "lift": _lift,
    "admit": _admit,
    "move": _move,
    "stand": _stand,
    "run": _run,
    "rerun": _rerun,
    "medical": _medical,
    "number": _number,
    "call": lambda ruling, about: CALLED[ruling.body["call"]],
    "flag": lambda ruling, about: "Flag settled" if ruling.body["done"] == "settled" else "Flag set aside",
    "protest": lambda ruling, about: DECIDED[ruling.body["decision"]],
    "announce": lambda ruling, about: "Result announced",
    "sign_off": _sign_off,
    "undo": _undo,
}
