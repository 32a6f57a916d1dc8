"""The program put onto a stick: itself, the packages it is built on, a starter for each system, and the newest backup.

A laptop dies in a hall without internet; another one needs a Python, and the stick. What is fetched is fetched before anything is
written to the stick, so how large it is is known then; a sign is written last, so that half of it is never taken for whole.
"""

import platform
import shutil
import tempfile
from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from app import __version__
from app.first_start.packages import CHECKOUT
from app.keep.packed import BACKUPS, FOLDER, Packed
from app.keep.wheels import ABOUT_MB, HERE_MB, PYTHONS, SYSTEMS, NotPacked, Tell, fetch, sizes
from app.paths import in_checkout
from app.rules.values.words import say
from app.settings import Settings
from app.store.copies.backup import Backup as Made
from app.store.copies.backup import Contents, back_up_file, check
from app.store.copies.carrying import back_up_server
from app.store.copies.files import copy_files, files_beside, heads_of
from app.store.copies.held import remove_folder, replace
from app.store.database import Database

PROGRAM = ("app", "templates", "static", "migrations")
FILES = ("pyproject.toml", "README.md", "DEVELOPERS.md", "LICENSE", "requirements.lock", "requirements-postgresql.lock")
STARTERS = ("start.cmd", "start.command")
WHEELS = "wheels"
FIRST_READ = "READ ME FIRST.txt"
SPARE = 20_000_000  # bytes that stay free on the stick for the next backups
HOW = """Lane Ledger, packed {moment} with {backup}.

On a computer with Python {pythons}, without internet:

1. Copy this folder to the computer's own disk, leave the stick in, and open the copy. (On the stick itself it is slow, and gone
   when somebody pulls it out.)
2. Windows: double-click start.cmd.   Mac: double-click start.command.   Linux: open a terminal there and say  sh start.command
3. It installs what it needs beside itself, which takes a minute or two, and asks what to start. Its first offer is to go on from
   the newest backup that it finds, here or on the stick.
4. Give this computer the address that the old one had. Leave the tablets' pages open: they send again what is missing.

Made for: {systems}.
Tried on Linux. On Windows and Macs it was not tried; its starters were only read through.
No administrator is needed. If there may be no Python, put its installer from python.org onto this stick too.
"""

Backup = Callable[[Path], str]  # puts the newest backup into a folder, and says in words what it is of


def pack(place: Path, systems: Sequence[str], backup: Backup, tell: Tell) -> Packed:
    """Puts everything into a folder of the place. Raises NotPacked, BackupFailed."""
    unknown = sorted(set(systems) - set(SYSTEMS))
    if unknown:
        raise NotPacked(f"{', '.join(unknown)} is not a system it can be packed for. Choose from: {', '.join(SYSTEMS)}")
    if not in_checkout():
        raise NotPacked("Only Lane Ledger in a folder of its own can be packed, not an installed package. Fetch it as a folder.")
    if not place.is_dir():
        raise NotPacked(f"There is no folder {place}. Is the stick plugged in?")
    about = HERE_MB + sum(ABOUT_MB[system] for system in set(systems))
    tell(f"About {about} MB in all, for {_made_for(systems)}; what was not fetched before comes from the internet")
    with tempfile.TemporaryDirectory(prefix="lane-ledger-pack-") as room:
        whole = Path(room) / FOLDER
        _gather(whole, systems, backup, tell)
        made = Packed(
            __version__, datetime.now(UTC).isoformat(timespec="seconds"), _this_laptop(), tuple(systems), sum(sizes(whole))
        )
        try:
            _make_room(made.size, place, tell)
            _put(whole, place / FOLDER, made)
        except OSError as wrong:
            raise NotPacked(f"{place} can't be written to: {wrong.strerror or wrong}.") from None
    return made


def pack_at_terminal(settings: Settings, place: Path, listed: str) -> str:
    """Packs for the systems in a list with commas, telling how far it is; what came of it. Raises NotPacked, BackupFailed."""
    systems = [name.strip() for name in listed.split(",") if name.strip()]
    made = pack(place, systems, made_now(settings), lambda words: print(f"{words} …", flush=True))
    return f"Packed: {place / FOLDER} ({made.size / 1e6:,.0f} MB). Try it once on the laptop that would take over."


def _gather(whole: Path, systems: Sequence[str], backup: Backup, tell: Tell) -> None:
    ours = shutil.ignore_patterns("__pycache__", "*.pyc")
    for name in PROGRAM:
        shutil.copytree(CHECKOUT / name, whole / name, ignore=ours)
    for name in (*FILES, *STARTERS):
        shutil.copy(CHECKOUT / name, whole / name)
    fetch(systems, whole / WHEELS, tell)
    moment, came = f"{datetime.now().astimezone():%d %B %Y, %H:%M}", backup(whole / BACKUPS)
    pythons = f"{', '.join(PYTHONS[:-1])} or {PYTHONS[-1]}"
    words = HOW.format(moment=moment, backup=came, systems=_made_for(systems), pythons=pythons)
    (whole / FIRST_READ).write_text(words, encoding="utf-8")


def made_now(settings: Settings) -> Backup:
    """A backup made for the occasion, from another process than the server's."""

    def make(folder: Path) -> str:
        now = datetime.now(UTC)
        if settings.on_server:
            database = Database(settings.database())
            try:
                return words_of(back_up_server(database, folder, now).contents)
            finally:
                database.close()
        if settings.store_file.is_file():
            return words_of(back_up_file(settings.store_file, folder, now).contents)
        return "no backup: there was no competition yet"

    return make


def copied_from(made: Made) -> Backup:
    """A backup that is there already, copied."""

    def copy(folder: Path) -> str:
        folder.mkdir(parents=True, exist_ok=True)
        file, ledger = folder / made.file.name, made.contents.ledger
        shutil.copyfile(made.file, file)
        copy_files(heads_of(file), files_beside(made.file, ledger).get, files_beside(file, ledger))
        return words_of(check(file))

    return copy


def words_of(contents: Contents) -> str:
    """What a backup is of."""
    return f"a backup of {contents.competition or 'a competition without a name'}, {say('marks', n=contents.marks)}"


def _make_room(size: int, place: Path, tell: Tell) -> None:
    """Says how large it is before anything is written. What was packed there before goes first only if both don't fit."""
    free, before = shutil.disk_usage(place).free, sum(sizes(place / FOLDER))
    tell(f"Together {size / 1e6:,.0f} MB; {place} has room for {(free + before) / 1e6:,.0f} MB")
    if free + before < size + SPARE:
        raise NotPacked(f"{place} is too small: {size / 1e6:,.0f} MB are needed, and some room for backups. Nothing was written.")
    if before and free < size + SPARE:
        remove_folder(place / FOLDER)


def _put(whole: Path, folder: Path, made: Packed) -> None:
    """Writes beside what is there, and puts it in its place when it is whole."""
    fresh, old = folder.with_name(f"{FOLDER}.part"), folder.with_name(f"{FOLDER}.old")
    for left in (fresh, old):
        if left.exists():
            remove_folder(left)
    shutil.copytree(whole, fresh, copy_function=shutil.copyfile)
    for starter in STARTERS:
        with suppress(OSError):  # a stick whose files have no such rights
            (fresh / starter).chmod(0o755)
    made.write(fresh)
    if folder.exists():
        replace(folder, old)
    replace(fresh, folder)
    if old.exists():
        remove_folder(old)


def _made_for(systems: Sequence[str]) -> str:
    return ", ".join(dict.fromkeys((_this_laptop(), *systems)))


def _this_laptop() -> str:
    return f"{platform.system() or 'this system'} {platform.machine()} with Python {platform.python_version()}"
