"""The solver as the server sees it: a process of its own at low priority, told to begin, watched, told that it is enough."""

import asyncio
import json
from collections.abc import Callable
from typing import Any

from pydantic import BaseModel

from app import own_process
from app.rules.day.heats import PlannedHeat, Problem
from app.rules.day.late_change import LateChange

GRACE_S = 30.0  # after the time that a job was given; what is not done by then is ended
LONGEST_LINE = 16 * 1024 * 1024


class Job(BaseModel):
    """What a process is to do: a plan from nothing, or a published day to be changed, in so many seconds."""

    seconds: float
    given: Problem
    late: LateChange | None = None


class Found(BaseModel):
    """What came of a job: heats, the end of the last in minutes after midnight and the bound on it; or the reason why not. `of`
    names the problem that was given: of another one the bound says nothing."""

    heats: tuple[PlannedHeat, ...] = ()
    end: int = 0
    bound: int = 0
    why: str = ""
    of: str = ""


class Worker:
    """One job in its process."""

    def __init__(self, job: Job, told: Callable[[dict[str, Any]], None]) -> None:
        self._job, self._told = job, told
        self._process: asyncio.subprocess.Process | None = None
        self._enough = False

    async def run(self) -> Found:
        """Runs the job to its end. What goes wrong with the process itself is the reason why there is no plan."""
        self._process = await own_process.begin("app.planning", LONGEST_LINE)
        try:
            return await asyncio.wait_for(self._follow(self._process), self._job.seconds * 2 + GRACE_S)
        except TimeoutError:
            return Found(why="The search ran far too long and was stopped. Try again.")
        finally:
            await own_process.end(self._process)

    def enough(self) -> None:
        """Ends the search with the best so far."""
        process = self._process
        if process is not None and process.stdin is not None and not self._enough and not process.stdin.is_closing():
            self._enough = True
            process.stdin.write(b"enough\n")

    async def _follow(self, process: asyncio.subprocess.Process) -> Found:
        assert process.stdin is not None and process.stdout is not None
        process.stdin.write(self._job.model_dump_json().encode() + b"\n")
        async for line in process.stdout:
            said = json.loads(line)
            if "plan" in said:
                return Found.model_validate(said["plan"])
            if "why" in said:
                return Found(why=said["why"])
            self._told(said)
        return Found(why="The search ended without an answer. Try again; if it happens again, restart the server.")
