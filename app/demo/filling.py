"""The demo's day so far: the first event judged, ruled on and signed off, those who go on, the second event under way."""

import asyncio
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace

from sqlmodel import Session

from app.demo import disputes
from app.demo.cast import BAR, DIVISIONS, GO_ON, LANES, LIST, RELAY, demo_file, heat_of
from app.demo.hands import LaneHands, hands_of
from app.demo.judges import judged, with_judges
from app.demo.platform import lifted
from app.hall.changing import change_roster
from app.hall.hall import Hall
from app.hall.heats import event_of
from app.plan.cutting import standing_of
from app.rules.records.document import Run
from app.rules.records.marks import Mark
from app.rules.records.receipts import Receipt
from app.rules.records.roster import Entry, Heat, Roster
from app.rules.records.seats import SEATS, Seat
from app.store.heats import put_heat
from app.store.kinds import RUNS
from app.store.roster import put_everything

EVERY_MS = 9 * 60_000  # from one GO to the next
INTO_BAR_MS = 75_000  # how far the third heat of the lifts is: the first bars have been up
BEFORE_BAR = 2  # heats of the lifts that are over
LIST_HEATS, LATER_HEATS = 4, 3
PAPER = 2, 5  # heat and lane of the list that were judged on paper


async def fill(hall: Hall, into_ms: int = INTO_BAR_MS) -> None:
    """Puts the invented competition into an empty store, so far that the third heat of the lifts had its GO `into_ms` ago; the
    next heats follow it at their intervals. What is marked from now on comes in by the door of the tablets; what was marked
    before is put behind it with the receipts that it would have had."""
    day = _Day(hall, into_ms)
    whole = with_judges(demo_file([day.time_of(n) for n in range(-LIST_HEATS - BEFORE_BAR, -BEFORE_BAR)]))
    runs = tuple(day.run(heat, n - LIST_HEATS - BEFORE_BAR) for n, heat in enumerate(whole.heats))
    await hall.database.awrite(lambda session: put_everything(session, whole, runs, ()))
    hall.projection.roster_changed(whole, runs, ())
    first = _lanes_of(hall, whole, whole.heats, runs)
    paper = next(one for one in first if (one.lane.id, one.lane.lane) == (f"asg_{LIST[4:]}_{PAPER[0]}_{PAPER[1]}", PAPER[1]))
    await asyncio.gather(*(_judge(hall, one) for one in first if one is not paper))
    await disputes.first_event(hall, first, paper)
    await disputes.second_event(hall, await _later_events(hall, day))


async def _later_events(hall: Hall, day: "_Day") -> list[LaneHands]:
    """Those who go on are put on the lanes of the other two events, and their heats are judged as far as the day has come."""
    roster = hall.projection.roster
    assert roster is not None  # it was filled a moment ago
    going = [_going_on(hall, division) for division, _ in DIVISIONS]
    planned = [
        heat_of(event, n + 1, day.time_of(after * LATER_HEATS + n - BEFORE_BAR), entries)
        for after, event in enumerate((BAR, RELAY))
        for n, entries in enumerate(going)
    ]
    heats = judged(roster, planned)
    runs = [day.run(heat, n - BEFORE_BAR) for n, heat in enumerate(heats) if day.begun(n - BEFORE_BAR)]

    def put(session: Session) -> None:
        for heat in heats:
            put_heat(session, heat)
        for run in runs:
            RUNS.put(session, run)

    await change_roster(hall, put)
    now = hall.projection.roster
    assert now is not None
    lanes = _lanes_of(hall, now, heats, runs)
    for heat in heats:
        there = [one for one in lanes if one.run.heat == heat.id]
        at_bar = lifted(there)
        odd = [one.lane.id for one in there if disputes.is_odd(heat.event, one, heat.number)]
        at_bar.update((lane, disputes.without_last(at_bar[lane])) for lane in odd)
        await asyncio.gather(*(_judge(hall, one, at_bar.get(one.lane.id, ())) for one in there))
    return lanes


def _going_on(hall: Hall, division: str) -> list[Entry]:
    """The best of a division after the list, the best of them on the middle lanes."""
    best = [one.entry for one in standing_of(hall, f"{LIST}/score", division) if one.place is not None][:GO_ON]
    from_middle = sorted(range(LANES), key=lambda lane: (abs(2 * lane - LANES + 1), lane))
    on = dict(zip(from_middle, best, strict=False))
    return [on[lane] for lane in sorted(on)]


ON_THE_WAY_MS = 120  # from a simulated tap to the desk


def _lanes_of(hall: Hall, roster: Roster, heats: Sequence[Heat], runs: Sequence[Run]) -> list[LaneHands]:
    """The simulated people of every lane of the heats that were run."""
    found = []
    for heat, run in zip(heats, runs, strict=False):
        for lane in heat.lanes:
            place = hall.projection.place_of(lane.id)
            found.append(hands_of(roster, place.format if place else event_of(roster, heat).format, lane, run))
    return found


async def _judge(hall: Hall, hands: LaneHands, at_bar: Sequence[tuple[Seat, Mark]] = ()) -> None:
    """Writes all that was marked on a lane by now, each seat by its own device; it came when it was made. `at_bar`: what was done
    for the lane at a bar that it shares."""
    now_ms = hall.time.server_ms() - hands.run.go_server_ms
    own, by_phone = hands.judged(lifts=True), hands.device("lifter")
    judged = [*own, *(mark for _, mark in at_bar)]
    made: list[tuple[Seat, Mark]] = [*at_bar, *(("lifter" if mark.device == by_phone else "lane", mark) for mark in own)]
    made += [("lane", mark) for mark in [*hands.before(), *hands.signed()]]
    made += [("second", mark) for mark in [*hands.beside(own), *hands.lights(judged, "second")]]
    made += [("third", mark) for mark in hands.lights(judged, "third")]
    done = sorted(((seat, mark) for seat, mark in made if mark.at < now_ms), key=lambda one: one[1].at)
    came = [replace(mark, receipt=Receipt(0, SEATS[seat].kept_as or seat, mark.at + ON_THE_WAY_MS)) for seat, mark in done]
    await hall.ledger.append(came, hall.time.wall_ms())


@dataclass(frozen=True, slots=True)
class _Day:
    """When the heats of the demo had their GO; they are counted from the third of the lifts, which was `into_ms` ago."""

    hall: Hall
    into_ms: int

    def begun(self, number: int) -> bool:
        """Whether a heat has had its GO."""
        return self._ago(number) >= 0

    def run(self, heat: Heat, number: int) -> Run:
        """The GO of a heat."""
        ago, now = self._ago(number), self.hall.time
        return Run(heat=heat.id, number=1, go_server_ms=now.server_ms() - ago, go_wall_ms=now.wall_ms() - ago, boot=now.boot)

    def time_of(self, number: int) -> str:
        """When a heat is planned: HH:MM in the hall's own time, to the minute before."""
        local = time.localtime((self.hall.time.wall_ms() - self._ago(number)) // 1000)
        return f"{local.tm_hour:02d}:{local.tm_min:02d}"

    def _ago(self, number: int) -> int:
        return self.into_ms - number * EVERY_MS
