"""Simulated links between a tablet's clock and the desk's: random delays each way, losses, crystals that drift apart."""

import random
from collections.abc import Iterator
from dataclasses import dataclass

from app.rules.count.clock import Offset

# As static/js/device/link.js pings: quickly until the clock is found, then to follow the drift.
FIRST_PINGS, FIRST_EVERY_MS, THEN_EVERY_MS = 32, 125.0, 1000.0
WORK_MS = 1.0  # between receiving a ping and answering it, at most
Stamps = tuple[float, float, float, float]


@dataclass(frozen=True)
class Link:
    """Delays in ms: there and back a fixed part and one at random up to a most; the share of pings lost; the drift in ppm."""

    there: tuple[float, float]
    back: tuple[float, float]
    loss: float = 0.05
    drift_ppm: float = 0.0


@dataclass
class Journey:
    """One tablet on a link, from a chosen seed."""

    link: Link
    seed: int

    def __post_init__(self) -> None:
        self.chance = random.Random(self.seed)
        self.start = round(self.chance.uniform(0, 1e6), 3)
        self.first_offset = round(self.chance.uniform(-1e7, 1e7), 3)

    def truth(self, at: float) -> float:
        """The desk's clock minus the tablet's when the tablet's says `at`."""
        return self.first_offset + self.link.drift_ppm / 1e6 * (at - self.start)

    def pings(self, count: int) -> Iterator[tuple[float, Stamps | None]]:
        """Each ping's moment and its four time stamps, None if it was lost."""
        at = self.start
        for number in range(count):
            at += FIRST_EVERY_MS if number < FIRST_PINGS else THEN_EVERY_MS
            lost = self.chance.random() < self.link.loss
            there, back = (fixed + self.chance.uniform(0, most) for fixed, most in (self.link.there, self.link.back))
            got = at + there
            sent = got + self.chance.uniform(0, WORK_MS)
            yield at, None if lost else (at, got + self.truth(got), sent + self.truth(sent), sent + back)


def error_after(link: Link, pings: int, seed: int) -> tuple[float, float]:
    """How far an estimate is from the truth after so many pings, and the bound that it states (ms)."""
    journey, offset, now = Journey(link, seed), Offset(), 0.0
    for at, stamps in journey.pings(pings):
        now = at + FIRST_EVERY_MS
        if stamps is not None:
            offset.add(*stamps)
    estimate, bound = offset.estimate(now) or (0.0, 0.0)
    return abs(estimate - journey.truth(now)), bound


def percentile(values: list[float], share: float) -> float:
    """The value below which this share of all lies."""
    return sorted(values)[min(len(values) - 1, int(share * len(values)))]
