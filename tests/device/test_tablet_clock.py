"""The tablet's clock and its line to the desk, in a real browser: what moves a running heat clock, and what must not."""

import time
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.fake_desk import FakeDesk
from tests.browser.hall_server import served
from tests.browser.people import a_hall
from tests.builders.pairs import a_file

OPEN = """async () => {
  const { Timesync } = await import('/static/js/device/timesync.js');
  const { startLink } = await import('/static/js/device/link.js');
  window.clock = new Timesync();
  window.link = startLink();
  window.said = [];
  window.link.on('hello', (m) => window.clock.hello(m.boot));
  window.link.on('pong', (m, t4) => window.clock.pong(m.t1, m.t2, m.t3, t4));
  window.link.on('run', (m) => window.said.push(m));
  window.link.report = () => ({ outbox: 0, kept: 0, screen: 'lane' });
}"""
READ = "(go) => window.clock.reading(go, 'heat_1/1')"


@pytest.fixture
def tablet(desk: FakeDesk, context: BrowserContext) -> Callable[[], Page]:
    return lambda: opened(context, desk)


def opened(context: BrowserContext, desk: FakeDesk) -> Page:
    page = context.new_page()
    page.goto(desk.address)
    page.evaluate(OPEN)
    return page


def synced(page: Page) -> None:
    page.wait_for_function("() => window.clock.synced")


def error_ms(page: Page, desk: FakeDesk, go: float) -> float:
    """How far the tablet's heat clock is from the desk's, give or take the time that asking takes."""
    before = desk.server_ms()
    reading = page.evaluate(READ, go)
    after = desk.server_ms()
    return float(max(before - go - reading["ms"], reading["ms"] - (after - go), 0.0))


def running_on(page: Page, go: float) -> Callable[[float], float]:
    """A heat clock as it is now; gives by how much a later one is off what it must have come to, but for the asking."""
    asked = time.monotonic()
    ms = page.evaluate(READ, go)["ms"]
    heard = time.monotonic()

    def off(later: float) -> float:
        now = time.monotonic()
        return float(max(ms + (now - heard) * 1000 - later, later - ms - (now - asked) * 1000, 0.0))

    return off


def test_the_heat_clock_is_the_desks_clock_within_its_own_bound(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    page = tablet()
    synced(page)
    go = desk.server_ms() + 3000
    reading = page.evaluate(READ, go)
    assert reading["clock"] == "synced"
    assert -3000 - reading["bound"] < reading["ms"] < 0
    assert error_ms(page, desk, go) <= reading["bound"]


def test_a_step_of_the_tablets_wall_clock_moves_nothing_while_the_page_lives(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    page = tablet()
    synced(page)
    go = desk.server_ms()
    for step in (-3_600_000, 3_600_000):
        page.evaluate("(step) => { const now = Date.now; Date.now = () => now.call(Date) + step; }", step)
        page.wait_for_timeout(1200)
        assert error_ms(page, desk, go) < 100


def test_the_clock_goes_on_after_a_reload_with_no_line_to_the_desk(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    page = tablet()
    synced(page)
    go = desk.server_ms()
    page.evaluate(READ, go)
    page.wait_for_timeout(1200)
    desk.takes_sockets = False
    desk.cut_sockets()
    page.reload()
    page.evaluate(OPEN)
    reading = page.evaluate(READ, go)
    assert reading["clock"] == "kept"
    assert error_ms(page, desk, go) < 100
    assert reading["bound"] >= 100, "a reload is told in the bound"
    desk.takes_sockets = True
    synced(page)
    assert page.evaluate(READ, go)["clock"] == "synced"


def test_a_server_that_was_rebooted_does_not_move_a_running_heat(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    page = tablet()
    synced(page)
    go = desk.server_ms()
    runs_on = running_on(page, go)
    desk.boot, desk.ahead_ms = "boot-2", 77.0
    desk.cut_sockets()
    page.wait_for_function("() => window.clock.boot === 'boot-2' && window.clock.synced")
    elsewhere = desk.server_ms() - 500_000  # the desk's wall clock was wrong after the reboot, so GO is mapped to a wrong instant
    reading = page.evaluate(READ, elsewhere)
    assert reading["clock"] == "kept"
    assert runs_on(reading["ms"]) < 250
    page.wait_for_timeout(1200)
    page.reload()
    page.evaluate(OPEN)
    synced(page)
    assert runs_on(page.evaluate(READ, elsewhere)["ms"]) < 250
    witness = page.evaluate("() => window.clock.witness('heat_1/1')")
    assert witness["go_of"] == "heat_1/1", "it tells the desk where GO is on the new line of time"
    assert runs_on(desk.server_ms() - witness["go_ms"]) <= witness["go_bound_ms"] < 500
    next_go = desk.server_ms()
    fresh = page.evaluate("(go) => window.clock.reading(go, 'heat_1/2')", next_go)
    assert fresh["clock"] == "synced"
    assert -250 < fresh["ms"] < desk.server_ms() - next_go + 250, "the next run follows the new line of time"
    assert page.evaluate("() => window.clock.witness('heat_1/2')") is None, "of which the desk knows as much"


def test_a_go_that_the_desk_is_not_sure_of_makes_the_bound_as_large(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    page = tablet()
    synced(page)
    unsure = page.evaluate("(go) => window.clock.reading(go, 'heat_1/1', 7000)", desk.server_ms())
    assert 7000 <= unsure["bound"] < 7100
    nobody_knows = page.evaluate("(go) => window.clock.reading(go, 'heat_1/1', 86_400_000)", desk.server_ms())
    assert nobody_knows["bound"] == 86_400_000, "and no larger than a mark can say"


def test_a_start_by_hand_runs_until_the_desks_go_is_known(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    desk.takes_sockets = False
    page = tablet()
    assert page.evaluate(READ, None) is None
    go = desk.server_ms()
    page.wait_for_timeout(300)
    page.evaluate("() => window.clock.startByHand('heat_1/1')")
    reading = page.evaluate(READ, None)
    assert reading["clock"] == "hand"
    assert 0 <= reading["ms"] < 500
    assert reading["bound"] >= 1000
    assert page.evaluate("() => window.clock.handLate('heat_1/1')") is None
    desk.takes_sockets = True
    synced(page)
    assert page.evaluate(READ, go)["clock"] == "synced"
    assert error_ms(page, desk, go) < 100
    assert 300 - 50 <= page.evaluate("() => window.clock.handLate('heat_1/1')") < 1500


# As a tablet that slept for a minute finds itself: the world went on, its own clock did not. The page may have been hidden.
SLEEP = """([ms, hidden]) => {
  const show = (state) => {
    Object.defineProperty(document, 'hidden', { value: state === 'hidden', configurable: true });
    Object.defineProperty(document, 'visibilityState', { value: state, configurable: true });
    document.dispatchEvent(new Event('visibilitychange'));
  };
  if (hidden) show('hidden');
  const now = Date.now;
  Date.now = () => now.call(Date) + ms;
  if (hidden) show('visible');
}"""
MINUTE = 60_000
ALL_CLOCKS = (
    "(ms) => { for (const clock of [Date, performance]) { const now = clock.now; clock.now = () => now.call(clock) + ms; } }"
)


def test_a_tablet_that_slept_finds_the_right_second_when_it_wakes(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    page = tablet()
    page.evaluate("() => { window.clock.ondoubt = () => window.link.burst(); }")
    synced(page)
    go = desk.server_ms()
    for hidden in (True, False):
        desk.ahead_ms += MINUTE
        page.evaluate(SLEEP, [MINUTE, hidden])
        page.wait_for_timeout(1500)  # a page in full view looks at its clocks once a second
        reading = page.evaluate(READ, go)
        assert (reading["clock"], reading["bound"] < 50) == ("synced", True)
        assert error_ms(page, desk, go) <= reading["bound"] + 20


def test_a_hidden_tablet_that_slept_without_the_desk_goes_on_by_the_wall_clock(
    desk: FakeDesk, tablet: Callable[[], Page]
) -> None:
    page = tablet()
    synced(page)
    go = desk.server_ms()
    page.evaluate(READ, go)
    desk.takes_sockets = False
    desk.cut_sockets()
    desk.ahead_ms += MINUTE
    page.evaluate(SLEEP, [MINUTE, True])
    page.wait_for_timeout(300)
    assert error_ms(page, desk, go) < 50, "a page that was hidden is believed to have slept"
    # The two clocks that the page has drift a little.
    assert page.evaluate("() => window.clock.bound") > MINUTE - 50, "and says that it may not have"
    desk.takes_sockets = True
    page.wait_for_function("() => window.clock.bound < 100", timeout=10_000)
    assert error_ms(page, desk, go) < 100


def test_a_wall_clock_set_forward_in_full_view_moves_nothing_and_is_told_in_the_bound(
    desk: FakeDesk, tablet: Callable[[], Page]
) -> None:
    page = tablet()
    synced(page)
    go = desk.server_ms()
    desk.takes_sockets = False
    desk.cut_sockets()
    page.evaluate(SLEEP, [60 * MINUTE, False])
    page.wait_for_timeout(1500)
    assert error_ms(page, desk, go) < 100
    assert page.evaluate("() => window.clock.bound") > 59 * MINUTE
    desk.takes_sockets = True
    page.wait_for_function("() => window.clock.bound < 100", timeout=10_000)
    assert error_ms(page, desk, go) < 100


def test_a_page_that_was_frozen_in_the_background_reads_the_time_anew(desk: FakeDesk, whole_browser: Browser) -> None:
    # The browser that people use: without a window no page freezes.
    context = whole_browser.new_context()
    page = opened(context, desk)
    synced(page)
    go = desk.server_ms()
    browser = context.new_cdp_session(page)
    browser.send("Page.setWebLifecycleState", {"state": "frozen"})
    desk.tells_the_time = False  # no answer comes between the minute at the desk and the page's
    time.sleep(3)
    # The rest of the minute, for all clocks while the page hears of none: a hidden page's own clock goes on.
    desk.ahead_ms += MINUTE
    page.evaluate(ALL_CLOCKS, MINUTE)
    desk.tells_the_time = True
    browser.send("Page.setWebLifecycleState", {"state": "active"})
    assert error_ms(page, desk, go) < 50
    page.wait_for_function("() => window.clock.bound < 20", timeout=10_000)
    assert error_ms(page, desk, go) < 50
    context.close()


def test_a_page_that_cant_keep_the_screen_on_says_so(whole_browser: Browser, tmp_path: Path) -> None:
    # Here, for that browser is started but once; without a window there is no screen to keep on.
    names = (("Chalk Lines", "Iron Larks"), ("Slow Burn", "Low Tide"))
    with served(tmp_path / "data", a_file(names, runs=0)) as server, a_hall(whole_browser, server.url) as hall:
        desk, judge = hall.desk(), hall.come()
        judge.page.add_init_script("delete Navigator.prototype.wakeLock")
        judge.page.goto(f"{desk.url}/pair")
        judge.page.get_by_label("The code on the desk's screen").fill(desk.code(1))
        judge.page.get_by_role("button", name="Continue").click()
        judge.page.get_by_role("button", name="Pair it").click()
        expect(judge.part("awake")).to_contain_text("This page can't keep the screen on.")
        other = hall.tablet(desk, 2)
        expect(other.part("awake")).to_be_hidden()


LIVES = """async () => {
  const { Timesync } = await import('/static/js/device/timesync.js');
  const clock = new Timesync();
  const [wall, own] = [Date.now, performance.now.bind(performance)];
  let [at, ahead] = [own(), 0];
  performance.now = () => at;
  Date.now = () => wall.call(Date) + ahead;
  const read = () => { const { ms, life } = clock.reading(1000, 'heat_1/1'); return { ms, ...life, own: at }; };
  clock.pong(at, at + 5000, at + 5000, at + 400); // the desk is 5 s ahead, give or take: the answer took 400 ms
  const first = read();
  at += 30_000;
  clock.pong(at, at + 5090, at + 5090, at + 200); // nearer
  const second = read();
  at += 30_000;
  clock.startByHand('heat_1/1');
  const third = read();
  at += 10_000;
  ahead += 60_000; // it may have slept
  const fourth = read();
  performance.now = own;
  Date.now = wall;
  return [first, second, third, fourth];
}"""


def test_what_moves_the_heat_clock_is_said_beside_it_and_where_it_may_have_stood_still(tablet: Callable[[], Page]) -> None:
    one, two, three, four = tablet().evaluate(LIVES)
    assert [read["number"] for read in (one, two, three, four)] == [1, 1, 1, 2]
    assert one["moved"] == 0 and abs(two["moved"]) > 20 and abs(three["moved"]) > 1_000, "the clock was set, and set again"
    for later in (two, three):  # without what moved it, it went on as its own clock did
        assert (later["ms"] - later["moved"]) - (one["ms"] - one["moved"]) == pytest.approx(later["own"] - one["own"], abs=0.01)


def test_another_time_zone_moves_nothing(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    page = tablet()
    synced(page)
    go = desk.server_ms()
    browser = page.context.new_cdp_session(page)
    for zone in ("Pacific/Kiritimati", "Pacific/Niue"):  # fourteen hours ahead, eleven behind
        browser.send("Emulation.setTimezoneOverride", {"timezoneId": zone})
        page.wait_for_timeout(1200)
        assert error_ms(page, desk, go) < 50
        assert page.evaluate("() => window.clock.bound") < 100


def test_the_line_comes_back_by_itself_and_brings_news(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    page = tablet()
    page.wait_for_function("() => window.link.online")
    desk.cut_sockets()
    page.wait_for_function("() => !window.link.online")
    page.wait_for_function("() => window.link.online")
    desk.tell({"type": "run", "heat": "heat_1", "number": 1, "go_server_ms": 5, "state": "set"})
    page.wait_for_function("() => window.said.length === 1")
    assert desk.reports[-1] == {"type": "report", "outbox": 0, "kept": 0, "screen": "lane"}


def test_a_tablet_sent_away_stays_away_and_says_why(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    page = tablet()
    page.wait_for_function("() => window.link.online")
    desk.tell({"type": "bye", "sentence": "This tablet was unpaired at the desk."})
    page.wait_for_function("() => !window.link.online")
    assert page.evaluate("() => window.link.sentence") == "This tablet was unpaired at the desk."
    page.wait_for_timeout(800)
    assert page.evaluate("() => window.link.online") is False


STEPPED = "Date.now = ((now, ms) => () => now.call(Date) + ms)(Date.now, {});"
HOUR = 60 * MINUTE


def left_alone(desk: FakeDesk, page: Page) -> float:
    """A GO that the tablet knows, and no line to the desk from now on."""
    synced(page)
    go = desk.server_ms()
    page.evaluate(READ, go)
    desk.takes_sockets = False
    desk.cut_sockets()
    return go


@pytest.mark.parametrize("step", [-HOUR, HOUR])
def test_a_wall_clock_that_is_set_while_the_page_reloads_moves_nothing(
    desk: FakeDesk, tablet: Callable[[], Page], step: int
) -> None:
    page = tablet()
    go = left_alone(desk, page)
    page.add_init_script(STEPPED.format(step))
    page.reload()
    page.evaluate(OPEN)
    reading = page.evaluate(READ, go)
    assert reading["clock"] == "kept"
    assert error_ms(page, desk, go) < 100 <= reading["bound"] < 150


@pytest.mark.parametrize("step", [-HOUR, HOUR])
def test_a_wall_clock_that_was_set_while_no_page_was_there_is_told_in_the_bound_and_a_start_by_hand_stays_possible(
    desk: FakeDesk, tablet: Callable[[], Page], step: int
) -> None:
    page = tablet()
    go = left_alone(desk, page)
    page.evaluate("() => window.clock.keep()")
    page.context.add_init_script(STEPPED.format(step))
    again = tablet()
    page.close()
    reading = again.evaluate(READ, go)
    assert error_ms(again, desk, go) <= reading["bound"]
    assert reading["bound"] == 24 * HOUR if step < 0 else 59 * MINUTE < reading["bound"] < 61 * MINUTE
    again.evaluate("() => window.clock.startByHand('heat_1/1')")
    by_hand = again.evaluate(READ, go)
    assert by_hand["clock"] == "hand" and by_hand["ms"] < 1000 and by_hand["bound"] <= 2001
    desk.takes_sockets = True
    synced(again)
    assert again.evaluate(READ, go)["clock"] == "synced", "the desk's word takes its place"
    assert error_ms(again, desk, go) < 100


def test_a_page_that_was_away_for_a_moment_says_how_long_it_was(desk: FakeDesk, tablet: Callable[[], Page]) -> None:
    page = tablet()
    go = left_alone(desk, page)
    page.evaluate("() => window.clock.keep()")
    page.goto("about:blank")
    page.wait_for_timeout(700)
    page.goto(desk.address)
    page.evaluate(OPEN)
    assert error_ms(page, desk, go) < 100
    assert 600 < page.evaluate(READ, go)["bound"] < 5000


@pytest.mark.parametrize(("ms", "hidden"), [(12, False), (60, False), (60, True)])
def test_a_jump_of_some_milliseconds_is_told_in_the_bound_at_once(
    desk: FakeDesk, tablet: Callable[[], Page], ms: int, hidden: bool
) -> None:
    page = tablet()
    go = left_alone(desk, page)
    before = page.evaluate(READ, go)["bound"]
    page.evaluate(SLEEP, [ms, hidden])
    assert page.evaluate(READ, go)["bound"] >= before + ms
    desk.ahead_ms += ms  # it had stood still for so long
    assert error_ms(page, desk, go) <= page.evaluate(READ, go)["bound"]


def test_ten_minutes_without_the_desk_are_within_the_bound_of_a_crystal_that_is_150_ppm_off(
    desk: FakeDesk, tablet: Callable[[], Page]
) -> None:
    page = tablet()
    go = left_alone(desk, page)
    page.evaluate(ALL_CLOCKS, 10 * MINUTE)
    assert page.evaluate(READ, go)["bound"] >= 10 * MINUTE * 150 / 1_000_000
    page.evaluate("() => window.clock.keep()")
    page.reload()
    page.evaluate(OPEN)
    page.evaluate(ALL_CLOCKS, 10 * MINUTE)
    assert page.evaluate(READ, go)["bound"] >= 20 * MINUTE * 150 / 1_000_000


# A hall screen's clock while the desk answers, is silent, and answers again; the wall clock goes an hour ahead in the silence.
SLEPT = """async (ahead) => {
  const { ServerClock } = await import('/static/js/device/server_clock.js');
  const [ask, wall] = [window.fetch, Date.now];
  let answers = true;
  const its = () => performance.now() + 5000;
  const told = () => ({ ok: true, json: async () => ({ boot: 'boot-1', t2: its(), t3: its() }) });
  window.fetch = () => (answers ? Promise.resolve(told()) : Promise.reject(new Error('no network')));
  const clock = new ServerClock('/time', { first: 1, thenEveryMs: 1e9 });
  const rest = async () => {
    for (let turn = 0; turn < 50; turn += 1) await null;
  };
  const said = [];
  const look = () => said.push([Math.round(((clock.nowMs() ?? 0) - performance.now()) / 100), clock.unsure()]);
  clock.start();
  await rest();
  look();
  answers = false;
  Date.now = () => wall() + ahead;
  look();
  await rest();
  look();
  answers = true;
  clock.start();
  await rest();
  look();
  [window.fetch, Date.now] = [ask, wall];
  return said;
}"""


@pytest.mark.parametrize(("ahead_ms", "unsure"), [(3_600_000, True), (0, False), (-3_600_000, False)])
def test_a_hall_screen_that_may_have_slept_says_so_until_the_desk_answers(scripts: Page, ahead_ms: int, unsure: bool) -> None:
    assert scripts.evaluate(SLEPT, ahead_ms) == [[50, False], [50, unsure], [50, unsure], [50, False]]


@pytest.mark.parametrize(
    ("go_ms", "start_ms", "unsure"), [(0, 0, False), (1_400, 1_400, False), (1_500, 0, True), (0, 1_500, True), (None, 0, True)]
)
def test_a_hall_screen_says_so_too_where_the_go_or_an_attempts_start_is_not_known_well(
    scripts: Page, go_ms: int | None, start_ms: int, unsure: bool
) -> None:
    asked = """async ([go, start]) => {
      const { ServerClock } = await import('/static/js/device/server_clock.js');
      return new ServerClock('/time').unsure(go, start);
    }"""
    assert scripts.evaluate(asked, [go_ms, start_ms]) is unsure
