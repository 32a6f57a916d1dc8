"""The proofs of tests/faults at full length: kills, power cuts, dead browsers, a bad link, a backup beside running writes."""

import asyncio
import statistics
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from app.live.servertime import this_machine
from app.rehearsal.hall import roster_of, run_now
from app.rehearsal.rehearse import rehearse
from app.store.copies.backup import make_backup
from app.store.copies.restoring import restore
from app.store.database import Database
from app.store.ledger import Ledger
from app.store.markrows import insert_new
from app.store.roster import put_everything
from tests.bench.figures import Figure, Goal, percentile
from tests.faults import image, power
from tests.faults.image import NoLoop
from tests.faults.namespaces import NoNamespaces, carry
from tests.faults.storm import storm
from tests.postgres import MISSING, find_programs, make_cluster
from tests.store.making import a_mark

NONE = Goal("at most", 0)
SOME = Goal("at least", 1)
QUICK = Goal("at most", 50)
Tell = Callable[[str], None]


@contextmanager
def _folder() -> Iterator[Path]:
    with tempfile.TemporaryDirectory(prefix="lane-ledger-bench-") as name:
        yield Path(name)


def run(tell: Tell) -> list[Figure]:
    """All of them; those that this machine can't do are left out with a word."""
    figures: list[Figure] = []
    for part in (_storm, _storm_on_server, _liars, _power, _image, _backup, _wire, _browser, _rehearsal):
        figures += part(tell)
    return figures


def _storm(tell: Tell) -> list[Figure]:
    tell("faults: 40 tablets, 50,000 marks, 200 kills")
    with _folder() as folder:
        found = storm("whole", folder, tablets=40, marks=50_000, kills=200)
    return [
        Figure("faults.storm.acknowledged", "marks acknowledged under 200 kills of the server", found.acknowledged, ""),
        Figure("faults.storm.lost", "… of them lost", found.lost, "", NONE),
        Figure("faults.storm.doubled", "… stored twice", found.doubled, "", NONE),
        Figure("faults.storm.unequal", "… tablets whose tally differs from the server's", found.unequal, "", NONE),
        Figure("faults.storm.resent", "… marks sent again", found.resent, ""),
        Figure("faults.storm.seconds", "… took", found.seconds, "s"),
        Figure("faults.storm.back", "… server back after a kill, p50", statistics.median(found.back_s) * 1000, "ms"),
        Figure("faults.storm.back_worst", "… at worst", max(found.back_s) * 1000, "ms"),
    ]


def _storm_on_server(tell: Tell) -> list[Figure]:
    programs = find_programs()
    if programs is None:
        tell(f"faults: the storm on PostgreSQL left out. {MISSING}")
        return []
    tell("faults: 20 tablets, 5,000 marks, 25 kills, on PostgreSQL")
    with _folder() as folder:
        cluster = make_cluster(programs, fsync=True)
        found = storm("whole", folder, tablets=20, marks=5_000, kills=25, url=cluster.ready_store())
        cluster.stop()
    return [
        Figure("faults.server.acknowledged", "the same on PostgreSQL: marks acknowledged", found.acknowledged, ""),
        Figure("faults.server.lost", "… of them lost", found.lost, "", NONE),
        Figure("faults.server.doubled", "… stored twice", found.doubled, "", NONE),
        Figure("faults.server.unequal", "… tablets whose tally differs from the server's", found.unequal, "", NONE),
    ]


def _liars(tell: Tell) -> list[Figure]:
    tell("faults: the same storm over two broken servers")
    with _folder() as folder:
        early = storm("early", folder / "early", tablets=40, marks=5_000, kills=20)
        doubling = storm("doubling", folder / "doubling", tablets=40, marks=5_000, kills=20)
    return [
        Figure("faults.early.lost", "acknowledging before the commit: caught, marks lost", early.lost, "", SOME),
        Figure("faults.doubling.doubled", "no idempotent ids: caught, marks doubled", doubling.doubled, "", SOME),
    ]


def _power(tell: Tell) -> list[Figure]:
    tell("faults: 400 power cuts on a disk that forgets what was not synced")
    full, normal = power.cut_power("FULL", 400, 400), power.cut_power("NORMAL", 400, 400)
    return [
        Figure(
            "faults.power.full", f"power cuts that lose a mark or the store, of {full.made}", full.losing + full.corrupt, "", NONE
        ),
        Figure("faults.power.normal", f"… with synchronous=NORMAL, of {normal.made}", normal.losing, "", SOME),
    ]


def _image(tell: Tell) -> list[Figure]:
    tell("faults: 40 copies of the image under a mounted ext4")
    try:
        full, normal = image.cut_power("FULL", 40), image.cut_power("NORMAL", 40)
    except NoLoop as wrong:
        tell(f"faults: image copies left out. {wrong}")
        return []
    return [
        Figure(
            "faults.image.full",
            f"image copies that lose a mark or the store, of {full.made}",
            full.losing + full.corrupt,
            "",
            NONE,
        ),
        Figure("faults.image.normal", f"… with synchronous=NORMAL, of {normal.made}", normal.losing, "", SOME),
    ]


def _backup(tell: Tell) -> list[Figure]:
    tell("faults: a backup of a million marks beside running writes")
    with _folder() as folder:
        database = Database(f"sqlite:///{folder / 'lane-ledger.sqlite3'}")
        _fill(database)
        ledger = Ledger(database)
        quiet = _waits(ledger, lambda: time.sleep(2), 1_000_001)
        made = []
        busy = _waits(ledger, lambda: made.append(make_backup(database, folder / "stick", datetime.now(UTC))), 2_000_001)
        database.close()
        begun = time.perf_counter()
        restore(made[0].file, folder / "other" / "lane-ledger.sqlite3", datetime.now(UTC))
        restored = time.perf_counter() - begun
    return [
        Figure("faults.backup.quiet", "worst write without a backup", max(quiet) * 1000, "ms"),
        Figure(
            "faults.backup.worst", "worst write while a million marks are backed up", max(busy) * 1000, "ms", Goal("at most", 50)
        ),
        Figure("faults.backup.p99", "… p99", percentile(busy, 99) * 1000, "ms"),
        Figure("faults.backup.seconds", f"… {made[0].contents.size / 1e6:.0f} MB made and read back", made[0].seconds, "s"),
        Figure("faults.restore.seconds", "… checked and restored", restored, "s"),
    ]


def _fill(database: Database) -> None:
    database.write(lambda session: put_everything(session, roster_of(40), (run_now(this_machine()),), ()))
    for start in range(1, 1_000_000, 5_000):
        rows = [(a_mark(seq), 1) for seq in range(start, start + 5_000)]
        database.write(lambda session, rows=rows: insert_new(session.connection(), rows))  # type: ignore[misc]


def _waits(ledger: Ledger, work: Callable[[], object], first: int) -> list[float]:
    """How long single marks waited for their commit while something else was done."""
    waits: list[float] = []
    over = threading.Event()

    async def count() -> None:
        seq = first
        while not over.is_set():
            begun = time.perf_counter()
            await ledger.append([a_mark(seq)], 1)
            waits.append(time.perf_counter() - begun)
            seq += 1
            await asyncio.sleep(0.002)

    judging = threading.Thread(target=asyncio.run, args=(count(),))
    judging.start()
    try:
        work()
    finally:
        over.set()
        judging.join()
    return waits


def _wire(tell: Tell) -> list[Figure]:
    tell("faults: 20 tablets over a wire of 400 kbit/s that loses 5 of 100 packets each way")
    try:
        with _folder() as folder:
            found = carry(folder, tablets=20, marks=60, drop_percent=5)
    except NoNamespaces as wrong:
        tell(f"faults: two namespaces left out; the tests use a proxy instead. {wrong}")
        return []
    return [
        Figure("faults.wire.lost", f"lossy wire: marks lost, of {found.marks}", found.lost, "", NONE),
        Figure("faults.wire.half", "… tap to acknowledgement, p50", found.half_ms, "ms"),
        Figure("faults.wire.most", "… p99", found.most_ms, "ms"),
    ]


def _browser(tell: Tell) -> list[Figure]:
    # It needs a browser, which may be missing.
    from playwright.sync_api import sync_playwright

    from tests.faults.killed_browser import NO_SECOND_STORE, kill_browsers

    tell("faults: Chromium killed 50 times after taps, its store wiped 5 times")
    with _folder() as folder, sync_playwright() as playwright:
        found = kill_browsers(playwright.chromium, folder, kills=50, wipes=5)
    with _folder() as folder, sync_playwright() as playwright:
        spoilt = kill_browsers(playwright.chromium, folder, kills=0, wipes=2, spoilt=NO_SECOND_STORE)
    return [
        Figure(
            "faults.browser.shown", f"marks shown by a browser killed {found.kills} times, wiped {found.wipes}", found.shown, ""
        ),
        Figure("faults.browser.missing", "… not in the ledger at the end", len(found.lost), "", NONE),
        Figure("faults.browser.control", "… without a second store: caught, lives that lost marks", len(spoilt.lost), "", SOME),
        Figure("faults.browser.restored", "… lives that brought marks back from the second store", found.restored, ""),
    ]


def _rehearsal(tell: Tell) -> list[Figure]:
    tell("faults: a rehearsal of 20 lanes, two minutes")
    with _folder() as folder:
        found = rehearse(folder, lanes=20, minutes=2)
    return [
        Figure(
            "faults.rehearsal.wrong",
            f"rehearsal: promises broken, with {found.marks} marks",
            len(found.broken_promises),
            "",
            NONE,
        ),
        Figure("faults.rehearsal.ack", "… tap to desk, p99", found.ack_p99, "ms"),
        Figure("faults.rehearsal.board", "… tap to board, p99", found.board_p99, "ms", Goal("at most", 500)),
        Figure("faults.rehearsal.clock", "… clock error, p99", found.clock_p99, "ms", Goal("at most", 10)),
    ]
