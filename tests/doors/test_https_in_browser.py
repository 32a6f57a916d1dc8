"""HTTPS of our own making in a real browser with our certificate in its store: trust, pairing, and what it buys."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from playwright.sync_api import Error as BrowserError

from app.lan.certificate import Authority, issue, new_authority, read_authority
from tests.browser.looking import found_on
from tests.browser.people import TABLET, Desk, Person, agree
from tests.browser.server_process import ServerProcess
from tests.browser.trusting import SecureHall, a_black_hole, a_secure_hall, a_site, a_trusting_browser, needs_trust
from tests.builders.pairs import a_file

pytestmark = [pytest.mark.browser, pytest.mark.paced, needs_trust]

LINE = '[data-role="line"]'
CONTROLLED = "() => navigator.serviceWorker?.controller !== null"
PATIENCE_MS = 25_000


@dataclass(frozen=True)
class Scene:
    """A hall with HTTPS, and two browsers: one that trusts it and one that was never told."""

    hall: SecureHall
    trusting: Browser
    stranger: Browser
    desk: Desk

    def tablet(self, browser: Browser) -> Person:
        context = browser.new_context(viewport=TABLET, has_touch=True)  # type: ignore[arg-type]
        return Person(context.new_page())

    def paired(self) -> Person:
        """A tablet that trusts the desk and judges lane 1."""
        tablet = self.tablet(self.trusting)
        tablet.page.goto(self.desk.invite(1).link)
        agree(tablet)
        tablet.page.wait_for_function(CONTROLLED)
        return tablet


@pytest.fixture(scope="module")
def scene(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Scene]:
    folder = tmp_path_factory.mktemp("https")
    file = a_file([["Ana and Bo"]], runs=0)
    with a_secure_hall(folder / "data", file) as hall:
        chromium = browser.browser_type
        with (
            a_trusting_browser(chromium, folder / "home", [hall.authority]) as trusting,
            a_trusting_browser(chromium, folder / "stranger", []) as stranger,
        ):
            desk = Desk(stranger.new_context().new_page())
            desk.enter(hall.laptop)
            yield Scene(hall, trusting, stranger, desk)


@pytest.fixture(autouse=True)
def _leave_nobody_behind(scene: Scene) -> Iterator[None]:
    yield
    scene.desk.page.goto("about:blank")  # or it loads itself anew in the midst of the next test
    scene.hall.server.start_again()
    for context in [*scene.trusting.contexts, *scene.stranger.contexts]:
        if context != scene.desk.page.context:
            context.close()


def test_the_code_on_the_desk_leads_to_the_plain_page_of_trust(scene: Scene) -> None:
    link = scene.desk.invite(1).link
    assert re.fullmatch(re.escape(f"{scene.hall.plain}/trust#") + r"[\w-]{20,}", link)


def test_a_device_that_trusts_us_goes_straight_on_to_pair_with_its_token(scene: Scene) -> None:
    tablet = scene.paired()
    assert tablet.page.url == f"{scene.hall.secure}/lane"
    assert tablet.page.evaluate("() => isSecureContext") is True
    cookies = [one for one in tablet.page.context.cookies() if one["name"] == "__Host-ll_device"]
    assert [(one["secure"], one["httpOnly"], one["sameSite"]) for one in cookies] == [(True, True, "Lax")]


def test_its_screen_opens_with_the_server_dead_and_the_marks_arrive_when_it_is_back(scene: Scene) -> None:
    tablet = scene.paired()
    scene.hall.server.kill()
    tablet.page.reload()
    tablet.page.wait_for_selector('[data-role="strip"]')
    sheet = tablet.page.locator('[data-role="entry"]').inner_text()
    scene.hall.server.start()
    expect(tablet.page.locator(LINE)).not_to_have_attribute("data-tone", "look", timeout=PATIENCE_MS)
    assert "Ana and Bo" in sheet


def test_a_device_that_does_not_trust_us_is_shown_the_steps_and_loses_no_token(scene: Scene) -> None:
    tablet = scene.tablet(scene.stranger)
    tablet.page.goto(scene.desk.invite(1).link)
    expect(tablet.page.locator("#state")).to_have_text("Not trusted yet")
    assert "#" not in tablet.page.url, "the token must not stay on a screen that others photograph"
    assert tablet.page.locator(".device-steps[open] .drawing").count() >= 1
    tablet.page.reload()  # some tablets do so after a visit to their settings
    tablet.page.get_by_role("link", name="Continue without trust").click()
    agree(tablet)
    assert tablet.page.url == f"{scene.hall.plain}/lane"
    tablet.page.locator('[data-role="open-menu"]').click()
    expect(tablet.page.locator('[data-role="footing"]')).to_contain_text("Keep this page open")


def test_the_pages_of_trust_can_be_used_by_everybody(scene: Scene) -> None:
    page = scene.tablet(scene.trusting).page
    for address in (f"{scene.hall.plain}/trust", f"{scene.hall.secure}/trust"):
        page.goto(address)
        page.locator("details").evaluate_all("all => all.forEach((one) => { one.removeAttribute('name'); one.open = true; })")
        assert found_on(page) == []


def test_what_goes_on_without_trust_says_what_is_less(scene: Scene) -> None:
    tablet = scene.tablet(scene.stranger)
    tablet.page.goto(f"{scene.hall.plain}/trust")
    missing = tablet.page.locator(".without li").all_inner_texts()
    assert any("can't be reloaded" in line for line in missing) and any("switch itself off" in line for line in missing)
    # What it says is so: this browser, over this connection, has neither.
    lacks = tablet.page.evaluate("() => [isSecureContext, 'serviceWorker' in navigator, 'wakeLock' in navigator]")
    assert lacks == [False, False, False]


def test_the_files_are_our_authority_and_nothing_else(scene: Scene) -> None:
    tablet = scene.tablet(scene.stranger)
    get = tablet.page.context.request.get
    certificate, profile = (
        get(f"{scene.hall.plain}/trust/lane-ledger.crt"),
        get(f"{scene.hall.plain}/trust/lane-ledger.mobileconfig"),
    )
    assert certificate.headers["content-type"] == "application/x-x509-ca-cert"
    assert profile.headers["content-type"] == "application/x-apple-aspen-config"
    assert b"PRIVATE KEY" not in certificate.body() + profile.body()


def test_the_fixed_name_is_used_before_any_address(scene: Scene, tmp_path: Path) -> None:
    # This machine's browser asks no multicast names, so it is told where the name is; the certificate is the real one.
    flags = [f"--host-resolver-rules=MAP lane-ledger.local {scene.hall.host}"]
    with a_trusting_browser(scene.trusting.browser_type, tmp_path, [scene.hall.authority], flags) as browser:
        page = browser.new_page()
        page.goto(f"https://lane-ledger.local:{scene.hall.https_port}/trust")
        expect(page.get_by_role("heading", level=1)).to_have_text("It worked")


def test_only_our_own_plain_page_may_read_the_yes(scene: Scene) -> None:
    get = scene.stranger.new_context().request.get
    allowed = get(f"{scene.hall.laptop}/trust/yes", headers={"Origin": scene.hall.plain})
    assert allowed.headers["access-control-allow-origin"] == scene.hall.plain
    for foreign in ("http://evil.example", f"http://{scene.hall.host}:1", scene.hall.secure, "null"):
        answer = get(f"{scene.hall.laptop}/trust/yes", headers={"Origin": foreign})
        assert "access-control-allow-origin" not in answer.headers, foreign


# --- What the authority may not do -------------------------------------------------------------------------------------------


def opens(browser: Browser, address: str) -> str:
    """What Chromium says to an address: its error, or nothing when it opens."""
    page = browser.new_context().new_page()
    try:
        page.goto(address)
    except BrowserError as refused:
        return re.search(r"net::(\w+)", refused.message).group(1)  # type: ignore[union-attr]
    return ""


def authority_of(hall: SecureHall) -> Authority:
    return read_authority(hall.authority, hall.authority.with_suffix(".key"))


@pytest.mark.parametrize(
    ("names", "addresses", "says"),
    [
        (["localhost"], ["127.0.0.1"], ""),
        (["localhost", "example.com"], ["127.0.0.1"], "ERR_CERT_INVALID"),
        (["localhost"], ["127.0.0.1", "8.8.8.8"], "ERR_CERT_INVALID"),
        (["another-laptop.local"], ["127.0.0.1"], "ERR_CERT_INVALID"),
    ],
)
def test_a_foreign_leaf_signed_with_our_key_is_refused(
    scene: Scene, tmp_path: Path, names: list[str], addresses: list[str], says: str
) -> None:
    file = tmp_path / "leaf.pem"
    file.write_bytes(issue(authority_of(scene.hall), names, addresses))
    with a_site(file) as port:
        assert opens(scene.trusting, f"https://127.0.0.1:{port}/") == says


def test_a_leaf_of_another_authority_with_the_same_names_is_refused(scene: Scene, tmp_path: Path) -> None:
    ours = authority_of(scene.hall)
    other = new_authority(["localhost"], ours.certificate.not_valid_before_utc, 30)
    file = tmp_path / "leaf.pem"
    file.write_bytes(issue(other, ["localhost"], ["127.0.0.1"]))
    with a_site(file) as port:
        assert opens(scene.trusting, f"https://127.0.0.1:{port}/") == "ERR_CERT_AUTHORITY_INVALID"


# --- Why the desk can't be reached, told apart ---------------------------------------------------------------------------------


def says(page: Page, words: str) -> None:
    expect(page.locator(LINE)).to_contain_text(words, timeout=PATIENCE_MS)


@pytest.mark.slow
def test_a_dead_a_silent_and_an_untrusted_desk_are_told_apart_on_the_lane_screen(scene: Scene, tmp_path: Path) -> None:
    page = scene.paired().page
    hall = scene.hall
    hall.server.kill()
    says(page, "This tablet can't reach the desk")
    with a_black_hole(hall.http_port, hall.https_port):
        says(page, "no answer comes")
    with another_laptop(hall, tmp_path / "another laptop"):
        says(page, "no longer trusts the desk")
        page.locator('[data-role="open-menu"]').click()
        again = page.locator('[data-role="trust-again"]')
        assert again.get_attribute("href") == f"{hall.plain}/trust"
        page.locator('[data-role="menu-close"]').click()
        page.reload()
        says(page, "no longer trusts the desk")
    page.context.set_offline(True)
    says(page, "This tablet is on no network")
    page.context.set_offline(False)
    hall.server.start()
    expect(page.locator(LINE)).not_to_have_attribute("data-tone", "look", timeout=PATIENCE_MS)


@contextmanager
def another_laptop(hall: SecureHall, folder: Path) -> Iterator[None]:
    """Another laptop at the same address and ports, with an authority of its own."""
    flags = ("--https-port", str(hall.https_port), "--name", hall.host)
    server = ServerProcess(folder, flags=flags, port=hall.http_port)
    server.start()
    try:
        yield
    finally:
        server.kill()


# --- What else the page of trust notices ----------------------------------------------------------------------------------------


def test_a_device_with_unsent_marks_of_its_plain_days_is_told_to_send_them_first(scene: Scene) -> None:
    tablet = scene.tablet(scene.trusting)
    tablet.page.context.route("**/marks", lambda route: route.abort())
    tablet.page.context.route_web_socket("**/lane/socket*", lambda line: line.close())  # marks go by it too
    tablet.page.goto(f"{scene.hall.plain}/pair")
    tablet.page.get_by_label("The code on the desk's screen").fill(scene.desk.invite(1).code)
    tablet.page.get_by_role("button", name="Continue").click()
    agree(tablet)
    tablet.page.locator('[data-role="open-menu"]').click()
    tablet.page.get_by_label("Note for the sheet").fill("The bar was bent.")
    tablet.page.locator('[data-role="add-note"]').click()
    expect(tablet.page.locator('[data-role="kept"]')).to_contain_text("1")
    link = scene.desk.invite(1).link
    tablet.page.goto(link)
    expect(tablet.page.locator("#warning")).to_contain_text("one mark that is not at the desk")
    expect(tablet.page.locator("#state")).to_have_text("This device trusts the desk.")
    assert tablet.page.url.startswith(scene.hall.plain), "it is not sent on"


def test_a_device_that_lives_in_another_week_is_told_to_set_its_clock(scene: Scene) -> None:
    tablet = scene.tablet(scene.stranger)
    tablet.page.clock.install(time=0)
    tablet.page.goto(f"{scene.hall.plain}/trust")
    expect(tablet.page.locator("#warning")).to_contain_text("days behind the desk's. Set the date")


def test_a_firewall_that_shuts_the_secure_port_is_named(scene: Scene) -> None:
    tablet = scene.tablet(scene.trusting)
    tablet.page.context.route(f"{scene.hall.secure}/trust/yes", lambda route: None)  # the question is never answered
    tablet.page.goto(f"{scene.hall.plain}/trust")
    expect(tablet.page.locator("#why")).to_contain_text("perhaps its firewall", timeout=PATIENCE_MS)
