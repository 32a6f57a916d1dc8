"""The real server, started again within a tenth of a second: a process that has everything imported forks one for each start.

`python -m tests.faults.forked KIND DATA PORT`; each line on its standard input starts the server anew and is answered with its
process id. KIND is `whole`, or one of two broken servers that the proofs must find out: `early` acknowledges marks before they
are committed, `doubling` gives every mark that arrives an id of its own.
"""

import asyncio
import importlib
import os
import secrets
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import uvloop  # noqa: F401  imported here once, not in every child

from app.floor import pacing
from app.live.servertime import this_machine
from app.rules.records.marks import Mark
from app.server import create_app
from app.serving import serve
from app.settings import Settings
from app.store import ledger, markrows
from app.store.ledger import Ledger
from app.store.news import tell

WRITE_BEHIND_S = 0.3  # longer than a server lives: see UP_S in storm.py


def acknowledge_early() -> None:
    """Marks are noted and answered at once; the disk follows a moment later."""
    whole = Ledger.append

    async def append(self: Ledger, marks: Sequence[Mark], received_wall_ms: int) -> tuple[Mark, ...]:
        async def later() -> None:
            await asyncio.sleep(WRITE_BEHIND_S)
            await whole(self, marks, received_wall_ms)

        task = asyncio.create_task(later())
        KEPT.add(task)
        task.add_done_callback(KEPT.discard)
        for mark in marks:
            self._holding.add(mark.device, mark.epoch, mark.seq)
        return ()

    Ledger.append = append  # type: ignore[method-assign]


KEPT: set[Any] = set()


def double() -> None:
    """Each arrival is a mark of its own: a retry is stored once more. Nothing is owed for it: a tablet that had to wait a minute
    for what this server does would send nothing more, and be out of the storm."""
    json_row, values = markrows._json_row, markrows._values
    markrows._json_row = lambda mark, wall_ms: {**json_row(mark, wall_ms), "id": secrets.token_hex(16)}  # PostgreSQL's way
    markrows._values = lambda mark, wall_ms: (secrets.token_bytes(16), *values(mark, wall_ms)[1:])
    pacing.OF_A_DOUBLE = 0
    # The ids that it would tell other processes of are in no store.
    ledger.tell = lambda within, kind, body: tell(within, kind, [])  # type: ignore[attr-defined]


KINDS: dict[str, Callable[[], None]] = {"whole": lambda: None, "early": acknowledge_early, "doubling": double}


def main(kind: str, data: str, port: str) -> None:
    """Forks servers on demand until the input ends."""
    KINDS[kind]()
    settings = Settings(data=Path(data), host="127.0.0.1", port=int(port), open_browser=False, https=False)
    create_app(settings, this_machine())  # imports what every child would: the pages too, and what speaks with the database
    if os.environ.get("DATABASE_URL"):
        importlib.import_module("psycopg")
    print("ready", flush=True)
    child = 0
    for _ in sys.stdin:
        if child:
            os.waitpid(child, 0)
        child = os.fork()
        if not child:
            devnull = os.open(os.devnull, os.O_RDWR)
            for stream in (0, 1):
                os.dup2(devnull, stream)
            serve(settings)
            os._exit(0)
        print(child, flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
