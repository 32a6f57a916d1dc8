"""One process at a time: a file that is locked for as long as somebody has what it stands for to themselves.

The system lets go of it when the process ends, however it ends.
"""

import errno
import sys
from typing import IO

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl


HELD = frozenset({errno.EAGAIN, errno.EACCES, errno.EDEADLK})  # as the systems say it


def takes(file: IO[bytes]) -> bool:
    """Takes what an open file stands for; False where somebody else has it, in another process or by another opening of it.
    Raises OSError where nobody can have it: some shares know no locks."""
    try:
        _lock(file)
    except OSError as wrong:
        if wrong.errno not in HELD:
            raise
        return False
    return True


def _lock(file: IO[bytes]) -> None:
    if sys.platform == "win32":
        msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
    else:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
