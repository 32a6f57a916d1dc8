"""Long work on the event loop, cut into slices: between two of them whoever judges is answered."""

import asyncio
from collections.abc import Generator, Iterable, Iterator
from time import perf_counter
from typing import TypeVar

SLICE_S = 0.001  # a mark goes through the loop three times, and its answer is to take a few milliseconds

T = TypeVar("T")


def at_once(steps: Generator[None, None, T]) -> T:
    """What steps come to, without a pause."""
    while True:
        try:
            next(steps)
        except StopIteration as over:
            made: T = over.value
            return made


class Slices:
    """One piece of work. It says `pause` wherever it could be interrupted, the oftener the better."""

    def __init__(self) -> None:
        self._until = perf_counter() + SLICE_S

    async def pause(self) -> None:
        """Lets everybody else go first, once this slice has lasted long enough."""
        if perf_counter() >= self._until:
            await asyncio.sleep(0)
            self._until = perf_counter() + SLICE_S

    async def through(self, steps: Generator[None, None, T]) -> T:
        """What steps come to, with pauses between."""
        while True:
            try:
                next(steps)
            except StopIteration as over:
                made: T = over.value
                return made
            await self.pause()

    async def all_of(self, parts: Iterable[T]) -> list[T]:
        """The parts of something that is made one after the other, with pauses between."""
        made: list[T] = []
        each: Iterator[T] = iter(parts)
        for part in each:
            made.append(part)
            await self.pause()
        return made
