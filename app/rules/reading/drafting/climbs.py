"""Several things of which there is one more in every window: `death by burpees and thrusters`."""

from dataclasses import replace

from app.rules.reading.drafting.said_work import reps_of
from app.rules.reading.drafts import Amount, Work


def can_climb(stations: list[list[Work]]) -> bool:
    """Whether there is one more of each of several things every time: numbers of repetitions, all in one window."""
    return len(stations) == 1 and all(reps_of(work) and work.amount and work.amount.kind == "reps" for work in stations[0])


def more_of_each(works: list[Work], more: int) -> list[Work]:
    """The same things with so many more repetitions of each."""
    return [replace(work, amount=Amount("reps", (str(reps_of(work) + more),), "")) for work in works]
