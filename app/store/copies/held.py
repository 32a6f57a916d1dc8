"""Files that somebody else holds for a moment: a virus scanner, a sync, an indexer look into whatever was just written.

Where they do, Windows refuses to replace or remove the file until they let go.
"""

import errno
import shutil
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

TRY_S, AGAIN_S = 3.0, 0.1


def replace(part: Path, file: Path) -> None:
    """Puts a finished file in its place, a moment later if somebody holds one of the two. Raises OSError."""
    _patiently(lambda: part.replace(file))


def remove(file: Path) -> None:
    """Removes a file if it is there, a moment later if somebody holds it. Raises OSError."""
    _patiently(lambda: file.unlink(missing_ok=True))


def remove_folder(folder: Path, try_s: float = TRY_S) -> None:
    """Removes a folder with all that is in it, a moment later if somebody holds something there. Raises OSError."""
    _patiently(lambda: shutil.rmtree(folder), try_s)


def is_removed(file: Path) -> bool:
    """Removes a file if nobody holds it; whether it is gone. It is not waited for: whoever asks comes again."""
    try:
        file.unlink(missing_ok=True)
    except OSError:
        return False
    return True


@contextmanager
def gone_after(file: Path) -> Iterator[None]:
    """A file that is made for a moment: gone before, and afterwards."""
    remove(file)
    try:
        yield
    finally:
        with suppress(OSError):  # somebody holds it; it is removed before the next one is made
            remove(file)


@contextmanager
def gone_after_error(file: Path) -> Iterator[None]:
    """A file that is made to stay: gone before, and after an error."""
    remove(file)
    try:
        yield
    except BaseException:
        with suppress(OSError):
            remove(file)
        raise


def _patiently(act: Callable[[], object], try_s: float = TRY_S) -> None:
    until = time.monotonic() + try_s
    while True:
        try:
            act()
            return
        except OSError as wrong:
            held = isinstance(wrong, PermissionError) or wrong.errno == errno.ENOTEMPTY  # what was removed is there until let go
            if not held or time.monotonic() > until:
                raise
        time.sleep(AGAIN_S)
