"""From a finger's landing to the painted count: the lane screen in mid-heat against a bare page that only paints.

Both at a quarter of the machine's speed, in one tab of one browser, in turns, so that whatever else the machine does hits both.
The lane screen does all its work meanwhile: the mark's strict write, sending it, the answer, the clock at each frame.
"""

import http.server
import random
import tempfile
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from playwright.sync_api import CDPSession, Page

from app.live.servertime import this_machine
from tests.bench.browser import COUNT, TARGET, Finger, chromium, tablet_context
from tests.bench.figures import Figure, Goal, percentile
from tests.bench.hall import heat_under_way, lanes_roster
from tests.bench.servers import served

SLOWDOWN = 4
BLOCKS = 14  # turns of each page
TAPS = 25  # counted in each turn
WARM_TAPS = 5  # before them, while scripts are compiled and layers made
TAP_EVERY_MS = (110, 230)  # four to nine a second, faster than any rope
SETTLE_MS = {"lane": 4000, "bare": 400}  # the first pings of the clock and the service worker's work are over by then
HEAT_S = 1200  # every window is that long, so that the bench stays in the first
GOAL = Goal("at most", 1.3)

# One measure for both: from the touch as the browser saw it to the first frame after which the number is one higher.
MEASURE = """([target, count]) => {
  const shown = () => Number(document.querySelector(count).textContent);
  window.taps = [];
  let wanted = shown();
  addEventListener("pointerdown", (event) => {
    if (!event.target.closest(target)) return;
    const mine = (wanted += 1);
    const painted = new MessageChannel();
    const atFrame = () => requestAnimationFrame(() => painted.port2.postMessage(null));
    painted.port1.onmessage = () => {
      if (shown() < mine) return atFrame();
      window.taps.push(performance.now() - event.timeStamp);
      painted.port1.close();
    };
    atFrame();
  }, { capture: true });
}"""


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Measures both pages in turns."""
    with tempfile.TemporaryDirectory() as folder:
        tablets = heat_under_way(Path(folder), lanes_roster(4, HEAT_S), this_machine(), since_go_s=60)
        with served(Path(folder)) as server, _bare_page() as bare, chromium() as browser:
            context = tablet_context(browser, server.url, tablets[0])
            page = context.new_page()
            cdp = context.new_cdp_session(page)
            pages = {"lane": f"{server.url}/lane", "bare": bare}
            times = _in_turns(page, cdp, pages, tell)
    return _figures(times)


def _in_turns(page: Page, cdp: CDPSession, pages: dict[str, str], tell: Callable[[str], None]) -> dict[str, list[float]]:
    chance = random.Random(7)
    times: dict[str, list[float]] = {name: [] for name in pages}
    for block in range(BLOCKS):
        tell(f"touch: turn {block + 1} of {BLOCKS}")
        order = list(pages) if block % 2 else list(reversed(pages))
        for name in order:
            times[name] += _block(page, cdp, pages[name], SETTLE_MS[name], chance)
    return times


def _block(page: Page, cdp: CDPSession, url: str, settle_ms: int, chance: random.Random) -> list[float]:
    page.goto(url)
    page.locator(TARGET).wait_for()
    page.wait_for_timeout(settle_ms)
    cdp.send("Emulation.setCPUThrottlingRate", {"rate": SLOWDOWN})
    page.evaluate(MEASURE, [TARGET, COUNT])
    finger = Finger(page, cdp, chance)
    finger.find()
    for _ in range(WARM_TAPS + TAPS):
        finger.tap(*TAP_EVERY_MS)
    page.wait_for_function(f"window.taps.length >= {WARM_TAPS + TAPS}")
    taps: list[float] = page.evaluate("window.taps")
    cdp.send("Emulation.setCPUThrottlingRate", {"rate": 1})
    return taps[WARM_TAPS:]


@contextmanager
def _bare_page() -> Iterator[str]:
    """The bare page's address, served by a thread that has nothing to do while it is touched."""
    body = (Path(__file__).with_name("beside") / "bare.html").read_bytes()

    class Handler(http.server.BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(200)
            self.send_header("content-type", "text/html")
            self.send_header("content-length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, format: str, *args: Any) -> None:
            """The table alone is printed."""

    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield f"http://localhost:{server.server_address[1]}/"
    finally:
        server.shutdown()
        server.server_close()


def _figures(times: dict[str, list[float]]) -> list[Figure]:
    p50 = {name: percentile(taken, 50) for name, taken in times.items()}
    p99 = {name: percentile(taken, 99) for name, taken in times.items()}
    taps = len(times["lane"])
    return [
        Figure(
            "touch.lane.p50", f"touch to painted count on the lane screen, {SLOWDOWN}x slowdown, p50 of {taps}", p50["lane"], "ms"
        ),
        Figure("touch.lane.p99", "… p99", p99["lane"], "ms"),
        Figure("touch.bare.p50", "the same on a page that only paints, p50", p50["bare"], "ms"),
        Figure("touch.bare.p99", "… p99", p99["bare"], "ms"),
        Figure("touch.p99_ratio", "lane screen's p99 against the bare page's", p99["lane"] / p99["bare"], "", GOAL),
    ]
