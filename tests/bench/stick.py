"""From a stick to a served competition, without a network: a bare Python, a folder that was packed, a clock, and tablets.

In a network namespace without a route (Linux, as root): what would fetch anything there fails. The program is packed before,
which takes the internet once.
"""

import asyncio
import json
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path

from app.keep.packed import FOLDER
from app.keep.packing import made_now, pack
from app.live.servertime import this_machine
from app.rehearsal.hall import make_hall
from app.rehearsal.serving import answers
from app.rehearsal.tablet import Outbox, Seat, Tablet
from app.rehearsal.wire import Wire
from app.settings import Settings
from tests.bench.figures import Figure, Goal

LANES, MARKS = 3, 30
PORT = 8799
GOAL = Goal("at most", 120)
PATIENCE_S = 400.0
# What lends a packed program nothing: no path to packages, no settings of an installer, no address of an index.
LENDS = ("PYTHON", "PIP_", "VIRTUAL_ENV", "LANE_LEDGER", "HTTP", "http", "UV_", "DATABASE_URL")


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Packs, goes where there is no network, and starts from what was packed."""
    with tempfile.TemporaryDirectory(prefix="lane-ledger-stick-") as folder:
        room = Path(folder)
        tell("stick: packing for this laptop")
        seats, _ = make_hall(room / "old laptop", LANES, this_machine())
        (room / "stick").mkdir()
        packed = pack(room / "stick", (), made_now(Settings(data=room / "old laptop")), lambda words: tell(f"stick: {words}"))
        (room / "seats.json").write_text(json.dumps([asdict(seat) for seat in seats]), encoding="utf-8")
        tell("stick: starting from it, without a network")
        inside = ["unshare", "--net", sys.executable, "-m", "tests.bench.stick", folder]
        said = subprocess.run(inside, stdout=subprocess.PIPE, check=True, text=True).stdout
        seconds, there = json.loads(said.splitlines()[-1])
    return [
        Figure("stick.served_s", "from a stick to a served, restored competition", seconds, "s", GOAL),
        Figure("stick.refilled", "marks that its tablets sent again, of 90", there, "", Goal("at least", LANES * MARKS)),
        Figure("stick.mb", "the program on the stick, for one kind of laptop", packed.size / 1e6, "MB", None),
    ]


def inside(room: Path) -> tuple[float, int]:
    """In the namespace: seconds until the restored competition is served, and how many of the tablets' marks it then holds."""
    subprocess.run(["ip", "link", "set", "lo", "up"], check=True)
    begun = time.perf_counter()
    program = room / "new laptop"
    shutil.copytree(room / "stick" / FOLDER, program)
    bare = {name: value for name, value in os.environ.items() if not name.startswith(LENDS)}
    bare |= {"PATH": "/usr/bin:/bin", "PIP_CONFIG_FILE": os.devnull, "LANE_LEDGER_PORT": str(PORT), "HOME": str(room)}
    with subprocess.Popen(["sh", "start.command"], cwd=program, env=bare, stdin=subprocess.PIPE, stdout=sys.stderr) as server:
        assert server.stdin is not None
        server.stdin.write(b"1\n")
        server.stdin.close()
        try:
            while not answers("127.0.0.1", PORT):
                assert server.poll() is None and time.perf_counter() - begun < PATIENCE_S, "it was never served"
                time.sleep(0.1)
            seconds = time.perf_counter() - begun
            return seconds, asyncio.run(_refilled(json.loads((room / "seats.json").read_text(encoding="utf-8"))))
        finally:
            server.terminate()


async def _refilled(seats: list[dict[str, object]]) -> int:
    """Every tablet sends what it holds; how many of their marks are at the desk then."""
    there = 0
    for plain in seats:
        seat, chance = Seat(**plain), random.Random(7)  # type: ignore[arg-type]
        outbox = Outbox(seat, time.time_ns() // 1000, chance)
        for number in range(MARKS):
            outbox.add("rep", 1_000 + 700 * number, time.time_ns() // 1_000_000)
        tablet = Tablet(outbox, Wire("127.0.0.1", PORT, f"ll_device={seat.token}"), chance)
        await asyncio.wait_for(tablet.send_all(), 30)
        there += len({mark.id for mark in await tablet.there()} & outbox.marks.keys())
        tablet.wire.cut()
    return there


if __name__ == "__main__":
    print(json.dumps(inside(Path(sys.argv[1]))))
