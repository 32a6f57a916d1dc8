"""The demo as it runs: simulated people do at every lane what no person does, heat after heat, until the day is over."""

import asyncio
import logging
from collections.abc import Mapping
from dataclasses import replace

from app.demo.hands import LaneHands, hands_of, send
from app.demo.judge import ERROR_MS
from app.demo.platform import AtBar, platform_acts
from app.floor import timing
from app.hall.devices import Who
from app.hall.hall import Hall
from app.hall.heats import bar_lanes, event_of, in_day_order, newest_runs, state_of
from app.live.platforms import seen_at
from app.live.presence import Report, Seen
from app.live.servertime import go_on_this_timeline
from app.rules.records.document import Run
from app.rules.records.holding import HeatTime, heat_time
from app.rules.records.marks import Mark
from app.rules.records.moves import ON_THE_FLOOR, HeatState, IllegalMove
from app.rules.records.roster import Heat
from app.rules.records.seats import SEATS, Seat
from app.rules.workout.formats import ListTask

log = logging.getLogger(__name__)

TICK_S = 0.1
PAUSE_S = 40.0  # between the last bell of one heat and the GO of the next
ENDED_S = 120.0  # how long the day stands finished before the demo begins anew
AWAY_MS = 180_000  # a person who reloads, or whose tablet sleeps, keeps the seat for so long
AFTER_MS = 10_000  # after the last bell, for the signatures
OF_NOBODY = "demo-tablet-"  # how the names of devices begin that are not there
SEATS_PLAYED: tuple[Seat, ...] = ("lane", "second", "third", "lifter")
AT_THE_PLATFORM: Mapping[Seat, Seat] = {"lane": "centre", "second": "left", "third": "right"}  # who does a seat's work there


async def play(hall: Hall) -> None:
    """Plays every seat that no person holds, heat after heat; returns some time after the last heat of the day."""
    while (found := await _next_on_floor(hall)) is not None:
        heat, run = found
        try:
            await HeatPlayed(hall, heat, run).play()
        except Exception:  # the demo goes on whatever a visitor does to it
            log.exception("The demo's simulated judges stumbled in heat %d", heat.number)
        await asyncio.sleep(PAUSE_S)


async def _next_on_floor(hall: Hall) -> tuple[Heat, Run] | None:
    """The heat that runs now; if none does, the next that never ran is started. None when none has run or was to run for a
    while."""
    ended = 0.0
    while ended < ENDED_S:
        roster = hall.projection.roster
        runs = newest_runs(hall.projection.runs)
        states = {heat.id: state_of(hall, roster, heat, runs.get(heat.id)) for heat in roster.heats} if roster else {}
        heats = [heat for heat in in_day_order(roster) if heat.lanes] if roster else []
        for heat in heats:
            if states[heat.id] in ON_THE_FLOOR:
                return heat, runs[heat.id]
        planned = [heat for heat in heats if states[heat.id] is HeatState.PLANNED]
        try:
            if planned:
                await timing.go(hall, planned[0].id, {})
        except IllegalMove:  # a visitor at the desk was quicker
            log.info("The demo's next heat was moved by hand")
        ended = 0.0 if planned else ended + 1
        await asyncio.sleep(1)
    return None


def played_by_person(hall: Hall, lane: int, seat: Seat) -> bool:
    """Whether a person does a seat's work at a lane: there, or at the platform that the lane belongs to."""
    return any(held_by_person(hall, lane, one) for one in (seat, AT_THE_PLATFORM.get(seat, seat)))


def held_by_person(hall: Hall, lane: int, seat: Seat) -> bool:
    """Whether a person holds a seat of a lane, or of its platform: its device is here, or was until a little while ago."""
    row = SEATS[seat]
    there = [seen for seen in seen_at(hall, lane) if not seen.device.device_id.startswith(OF_NOBODY)]
    return any(_is_here(hall, seen) for seen in there if (seen.device.role, seen.device.sheet) == (row.role, row.sheet))


def coached(hall: Hall, entry: str) -> bool:
    """Whether a person declares for an entry as its coach."""
    return any(_is_here(hall, seen) for seen in hall.presence.everybody() if entry in seen.device.entries)


def _is_here(hall: Hall, seen: Seen) -> bool:
    return bool(seen.report.screen) and hall.time.server_ms() - seen.last_seen_ms <= AWAY_MS


class SimulatedTablets:
    """The judges' tablets of a heat that nobody holds, as the desk sees them: connected, with nothing on them that it lacks."""

    def __init__(self, hall: Hall, heat: Heat) -> None:
        self._hall, self._heat = hall, heat
        self._there: set[int] = set()

    def show(self) -> None:
        """Says a word for each of them; one whose lane a person has taken goes."""
        now = self._hall.time.server_ms()
        for lane in (one.lane for one in self._heat.lanes):
            if played_by_person(self._hall, lane, "lane"):
                self._leave(lane)
                continue
            if lane not in self._there:
                self._there.add(lane)
                self._hall.presence.arrived(self._device(lane), now, _no_line)
            report = Report(bound_ms=ERROR_MS, heat=self._heat.id, screen="lane", clock="synced")
            self._hall.presence.heard(self._device(lane).device_id, now, report)

    def leave(self) -> None:
        """All of them go."""
        for lane in tuple(self._there):
            self._leave(lane)

    def _leave(self, lane: int) -> None:
        if lane in self._there:
            self._there.remove(lane)
            self._hall.presence.left(self._device(lane).device_id, _no_line)

    def _device(self, lane: int) -> Who:
        return Who(f"{OF_NOBODY}{lane}", "lane", lane, f"Simulated tablet, lane {lane}")


def _no_line(sentence: str) -> None:
    """There is no line to close."""


class HeatPlayed:
    """One run of a heat, played from GO to the signatures."""

    def __init__(self, hall: Hall, heat: Heat, run: Run) -> None:
        roster = hall.projection.roster
        assert roster is not None  # a heat was found in it
        self._hall, self._heat, self._run, self._format = hall, heat, run, event_of(roster, heat).format
        self._hands: list[LaneHands] = []
        self._due: dict[tuple[str, Seat], list[Mark]] = {}
        self._persons: set[tuple[int, int]] = set()
        for lane in heat.lanes:
            place = hall.projection.place_of(lane.id)
            hands = hands_of(roster, place.format if place else self._format, lane, run)
            self._hands.append(hands)
            judged = hands.judged(lifts=False)
            self._due[lane.id, "lane"] = [*hands.before(), *judged, *hands.signed()]
            self._due[lane.id, "second"] = hands.beside(judged)

    async def play(self) -> None:
        """Until some seconds after the last bell, or until the heat is stopped, closed or followed by another run."""
        before = self._begun_before()
        tablets = SimulatedTablets(self._hall, self._heat)
        try:
            await self._play(before, tablets)
        finally:
            tablets.leave()

    async def _play(self, before: int, tablets: SimulatedTablets) -> None:
        while (now := self._now()) is not None and now.ms < self._format.length_ms + AFTER_MS:
            tablets.show()
            if not now.standing:
                await self._at_shared_bar(now)
            for hands in self._hands:
                for seat in SEATS_PLAYED:
                    if self._by_person(hands, seat):
                        self._persons |= {(hands.lane.lane, self._window_at(now.ms))} if seat == "lane" else set()
                        continue
                    await self._act(hands, seat, before, now)
            before = now.ms
            await asyncio.sleep(TICK_S)

    def _begun_before(self) -> int:
        """From when on marks are due: everything, unless the heat was under way already when somebody came to play it."""
        marked = [mark.at for hands in self._hands for mark in self._hall.projection.assignment_marks(hands.lane.id)]
        now = self._now()
        return now.ms if marked and now and now.ms > 0 else -timing.MOST_LEAD_S * 1000

    async def _act(self, hands: LaneHands, seat: Seat, before: int, now: HeatTime) -> None:
        due = [mark for mark in self._due.get((hands.lane.id, seat), ()) if before <= mark.at < now.ms]
        due = [mark for mark in due if not self._left_to_person(hands.lane.lane, mark)]
        if not now.standing:
            due += self._at_bars(hands, seat, now.ms)
        await self._send(hands, seat, due, now)

    async def _send(self, hands: LaneHands, seat: Seat, marks: list[Mark], now: HeatTime) -> None:
        refused = await send(self._hall, hands.who(seat), [_said(mark, now.held_ms) for mark in marks]) if marks else ()
        for sentence in refused:
            log.warning("A simulated mark was refused: %s", sentence)

    async def _at_shared_bar(self, now: HeatTime) -> None:
        """What is due by now at a bar that the lanes share, and is nobody's who is really there."""
        index = self._window_at(now.ms)
        if index < 0 or not self._hands[0].shared_in(index):
            return
        roster = self._hall.projection.roster
        assert roster is not None  # the heat was found in it
        held = {one.lot: one for one in bar_lanes(self._hall, roster, event_of(roster, self._heat), self._run, self._heat)}
        lanes = [AtBar.of(hands, held[hands.lane.lane], index) for hands in self._hands if hands.lane.lane in held]
        for hands, act in platform_acts(lanes, index) if lanes else ():
            if act.at <= now.ms:
                seat, mark = hands.written(act, held[hands.lane.lane].marks, index, now.ms)
                if not self._by_person(hands, seat):
                    await self._send(hands, seat, [mark], now)

    def _by_person(self, hands: LaneHands, seat: Seat) -> bool:
        """Whether a person does a seat's work for whoever stands on a lane; a lifter's coach declares too."""
        coach = seat == "lifter" and coached(self._hall, hands.lane.entry)
        return coach or played_by_person(self._hall, hands.lane.lane, seat)

    def _at_bars(self, hands: LaneHands, seat: Seat, now_ms: int) -> list[Mark]:
        index = self._window_at(now_ms)
        if index < 0 or hands.bar_in(index) is None:
            return []
        judged = self._hall.projection.sheet_marks(hands.sheet())
        if seat in ("second", "third"):
            return hands.lights_due(
                judged, self._hall.projection.sheet_marks(hands.sheet(SEATS[seat].sheet)), index, seat, now_ms
            )
        found = None if hands.shared_in(index) else hands.at_the_bar(judged, index, now_ms)
        return [found[1]] if found is not None and found[0] == seat else []

    def _window_at(self, ms: int) -> int:
        windows = enumerate(self._format.windows)
        return next((index for index, window in windows if window.start_ms <= ms < window.end_ms - 500), -1)

    def _left_to_person(self, lane: int, mark: Mark) -> bool:
        """A work list that a person has begun to count is theirs until its bell: nobody else knows where they are in it."""
        if mark.win is None or (lane, mark.win) not in self._persons:
            return False
        return isinstance(self._format.tasks.get(self._format.windows[mark.win].task or ""), ListTask)

    def _now(self) -> HeatTime | None:
        """The moment of the run, whatever it was held; None when it has been stopped, closed, or followed by another."""
        now = newest_runs(self._hall.projection.runs).get(self._run.heat)
        if now is None or (now.number, now.state) != (self._run.number, self._run.state):
            return None
        return heat_time(self._hall.time.server_ms() - go_on_this_timeline(now, self._hall.time), now.holds)


def _said(mark: Mark, held_ms: int) -> Mark:
    """A mark as a tablet would make it that knew of the heat's holds."""
    return replace(mark, body={**mark.body, "held": held_ms}) if held_ms else mark
