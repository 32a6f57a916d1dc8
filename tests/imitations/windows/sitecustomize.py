"""Takes away from the app what Windows lacks. Python reads this file at its start where this folder stands on its path.

The modules of the app see Windows' names (`sys.platform`, `os.name`) and none of what it has not; libraries see the system that
there is. What is imitated is what the app may reach for, not how Windows behaves: a file that is open can be removed here.
"""

import builtins
import io
import os
import signal
import socket
import sys
import time
import types
from typing import Any

LACKED_BY_ALL = ("uvloop",)
LACKED = ("fcntl", "resource", "termios", "pwd", "grp")
REAL_IMPORT, REAL_OPEN = builtins.__import__, io.open


def without(real: types.ModuleType, *names: str, **instead: Any) -> types.ModuleType:
    """A module that lacks some names and has others instead."""
    seen = types.ModuleType(real.__name__)
    seen.__dict__.update({name: value for name, value in vars(real).items() if name not in names} | instead)
    return seen


class Drives:
    """What is asked of Windows itself: it keeps the laptop awake, and has no drives to offer."""

    @staticmethod
    def SetThreadExecutionState(_wish: int) -> int:
        return 1

    @staticmethod
    def GetLogicalDrives() -> int:
        return 0


def locking(descriptor: int, _mode: int, _bytes: int) -> None:
    """Windows' lock on a file, by ours."""
    import fcntl

    fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)


sys.modules.update(dict.fromkeys(LACKED_BY_ALL))  # type: ignore[arg-type]
socket.SO_EXCLUSIVEADDRUSE = socket.SO_REUSEADDR  # type: ignore[attr-defined]
CLOCKS = [name for name in vars(time) if name.startswith(("CLOCK_", "clock_"))]
SEEN = {
    "os": without(
        os,
        "fork",
        "nice",
        "sysconf",
        "posix_fadvise",
        "set_blocking",
        "statvfs",
        "getuid",
        "geteuid",
        "sched_getaffinity",
        name="nt",
    ),
    "time": without(time, *CLOCKS),
    "signal": without(signal, "SIGKILL", "SIGHUP", "SIGUSR1", "SIGUSR2", "SIGCHLD", "SIGALRM"),
    "msvcrt": without(types.ModuleType("msvcrt"), locking=locking, LK_NBLCK=2),
}


class Sys(types.ModuleType):
    """`sys`, but for the name of the system; what others put into it is seen."""

    platform = "win32"

    def __getattr__(self, name: str) -> Any:
        return getattr(sys, name)


SEEN["sys"] = Sys("sys")


def imported(name: str, globals: Any = None, locals: Any = None, fromlist: Any = (), level: int = 0) -> Any:
    """What an import brings: to the app, what Windows has."""
    asks = (globals or {}).get("__name__") or ""
    if level or not (asks == "app" or asks.startswith("app.") or asks == "__main__"):
        return REAL_IMPORT(name, globals, locals, fromlist, level)
    if name in LACKED:
        raise ModuleNotFoundError(f"No module named {name!r}", name=name)
    if name == "ctypes":
        library = types.SimpleNamespace(kernel32=types.SimpleNamespace(**vars(Drives)))
        return without(REAL_IMPORT("ctypes"), "CDLL", windll=library)
    return SEEN[name] if name in SEEN else REAL_IMPORT(name, globals, locals, fromlist, level)


def opened(file: Any, *how: Any, **more: Any) -> Any:
    """Files, but none of those in which Linux tells of itself."""
    if str(file).startswith(("/proc/", "/sys/")):
        raise FileNotFoundError(2, "No such file or directory", file)
    return REAL_OPEN(file, *how, **more)


builtins.__import__ = imported
io.open = builtins.open = opened  # type: ignore[assignment]
