"""Practice sets for judges: a figure's repetitions from a seed, with faults at known moments, and how far a judge's calls agree.

How much of a set is faulty, how quick it is and how late a call may come are common practice, no source; all are parameters.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from hashlib import sha256
from types import MappingProxyType

USUAL_REPS = 20
MOST_REPS = 60
MOST_CALLS = 400
USUAL_TOLERANCE_MS = 900  # how far a call may lie from the end of its repetition
USUAL_LEVEL = 90  # percent of right calls from which a judge counts as calibrated
FAULTY = Fraction(3, 10)
QUICKEST_MS, SLOWEST_MS = 2000, 2900
LEAD_MS = 3000

FULL, SHORT = Fraction(1), Fraction(7, 10)
HOME, NOT_HOME = Fraction(0), Fraction(1, 4)


@dataclass(frozen=True, slots=True)
class PracticeMove:
    """A movement that the figure shows: its name, the fault of turning round too early and that of not coming home."""

    name: str
    short: str
    not_home: str


MOVES: Mapping[str, PracticeMove] = MappingProxyType(
    {
        "squat": PracticeMove("Back squat", "Not deep enough", "Not stood up"),
        "press": PracticeMove("Overhead press", "Arms not locked", "Not lowered to the shoulders"),
        "pull_up": PracticeMove("Pull-ups", "Chin not over the bar", "Arms not straight at the bottom"),
    }
)


@dataclass(frozen=True, slots=True)
class PracticeRep:
    """One repetition, in ms from the start of the set: from home to the far end (1 is all the way) and back (0 is home)."""

    start: int
    end: int
    far: Fraction
    home: Fraction
    fault: str

    @property
    def good(self) -> bool:
        """Whether it counts."""
        return not self.fault


@dataclass(frozen=True, slots=True)
class PracticeSet:
    """A set: the same seed, the same set."""

    move: str
    seed: int
    reps: tuple[PracticeRep, ...]


@dataclass(frozen=True, slots=True)
class Call:
    """What a judge called, in ms from the start of the set."""

    at: int
    good: bool


@dataclass(frozen=True, slots=True)
class Matched:
    """A repetition with the call that belongs to it, if one does."""

    rep: PracticeRep
    call: Call | None

    @property
    def right(self) -> bool:
        """Whether the judge called what it was."""
        return self.call is not None and self.call.good == self.rep.good


@dataclass(frozen=True, slots=True)
class Agreement:
    """A judge's calls against the truth. `extra` calls belong to no repetition and count as wrong."""

    matched: tuple[Matched, ...]
    extra: int

    @property
    def right(self) -> int:
        """How many repetitions were called right."""
        return sum(one.right for one in self.matched)

    @property
    def percent(self) -> Fraction:
        """Right calls in a hundred of repetitions and extra calls."""
        return Fraction(100 * self.right, max(1, len(self.matched) + self.extra))

    def missed_faults(self) -> dict[str, int]:
        """How often each fault was let through or not called at all."""
        missed = [one.rep.fault for one in self.matched if one.rep.fault and not one.right]
        return {fault: missed.count(fault) for fault in dict.fromkeys(missed)}

    @property
    def too_strict(self) -> int:
        """Good repetitions that were called no rep."""
        return sum(one.rep.good and one.call is not None and not one.call.good for one in self.matched)

    @property
    def uncalled(self) -> int:
        """Repetitions that were not called."""
        return sum(one.call is None for one in self.matched)


def practice_set(move: str, seed: int, count: int = USUAL_REPS) -> PracticeSet:
    """The set of a seed: `count` repetitions, three in ten of them faulty, both faults among them. Raises KeyError for a movement
    that there is not."""
    names = MOVES[move]
    faulty = max(2, int(count * FAULTY)) if count >= 2 else 0
    order = sorted(range(count), key=lambda number: _draw(seed, "order", number))[:faulty]
    faults = {number: (names.short if turn % 2 == 0 else names.not_home) for turn, number in enumerate(order)}
    reps, at = [], LEAD_MS
    for number in range(count):
        end = at + QUICKEST_MS + _draw(seed, "pace", number) % (SLOWEST_MS - QUICKEST_MS)
        fault = faults.get(number, "")
        far = SHORT if fault == names.short else FULL
        home = NOT_HOME if fault == names.not_home else HOME
        reps.append(PracticeRep(at, end, far, home, fault))
        at = end
    return PracticeSet(move, seed, tuple(reps))


def agreement(made: PracticeSet, calls: Sequence[Call], tolerance_ms: int = USUAL_TOLERANCE_MS) -> Agreement:
    """Lays a judge's calls beside the repetitions, in order: as many together as can be, and then as near as can be.

    A call belongs to a repetition whose end is at most the tolerance away; none belongs to two.
    """
    reps, ordered = made.reps, sorted(calls, key=lambda call: call.at)
    # best[i][j]: (pairs, minus their distance) from the first i repetitions and the first j calls.
    best = [[(0, 0)] * (len(ordered) + 1) for _ in range(len(reps) + 1)]
    for i, rep in enumerate(reps, start=1):
        for j, call in enumerate(ordered, start=1):
            off = abs(call.at - rep.end)
            taken = (best[i - 1][j - 1][0] + 1, best[i - 1][j - 1][1] - off) if off <= tolerance_ms else (-1, 0)
            best[i][j] = max(best[i - 1][j], best[i][j - 1], taken)
    pairs, i, j = dict[int, Call](), len(reps), len(ordered)
    while i and j:
        if best[i][j] == best[i - 1][j]:
            i -= 1
        elif best[i][j] == best[i][j - 1]:
            j -= 1
        else:
            i, j = i - 1, j - 1
            pairs[i] = ordered[j]
    matched = tuple(Matched(rep, pairs.get(number)) for number, rep in enumerate(reps))
    return Agreement(matched, len(ordered) - len(pairs))


def _draw(seed: int, what: str, number: int) -> int:
    """A number that looks drawn, the same for the same seed."""
    return int.from_bytes(sha256(f"{seed} {what} {number}".encode()).digest()[:6])
