"""A bar that lanes share in the demo: who is called to it, and what lifter, loaders and judges do there next.

As at a lane's own bar it is read from the marks so far, so a person may do any of it instead.
"""

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Self

from app.demo.bar import Act
from app.demo.hands import LaneHands
from app.rules.count.lift_order import BarLane, at_the_bar, called_next
from app.rules.count.tally import fold
from app.rules.records.marks import Mark
from app.rules.records.platforms import shares_a_bar
from app.rules.records.seats import Seat
from app.rules.workout.formats import Window

CALLS_MS = (1_500, 2_800)  # from a free bar, and everybody's word, to the call of the next lifter
FREES = ("lift", "racked")


@dataclass(frozen=True, slots=True)
class AtBar:
    """A lane whose bar others use too: its people, what its sheets hold, and what they would do next if the bar is theirs."""

    hands: LaneHands
    holds: BarLane
    act: Act | None

    @classmethod
    def of(cls, hands: LaneHands, holds: BarLane, index: int) -> Self:
        """A lane in a window."""
        return cls(hands, holds, hands.next_act(holds.marks, index))


def platform_acts(lanes: Sequence[AtBar], index: int) -> list[tuple[LaneHands, Act]]:
    """What comes next in a window: the load of each lane that has still to say one, and what happens at the bar."""
    found = [(one, one.act) for one in lanes if one.act is not None]
    said = [(one, act) for one, act in found if act.kind == "declare"]
    going = _going_on(lanes, [(one, act) for one, act in found if act.kind != "declare"])
    now = going or _call(lanes, lanes[0].hands.format.windows[index], [act.at for _, act in said])
    return [(one.hands, act) for one, act in [*said, *([now] if now else [])]]


def _going_on(lanes: Sequence[AtBar], acts: Sequence[tuple[AtBar, Act]]) -> tuple[AtBar, Act] | None:
    """What whoever was called last still has to do there."""
    bar = at_the_bar(one.holds for one in lanes)
    for one, act in acts:
        called = {mark.body.get("declared") for mark in one.holds.marks if mark.kind in ("called", "begun")}
        if bar and one.holds.lot == bar[0] and act.body.get("declared") in called:
            return one, act
    return None


def _call(lanes: Sequence[AtBar], window: Window, still_to_say: Sequence[int]) -> tuple[AtBar, Act] | None:
    """The call of the next lifter, once the bar is free and the loads have been said that are due by then."""
    order = called_next((one.holds for one in lanes), window.start_ms)
    if not order:
        return None
    marks = [mark for one in lanes for mark in one.holds.marks]
    before = [mark.at for mark in marks if mark.kind in FREES or mark.id == order[0].declared]
    chance = random.Random(order[0].declared)
    at = max(window.start_ms, *before, *still_to_say) + chance.randint(*CALLS_MS)
    lane = next(one for one in lanes if one.holds.lot == order[0].lot)
    return lane, Act("marshal", at, "called", {"declared": order[0].declared})


def lifted(people: Sequence[LaneHands]) -> dict[str, list[tuple[Seat, Mark]]]:
    """All that happens at the shared bars of a heat until the bell, by the id of its lane: each mark, and whose seat makes it."""
    sharing = [hands for hands in people if shares_a_bar(hands.format)]
    made: dict[str, list[tuple[Seat, Mark]]] = {hands.lane.id: [] for hands in sharing}
    for index, window in enumerate(sharing[0].format.windows if sharing else ()):
        if sharing[0].shared_in(index):
            lanes = {hands.lane.id: _at_bar(hands, made[hands.lane.id], index) for hands in sharing}
            for hands, act in _until_the_bell(lanes, index, window):
                own = made[hands.lane.id]
                own.append(hands.written(act, [mark for _, mark in own], index))
                lanes[hands.lane.id] = _at_bar(hands, own, index)
    return made


def _until_the_bell(lanes: dict[str, AtBar], index: int, window: Window) -> Iterator[tuple[LaneHands, Act]]:
    """One act after the other, in order of time. Whoever takes one puts what it changes into `lanes`."""
    while acts := platform_acts(tuple(lanes.values()), index):
        hands, act = min(acts, key=lambda one: (one[1].at, one[0].lane.lane))
        if act.at >= window.end_ms - 500:
            return
        yield hands, act


def _at_bar(hands: LaneHands, made: Sequence[tuple[Seat, Mark]], index: int) -> AtBar:
    marks = [mark for _, mark in made]
    return AtBar.of(hands, BarLane(hands.lane.lane, hands.lane.entry, hands.format, fold(hands.format, marks), marks), index)
