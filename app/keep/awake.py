"""The laptop kept from falling asleep while a heat is planned or on the floor, or a tablet is paired.

Each system is asked in its own way, and believed only when it has said yes. Whatever holds it lets go by itself when this process
ends, however it ends. A closed lid, an empty battery and a person who presses the button stay stronger.
"""

import asyncio
import ctypes
import os
import shutil
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from typing import Protocol

from app.hall.hall import Hall
from app.hall.heats import newest_runs, state_of
from app.rules.records.moves import HeatState
from app.rules.records.seats import PLACED_ROLES
from app.store.devices import welcome_devices
from app.store.writer import StoreTrouble

FIRST_LOOK_S, LOOK_S = 2.0, 15.0
ANSWER_S = 5.0  # how long a system may take to say yes
SETTLED_S = 0.3  # caffeinate says nothing: it holds if it has not ended by then
# winbase.h: until told otherwise, for the system and for its display, whose going dark is the sleep of newer laptops.
UNTIL_TOLD, SYSTEM, DISPLAY = 0x80000000, 0x00000001, 0x00000002
WHY = "A competition is being judged"
HELD = b"held\n"


class Holder(Protocol):
    """What keeps one kind of system awake. All of it is called in one thread, and may take a moment.

    by: its name in words. lid: whether it holds against a closed lid too, known once it holds.
    """

    by: str
    lid: bool

    def take(self) -> bool:
        """Asks the system to stay awake; whether it does."""

    def holds(self) -> bool:
        """Whether it still does."""

    def let_go(self) -> None:
        """Lets it sleep again when it likes."""


class Windows:
    """Asks for it in this very thread, which has to live as long as it is to hold."""

    by, lid = "Windows", False

    def __init__(self, ask: Callable[[int], int] | None = None) -> None:
        self._ask = ask or _execution_state
        self._held = False

    def take(self) -> bool:
        """True if Windows answers with the state before, which is never 0."""
        self._held = self._ask(UNTIL_TOLD | SYSTEM | DISPLAY) != 0
        return self._held

    def holds(self) -> bool:
        """What was granted stays so while this thread lives."""
        return self._held

    def let_go(self) -> None:
        """Takes the wish back."""
        self._held = False
        self._ask(UNTIL_TOLD)


class Beside:
    """Asks by a program that holds it as long as it runs."""

    by, lid = "", False

    def __init__(self) -> None:
        self._running: subprocess.Popen[bytes] | None = None

    def take(self) -> bool:
        """Starts the program."""
        raise NotImplementedError

    def holds(self) -> bool:
        """Whether the program runs."""
        return self._running is not None and self._running.poll() is None

    def let_go(self) -> None:
        """Ends it."""
        running, self._running = self._running, None
        if running is None:
            return
        for pipe in (running.stdin, running.stdout):
            if pipe is not None:
                pipe.close()
        with suppress(OSError):
            running.terminate()
        running.wait()


class Mac(Beside):
    """`caffeinate`, which every macOS has; it ends with our process."""

    by = "macOS"

    def take(self) -> bool:
        """Starts it, and sees whether it stays."""
        try:
            self._running = subprocess.Popen(
                ["caffeinate", "-i", "-w", str(os.getpid())], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
            )
        except OSError:
            return False
        time.sleep(SETTLED_S)
        return self.holds()


class Linux(Beside):
    """`systemd-inhibit`, where there is one. The word that comes back is written below its lock, so it proves the lock; its input
    ends with our process."""

    by = "systemd"

    def take(self) -> bool:
        """Asks for as much as the system allows this person."""
        return self._asked("idle:sleep:handle-lid-switch", lid=True) or self._asked("idle:sleep", lid=False)

    def _asked(self, what: str, lid: bool) -> bool:
        if shutil.which("systemd-inhibit") is None:
            return False
        self.lid = lid
        asked = ["systemd-inhibit", f"--what={what}", "--who=Lane Ledger", f"--why={WHY}", "--mode=block"]
        self._running = running = subprocess.Popen(
            [*asked, "sh", "-c", f"echo {HELD.decode().strip()}; exec cat >/dev/null"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        too_long = threading.Timer(ANSWER_S, running.kill)
        too_long.start()
        assert running.stdout is not None
        held = running.stdout.readline() == HELD
        too_long.cancel()
        if not held:
            self.let_go()
        return held


def holder_of(platform: str) -> Holder:
    """What keeps this kind of system awake."""
    return Windows() if platform == "win32" else Mac() if platform == "darwin" else Linux()


async def keep_awake(hall: Hall, holder: Holder | None = None, first_s: float = FIRST_LOOK_S, each_s: float = LOOK_S) -> None:
    """Looks every few seconds whether the laptop is to stay awake, and sees to it; until cancelled, and then lets go."""
    keeper = holder or holder_of(sys.platform)
    thread = ThreadPoolExecutor(1, thread_name_prefix="awake")  # one thread: Windows ties the wish to the one that asks
    pause = first_s
    try:
        while True:
            await asyncio.sleep(pause)
            pause = each_s
            with suppress(StoreTrouble):  # told elsewhere; it stays as it is meanwhile
                await _look(hall, keeper, thread)
    finally:
        thread.submit(keeper.let_go)
        thread.shutdown(wait=False)


async def _look(hall: Hall, keeper: Holder, thread: ThreadPoolExecutor) -> None:
    state, loop = hall.awake, asyncio.get_running_loop()
    before = (state.wanted, state.by, state.lid)
    wanted = await is_wanted(hall)
    held = await loop.run_in_executor(thread, keeper.holds)
    if wanted and not held:
        held = await loop.run_in_executor(thread, keeper.take)
    elif held and not wanted:
        await loop.run_in_executor(thread, keeper.let_go)
        held = False
    state.wanted, state.by, state.lid = wanted, keeper.by if held else "", held and keeper.lid
    if before != (state.wanted, state.by, state.lid):
        hall.hub.publish("desk", {"type": "awake"})


async def is_wanted(hall: Hall) -> bool:
    """Whether a heat is planned or on the floor, or a tablet is paired. A demo's day is nobody's."""
    roster = hall.projection.roster
    if hall.settings.demo or roster is None:
        return False
    runs = newest_runs(hall.projection.runs)
    if any(state_of(hall, roster, heat, runs.get(heat.id)) is not HeatState.OVER for heat in roster.heats):
        return True
    return any(device.role in PLACED_ROLES for device in await hall.database.aread(welcome_devices))


def _execution_state(wish: int) -> int:
    """SetThreadExecutionState: the state before, 0 where it was refused."""
    ask = getattr(ctypes, "windll").kernel32.SetThreadExecutionState  # noqa: B009  other systems' types know no windll
    ask.argtypes, ask.restype = [ctypes.c_uint], ctypes.c_uint
    return int(ask(wish))
