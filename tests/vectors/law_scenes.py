"""Random ledgers for the law of authority: an honest story on a lane up to a moment, and one more mark by somebody, received
then.

What happened until then may have reached the desk or not (the judge's tablet may be offline); a bar that is out at that moment is
judged afterwards. The extra mark must change no number unless `GIVES` says that this seat may, at this moment.
"""

import random
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from app.rules.count.sheet_clock import SheetClock
from app.rules.count.sheets import counting_tallies
from app.rules.count.tally import Tally, fold
from app.rules.records.document import CompetitionFile
from app.rules.records.marks import Mark, parse_mark, received_plain
from app.rules.records.receipts import Receipt
from app.rules.records.rulings import Ruling
from app.rules.records.seats import Seat
from app.rules.records.signed import marks_held
from app.rules.result.results import event_results
from app.rules.workout.formats import CountTask, Format, LiftTask, ListTask
from app.rules.workout.joining import JoinRule
from tests.builders.cast import FORMATS, Sheet, a_competition, a_format, a_run, plain_load
from tests.vectors import lift_scenes
from tests.vectors.reference import tally_plain

# The law, in words of its own and not the table's. now: a mark for a time that had come, of a run that there was. by-hand: one
# by a clock started by hand, of a run that the desk has never given. Nobody else, and at no other moment, changes a number.
GIVES: Mapping[str, frozenset[str]] = {
    "lane": frozenset({"now", "by-hand"}),
    "second": frozenset({"now", "by-hand"}),
    "third": frozenset({"now", "by-hand"}),
    "desk": frozenset({"now", "by-hand"}),
}
MOMENTS = ("now", "by-hand", "ahead", "no-run", "signed-off")
SEATS: tuple[Seat, ...] = ("lane", "second", "third", "shadow", "lifter", "desk", "review")
KINDS = ("rep", "norep", "declare", "begun", "loaded", "lift", "racked", "finish", "measure", "strike", "sign", "stop", "note")
MOST_IN_A_VECTOR = 24
PHONE = ("loaded", "loaded", "declare", "strike")

COUNTED = a_format(CountTask(movement="swing"), windows=3).model_copy(update={"counters": JoinRule(how="mean")})
LAW_FORMATS: Mapping[str, Format] = {
    # The lifters of these stories mind no rule about declarations, and what names a refused one by silence is nobody's word.
    **{key: one for key, one in lift_scenes.FORMATS.items() if key not in lift_scenes.DECLARING},
    **{key: FORMATS[key] for key in ("pair", "list", "ladder", "measure")},
    "two counters": COUNTED,
}


@dataclass(frozen=True)
class Scene:
    """A ledger and one mark more. by, at: which seat makes it, at which moment of the law."""

    by: Seat
    at: str
    format: Format
    marks: tuple[Mark, ...]
    mark: Mark
    given: bool
    signed: bool

    def numbers(self, with_it: bool) -> list[Any]:
        """Every number of the ledger: counts, loads, scores, places."""
        return numbers(self.format, (*self.marks, *([self.mark] if with_it else [])), self.given, self._rulings())

    def _rulings(self) -> tuple[Ruling, ...]:
        if not self.signed:
            return ()
        body = {"state": "signed", "marks": marks_held(self.marks), "runs": {"heat": 1}}
        return (Ruling(id="rul", kind="sign_off", event="evt", body=body, by="Ruth", why="All seen", made_wall_ms=1),)

    @property
    def broken(self) -> bool:
        """Whether the mark changes a number that the law does not let it change."""
        return self.at not in GIVES.get(self.by, frozenset()) and self.numbers(True) != self.numbers(False)

    @property
    def on_the_tablet(self) -> dict[str, Any] | None:
        """The lane judge's sheet with and without the mark, as a tablet adds it up; None where that is not the sheet that it is
        on, or the event is signed off, which a tablet only says."""
        if self.mark.sheet != LANE or self.signed:
            return None
        marks = [received_plain(mark) for mark in self.marks if mark.sheet == LANE]
        clock = {"holds": [], "shift_ms": 0, "given": self.given}
        return {"args": [self.format.model_dump(mode="json"), marks, received_plain(self.mark), clock]}


@cache
def _file(key: str) -> CompetitionFile:
    return a_competition(LAW_FORMATS[key], {"Open": ["Ada", "Bo"]}, ())


def numbers(format: Format, marks: Iterable[Mark], given: bool, rulings: Sequence[Ruling] = ()) -> list[Any]:
    """Every number of a ledger of the first run of a heat of two lanes; given: the desk has given that run."""
    key = next(key for key, one in LAW_FORMATS.items() if one is format)
    tallies = counting_tallies(_file(key), (a_run(1),) if given else (), marks, rulings)
    tables = event_results(_file(key), "evt", tallies, rulings).tables
    rows = [(row.entry.id, row.place, row.score.text if row.score else row.status) for table in tables for row in table.rows]
    return [rows, {lane: _tallied(tally) for lane, tally in tallies.items() if tally.any_marks}]


def _tallied(tally: Tally) -> list[Any]:
    """The numbers of a tally. That a window was joined is none: what it is joined to may be what the lane judge had."""
    return [
        (
            (one.count, one.norep, one.credited, one.counted, one.finish_ms, one.left, one.measure, one.best and one.best.load),
            tuple((lift.mark, lift.load, lift.good, lift.counts, lift.again) for lift in one.lifts),
        )
        for one in tally.windows
    ]


def scenes(chance: random.Random, count: int) -> Iterator[Scene]:
    """So many scenes, of all seats at all moments."""
    for _ in range(count):
        made = scene(chance, chance.choice(SEATS), chance.choice(MOMENTS))
        if made is not None:
            yield made


def scene(chance: random.Random, seat: Seat, moment: str) -> Scene | None:
    """One scene; None where the seat found nothing to take back."""
    format = LAW_FORMATS[chance.choice(sorted(LAW_FORMATS))]
    now = chance.randrange(-5_000, format.length_ms + 20_000)
    happened, later = Story(chance, format).until(now)
    if moment == "by-hand" or (moment == "no-run" and chance.random() < 0.5):
        happened, later, given = [], [], False
    else:
        given = True
    extra = _extra(chance, seat, moment, format, now, [mark for _, mark in happened], given)
    if extra is None:
        return None
    offline = chance.random() < 0.4
    marks = _received(chance, happened, later, now, offline)
    mark = replace(extra, receipt=_receipt(chance, seat, moment, given, now, marks))
    return Scene(seat, moment, format, tuple(marks), mark, given, moment == "signed-off")


class Story:
    """An honest lane: what was done in each window, attempt by attempt."""

    def __init__(self, chance: random.Random, format: Format) -> None:
        self.chance, self.format = chance, format
        self.tablet, self.phone, self.second = Sheet(), Sheet(device="phone-a"), Sheet(device="tab-second")
        self.second.sheet = "asg_1/1/second"
        self.groups: list[list[tuple[Seat, Mark]]] = []
        for index, window in enumerate(format.windows):
            task = format.tasks.get(window.task or "")
            if isinstance(task, LiftTask):
                self._lifts(index, window.start_ms, window.end_ms, task)
            elif task is not None:
                self._work(index, window.start_ms, window.end_ms, task)

    def until(self, now: int) -> tuple[list[tuple[Seat, Mark]], list[tuple[Seat, Mark]]]:
        """What had happened at a moment, and what the judge still made of a bar that was out then."""
        happened: list[tuple[Seat, Mark]] = []
        later: list[tuple[Seat, Mark]] = []
        for group in self.groups:
            done = [one for one in group if one[1].at <= now - 10]
            happened += done
            kinds = [mark.kind for _, mark in done]
            if kinds.count("begun") > kinds.count("lift"):  # between two tries of a bar the next load may still be declared
                later += group[len(done) :]
        return happened, later

    def _work(self, index: int, start: int, end: int, task: Any) -> None:
        at = start
        while (at := at + self.chance.randrange(400, 9_000)) < end:
            kind = "measure" if task.kind == "measure" else self.chance.choice(("rep", "rep", "rep", "norep"))
            body = {"value": str(self.chance.randrange(1, 99))} if kind == "measure" else {}
            self._one("lane", self.tablet, kind, at, index, body)
            if self.format is COUNTED and self.chance.random() < 0.8:
                self._one("second", self.second, kind, at + 60, index, body)
        if isinstance(task, ListTask):
            self._one("lane", self.tablet, "finish", end - 1, index, {})

    def _one(self, seat: Seat, sheet: Sheet, kind: str, at: int, index: int, body: dict[str, Any]) -> None:
        self.groups.append([(seat, parse_mark(sheet.mark(kind, at, index, **body)))])

    def _lifts(self, index: int, start: int, end: int, task: LiftTask) -> None:
        at = start + self.chance.randrange(1_000, 6_000)
        while at < end:
            self.groups.append(list(self._attempt(index, at, task)))
            at += self.chance.randrange(15_000, 40_000)

    def _attempt(self, index: int, at: int, task: LiftTask) -> Iterator[tuple[Seat, Mark]]:
        """A load declared by phone or judge, maybe told to be another, lifted once or twice, racked; mostly all of it named."""
        chance, who = self.chance, self.format.windows[index].who
        member = {"member": chance.choice(who if isinstance(who, tuple) else (1, 2))} if self.format.members > 1 else {}
        declared = plain_load(f"{chance.randrange(90, 130)} kg")
        phone = chance.random() < 0.6
        by: tuple[Seat, Sheet] = ("lifter", self.phone) if phone else ("lane", self.tablet)
        first = by[1].mark("declare", at, index, load=declared, by="lifter" if phone else "judge", **member)
        yield by[0], parse_mark(first)
        named = {"declared": first["id"]} if chance.random() < 0.8 else {}
        if chance.random() < 0.5:
            said = {**named, **({"member": chance.choice((1, 2))} if named and member and chance.random() < 0.3 else {})}
            word = self.phone.mark("loaded", at + 1_000, index, load=_near(chance, declared), by="loader", **said)
            yield "lifter", parse_mark(word)
        for n in range(1 + int(task.tries_until_racked and chance.random() < 0.3)):
            begun: dict[str, Any] = {}
            if chance.random() < 0.9:
                out = self.tablet.mark("begun", at + 3_000 + 4_000 * n, index, **named, **member)
                begun = {"begun": out["id"]}
                yield "lane", parse_mark(out)
            says = {"load": declared, "good": chance.random() < 0.6, **named, **begun, **member}
            yield "lane", parse_mark(self.tablet.mark("lift", at + 5_000 + 4_000 * n, index, **says))
            if says["good"]:
                break
        if chance.random() < 0.8:  # a tablet always says which bar it racks: the phone may have declared the next by then
            yield "lane", parse_mark(self.tablet.mark("racked", at + 11_000, index, declared=first["id"]))


def _near(chance: random.Random, load: dict[str, str]) -> dict[str, str]:
    return {**load, "amount": str(int(load["amount"]) + chance.choice((-10, -5, 0, 0, 5, 700)))}


LANE = "asg_1/1/lane"
SHEET_OF: Mapping[str, str] = {"lifter": "lane", "desk": "lane", "review": "video"}


def _extra(
    chance: random.Random, seat: Seat, moment: str, format: Format, now: int, there: Sequence[Mark], given: bool
) -> Mark | None:
    """A mark by a seat, for a time that had come or not, that may name anything there is."""
    kind = chance.choice(PHONE if seat == "lifter" else KINDS)
    body = _body(chance, seat, kind, there)
    if body is None:
        return None
    device = {"lifter": "phone-a", "lane": "tab-a", "second": "tab-second"}.get(seat, f"dev-{seat}")
    sheet = Sheet(device=device)
    sheet.sheet, sheet.seq = f"asg_1/1/{SHEET_OF.get(seat, seat)}", 500
    at, err = chance.randrange(-3_000, now + 1) if now > -3_000 else now, chance.choice((0, 3, 2_000, 9_000))
    if moment in ("ahead", "signed-off"):
        at = max(now + min(err, 1_000), 0) + 1 + chance.randrange(20_000)
    elif moment in ("no-run", "by-hand"):
        at = 1 + chance.randrange(format.length_ms)
        if given or moment == "by-hand":
            body |= {"hand": True} if moment == "by-hand" or chance.random() < 0.5 else {}
    win = chance.choice([None, *range(len(format.windows))])
    return replace(parse_mark(sheet.mark(kind, at, win, **body)), err=err)


def _body(chance: random.Random, seat: Seat, kind: str, there: Sequence[Mark]) -> dict[str, Any] | None:
    """What a mark says; None where there is nothing that the seat could take back."""
    declared = [mark.id for mark in there if mark.kind == "declare"]
    names = {"declared": chance.choice(declared)} if declared and chance.random() < 0.7 else {}
    load = plain_load(f"{chance.randrange(80, 140)} kg")
    by = {"lifter": "loader" if kind == "loaded" else "lifter", "desk": "judge"}.get(seat, "judge")
    match kind:
        case "declare":
            return {"load": load, "by": by}
        case "loaded":
            more = chance.choice(({}, {"uneven": True}, {"keep": True}, {"keep": False}))
            return {"load": _near(chance, load), "by": by, **more, **names}
        case "lift":
            return {"load": load, "good": chance.random() < 0.7, **names}
        case "begun" | "racked":
            return names
        case "measure":
            return {"value": str(chance.randrange(1, 200))}
        case "strike":
            own = [mark.id for mark in there if seat != "lifter" or (mark.kind == "loaded" and mark.device == "phone-a")]
            return {"mark": chance.choice(own)} if own else None
        case "sign":
            return {"who": "judge", "name": "Kim"}
        case "stop" | "note":
            return {"why" if kind == "stop" else "text": "Rest"}
        case _:
            return {}


def _received(
    chance: random.Random, happened: Sequence[tuple[Seat, Mark]], later: Sequence[tuple[Seat, Mark]], now: int, offline: bool
) -> list[Mark]:
    """An honest story's marks with their receipts, a number free between what the desk had by `now` and what it got later.
    offline: the judge's tablets are, until later."""
    came = [(seat, mark, mark.at + chance.randrange(5, 150)) for seat, mark in happened]
    here = [clock <= now and not (offline and seat != "lifter") for seat, _, clock in came]
    early = [one for one, had in zip(came, here, strict=True) if had]
    late = [(seat, mark, max(clock, now + 1_000)) for (seat, mark, clock), had in zip(came, here, strict=True) if not had]
    late += [(seat, mark, max(mark.at, now) + 2_000) for seat, mark in later]
    return [
        replace(mark, receipt=Receipt(number, seat, clock))
        for first, some in ((1, early), (len(early) + 2, late))
        for number, (seat, mark, clock) in enumerate(sorted(some, key=lambda one: one[2]), start=first)
    ]


def _receipt(chance: random.Random, seat: Seat, moment: str, given: bool, now: int, marks: Sequence[Mark]) -> Receipt:
    """What the desk knew of the extra mark: it came when the number was free."""
    numbers = {mark.receipt.number for mark in marks if mark.receipt}
    number = next(n for n in range(1, len(marks) + 2) if n not in numbers)
    if moment in ("no-run", "by-hand"):
        return Receipt(number, seat, None, again=given and chance.random() < 0.3)
    return Receipt(number, seat, now)


def honest(chance: random.Random) -> tuple[Format, list[Mark]]:
    """A lane's whole story as it may reach the desk: at once; after an outage of the judge's tablets; by a clock started by hand
    while the desk was away, whose run the desk made later; again, after the desk had lost it; with the bounds of a real clock."""
    format = LAW_FORMATS[chance.choice(sorted(LAW_FORMATS))]
    happened, _ = Story(chance, format).until(format.length_ms + 100_000)
    how = chance.choice(("at once", "outage", "by hand", "again"))
    marks = _received(chance, happened, (), format.length_ms + 100_000, how != "at once")
    ahead = chance.randrange(-1_000, 1_000) if how == "by hand" else chance.randrange(4)
    return format, [_honest(mark, how, ahead) for mark in marks]


def _honest(mark: Mark, how: str, ahead: int) -> Mark:
    receipt = mark.receipt
    if receipt is None or receipt.seat == "lifter":
        return mark
    if how == "again":
        return replace(mark, receipt=replace(receipt, again=True))
    if how == "by hand":  # the desk's GO came half a minute later than the whistle, and the marks soon after it
        clock = max(receipt.clock or 0, 0) // 1_000
        return replace(mark, body={**mark.body, "hand": True}, receipt=replace(receipt, clock=clock))
    return replace(mark, at=mark.at + ahead, receipt=replace(receipt, clock=max(receipt.clock or 0, mark.at + 1)))


def vectors(chance: random.Random, count: int) -> Iterator[dict[str, Any]]:
    """Sheets with what the desk knew of their marks, and what they add up to; the extra mark of a scene on each."""
    wanted: tuple[tuple[Seat, str], ...] = tuple((by, at) for by in ("lifter", "lane") for at in ("now", "ahead", "no-run"))
    made = (scene(chance, by, at) for _ in range(100 * count) for by, at in wanted)
    found = (one for one in made if one is not None and len(one.marks) < MOST_IN_A_VECTOR and one.on_the_tablet)
    for number, one in zip(range(count), found, strict=False):
        format, marks, mark, clock = one.on_the_tablet["args"] if one.on_the_tablet else ({}, [], {}, {})
        tally = fold(one.format, [*(m for m in one.marks if m.sheet == LANE), one.mark], SheetClock(given=one.given))
        name = f"received {number}: {one.by}, {one.at}"
        yield {"name": name, "call": "fold", "args": [format, [*marks, mark], clock], "expect": tally_plain(tally)}
