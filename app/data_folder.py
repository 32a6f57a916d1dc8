"""The data folder: made, tried out, and held for one process at a time.

A folder that a command has made goes with it where nothing comes of that; what may be somebody else's is never removed.
"""

import os
import shutil
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import IO

from app.alone import takes
from app.listening.opening import AGAIN_S
from app.settings import Settings
from app.store.copies import held

CERTIFICATES = "certificates"  # the room in it
LOCK = "lane-ledger.lock"  # who has it has the folder
DEMO_SIGN = "this-is-a-demo.txt"


class CannotStart(Exception):
    """Raised when the server can't start; its text says why and what to do."""


def unusable(place: object, wrong: OSError) -> CannotStart:
    """Of a folder, or of something in it, that the system does not let us use."""
    return CannotStart(f"{place} can't be used ({wrong.strerror or wrong}). Choose another folder: --data FOLDER")


def prepare_folder(settings: Settings) -> None:
    """Make the data folder and try writing into it; a demo's is emptied first, if it holds nothing but a demo."""
    folder = settings.data
    try:
        if settings.demo:
            _empty_demo(folder)
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        trial = folder / ".can-write"
        trial.write_bytes(b"")
        held.remove(trial)
        if settings.demo:
            (folder / DEMO_SIGN).write_text("A demo of Lane Ledger; made afresh at each start.\n", encoding="utf-8")
    except OSError as wrong:
        raise unusable(f"The folder {folder}", wrong) from None


def _empty_demo(folder: Path) -> None:
    if not folder.is_dir() or not any(folder.iterdir()):
        return
    if not (folder / DEMO_SIGN).is_file():
        raise CannotStart(f"The folder {folder} holds something other than a demo. Choose another for the demo: --data FOLDER")
    with hold_folder(folder):  # a demo that is running in it is left alone
        # A tablet that trusts the demo need not be asked at every start. What can't be removed is told when the folder is tried.
        _clear(folder, LOCK, DEMO_SIGN, CERTIFICATES)


@contextmanager
def folder_for(settings: Settings) -> Iterator[None]:
    """The data folder, for this process alone. It is made unless it is there, and one that was made here, and that only this
    process has used, is gone again where nothing came of it: a second try finds what the first one found.

    The folders above it stay, and in doubt an empty folder does: with the lock on Windows, which removes no file that is open.
    """
    folder, made = settings.data, _is_made(settings.data)
    try:
        prepare_folder(settings)
        with hold_folder(folder):
            made = made and os.listdir(folder) == [LOCK]  # else somebody has used it since, and let it go
            try:
                yield
            except BaseException:
                if made:
                    with suppress(OSError):
                        _clear(folder, LOCK)
                        (folder / LOCK).unlink()  # before it is let go: who waits for it finds it gone, and takes a new one
                raise
    except BaseException:
        if made:
            with suppress(OSError):  # it is gone already, or somebody else has come to use it
                folder.rmdir()
        raise


def _is_made(folder: Path) -> bool:
    """Makes a folder; whether it was not there. Why it can't be made is told where it is tried out."""
    try:
        folder.mkdir(mode=0o700, parents=True)
    except OSError:
        return False
    return True


def _clear(folder: Path, *but: str) -> None:
    """Removes all that is in a folder but what has one of these names, as far as it lets itself be removed."""
    for inside in folder.iterdir():
        if inside.name in but:
            continue
        if inside.is_dir():
            shutil.rmtree(inside, ignore_errors=True)
        else:
            with suppress(OSError):
                held.remove(inside)


@contextmanager
def hold_folder(folder: Path, patience_s: float = 0.0) -> Iterator[None]:
    """Keep a data folder for one process; two servers in one folder would show different standings.

    Raises CannotStart if another holds it for longer than `patience_s`, or nobody can. The system gives it back when the process
    ends, however it ends.
    """
    until, told = time.monotonic() + patience_s, False
    while True:
        with _opened_lock(folder) as lock:
            if _taken(lock, folder) and _is_there(lock, folder):
                yield
                return
        if time.monotonic() >= until:
            raise CannotStart(f"Another Lane Ledger is using the folder {folder}. Close that first.")
        if not told:
            print(f"Another Lane Ledger still uses the folder {folder}. Waiting {patience_s:.0f} s for its end.", flush=True)
            told = True
        time.sleep(AGAIN_S)


def _opened_lock(folder: Path) -> IO[bytes]:
    try:
        folder.mkdir(mode=0o700, exist_ok=True)  # whoever had made and held it may have removed it again
        return (folder / LOCK).open("ab")
    except OSError as wrong:
        raise unusable(wrong.filename, wrong) from None


def _is_there(lock: IO[bytes], folder: Path) -> bool:
    """Whether what was taken is still the folder's lock: whoever had it before may have removed it, and others take a new one."""
    if sys.platform == "win32":  # which removes no file that is open
        return True
    try:
        return os.path.samestat(os.fstat(lock.fileno()), (folder / LOCK).stat())
    except OSError:
        return False


def _taken(lock: IO[bytes], folder: Path) -> bool:
    try:
        return takes(lock)
    except OSError as wrong:
        raise unusable(f"The folder {folder}", wrong) from None
