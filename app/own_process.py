"""A process of our own beside the server: how a module of ours begins as one, and how it ends so that nothing of it is left."""

import asyncio
import os
import subprocess
import sys
from asyncio.subprocess import DEVNULL, PIPE, Process

from app.paths import CHECKOUT

LONGEST_LINE = 64 * 1024  # bytes, where nobody says otherwise


async def begin(module: str, longest_line: int = LONGEST_LINE) -> Process:
    """Runs a module of ours (a dotted name) as a process with a line to it and a line from it. Raises OSError."""
    return await asyncio.create_subprocess_exec(
        *_command(module), stdin=PIPE, stdout=PIPE, stderr=DEVNULL, limit=longest_line, env=_surroundings()
    )


def begin_plainly(module: str) -> subprocess.Popen[bytes]:
    """The same for one that outlasts what began it, and is waited for in a thread. Raises OSError."""
    return subprocess.Popen(_command(module), stdin=PIPE, stdout=PIPE, stderr=DEVNULL, env=_surroundings())


def _command(module: str) -> tuple[str, ...]:
    return (sys.executable, "-m", module)


def _surroundings() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": os.pathsep.join([str(CHECKOUT), *filter(None, [os.environ.get("PYTHONPATH")])])}


async def end(process: Process) -> None:
    """Ends it, to the end of what it said, so that both lines to it are closed. Whoever is told to stop meanwhile stops after."""
    if process.returncode is None:
        process.kill()
    ended = asyncio.ensure_future(process.communicate())
    try:
        await asyncio.shield(ended)
    except asyncio.CancelledError:  # a server that closes: what was killed ends at once
        await ended
        raise
