"""The simulated people of one heat in the demo: whose device writes what, and all that they would mark by themselves."""

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from app.demo.bar import Act, Actor, BarTeam, decision
from app.demo.cast import opener_kg, strength_of
from app.demo.judge import Scribe, SimulatedJudge, seen_again
from app.floor import judging
from app.hall.devices import Who
from app.hall.hall import Hall
from app.rules.count.gear_check import equipment_list
from app.rules.count.lift_floor import walk
from app.rules.count.lifting.window import Floor
from app.rules.records.document import Run
from app.rules.records.marks import MOST_MARKS, Mark, mark_plain
from app.rules.records.roster import Assignment, Roster
from app.rules.records.seats import SEATS, Seat, SheetKind
from app.rules.workout.formats import Format, LiftTask, Window

CHECKED_MS, SIGNED_MS = -6_000, (3_500, 7_500)  # the equipment just before GO; judge and athlete after the last bell
SECOND_LANES = (1, 2, 3)  # where somebody counts beside the judge, in an event that joins counts
BESIDE: dict[Seat, int] = {"second": 1, "third": 2}
OWN_BAR: Mapping[Actor, Seat] = {"lifter": "lifter", "loader": "lifter", "judge": "lane"}
SHARED_BAR: Mapping[Actor, Seat] = {**OWN_BAR, "loader": "loaders", "marshal": "marshal"}


@dataclass(frozen=True, slots=True)
class LaneHands:
    """The simulated people at one lane in one run of its heat. Whatever they do follows from the ids of lane and run."""

    format: Format
    lane: Assignment
    run: Run
    athlete: str

    def sheet(self, kind: SheetKind = "lane") -> str:
        """A sheet of the lane."""
        return f"{self.lane.id}/{self.run.number}/{kind}"

    def device(self, seat: Seat) -> str:
        """The device that stands for a seat; a lane's is one all day, each heat's marks have a life of their own."""
        return f"demo-{seat}-{self.lane.id}-{self.run.number}"[:40]

    def who(self, seat: Seat) -> Who:
        """Who writes from a seat."""
        row = SEATS[seat]
        return Who(self.device(seat), row.role, self.lane.lane, f"Simulated {row.name.lower()}", row.sheet)

    def before(self) -> list[Mark]:
        """The equipment that a judge looks at before GO, where the event has any to look at."""
        wanted = equipment_list(self.format)
        if not wanted:
            return []
        body = {"items": list(wanted), "name": self.lane.judge or "Judge"}
        return [self._pen("lane").write(CHECKED_MS - 150 * self.lane.lane, "check", None, body)]

    def judged(self, lifts: bool) -> list[Mark]:
        """What the judge marks from GO to the last bell; what happens at a bar of the lane's own only if `lifts`."""
        judge = SimulatedJudge(
            format=_without_bars(self.format, shared_only=lifts),
            sheet=self.sheet(),
            device=self.device("lane"),
            go_wall_ms=self.run.go_wall_ms,
            strength=strength_of(self.lane.entry),
            chance=random.Random(self.sheet()),
            phone=self.device("lifter"),
            opener=lambda member: opener_kg(self.lane.entry, member),
            seq=1,
        )
        return judge.marks()

    def signed(self) -> list[Mark]:
        """The signatures after the last bell, numbered behind everything else."""
        names = (("judge", self.lane.judge or "Judge"), ("athlete", self.athlete))
        pen = self._pen("lane", 9_000)
        return [
            pen.write(self.format.length_ms + ms + 100 * self.lane.lane, "sign", None, {"who": who, "name": name})
            for ms, (who, name) in zip(SIGNED_MS, names, strict=True)
        ]

    def beside(self, judged: Sequence[Mark]) -> list[Mark]:
        """What a second counter marks of work that is counted."""
        if self.format.counters.how == "lane" or self.lane.lane not in SECOND_LANES:
            return []
        seen = seen_again(list(judged), self.sheet("second"), self.run.go_wall_ms, random.Random(self.sheet("second")))
        return [replace(mark, device=self.device("second")) for mark in seen]

    def lights(self, judged: Sequence[Mark], seat: Seat) -> list[Mark]:
        """What another judge decides of the lifts that three decide, as long as nothing of it is there."""
        made: list[Mark] = []
        for index in range(len(self.format.windows)):
            made += self._lights(judged, index, seat, made)
        return made

    def _lights(self, judged: Sequence[Mark], index: int, seat: Seat, there: Sequence[Mark]) -> list[Mark]:
        """The decisions on the lifts of one window that are not among those that are `there`."""
        task = self.bar_in(index)
        if task is None or task.judges == 1:
            return []
        own = _of(judged, index)
        floor, known = walk(Floor(task, self.format.windows[index]), own), {mark.body.get("begun") for mark in there}
        acts = [decision(self.format, floor, out, BESIDE[seat]) for out in own if out.kind == "begun" and out.id not in known]
        pen = self._pen(seat, len(there))
        return [pen.write(act.at, act.kind, index, act.body) for act in acts]

    def at_the_bar(self, judged: Sequence[Mark], index: int, now_ms: int) -> tuple[Seat, Mark] | None:
        """What is due at the lane's bar by now, and from which seat; None where nothing is."""
        act = self.next_act(judged, index)
        return None if act is None or act.at > now_ms else self.written(act, judged, index, now_ms)

    def next_act(self, judged: Sequence[Mark], index: int) -> Act | None:
        """What comes next at the lane's bar, whenever that is; None where nothing does."""
        return self.team(index).next(_of(judged, index))

    def written(self, act: Act, judged: Sequence[Mark], index: int, now_ms: int = 0) -> tuple[Seat, Mark]:
        """What is done at the bar, as its seat marks it; what was due long ago is done now."""
        seat = (SHARED_BAR if self.shared_in(index) else OWN_BAR)[act.actor]
        device = self.device(seat)
        pen = self._pen(seat, max((mark.seq for mark in judged if mark.device == device), default=1))
        return seat, pen.write(max(act.at, now_ms - 400), act.kind, index, act.body)

    def lights_due(self, judged: Sequence[Mark], there: Sequence[Mark], index: int, seat: Seat, now_ms: int) -> list[Mark]:
        """What another judge has to decide by now."""
        return [mark for mark in self._lights(judged, index, seat, there) if mark.at <= now_ms]

    def bar_in(self, index: int) -> LiftTask | None:
        """The lift of a window, if it is one."""
        task = self.format.tasks.get(self.format.windows[index].task or "")
        return task if isinstance(task, LiftTask) else None

    def shared_in(self, index: int) -> bool:
        """Whether the bar of a window is one for all lanes."""
        task = self.bar_in(index)
        return task is not None and task.order != "lanes"

    def team(self, index: int) -> BarTeam:
        """Those who lift in a window."""
        return BarTeam(self.format, index, lambda member: opener_kg(self.lane.entry, member), self.sheet())

    def _pen(self, seat: Seat, seq: int = 0) -> Scribe:
        device = self.device(seat)
        return Scribe(self.sheet(SEATS[seat].sheet), device, self.run.go_wall_ms, random.Random(f"{device}/{seq}"), seq)


def _of(marks: Sequence[Mark], index: int) -> list[Mark]:
    """The marks of a window that stand, in order."""
    struck = {mark.body["mark"] for mark in marks if mark.kind == "strike"}
    return sorted((mark for mark in marks if mark.win == index and mark.id not in struck), key=lambda mark: mark.order)


def _without_bars(format: Format, shared_only: bool) -> Format:
    """The format as somebody sees it who leaves the lifts to others, or only those at a bar that lanes share."""

    def left(window: Window) -> bool:
        task = format.tasks.get(window.task or "")
        return isinstance(task, LiftTask) and (task.order != "lanes" or not shared_only)

    windows = tuple(window.model_copy(update={"task": None}) if left(window) else window for window in format.windows)
    return format.model_copy(update={"windows": windows})


def hands_of(roster: Roster, format: Format, lane: Assignment, run: Run) -> LaneHands:
    """The simulated people of a lane; its first member signs for the entry."""
    members = next(entry.members for entry in roster.entries if entry.id == lane.entry)
    names = {athlete.id: athlete.name for athlete in roster.athletes}
    return LaneHands(format, lane, run, names[members[0]] if members else "Athlete")


async def send(hall: Hall, who: Who, marks: Sequence[Mark]) -> tuple[str, ...]:
    """Writes marks through the door that a tablet's come in by; what was refused, in words."""
    refused: list[str] = []
    for start in range(0, len(marks), MOST_MARKS):
        receipt = await judging.record_marks(hall, who, [mark_plain(mark) for mark in marks[start : start + MOST_MARKS]])
        refused += [one.sentence for one in receipt.refused]
    return tuple(refused)
