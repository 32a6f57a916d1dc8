"""The memory of the server's process: what a start makes is left alone afterwards, and what threads need once is given back."""

import ctypes
import gc
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress

M_ARENA_MAX, M_MMAP_THRESHOLD = -8, -3  # malloc.h of glibc
BIG_BYTES = 256 * 1024


@contextmanager
def started() -> Iterator[None]:
    """Around a server: its start makes much and drops little, and looking for what was dropped would be a tenth of it."""
    few_heaps()
    gc.disable()
    try:
        yield
    finally:
        gc.enable()


def settle() -> None:
    """After the start: what it has made stays, and the collector need not look through all of it again while marks wait."""
    gc.freeze()
    gc.enable()


def give_back() -> bool:
    """Gives the system back what lies free between things in use: after eight heats that was 2.3 MB of 148, in 0.5 ms. Whether
    there was any."""
    if sys.platform != "linux":
        return False
    with suppress(OSError, AttributeError):  # another library than glibc
        return bool(ctypes.CDLL(None).malloc_trim(0))
    return False


def few_heaps() -> bool:
    """Lets all threads share one heap, where glibc would give each its own: every one keeps the most that it ever held, such as a
    competition file on its way to the desk. And what is big stays out of it, however often: it is given back whole then. Says
    whether the system took it."""
    if sys.platform != "linux":
        return False
    with suppress(OSError, AttributeError):
        mallopt = ctypes.CDLL(None).mallopt
        return all((mallopt(M_ARENA_MAX, 1), mallopt(M_MMAP_THRESHOLD, BIG_BYTES)))
    return False
