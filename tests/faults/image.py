"""Power loss on a real file system: the image under a mounted ext4 is copied while its writer stands still.

What the writer did not sync is in the kernel's memory and not in the image, as it would not be on a disk. Needs root and a loop
device.
"""

import os
import select
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

from app.paths import CHECKOUT
from tests.faults.power import Cuts, read_store

MB = 48
COUNT_S = 0.15  # how long marks are counted between two cuts

WRITER = """
import asyncio, sys
from app.store import engines
engines.WRITER_ONLY = tuple(p.replace("synchronous=FULL", "synchronous=" + sys.argv[2]) for p in engines.WRITER_ONLY)
from app.store.database import Database
from app.store.ledger import Ledger
from tests.store.making import a_mark

ledger = Ledger(Database(sys.argv[1]))

async def tablet(number):
    for seq in range(1, 1_000_000):
        mark = a_mark(seq, device=f"tab_{number}")
        await ledger.append([mark], 1)
        sys.stdout.write(mark.id + "\\n")
        sys.stdout.flush()
        await asyncio.sleep(0.002)

async def hall():
    await asyncio.gather(*(tablet(n) for n in range(1, 11)))

asyncio.run(hall())
"""


class NoLoop(Exception):
    """Raised where an image can't be mounted; its text says why."""


@contextmanager
def mounted(image: Path, at: Path) -> Iterator[Path]:
    """An image as a file system. Raises NoLoop."""
    at.mkdir()
    done = subprocess.run(["mount", "-o", "loop", str(image), str(at)], capture_output=True, text=True)
    if done.returncode:
        raise NoLoop(done.stderr.strip())
    try:
        yield at
    finally:
        subprocess.run(["umount", str(at)], check=True)
        at.rmdir()


@contextmanager
def file_system(folder: Path, megabytes: int = MB, block: int = 4096) -> Iterator[tuple[Path, Path]]:
    """A small ext4 of its own, with blocks of so many bytes, and the image that it lies in. Raises NoLoop."""
    if sys.platform != "linux" or os.geteuid() != 0 or not shutil.which("mkfs.ext4"):
        raise NoLoop("Only root on Linux can mount an image.")
    image = folder / "disk.img"
    with image.open("wb") as file:
        file.truncate(megabytes * 1024 * 1024)
    subprocess.run(["mkfs.ext4", "-q", "-b", str(block), str(image)], check=True)
    with mounted(image, folder / "disk") as at:
        yield image, at


def cut_power(synchronous: str, cuts: int, until_lost: bool = False) -> Cuts:
    """Copies the image at so many moments and looks what an unlucky laptop would find; `until_lost`: no more once something is
    missing. Raises NoLoop."""
    outcome = Cuts()
    with tempfile.TemporaryDirectory() as name, ExitStack() as stack:
        folder = Path(name)
        image, at = stack.enter_context(file_system(folder))
        writer = stack.enter_context(_writer(f"sqlite:///{at / 'store.sqlite3'}", synchronous))
        told: set[str] = set()
        while len(told) < 10:  # it has begun
            told |= _told(writer, COUNT_S)
        for _ in range(cuts):
            told |= _told(writer, COUNT_S)
            writer.send_signal(signal.SIGSTOP)
            told |= _told(writer, 0.01)
            shutil.copyfile(image, folder / "cut.img")
            writer.send_signal(signal.SIGCONT)
            with mounted(folder / "cut.img", folder / "cut") as left:
                there = read_store(left / "store.sqlite3")
            outcome.made += 1
            outcome.corrupt += there is None
            outcome.lost += len(told - (there or set()))
            outcome.losing += bool(told - (there or set()))
            if until_lost and outcome.lost:
                break
    return outcome


@contextmanager
def _writer(url: str, synchronous: str) -> Iterator["subprocess.Popen[bytes]"]:
    writer = subprocess.Popen([sys.executable, "-c", WRITER, url, synchronous], cwd=CHECKOUT, stdout=subprocess.PIPE)
    try:
        yield writer
    finally:
        writer.kill()
        writer.wait()
        assert writer.stdout is not None
        writer.stdout.close()


def _told(writer: "subprocess.Popen[bytes]", seconds: float) -> set[str]:
    """The marks that the writer has said were safe, up to now. A line that is not whole yet comes with the next look."""
    assert writer.stdout is not None
    said, until = getattr(writer, "half", b""), time.monotonic() + seconds
    while (left := until - time.monotonic()) > 0 or select.select([writer.stdout], [], [], 0)[0]:
        if select.select([writer.stdout], [], [], max(0.0, left))[0]:
            piece = os.read(writer.stdout.fileno(), 65536)
            assert piece, "the writer ended"
            said += piece
    *lines, writer.half = said.split(b"\n")  # type: ignore[attr-defined]
    return {line.decode() for line in lines}
