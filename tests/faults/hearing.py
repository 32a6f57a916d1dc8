"""What tablet, desk, /health and commands say at a moment, as sentences: read where a person reads them, changing nothing."""

import html
import re
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from http.client import HTTPConnection

from playwright.sync_api import Page

Fetch = Callable[[str], str]  # a page of the desk by its address

# Every element of a lane's screen that tells of marks, clock, store or line, as far as it can be seen.
ON_A_TABLET = """() => {
  const told = '[data-role="line"], [data-role="safe"], [data-role="kept"], [data-role="ready"], [data-role="loss"], .notice';
  const seen = [...document.querySelectorAll(told)].filter((node) => node.checkVisibility());
  return { said: seen.map((node) => node.innerText.trim()).filter(Boolean), clock: window.tellersClock ?? null };
}"""
# A clock that counts down is exact at the moment at which it steps: that moment, on the wall, and how much it says is left.
WATCH_CLOCK = """() => {
  if (window.tellersWatch) return;
  window.tellersWatch = true;
  let before = null;
  const look = () => {
    const said = /^(\\d+):(\\d\\d)(?:\\.(\\d))?$/.exec(document.querySelector('[data-role="clock"]')?.textContent.trim() ?? '');
    const left = said && (Number(said[1]) * 60 + Number(said[2])) * 1000 + Number(said[3] ?? 0) * 100;
    if (before !== null && left !== null && [100, 1000].includes(before - left)) {
      window.tellersClock = { left, wall: performance.timeOrigin + performance.now() };
    }
    before = left;
    requestAnimationFrame(look);
  };
  look();
}"""
# A coach's phone: of itself, of each lifter in its list, and of the one that is turned to; whose it is before what is said.
ON_A_COACH = """() => {
  const text = (node) => (node?.checkVisibility() ? node.innerText.trim() : '');
  const all = (where) => [...document.querySelectorAll(where)];
  const of = (node, who, said) => [text(node.querySelector(who)), text(node.querySelector(said))];
  const own = all('[data-role="strip"] [data-role="line"], [data-role="kept"], [data-role="refused"], [data-role="order-age"]');
  const rows = all('[data-role="lifter"]').map((row) => of(row, '.coach-name', '[data-role="lifter-state"]'));
  const one = all('.coach-one').map((node) => of(node, '[data-role="entry"]', '[data-role="declared"]'));
  return [...own.map((node) => ['', text(node)]), ...rows, ...one].filter(([, said]) => said);
}"""
FRESH_MS = 1_500  # a clock that has not stepped for so long is not read


@dataclass(frozen=True, slots=True)
class Said:
    """One thing that was said: where, of which lane (0: of none), in which words, at which moment on the wall. shown: how many
    marks the tablet that says it counts on its strip."""

    where: str
    lane: int
    words: str
    wall_ms: float
    shown: int = 0


def now_ms() -> float:
    """The wall clock, in milliseconds."""
    return time.time() * 1000


def watch_clock(page: Page) -> None:
    """From here on a tablet's clock is looked at as it steps."""
    page.evaluate(WATCH_CLOCK)


def on_tablet(page: Page, lane: int) -> Iterator[Said]:
    """What a lane's tablet says on its screen."""
    watch_clock(page)
    heard, now = page.evaluate(ON_A_TABLET), now_ms()
    said = [" ".join(words.split()) for words in heard["said"]]
    strip = re.compile(r"(\d+) (?:marks? at the desk|waiting on this tablet)")
    shown = sum(int(found[1]) for words in said if (found := strip.match(words)))
    for words in said:
        yield Said("tablet", lane, words, now, shown)
    clock = heard["clock"]
    if clock and now - clock["wall"] < FRESH_MS:
        yield Said("tablet", lane, f"{clock['left']} ms left", clock["wall"], shown)


def on_coach(page: Page, lanes: Mapping[str, int]) -> Iterator[Said]:
    """What a coach's phone says on its screen; lanes: of its lifters, by name."""
    heard, now = page.evaluate(ON_A_COACH), now_ms()
    for who, words in heard:
        yield Said("coach", lanes[who] if who else 0, " ".join(words.split()), now)


def lines(page: Page, where: str, selector: str) -> Iterator[Said]:
    """What an open page says of its own line to the server, if it says anything."""
    for words in page.locator(f"{selector}:visible").all_inner_texts():
        yield Said(where, 0, " ".join(words.split()), now_ms())


def fetched(port: int, path: str, token: str = "") -> tuple[int, str]:
    """What a server answers: its status and its page."""
    line = HTTPConnection("localhost", port, timeout=10)
    line.request("GET", path, headers={"Cookie": f"ll_desk={token}"} if token else {})
    answer = line.getresponse()
    said = answer.status, answer.read().decode()
    line.close()
    return said


def at_desk(fetch: Fetch) -> Iterator[Said]:
    """What the desk's pages say of the hall: the floor, the tablets, the backups."""
    yield from on_floor(fetch("/desk"))
    yield from of_tablets(fetch("/desk/tablets"))
    found = re.search(r'id="backup-state">([^<]+)<', fetch("/desk/backups"), re.S)
    assert found, "the page of backups has changed"
    yield Said("backups", 0, plain(found[1]), now_ms())


def on_floor(page: str) -> Iterator[Said]:
    """The desk's first page: the heat, each lane's tablet, and what needs a person."""
    now = now_ms()
    heat = re.search(r'id="heat-title".*?<span class="state"[^>]*>(.*?)</span>', page, re.S)
    assert heat, "the desk's page has changed"
    yield Said("desk", 0, f"heat {plain(heat[1])}", now)
    rows = re.findall(r'<tr id="lane-(\d+)">.*?<td class="lane-tablet">(.*?)</td>', page, re.S)
    assert rows, "the desk's page has changed"
    for lane, cell in rows:
        yield Said("desk", int(lane), plain(cell), now)
    needs = re.findall(r'<li class="need".*?<strong>(.*?)</strong></p>\s*<p>(.*?)</p>', page, re.S)
    nothing = re.search(r'<p class="state" data-state="safe">(.*?)</p>', page)
    assert bool(needs) != bool(nothing), "the desk's page has changed"
    if nothing:
        yield Said("desk", 0, plain(nothing[1]), now)
    for where, sentence in needs:
        for lane in lanes_in(plain(where)) or (0,):
            yield Said("desk", lane, plain(re.sub(r"<a .*?</a>", "", sentence, flags=re.S)), now)


def lanes_in(where: str) -> tuple[int, ...]:
    """The lanes that a place names: `Turn about, heat 1, lanes 1 to 3, 7`."""
    named = re.search(r"lanes? ([\d, to]+)$", where)
    if not named:
        return ()
    ends = [part.split(" to ") for part in named[1].split(", ")]
    return tuple(lane for first, *last in ends for lane in range(int(first), int(last[0] if last else first) + 1))


def of_tablets(page: str) -> Iterator[Said]:
    """The desk's page of tablets: how each is reached and what it holds."""
    now = now_ms()
    for section in re.findall(r'<section class="lane-tablets".*?</section>', page, re.S):
        lane = re.search(r'aria-labelledby="lane-(\d+)"', section)
        assert lane, "the page of tablets has changed"
        for words in re.findall(r'<li class="device".*?<span class="state"[^>]*>(.*?)</span>', section, re.S):
            yield Said("tablets", int(lane[1]), plain(words), now)


def health(port: int) -> Iterator[Said]:
    """What /health says; nothing where nobody answers."""
    try:
        status, told = fetched(port, "/health")
    except OSError:
        return
    for name, value in sorted(re.findall(r'"(\w+)":(true|false)', told)):
        yield Said("health", 0, f"{name}: {value}", now_ms())
    yield Said("health", 0, str(status), now_ms())


def plain(markup: str) -> str:
    """The words of a piece of a page."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", markup)).split())
