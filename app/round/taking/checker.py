"""Hand-ins that came are checked one after another while the server goes on: by another process, and never in a request.

What waits is told by the records alone, so that a server that was killed finds it again. Where several servers share a store each
takes any that waits, and what another has checked meanwhile is let go: the records take it once.
"""

import asyncio
import logging
import random
import time
from asyncio.subprocess import Process
from collections.abc import Callable

from app import own_process
from app.hall.hall import Hall
from app.round.at_hand import whatever_is_here
from app.round.taking.check_apart import Asked, Found
from app.store.files.verbs import NotAsStored
from app.store.writer import StoreTrouble

log = logging.getLogger(__name__)

MODULE = "app.round.taking.check_apart"
LOOK_EVERY_S = 0.5
IDLE_S = 60.0  # a gym that hands in by itself is mostly followed by another
MOST_S = 600  # for one file; the largest that may be handed in takes a minute
MOST_ANSWER = 64 * 1024 * 1024  # bytes


class NotChecked(Exception):
    """Raised where the process came to nothing."""


class Apart:
    """The process that checks; it is begun with the first file, and anew when it came to nothing. It is kept for a while after
    the last: to begin it takes as long as to check a gym of forty."""

    def __init__(self) -> None:
        self._process: Process | None = None
        self._used = 0.0

    @property
    def pid(self) -> int:
        """Which process it is; 0 while there is none."""
        return self._process.pid if self._process is not None else 0

    async def check(self, asked: Asked, content: bytes) -> Found:
        """What a hand-in gives. Raises NotChecked."""
        if self._process is not None and self._process.returncode is not None:  # it was ended by somebody else meanwhile
            await self.end()
        process = self._process = self._process or await own_process.begin(MODULE, MOST_ANSWER)
        assert process.stdin is not None and process.stdout is not None
        try:
            process.stdin.write(asked.model_dump_json().encode() + b"\n" + content)
            found = Found.model_validate_json(await asyncio.wait_for(process.stdout.readline(), MOST_S))
        except (OSError, ValueError, TimeoutError):
            await self.end()
            raise NotChecked from None
        self._used = time.monotonic()
        return found

    async def rest(self) -> None:
        """Ends the process where nothing was checked for a while."""
        if self._process is not None and time.monotonic() > self._used + IDLE_S:
            await self.end()

    async def end(self) -> None:
        """Ends the process, if there is one."""
        process, self._process = self._process, None
        if process is not None:
            await own_process.end(process)


async def keep_checking(hall_now: Callable[[], Hall]) -> None:
    """Checks whatever waits, for as long as the server runs."""
    apart = Apart()
    try:
        while True:
            try:
                await check_waiting(hall_now(), apart)
                await apart.rest()
            except StoreTrouble:  # the desk hears of it by itself; what waits is found again
                pass
            except Exception:  # what could not be checked is no reason to stop the server
                log.exception("Hand-ins could not be checked")
            await asyncio.sleep(LOOK_EVERY_S)
    finally:
        await apart.end()


async def check_waiting(hall: Hall, apart: Apart) -> int:
    """Checks all that waits; how many those were. One that brings the process down waits for the next start."""
    count = 0
    while (one := await asyncio.to_thread(_next, hall)) is not None:
        digest, asked, content = one
        try:
            found = await apart.check(asked, content)
        except NotChecked:
            log.error("The process that checks hand-ins came to nothing with %s", digest)
            await asyncio.to_thread(_give_up, hall, digest)
            continue
        await asyncio.to_thread(_note, hall, digest, found)
        count += 1
    return count


def _next(hall: Hall) -> tuple[str, Asked, bytes] | None:
    """One of those that wait, with what it is checked by; any of them, so that several servers seldom take the same."""
    with whatever_is_here(hall) as headquarters:
        if not (waits := headquarters.unchecked()):
            return None
        digest = random.choice(waits)
        rule, opening, whole = headquarters.state.rules, headquarters.state.opening, headquarters.whole(digest)
    try:
        content = hall.database.files.get(whole)
    except NotAsStored:
        _give_up(hall, digest)
        return _next(hall)
    return digest, Asked(rule=rule, opening=opening, bytes=len(content)), content


def _note(hall: Hall, digest: str, found: Found) -> None:
    with whatever_is_here(hall) as headquarters:
        headquarters.note_check(digest, found, hall.time.wall_ms())


def _give_up(hall: Hall, digest: str) -> None:
    with whatever_is_here(hall) as headquarters:
        headquarters.given_up.add(digest)
