"""Counting beforehand, in slices of the event loop: whoever shows standings waits for it, and nobody else does."""

from app.live.projection import Projection
from app.live.slices import Slices


async def caught_up(projection: Projection, slices: Slices | None = None) -> None:
    """Counts what has come to the sheets so far. What is asked of the projection next costs little: the standings of lanes that
    are counted, and what came meanwhile."""
    slices = slices or Slices()
    for assignment in projection.to_count():
        while projection.count_a_little(assignment):
            await slices.pause()
        await slices.pause()
