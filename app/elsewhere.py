"""What other server processes did, taken over into this one: marks, records, devices sent away, who is at whose doors."""

import asyncio
from collections.abc import Mapping, Sequence
from dataclasses import astuple, replace
from typing import Any, Protocol

from sqlmodel import Session

from app.floor.carrying import read_carried
from app.floor.judging import by_sheet, tell_lanes
from app.floor.timing import tell_runs
from app.hall.changing import lanes_of, look_again
from app.hall.devices import SENT_AWAY, asked_anew
from app.hall.hall import Hall
from app.live.presence import Report, Seen, Who
from app.rules.records.marks import Mark
from app.store.devices import welcome_devices
from app.store.kinds import RULINGS, RUNS
from app.store.ledger import Stored, stored
from app.store.news import News, newest
from app.store.roster import read_roster

ALL_EVERY = 5  # beats between two tellings of everybody who is at our doors
SILENT_BEATS = 10  # a process that says nothing for so long has ended


class Tally(Protocol):
    """What is counted in each process and limited in all of them together, by address."""

    def here(self) -> dict[str, int]:
        """What is counted in this process."""

    def take_elsewhere(self, process: str, counts: Mapping[str, int]) -> None:
        """What another process counts."""


class Elsewhere:
    """One process's ears, see app.live.relay.Ears; and what it says of itself."""

    def __init__(self, hall: Hall, tallies: Mapping[str, Tally] | None = None) -> None:
        self._hall, self._tallies = hall, tallies or {}
        self._told_places: dict[str, dict[str, int]] = {}
        self._searched = self._was_behind = False
        self._said: dict[str, int] = {}  # sockets of each device, as we last told of them
        self._to_say: set[str] = set()
        self._soon = False
        self._beats = 0
        self._last_word: dict[str, int] = {}

    def open(self) -> None:
        """Begins to listen and to tell. On the event loop."""
        hall = self._hall
        if hall.relay.alone:
            return
        hall.presence.trusts = hall.relay.hears
        hall.presence.changed = self._changed
        hall.hub.elsewhere = self._publish
        hall.planner.say = hall.relay.say
        hall.relay.open(self)

    async def take_news(self, found: Sequence[News]) -> None:
        """Records first: marks may be of a lane that came with them."""
        kinds = {one.kind for one in found}
        if "records" in kinds:
            await self._take_records()
        for one in found:
            if one.kind == "gone":
                self._hall.presence.forget(one.body[0], one.body[1] or SENT_AWAY)
            elif one.kind == "renamed":
                self._hall.presence.rename(*one.body)
            elif one.kind == "vouched":
                asked_anew(self._hall, one.body[0])
        if kinds & {"gone", "renamed"}:
            self._hall.hub.tell_here("desk", {"type": "devices"})
        self._take_marks([mark for one in found for mark in one.marks])

    def _take_marks(self, marks: Sequence[Mark]) -> None:
        if not marks:
            return
        hall = self._hall
        hall.ledger.noted_elsewhere(marks)
        hall.projection.apply(marks)
        look_again(hall)
        tell_lanes(hall, by_sheet(marks))

    async def _take_records(self) -> None:
        hall = self._hall
        number, roster, runs, rulings, carried = await hall.database.aread(
            lambda s: (newest(s), read_roster(s), RUNS.all(s), RULINGS.all(s), read_carried(s, hall.time))
        )
        before = hall.projection.roster, hall.projection.runs, hall.projection.rulings
        if not hall.relay.records_as_of(number):
            return
        hall.projection.roster_changed(roster, runs, rulings)
        if (roster, rulings) != (before[0], before[2]):
            for lane in lanes_of(before[0]) | lanes_of(roster):
                hall.hub.tell_here(f"lane:{lane}", {"type": "packet"})
        moved = {key for key, one in carried.items() if hall.time.carried.get(key) != one}
        hall.time.carried.update(carried)
        tell_runs(hall, [run for run in runs if run not in before[1] or (run.heat, run.number) in moved])
        look_again(hall)

    async def take_everything(self) -> int:
        """Begins anew with all that is stored: this process was deaf for too long to be told what it missed."""
        hall = self._hall

        def whole(session: Session) -> tuple[int, Stored, set[str]]:
            there = stored(session)
            there = replace(there, marks=list(there.marks))
            return newest(session), there, {device.id for device in welcome_devices(session)}

        number, there, welcome = await hall.database.aread(whole)
        before = lanes_of(hall.projection.roster)
        hall.ledger.held_anew(there.held)
        hall.projection.load(there.roster, there.runs, there.rulings, there.marks, there.kept)
        hall.relay.records_as_of(number)
        for seen in hall.presence.here():
            if seen.device.device_id not in welcome:
                hall.presence.forget(seen.device.device_id, SENT_AWAY)
        hall.presence.forget_sessions()
        for lane in before | lanes_of(hall.projection.roster):
            hall.hub.tell_here(f"lane:{lane}", {"type": "packet"})
        look_again(hall)
        return number

    def take_word(self, origin: str, kind: str, body: Any) -> None:
        """Takes a word of another process. One that this version does not know is left alone."""
        self._last_word[origin] = self._beats
        hall = self._hall
        if kind == "seen" and hall.presence.take_elsewhere(origin, [self._seen(one) for one in body]):
            hall.hub.tell_here("desk", {"type": "devices"})
        elif kind == "hub":
            hall.hub.tell_here(*body)
        elif kind == "plan":
            hall.planner.take_elsewhere(*body)
            hall.hub.tell_here("desk", {"plan": "told"})
        elif kind == "enough" and hall.planner.here:
            hall.planner.enough()
        elif kind == "places":
            self._count_elsewhere(origin, body)
        elif kind == "backup":
            hall.backups.take(body)
        elif kind == "reached":
            hall.reached.take(body)
        elif kind == "first-code":
            hall.presence.first_code_shown = True
        elif kind == "hello":
            self._tell_all()
            if hall.backups.last is not None or hall.backups.failure:
                hall.relay.say("backup", hall.backups.plain())
            if hall.reached.by:
                hall.relay.say("reached", hall.reached.plain())
        elif kind == "bye":
            self._left(origin)

    def beat(self, count: int) -> None:
        """Every second: whoever has said something since, and now and then everybody."""
        self._beats = count
        self._hall.relay.say("hello" if count == 0 else "beat")
        if count % ALL_EVERY == 0:
            self._tell_all()
        else:
            self._tell_some()
        self._tell_plan()
        self._tell_behind()
        self._tell_places(count % ALL_EVERY == 0)
        for origin, last in list(self._last_word.items()):
            if count - last > SILENT_BEATS:
                self._left(origin)

    def deaf(self, deaf: bool) -> None:
        """The others tell this process again who is at their doors, and the desk sees how it stands."""
        if not deaf:
            self._hall.relay.say("hello")
        self._hall.hub.tell_here("desk", {"type": "processes"})

    def _tell_behind(self) -> None:
        """The desk sees when this process may lack something, and when no longer."""
        if self._was_behind != self._hall.relay.behind:
            self._was_behind = self._hall.relay.behind
            self._hall.hub.tell_here("desk", {"type": "processes"})

    def _tell_plan(self) -> None:
        """How the search in this process goes, and once more when it has ended."""
        planner = self._hall.planner
        if planner.here or self._searched:
            self._searched = planner.here
            self._hall.relay.say("plan", [planner.here, planner.told, planner.why])

    def _tell_places(self, anyway: bool) -> None:
        """How many follow live here, so that all processes together let no more in than one would."""
        here = {share: tally.here() for share, tally in self._tallies.items()}
        if here != self._told_places or (anyway and any(here.values())):
            self._told_places = here
            self._hall.relay.say("places", here)

    def _count_elsewhere(self, origin: str, counts: Mapping[str, Mapping[str, int]]) -> None:
        for share, tally in self._tallies.items():
            tally.take_elsewhere(origin, counts.get(share, {}))

    def _left(self, origin: str) -> None:
        self._last_word.pop(origin, None)
        self._count_elsewhere(origin, {})
        if self._hall.presence.left_elsewhere(origin):
            self._hall.hub.tell_here("desk", {"type": "devices"})

    def _publish(self, topic: str, message: Any) -> None:
        """A message that is too long for a word is replaced by the advice to fetch everything again."""
        if not self._hall.relay.say("hub", [topic, message]):
            self._hall.relay.say("hub", [topic, {"type": "packet"}])

    def _changed(self, device_id: str) -> None:
        """Who comes and goes is told at once, a report with the next beat."""
        self._to_say.add(device_id)
        seen = self._hall.presence.here_of(device_id)
        if not self._soon and seen is not None and seen.sockets != self._said.get(device_id, 0):
            self._soon = True
            asyncio.get_running_loop().call_soon(self._tell_some)

    def _tell_some(self) -> None:
        self._soon = False
        told = [seen for key in self._to_say if (seen := self._hall.presence.here_of(key)) is not None]
        self._to_say.clear()
        self._tell(told)

    def _tell_all(self) -> None:
        self._to_say.clear()
        self._tell(self._hall.presence.here())

    def _tell(self, told: Sequence[Seen]) -> None:
        self._said.update({seen.device.device_id: seen.sockets for seen in told})
        now = self._hall.time.server_ms()
        self._hall.relay.say_many("seen", [_plain(seen, now) for seen in told])

    def _seen(self, plain: list[Any]) -> Seen:
        device, report, sockets, ago = plain
        # As an age: another machine has another timeline.
        return Seen(Who(*device), Report(*report), sockets, self._hall.time.server_ms() - ago)


def _plain(seen: Seen, now_ms: int) -> list[Any]:
    who, said = seen.device, seen.report
    device = [who.device_id, who.role, who.lane, who.name, who.sheet]
    return [device, list(astuple(said)), seen.sockets, now_ms - seen.last_seen_ms]
