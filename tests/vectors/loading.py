"""Loading a bar with the fewest moves over a whole plan of loads.

The plates on a sleeve are a stack: a move takes the outermost one off or puts one on as the outermost, on each side at once.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from app.rules.values.units import Load
from app.rules.workout.plates import MOST_WAYS, Kit, Side, total_of, ways

QUICK_WAYS = 60
MOST_WAYS_FREE = 60  # ways of making one load that are looked at where the order is free

Best = tuple[int, tuple[Side, ...]]  # moves so far, and the sides that led here


@dataclass(frozen=True, slots=True)
class Plan:
    """How each load of a plan is put on: `sides` by load, None for one that can't be made. `moves` are those of one side. whole:
    all ways of making each load were looked at, so no plan has fewer."""

    sides: tuple[Side | None, ...]
    moves: int
    whole: bool


def swap(before: Sequence[int], after: Sequence[int]) -> tuple[Side, Side]:
    """What to take off, outermost first, and what to put on, innermost first, to come from one side to another."""
    kept = shared(before, after)
    return tuple(reversed(before[kept:])), tuple(after[kept:])


def shared(one: Sequence[int], other: Sequence[int]) -> int:
    """How many plates from the inside on are the same."""
    count = 0
    for a, b in zip(one, other, strict=False):
        if a != b:
            break
        count += 1
    return count


def moves_between(before: Sequence[int], after: Sequence[int]) -> int:
    """How many moves one side takes."""
    return len(before) + len(after) - 2 * shared(before, after)


def plan(kit: Kit, loads: Sequence[Load], now: Side = ()) -> Plan:
    """The fewest moves from what is on each side `now` through all loads in order, in the order of plates that the kit wants.

    Exact over all ways of making each load, as long as there are no more than MOST_WAYS (with a free order MOST_WAYS_FREE) of it.
    """
    found, whole = _known(kit, loads, MOST_WAYS if kit.heavy_inside else MOST_WAYS_FREE)
    layers = [sides for sides in found if sides]
    return _plan_of(found, heavy_inside(layers, now) if kit.heavy_inside else free_order(layers, now), whole)


def quick_plan(kit: Kit, loads: Sequence[Load], now: Side = ()) -> Plan:
    """A plan that is there at once: heavy plates inside, by the QUICK_WAYS ways of each load with the heaviest plates. Where the
    order is free a bar that weighs what it should stays as it is."""
    found, all_known = _known(kit, loads, QUICK_WAYS)
    if not kit.heavy_inside and found and found[0] and total_of(kit, now) == total_of(kit, found[0][0]):
        found[0] = [now]
    return _plan_of(found, heavy_inside([sides for sides in found if sides], now), kit.heavy_inside and all_known)


def _known(kit: Kit, loads: Sequence[Load], most: int) -> tuple[list[list[Side]], bool]:
    """The first ways of each load, and whether those are all."""
    found = [ways(kit, load, most + 1) for load in loads]
    return [sides[:most] for sides in found], all(len(sides) <= most for sides in found)


def _plan_of(found: Sequence[Sequence[Side]], best: Best, whole: bool) -> Plan:
    steps = iter(best[1])
    return Plan(tuple(next(steps) if sides else None for sides in found), best[0], whole)


def heavy_inside(layers: Sequence[Sequence[Side]], now: Side) -> Best:
    """The shortest path through one way of making each load.

    Between two sides lies what they share: the path goes down to it and up again, so each layer is two passes over prefixes.
    """
    reached: dict[Side, Best] = {now: (0, ())}
    for layer in layers:
        down = _down(reached)
        reached = {side: _up(down, side) for side in layer}
    return min(reached.values(), key=lambda best: best[0])


def _down(reached: dict[Side, Best]) -> dict[Side, Best]:
    """The fewest moves to what is left when plates are taken off."""
    left: dict[Side, Best] = {}
    for side, (moves, path) in reached.items():
        for off in range(len(side) + 1):
            rest = side[: len(side) - off]
            there = left.get(rest)
            if there is not None and there[0] <= moves + off:
                continue
            left[rest] = (moves + off, path)
    return left


def _up(left: dict[Side, Best], side: Side) -> Best:
    """The fewest moves to a side from any of its prefixes."""
    best: Best | None = None
    for on in range(len(side) + 1):
        there = left.get(side[: len(side) - on])
        if there is not None and (best is None or there[0] + on < best[0]):
            best = (there[0] + on, there[1])
    assert best is not None  # the empty bar is a prefix of all
    return best[0], (*best[1], side)


def greedy(kit: Kit, loads: Sequence[Load], now: Side = ()) -> Plan:
    """Load by load the way with the fewest moves from what is on, heavy plates inside, with no look ahead."""
    moves, sides = 0, list[Side | None]()
    for load in loads:
        found = ways(kit, load)
        best = min(found, key=lambda side: moves_between(now, side), default=None)
        if best is not None:
            moves, now = moves + moves_between(now, best), best
        sides.append(best)
    return Plan(tuple(sides), moves, False)


def free_order(layers: Sequence[Sequence[Side]], now: Side) -> Best:
    """The fewest moves where plates may stand in any order: exact, by interval dynamic programming.

    Plates that stay on through the same loads form one level of a nest: either another plate is common to all loads from i to
    j, or the loads part into two groups that share only what is common so far.
    """
    return _Nest(layers, now).solved()


class _Nest:
    """Loads 0 to n, load 0 being what is on now; a set of plates is one whole number, digit k counting kind k."""

    def __init__(self, layers: Sequence[Sequence[Side]], now: Side) -> None:
        self.now = now
        self.last = len(layers)
        sides = [side for layer in layers for side in layer] + [now]
        self.kinds = max((kind for side in sides for kind in side), default=-1) + 1
        base = max((len(side) for side in sides), default=0) + 2  # so that one more than any side holds is no other set
        self.one = [base**kind for kind in range(self.kinds)]
        self.fewest = [self._prefixes(now), *(self._parts(layer) for layer in layers)]
        self.known: dict[tuple[int, int, int], tuple[int, int]] = {}

    def solved(self) -> Best:
        """The moves, and each load's side."""
        stacks: list[Side] = [()] * (self.last + 1)
        moves = self.cost(0, self.last, 0, 0)
        self._trace(0, self.last, 0, (), stacks)
        return moves, tuple(stacks[1:])

    def _prefixes(self, side: Side) -> dict[int, int]:
        found, held = {0: len(side)}, 0
        for kind in side:
            held += self.one[kind]
            found[held] = len(side)
        return found

    def _parts(self, layer: Sequence[Side]) -> dict[int, int]:
        """For each part of any way the plates of the smallest way that has it."""
        found: dict[int, int] = {}
        for side in layer:
            parts = {0}
            for kind in side:
                parts |= {part + self.one[kind] for part in parts}
            for part in parts:
                found[part] = min(found.get(part, len(side)), len(side))
        return found

    def price(self, i: int, j: int) -> int:
        """The moves of a plate that stays through loads i to j: on, unless it was; off, unless it may stay."""
        return (i > 0) + (j < self.last)

    def cost(self, i: int, j: int, held: int, size: int) -> int:
        """The fewest moves within loads i to j above what they all hold."""
        key = (i, j, held)
        if key not in self.known:
            self.known[key] = self._single(i, held, size) if i == j else self._best(i, j, held, size)
        return self.known[key][0]

    def _single(self, i: int, held: int, size: int) -> tuple[int, int]:
        return (self.fewest[i][held] - size) * self.price(i, i), 0

    def _best(self, i: int, j: int, held: int, size: int) -> tuple[int, int]:
        """The moves, and what to do: below 0 part after load -1 - choice, else add the kind."""
        best, choice = -1, 0
        for kind in self._common(i, j, held, size):
            found = self.price(i, j) + self.cost(i, j, held + self.one[kind], size + 1)
            if best < 0 or found < best:
                best, choice = found, kind
        for cut in range(i, j):
            found = self.cost(i, cut, held, size) + self.cost(cut + 1, j, held, size)
            if best < 0 or found < best:
                best, choice = found, -1 - cut
        return best, choice

    def _common(self, i: int, j: int, held: int, size: int) -> list[int]:
        """The kinds of which one more can be common to all loads from i to j."""
        if i == 0:
            return [k for k in self.now[size : size + 1] if self._all_hold(1, j, held + self.one[k])]
        return [kind for kind in range(self.kinds) if self._all_hold(i, j, held + self.one[kind])]

    def _all_hold(self, i: int, j: int, held: int) -> bool:
        return all(held in self.fewest[load] for load in range(i, j + 1))

    def _trace(self, i: int, j: int, held: int, stack: Side, stacks: list[Side]) -> None:
        if i == j:
            stacks[i] = stack + self._rest(i, held, len(stack))
            return
        choice = self.known[i, j, held][1]
        if choice >= 0:
            self._trace(i, j, held + self.one[choice], (*stack, choice), stacks)
            return
        cut = -1 - choice
        self._trace(i, cut, held, stack, stacks)
        self._trace(cut + 1, j, held, stack, stacks)

    def _rest(self, i: int, held: int, size: int) -> Side:
        """The plates that only load i holds: of the smallest way, heaviest first."""
        rest: list[int] = []
        want = self.fewest[i][held]
        if i == 0:
            return self.now[size:]
        for _ in range(want - size):
            kind = next(k for k in range(self.kinds) if self.fewest[i].get(held + self.one[k]) == want)
            held += self.one[kind]
            rest.append(kind)
        return tuple(rest)
