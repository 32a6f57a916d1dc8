"""Two hosts in one machine: a server and tablets in network namespaces, with a wire between that really loses packets.

The kernel drops packets by chance (nftables) and lets only so much through (a token bucket); TCP does the rest. Needs root, `ip`,
`tc` and `nft` on Linux, and touches nothing outside its two namespaces.
"""

import asyncio
import json
import os
import random
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path

from app.live.servertime import this_machine
from app.paths import CHECKOUT
from app.rehearsal.hall import make_hall
from app.rehearsal.serving import COMMAND
from app.rehearsal.tablet import Outbox, Seat, Tablet
from app.rehearsal.wire import Wire

HERE, THERE, PORT = "10.231.7.1", "10.231.7.2", 8765
RATE, QUEUE = "400kbit", "400ms"  # of the wire, each way
PATIENCE_S = 240.0


class NoNamespaces(Exception):
    """Raised where two namespaces can't be made; its text says why."""


@dataclass(frozen=True, slots=True)
class Carried:
    """What came through. half_ms, most_ms: from a mark's making to its acknowledgement, for half of them and for 99 of 100."""

    marks: int
    lost: int
    requests: int
    broken: int
    resent: int
    half_ms: float
    most_ms: float
    seconds: float


def carry(data: Path, tablets: int, marks: int, drop_percent: int) -> Carried:
    """Lets tablets count over the bad wire. Raises NoNamespaces."""
    seats, _ = make_hall(data, tablets, this_machine())
    with bad_wire(drop_percent) as (near, far), _server(near, data):
        asked = json.dumps({"seats": [asdict(seat) for seat in seats], "marks": marks})
        command = ["ip", "netns", "exec", far, sys.executable, "-m", "tests.faults.namespaces"]
        done = subprocess.run(command, input=asked, capture_output=True, text=True, cwd=CHECKOUT, timeout=PATIENCE_S)
        if done.returncode:
            raise RuntimeError(done.stderr)
        return Carried(**json.loads(done.stdout))


@contextmanager
def bad_wire(drop_percent: int) -> Iterator[tuple[str, str]]:
    """Two namespaces with a narrow wire between them that loses so many of a hundred packets, each way."""
    if sys.platform != "linux" or os.geteuid() != 0:
        raise NoNamespaces("Only root on Linux can make network namespaces.")
    missing = [tool for tool in ("ip", "tc", "nft") if shutil.which(tool) is None]
    if missing:
        raise NoNamespaces(f"Missing: {', '.join(missing)}.")
    near, far = f"ll{os.getpid()}a", f"ll{os.getpid()}b"
    try:
        _do(f"ip netns add {near}", f"ip netns add {far}", f"ip link add w0 netns {near} type veth peer name w1 netns {far}")
        for name, device, address in ((near, "w0", HERE), (far, "w1", THERE)):
            within = f"ip netns exec {name}"
            _do(
                f"ip -n {name} addr add {address}/24 dev {device}",
                f"ip -n {name} link set {device} up",
                f"ip -n {name} link set lo up",
                f"{within} tc qdisc add dev {device} root tbf rate {RATE} burst 4kb latency {QUEUE}",
                f"{within} nft add table ip wire",
                f"{within} nft add chain ip wire in {{ type filter hook input priority 0 ; }}",
                f"{within} nft add rule ip wire in iifname {device} numgen random mod 100 < {drop_percent} drop",
            )
        yield near, far
    finally:
        for name in (near, far):
            subprocess.run(["ip", "netns", "del", name], capture_output=True)


def _do(*commands: str) -> None:
    for command in commands:
        done = subprocess.run(command.split(), capture_output=True, text=True)
        if done.returncode:
            raise NoNamespaces(f"{command}: {done.stderr.strip()}")


@contextmanager
def _server(name: str, data: Path) -> Iterator[None]:
    serve = [*COMMAND, "serve", "--data", str(data), "--host", HERE, "--port", str(PORT), "--no-https", "--no-browser"]
    server = subprocess.Popen(["ip", "netns", "exec", name, *serve], cwd=CHECKOUT, stdout=subprocess.DEVNULL)
    try:
        yield
    finally:
        server.terminate()
        server.wait(30)


def main() -> None:
    """The far side: tablets count as it says on the standard input, and what came through goes to the standard output."""
    asked = json.load(sys.stdin)
    print(json.dumps(asdict(asyncio.run(_count([Seat(**seat) for seat in asked["seats"]], asked["marks"])))))


async def _count(seats: Sequence[Seat], marks: int) -> Carried:
    begun = time.perf_counter()
    chance = random.Random(20)
    tablets = [_tablet(seat, random.Random(chance.random())) for seat in seats]
    waits = [ms for found in await asyncio.gather(*(_judge(tablet, marks) for tablet in tablets)) for ms in found]
    there = [{mark.id for mark in await tablet.there()} for tablet in tablets]
    for tablet in tablets:
        tablet.wire.cut()
    ordered = sorted(waits)
    return Carried(
        marks=sum(len(tablet.outbox.marks) for tablet in tablets),
        lost=sum(len(set(tablet.outbox.marks) - ids) for tablet, ids in zip(tablets, there, strict=True)),
        requests=sum(tablet.counted.requests for tablet in tablets),
        broken=sum(tablet.counted.broken for tablet in tablets),
        resent=sum(tablet.counted.resent for tablet in tablets),
        half_ms=ordered[len(ordered) // 2],
        most_ms=ordered[int(len(ordered) * 0.99)],
        seconds=time.perf_counter() - begun,
    )


def _tablet(seat: Seat, chance: random.Random) -> Tablet:
    return Tablet(Outbox(seat, time.time_ns() // 1000, chance), Wire(HERE, PORT, f"ll_device={seat.token}"), chance)


async def _judge(tablet: Tablet, marks: int) -> list[float]:
    """Taps twice a second or so, and sends as a tablet does; returns how long each mark waited to be safe."""
    made: dict[str, float] = {}
    waits: list[float] = []
    over = asyncio.Event()

    async def send() -> None:
        while not over.is_set() or tablet.outbox.due():
            due = tablet.outbox.due()
            if not due:
                await asyncio.sleep(0.01)
            elif await tablet.send_some():
                now = time.perf_counter()
                waits.extend((now - made[mark.id]) * 1000 for mark in due if mark.id in tablet.outbox.safe)

    sending = asyncio.create_task(send())
    wall_ms = time.time_ns() // 1_000_000
    for number in range(marks):
        mark = tablet.outbox.add("rep", 500 * number, wall_ms + number)
        made[mark.id] = time.perf_counter()
        await asyncio.sleep(random.uniform(0.2, 0.6))
    over.set()
    await sending
    await tablet.send_all()
    return waits


if __name__ == "__main__":
    main()
