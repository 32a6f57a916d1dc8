"""The one search that may be under way for this competition, and what came of the last one."""

import asyncio
import logging
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from typing import Any

from app.planning.worker import Found, Job, Worker

log = logging.getLogger(__name__)

Done = Callable[[Found], Awaitable[None]]


@dataclass(slots=True)
class Planner:
    """What the desk sees of a search: what it told last, whether it still runs, and why the last one found nothing."""

    told: dict[str, Any] = field(default_factory=dict)
    why: str = ""
    looked_at: str = ""  # the late change that was shown last, as JSON, where one process serves alone
    say: Callable[[str], object] = lambda word: None  # to the other server processes, where there are any
    elsewhere: bool = False  # whether one of them searches; `told` and `why` are then its
    _task: asyncio.Task[None] | None = None
    _worker: Worker | None = None

    @property
    def busy(self) -> bool:
        """Whether a search is under way, in whatever process."""
        return self.here or self.elsewhere

    @property
    def here(self) -> bool:
        """Whether a search is under way in this process."""
        return self._task is not None and not self._task.done()

    def take_elsewhere(self, searching: bool, told: dict[str, Any], why: str) -> None:
        """What another process says of its search."""
        if not self.here:
            self.elsewhere, self.told, self.why = searching, told, why

    def start(self, job: Job, done: Done) -> None:
        """Begins a search; `done` gets what it found. One that is under way is left to itself."""
        if self.busy:
            return
        self.told, self.why = {}, ""
        self._worker = Worker(job, self.told.update)
        self._task = asyncio.create_task(self._run(self._worker, done))

    async def _run(self, worker: Worker, done: Done) -> None:
        try:
            found = await worker.run()
            self.why = found.why
            if not found.why:
                await done(found)
        except Exception:  # the desk must hear of it: nobody waits for this task
            log.exception("A search for a plan failed")
            self.why = "The search could not be run on this computer. Nothing has changed; try again."

    def enough(self) -> None:
        """Ends the search with the best so far."""
        if self._worker is not None and self.here:
            self._worker.enough()
        elif self.elsewhere:
            self.say("enough")

    async def settled(self) -> None:
        """Waits until no search is under way."""
        if self._task is not None:
            await asyncio.wait([self._task])

    async def close(self) -> None:
        """Ends whatever runs, with the process that it has: the server stops."""
        if self._task is not None:
            self._task.cancel()
        await self.settled()
