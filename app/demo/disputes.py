"""What people did at the demo's desk before a visitor came: paper keyed in, flags settled, a ruling, protests, the sign-off.

Everything is done by the desk's own commands, so it is as legal, and as well recorded, as if somebody had typed it.
"""

import random
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager

from app.demo.cast import BAR, LIST, opener_kg
from app.demo.events import LIFTER
from app.demo.hands import LaneHands, send
from app.demo.judge import Scribe, seen_again
from app.floor import keying, together
from app.hall.changing import change_roster, new_id
from app.hall.devices import Who
from app.hall.doing import begin, done_by
from app.hall.hall import Hall
from app.review import ruling, signing
from app.review.flags import open_flags
from app.rules.count.tally import Tally, fold
from app.rules.records.marks import Mark
from app.rules.records.roster import Protest
from app.rules.records.rulings import Ruling
from app.rules.records.seats import Seat
from app.rules.values.clock_times import minutes_text
from app.store.acts import DOING
from app.store.kinds import PROTESTS

HEAD_JUDGE = "Ruth Abelmann"
DESK = Who("demo-desk", "desk", None, "Desk")
LAPTOP = "127.0.0.1"
SEEN_TWICE = 2  # lanes of the first heat beside whose judge somebody else judged
LATE_REPS = 2
ODD_LANE = 1  # of the first heat of the lifts, counted from 0
ODD_MORE_KG = 10  # how much more than the opener its bar weighs that leaves the rack too late: it would win
FILED_AGO_MS, ANSWERED_AGO_MS = 7 * 60_000, 6 * 60_000
COUNTED = (10, 10, 11, 10, 10, 9)  # what the lanes counted of ten that were shown before the first heat


async def first_event(hall: Hall, lanes: Sequence[LaneHands], paper: LaneHands) -> None:
    """The list, from its last bell to its sign-off. `lanes`: all of it, in the order run; `paper`: the one without a tablet."""
    await _count_together(hall)
    for hands in lanes[:SEEN_TWICE]:
        again = seen_again(hands.judged(lifts=True), hands.sheet("shadow"), hands.run.go_wall_ms, random.Random(hands.lane.id))
        await send(hall, hands.who("shadow"), again)
    await _key_twice(hall, paper)
    capped = [hands for hands in lanes if hands is not paper and _tally(hands).windows[0].finish_ms is None]
    await _ruled(hall, capped[0])
    await _refused(hall, capped[1])
    for flag in [flag for flag in open_flags(hall) if _is_of(hall, flag.assignment, LIST)]:
        why = "Looked at with the judge of the lane: nothing changes."
        with _doing(hall, "ruling", "Settle a flag", {"assignment": flag.assignment}):
            await ruling.set_aside(hall, {"flag": flag.key, "done": "settled", "by": HEAD_JUDGE, "why": why})
    with _doing(hall, "ruling", "Sign an event's results off", {"event": LIST}):
        await signing.sign_off(hall, LIST, {"by": HEAD_JUDGE})


async def second_event(hall: Hall, lanes: Sequence[LaneHands]) -> None:
    """What is open of the lifts: a protest, and a lift that began after the last bell."""
    roster = hall.projection.roster
    assert roster is not None  # it was filled a moment ago
    first = next(heat for heat in roster.heats if heat.event == BAR)
    entry = next(entry for entry in roster.entries if entry.id == first.lanes[3].entry)
    by = next(athlete.name for athlete in roster.athletes if athlete.id == entry.members[LIFTER - 1])
    text = "Only one judge saw my last lift deep enough, and the one in the middle stood behind a loader. Please look again."
    await _file(hall, Protest(id="prt_bar", entry=entry.id, event=BAR, text=text, by=by, via="desk"))
    hands = next(one for one in lanes if one.lane.id == first.lanes[ODD_LANE].id)
    await send(hall, hands.who("lane"), _after_the_bell(hands))


async def _count_together(hall: Hall) -> None:
    await together.begin(hall, {"shown": "10"})
    for lane, count in enumerate(COUNTED, start=1):
        await together.count_in(hall, Who(f"demo-lane-{lane}", "lane", lane), {"count": str(count)})
    await together.end(hall)


async def _key_twice(hall: Hall, paper: LaneHands) -> None:
    """Two people key one paper in, and what they typed agrees."""
    done = _tally(paper).windows[0]
    typed = {"w0": str(done.credited), "sign-judge": paper.lane.judge, "sign-athlete": paper.athlete}
    if done.finish_ms is not None:
        typed["w0-finish"] = minutes_text(done.finish_ms // 1000)
    for by in ("Hal Osterley", "Mina Vantreight"):
        with _doing(hall, "paper", "Key in a paper sheet", {"assignment": paper.lane.id}):
            await keying.key_in(hall, DESK, paper.lane.id, {**typed, "by": by})


async def _ruled(hall: Hall, hands: LaneHands) -> None:
    """Two repetitions that a judge marked well after the bell are given: they were done before it."""
    format = hands.format
    pen = Scribe(hands.sheet(), hands.device("lane"), hands.run.go_wall_ms, random.Random("late"), 8_000)
    at = format.length_ms + format.late_ms + 600
    late = [pen.write(at + 1_100 * n, "rep", 0, {}) for n in range(LATE_REPS)]
    await send(hall, hands.who("lane"), late)
    flag = next((one for one in open_flags(hall) if one.assignment == hands.lane.id and set(one.marks) & {late[0].id}), None)
    given = {"kind": "reps", "assignment": hands.lane.id, "entry": hands.lane.entry, "event": LIST}
    body = {"add": LATE_REPS, "window": 0, "run": hands.run.number}
    why = "Both throws hit the target before the bell; the judge's finger was late. Seen from the second row."
    typed = {"option": ruling.option_text([given | {"body": body}]), "by": HEAD_JUDGE, "why": why}
    with _doing(hall, "ruling", "Make a ruling", {"assignment": hands.lane.id}):
        await ruling.rule(hall, typed | ({"flag": flag.key} if flag else {}))


async def _refused(hall: Hall, hands: LaneHands) -> None:
    """A protest that was answered, so long ago that nobody may appeal against it any more."""
    text = "Our last crate length was not counted although both crates were over the line."
    filed = Protest(id="prt_list", entry=hands.lane.entry, event=LIST, text=text, by=hands.athlete, via="desk")
    await _file(hall, filed)
    why = "The second crate was put down on the line, not behind it. The count stands."
    answered = Ruling(
        id=new_id(),
        kind="protest",
        entry=filed.entry,
        event=LIST,
        body={"protest": filed.id, "decision": "refused"},
        by=HEAD_JUDGE,
        why=why,
        made_wall_ms=hall.time.wall_ms() - ANSWERED_AGO_MS,
    )
    with _doing(hall, "ruling", "Answer a protest", {"protest": filed.id}):
        await ruling.store(hall, (answered,))


def is_odd(event: str, hands: LaneHands, number: int) -> bool:
    """Whether the last bar of a lane, in a heat of this number, leaves its rack when the bell has gone."""
    return (event, number, hands.lane.lane) == (BAR, 1, ODD_LANE + 1)


def without_last(made: Sequence[tuple[Seat, Mark]]) -> list[tuple[Seat, Mark]]:
    """What was done at a bar without the last attempt: its load, its call and all that follows."""
    last = max((mark for _, mark in made if mark.kind == "called"), key=lambda mark: mark.order)
    said = next(mark for _, mark in made if mark.id == last.body["declared"])
    return [(seat, mark) for seat, mark in made if mark.order < said.order]


def _after_the_bell(hands: LaneHands) -> list[Mark]:
    """A judge lets one more bar leave its rack when the bell has gone, and calls the lift good."""
    end = hands.format.length_ms
    load = {"amount": str(opener_kg(hands.lane.entry, LIFTER) + ODD_MORE_KG), "unit": "kg"}
    pen = Scribe(hands.sheet(), hands.device("lane"), hands.run.go_wall_ms, random.Random("bell"), 8_000)
    said = pen.write(end - 2_600, "declare", 0, {"load": load, "by": "judge"})
    about = {"declared": said.id}
    out = pen.write(end + hands.format.late_ms + 900, "begun", 0, about)
    return [said, out, pen.write(out.at + 2_400, "lift", 0, {**about, "load": load, "good": True, "begun": out.id})]


async def _file(hall: Hall, protest: Protest) -> None:
    """Files a protest as the desk does, without asking first for every place that it might be about: that takes a second."""
    filed = protest.model_copy(update={"filed_wall_ms": hall.time.wall_ms() - FILED_AGO_MS})
    with _doing(hall, "ruling", "File a protest at the desk", {"protest": protest.entry}):
        await change_roster(hall, lambda session: PROTESTS.put(session, filed))


def _tally(hands: LaneHands) -> Tally:
    return fold(hands.format, hands.judged(lifts=True))


def _is_of(hall: Hall, assignment: str, event: str) -> bool:
    place = hall.projection.place_of(assignment)
    return place is not None and place.event.id == event


@contextmanager
def _doing(hall: Hall, kind: str, words: str, about: Mapping[str, str]) -> Iterator[None]:
    """Whatever is changed meanwhile leaves its line in the activity log, as a page's request does."""
    begin(hall, kind, words, about, LAPTOP)
    done_by(DESK)
    try:
        yield
    finally:
        DOING.set(None)
