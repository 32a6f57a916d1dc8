"""From a finger's landing on the lane screen to the painted count on the public board, both on this machine.

Other lanes count meanwhile: the board is told a few times a second however many marks come in, so a busy hall is the slow case.
"""

import http.client
import random
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, Page

from app.live.servertime import this_machine
from app.rehearsal.tablet import Seat, body_of
from tests.bench.browser import TARGET, Finger, chromium, tablet_context
from tests.bench.crowd import Hand
from tests.bench.figures import Figure, Goal, percentile
from tests.bench.hall import heat_under_way, lanes_roster
from tests.bench.servers import Serving, served

LANES = 4
TAPS = 200
TAP_EVERY_MS = (150, 400)  # a rope turned fast, or a press
OTHERS_EVERY_S = (0.3, 0.6)
HEAT_S = 1200
WALL = {"width": 1920, "height": 1080}
GOAL = Goal("at most", 250)

# Both pages tell the time by the wall, the only clock that two pages share: timeOrigin and what has passed since.
TOUCHED = """(target) => {
  window.taps = [];
  addEventListener("pointerdown", (event) => {
    if (event.target.closest(target)) window.taps.push(performance.timeOrigin + event.timeStamp);
  }, { capture: true });
}"""
SHOWN = """() => {
  window.shown = [];
  const total = () => Number(document.querySelector("#lane-asg_1 .lane-total").textContent.match(/[0-9]+/)?.[0] ?? 0);
  let last = total();
  const painted = new MessageChannel();
  painted.port1.onmessage = () => {
    if (total() === last) return;
    last = total();
    window.shown.push([last, performance.timeOrigin + performance.now()]);
  };
  new MutationObserver(() => requestAnimationFrame(() => painted.port2.postMessage(null)))
    .observe(document.querySelector("#board"), { subtree: true, childList: true, characterData: true });
}"""


def run(tell: Callable[[str], None]) -> list[Figure]:
    """Measures with the tapped lane alone at work, then with all lanes at work."""
    figures = []
    for name, words, others in (("alone", "one lane at work", False), ("busy", f"{LANES} lanes at work", True)):
        times = _measure(tell, words, others)
        figures += [
            Figure(
                f"board.{name}.p50",
                f"touch to the painted count on the board, {words}, p50 of {TAPS}",
                percentile(times, 50),
                "ms",
            ),
            Figure(f"board.{name}.p99", "… p99", percentile(times, 99), "ms", GOAL),
        ]
    return figures


def _measure(tell: Callable[[str], None], words: str, others: bool) -> list[float]:
    with tempfile.TemporaryDirectory() as folder:
        tablets = heat_under_way(Path(folder), lanes_roster(LANES, HEAT_S), this_machine(), since_go_s=60)
        with served(Path(folder)) as server, chromium() as browser, _at_work(server, tablets[1:] if others else ()):
            board = _board(browser, server)
            return _taps(browser, server, tablets[0], board, lambda n: tell(f"board, {words}: tap {n} of {TAPS}"))


def _board(browser: Browser, server: Serving) -> Page:
    page = browser.new_context(viewport=WALL).new_page()
    page.goto(f"{server.url}/board")
    page.locator("#lane-asg_1").wait_for()
    return page


def _taps(browser: Browser, server: Serving, tablet: Seat, board: Page, tell: Callable[[int], None]) -> list[float]:
    context = tablet_context(browser, server.url, tablet)
    page = context.new_page()
    page.goto(f"{server.url}/lane")
    page.locator(TARGET).wait_for()
    page.wait_for_timeout(4000)
    finger = Finger(page, context.new_cdp_session(page), random.Random(11))
    finger.find()
    page.evaluate(TOUCHED, TARGET)
    board.evaluate(SHOWN)
    for number in range(1, TAPS + 1):
        if number % 50 == 1:
            tell(number)
        finger.tap(*TAP_EVERY_MS)
    board.wait_for_function(f"window.shown.at(-1)?.[0] >= {TAPS}")
    return delays(page.evaluate("window.taps"), board.evaluate("window.shown"))


def delays(taps: Sequence[float], shown: Sequence[tuple[int, float]]) -> list[float]:
    """For each tap the time until the board showed a count that holds it: several may arrive as one."""
    return [next(at for count, at in shown if count >= number) - touched for number, touched in enumerate(taps, start=1)]


@contextmanager
def _at_work(server: Serving, tablets: Sequence[Seat]) -> Iterator[None]:
    """Other lanes' tablets, each marking in its own time."""
    over = threading.Event()
    threads = [threading.Thread(target=_work, args=(server.port, tablet, over), daemon=True) for tablet in tablets]
    for thread in threads:
        thread.start()
    try:
        yield
    finally:
        over.set()
        for thread in threads:
            thread.join()


def _work(port: int, tablet: Seat, over: threading.Event) -> None:
    chance = random.Random(tablet.device)
    line = http.client.HTTPConnection("localhost", port, timeout=10)
    begun = time.monotonic()
    headers = {"Content-Type": "application/json", "Cookie": f"ll_device={tablet.token}"}
    hand = Hand(tablet, port)
    while not over.wait(chance.uniform(*OTHERS_EVERY_S)):
        at = 60_000 + round((time.monotonic() - begun) * 1000)
        line.request("POST", "/marks", body_of([hand.outbox.add("rep", at, time.time_ns() // 1_000_000)]), headers)
        line.getresponse().read()
    line.close()
