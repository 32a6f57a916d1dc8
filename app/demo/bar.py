"""A lane's bar in the demo: who does what next. It is read from the marks so far, so a person may do any of it instead."""

import random
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from app.rules.count.lift_floor import walk
from app.rules.count.lifting.bars import Try
from app.rules.count.lifting.window import Floor
from app.rules.records.kinds import Kind
from app.rules.records.marks import Mark, body_load
from app.rules.values.shapes import load_plain
from app.rules.workout.formats import Format, LiftTask, Window
from app.rules.workout.turns import members_in, sharers

Actor = Literal["lifter", "loader", "judge", "marshal"]

# By attempt. In a public archive of international meets squats are missed 17, 27 and 45 times in a hundred; here they open
# lighter.
MISS_CHANCE = (0.08, 0.24, 0.42)
AGREES = 0.92  # how often another judge sees a lift as the first one does
USUAL_ATTEMPTS = 4
DECLARES_MS, LOADS_MS, LIFTS_MS, DECIDES_MS = (5_000, 10_000), (4_000, 7_000), (13_000, 20_000), (2_100, 3_200)
# At a bar that lanes share: the next load is said soon, and whoever is called comes prepared.
SAYS_SOON_MS, CALLED_LIFTS_MS = (1_500, 3_500), (9_000, 13_000)
RACKS_MS, TRIES_AGAIN_MS = (2_200, 3_400), (7_000, 12_000)
TRIES_AGAIN = 0.6
STEPS_UP = (2, 3, 4, 5)


@dataclass(frozen=True, slots=True)
class Act:
    """What somebody at the bar does next: who, when (ms on the heat clock), which kind of mark, what it says."""

    actor: Actor
    at: int
    kind: Kind
    body: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class BarTeam:
    """Those who lift in one window of one lane. `opener`: the first load of a member, in whole units of the task's step."""

    format: Format
    window: int
    opener: Callable[[int], int]
    seed: str

    def next(self, marks: Sequence[Mark]) -> Act | None:
        """What comes next after the marks of the window, in order; None where nobody has anything left to do."""
        task, window = self.task, self.format.windows[self.window]
        floor, chance = walk(Floor(task, window), marks), random.Random(f"{self.seed}/{len(marks)}")
        bar = floor.newest()
        if bar.out is not None:
            return decision(self.format, floor, bar.out)
        last = floor.tries[-1] if floor.tries else None
        if last and last.under and last.under.id not in floor.racked:
            return self._after(floor, last, last.under, chance)
        if bar.standing is not None:
            return self._before_it_leaves(floor, bar.standing, chance)
        return self._declaring(floor, window, bar.free.at, chance)

    @property
    def task(self) -> LiftTask:
        """The lift."""
        task = self.format.tasks[self.format.windows[self.window].task or ""]
        assert isinstance(task, LiftTask)
        return task

    def _after(self, floor: Floor, last: Try, under: Mark, chance: random.Random) -> Act:
        """After a try: the bar is racked, or where the event allows it a miss is tried once more."""
        about = {"declared": under.id, **_whose(under)}
        first = sum(one.under is under for one in floor.tries) == 1
        if first and self.task.tries_until_racked and not last.mark.body["good"] and chance.random() < TRIES_AGAIN:
            return Act("judge", last.mark.at + chance.randint(*TRIES_AGAIN_MS), "begun", about)
        return Act("judge", last.mark.at + chance.randint(*RACKS_MS), "racked", {"declared": under.id})

    def _before_it_leaves(self, floor: Floor, said: Mark, chance: random.Random) -> Act:
        """The bar is loaded, and leaves its rack: after the load was said, or the lifter called."""
        about = {"declared": said.id, **_whose(said)}
        since = floor.calls.get(said.id, said).at
        lifts_at = since + chance.randint(*(LIFTS_MS if self.task.order == "lanes" else CALLED_LIFTS_MS))
        if said.id not in floor.loaded:
            body = {"load": said.body["load"], "by": "loader", **about}
            return Act("loader", since + chance.randint(*LOADS_MS), "loaded", body)
        return Act("judge", max(lifts_at, floor.loaded[said.id].at + 3_000), "begun", about)

    def _declaring(self, floor: Floor, window: Window, free_ms: int, chance: random.Random) -> Act | None:
        members = members_in(self.format, window)
        wanted = [(load, member) for member in members if (load := self._next_load(floor, member, chance))]
        if not wanted:
            return None
        load, member = min(wanted)
        named = {"member": member} if sharers(self.format, window) else {}
        said = {"load": {"amount": str(load), "unit": self.task.step.unit}, "by": "lifter", **named}
        after = DECLARES_MS if self.task.order == "lanes" else SAYS_SOON_MS
        return Act("lifter", free_ms + chance.randint(*after), "declare", said)

    def _next_load(self, floor: Floor, member: int, chance: random.Random) -> int | None:
        """What a member lifts next: the opener, more after a good lift, the same after a miss; None after the last."""
        own = [one for one in floor.tries if one.member == member]
        if not own:
            return self.opener(member)
        if len({one.under.id if one.under else one.mark.id for one in own}) >= (self.task.attempts or USUAL_ATTEMPTS):
            return None
        before = int(body_load(own[-1].mark.body).in_unit(self.task.step.unit))
        rises = own[-1].mark.body["good"] or self.task.judges > 1  # the others may have seen a good lift: they go on all the same
        return before + chance.choice(STEPS_UP) if rises else before


def decision(format: Format, floor: Floor, out: Mark, judge: int = 0) -> Act:
    """How one of the judges (0 is the lane's) decides the lift that began with this leaving of the rack."""
    said, chance = floor.named(out), random.Random(f"{out.id[-12:]}/{judge}")
    tries = sum(one.mark.at < out.at for one in floor.tries)
    attempt = tries // len(members_in(format, floor.window))
    good = good_one(out, attempt) == (judge == 0 or chance.random() < AGREES)
    load = said.body["load"] if said else load_plain(floor.task.bar)
    faults = () if good else format.movements[floor.task.movement].faults
    body = {"load": load, "good": good, "begun": out.id, **_whose(out)} | ({"declared": said.id} if said else {})
    return Act("judge", out.at + chance.randint(*DECIDES_MS), "lift", body | ({"fault": faults[0].id} if faults else {}))


def good_one(out: Mark, attempt: int) -> bool:
    """Whether a lift is a good one, for everybody who looks at it; later ones are missed more often. The end of the id is left
    to chance, which the seed decides; its beginning is the time of day."""
    return random.Random(out.id[-12:]).random() > MISS_CHANCE[min(attempt, len(MISS_CHANCE) - 1)]


def _whose(mark: Mark) -> dict[str, Any]:
    return {"member": mark.body["member"]} if "member" in mark.body else {}
