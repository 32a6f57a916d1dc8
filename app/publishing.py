"""The results as a folder of plain pages on the command line: once, or again and again while the competition runs."""

import time
from collections.abc import Callable
from pathlib import Path

from app.files import BEHIND, FileRefused, keep_writing, look_for_store, open_database, opened, write_in_folder
from app.hall.day_list import RESULTS_TAKEN
from app.hall.doing import note_at_terminal
from app.hall.hall import Hall
from app.results.pages.copy import copy_files
from app.results.published_folder import FIRST_PAGE, NotOurs, PublishedFolder, is_new
from app.settings import Settings
from app.store.news import newest

Stamp = tuple[int, ...]


def publish_to(settings: Settings, folder: Path, initials: bool) -> str:
    """Write the results as a folder for any web space, and say so. Raises FileRefused, NotOurs, NothingThere."""
    look_for_store(settings)
    if not is_new(folder):
        raise FileRefused(f"{folder} is not an empty folder. Choose another, so that nothing is written over.")
    with opened(settings) as hall:
        files = copy_files(hall, initials=initials)
        for path in sorted(files, key=lambda one: one == FIRST_PAGE):  # last: half of it has no page to begin with
            write_in_folder(folder / path, files[path])
        note_at_terminal(hall.database, RESULTS_TAKEN, folder.name)
    return f"Written: {len(files)} files in {folder}. Open index.html there, or put the folder on any web space."


def keep_published(
    settings: Settings,
    folder: Path,
    initials: bool,
    every_s: int,
    tell: Callable[[str], None] = print,
    wait: Callable[[float], None] = time.sleep,
    behind: int = BEHIND,
) -> None:
    """Write the results into a folder and then, so often, what changed of them, until it is stopped. Raises FileRefused."""
    look_for_store(settings)
    try:
        keeper = _Keeper(settings, PublishedFolder(folder, write_in_folder), initials, every_s)
    except NotOurs as wrong:
        raise FileRefused(str(wrong)) from None
    keep_writing(keeper.write, every_s, tell, wait, behind)


class _Keeper:
    """What the folder was made of the last time, so that a turn in which nothing changed reads nothing and writes nothing."""

    def __init__(self, settings: Settings, folder: PublishedFolder, initials: bool, every_s: int) -> None:
        self._settings, self._folder, self._initials, self._every_s = settings, folder, initials, every_s
        self._stamp: Stamp | None = None
        self._made_ms: int | None = None

    def write(self) -> str:
        """Writes what changed, and says so."""
        stamp = _stamp(self._settings)
        if stamp == self._stamp:
            return ""
        with opened(self._settings) as hall:
            now = hall.time.wall_ms()
            # As of the last time first: where only the time of day would be new, nothing is.
            files = self._files(hall, self._made_ms or now)
            if self._made_ms is not None and self._folder.differs(files):
                files, self._made_ms = self._files(hall, now), now
        changed = self._folder.take(files)
        self._made_ms, self._stamp = self._made_ms or now, stamp
        return f"{len(changed)} of {len(files)} files written anew in {self._folder.folder}." if changed else ""

    def _files(self, hall: Hall, now: int) -> dict[str, bytes]:
        return copy_files(hall, initials=self._initials, now=now, every_s=self._every_s)


def _stamp(settings: Settings) -> Stamp:
    """What is another after every change of the store, and is had without reading it."""
    if settings.on_server:
        with open_database(settings) as database:
            return (database.read(newest),)
    log = settings.store_file.with_name(f"{settings.store_file.name}-wal")
    found = [file.stat() for file in (settings.store_file, log) if file.exists()]
    return tuple(number for one in found for number in (one.st_mtime_ns, one.st_size))
