"""The real server whose clocks run faster: `python -m tests.bench.fast SPEED BACKUPS ARGUMENTS…`, those of the command line.

Heat clocks, GO, holds, ids and the wall clock all read this time, so that a day can be lived through in minutes. What waits in
real seconds (the pace of the board, a tablet's pings) waits as long as it does in a hall.
"""

import os
import sys
import time

from app import cli
from app.live import servertime
from app.live.servertime import ServerTime

BACKUP_MINUTES = 5  # of its own time


def faster(speed: int) -> ServerTime:
    """This machine's time, from now on so many times as fast."""
    begun, wall = time.monotonic_ns(), time.time_ns()

    def passed() -> int:
        return (time.monotonic_ns() - begun) * speed

    return ServerTime(
        boot="faster",
        server_ms=lambda: (begun + passed()) // 1_000_000,
        wall_ms=lambda: (wall + passed()) // 1_000_000,
        exact_ms=lambda: (begun + passed()) / 1e6,
    )


def main() -> int:
    """Serves."""
    speed = int(sys.argv[1])
    os.environ |= {"LANE_LEDGER_BACKUPS": sys.argv[2], "LANE_LEDGER_BACKUP_MINUTES": str(BACKUP_MINUTES / speed)}
    servertime.this_machine = lambda: faster(speed)  # serving.py asks for it when it starts
    return cli.main(sys.argv[3:])


if __name__ == "__main__":
    sys.exit(main())
