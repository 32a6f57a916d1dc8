"""What it weighs: the lane screen on the network, the idle server in memory, and its start in time."""

import json
import os
import re
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from app.__main__ import is_current
from app.live.servertime import this_machine
from app.rehearsal.serving import free_port
from app.rehearsal.tablet import Seat
from tests.bench.browser import TARGET, chromium, tablet_context
from tests.bench.figures import Figure, Goal
from tests.bench.hall import heat_under_way, lanes_roster, slate_day_judged
from tests.bench.servers import Serving, get, serve_command, served, serving

STARTS = 5
IDLE_S = 3.0
LATE_MS = 3000  # what a page still asks for after it is drawn has come by then
LANE_KB = Goal("at most", 150)
IDLE_MB = Goal("at most", 100)
START_S = Goal("at most", 1.2)


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Measures all of it."""
    tell("weight: the lane screen")
    figures = _lane()
    tell("weight: the idle server")
    figures += _memory()
    return figures + _starts(tell)


def _lane() -> list[Figure]:
    with tempfile.TemporaryDirectory() as folder:
        tablets = heat_under_way(Path(folder), lanes_roster(4), this_machine(), since_go_s=5)
        with served(Path(folder)) as server:
            loaded = _loaded(server, tablets[0])
            kept = sum(_packed(server.port, path) for path in _kept_paths(server.port))
    return [
        Figure("weight.lane_kb", "lane screen, all it loads, as transferred", sum(loaded) / 1000, "kB", LANE_KB),
        Figure("weight.lane_requests", "… in requests", len(loaded)),
        Figure("weight.kept_kb", "kept for work without network, call screen included", kept / 1000, "kB"),
    ]


def _loaded(server: Serving, tablet: Seat) -> list[int]:
    """The bytes of each answer, headers included, as they came over the wire to a new browser."""
    loaded: list[int] = []
    # Without the service worker: what it fetches in the background is counted by itself.
    with chromium() as browser:
        context = tablet_context(browser, server.url, tablet, service_workers=False)
        page = context.new_page()
        network = context.new_cdp_session(page)
        network.on("Network.loadingFinished", lambda event: loaded.append(int(event["encodedDataLength"])))
        network.send("Network.enable")
        page.goto(f"{server.url}/lane")
        page.locator(TARGET).wait_for()
        page.wait_for_timeout(LATE_MS)
    return loaded


def _kept_paths(port: int) -> list[str]:
    script = get(port, "/sw.js")[1].decode()
    found = re.search(r"const ASSETS = [^(]*\((\{[^{}]+\})\)", script)
    if found is None:
        raise RuntimeError("The service worker names no files.")
    hashes: dict[str, str] = json.loads(found[1])
    return list(hashes)


def _packed(port: int, path: str) -> int:
    status, body = get(port, path, {"Accept-Encoding": "gzip"})
    if status != 200:
        raise RuntimeError(f"The service worker keeps {path}, which answers {status}.")
    return len(body)


def _memory() -> list[Figure]:
    """Memory after a start with the Slate Day and a first look at its pages. Only where /proc tells it."""
    with tempfile.TemporaryDirectory() as folder:
        tablets = slate_day_judged(Path(folder), this_machine())
        with served(Path(folder)) as server:
            for path in ("/board", "/lane", "/lane/packet"):
                get(server.port, path, {"Cookie": f"ll_device={tablets[0].token}"})
            time.sleep(IDLE_S)
            status = Path(f"/proc/{server.pid}/status")
            if not status.exists():
                return []
            resident = re.search(r"VmRSS:\s+(\d+) kB", status.read_text(encoding="utf-8"))
    return (
        []
        if resident is None
        else [Figure("weight.rss_mb", "idle server, resident", int(resident[1]) * 1024 / 1e6, "MB", IDLE_MB)]
    )


def _starts(tell: Callable[[str], None]) -> list[Figure]:
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder) / "data"
        # Compiled files as a person's first start leaves them, whatever the one who measures has switched off.
        environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
        environment["PYTHONPYCACHEPREFIX"] = str(Path(folder) / "compiled")
        tell("weight: the first start")
        first = _start(data, environment)
        later = []
        for number in range(STARTS):
            tell(f"weight: later start {number + 1} of {STARTS}")
            later.append(_start(data, environment))
    return [
        Figure("start.first_s", "first start to the first answer, nothing compiled, tables made", first, "s"),
        Figure("start.later_s", f"later start to the first answer, median of {STARTS}", statistics.median(later), "s", START_S),
    ]


def _start(data: Path, environment: Mapping[str, str]) -> float:
    port = free_port()
    with serving(serve_command(data, port, _python()), port, environment) as server:
        return server.started_s


def _python() -> tuple[str, ...]:
    """As a person starts it: a Python from outside, which hands over to .venv. Where .venv is not the app's own, straight in."""
    base: Any = getattr(sys, "_base_executable", None)
    return (base, "-m", "app") if base and is_current("run") else ()
