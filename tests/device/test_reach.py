"""Why the desk can't be reached, over a plain connection: told by one look at a time, as a tablet without a line takes it."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.fake_desk import FakeDesk, open_desk
from tests.browser.trusting import a_black_hole

LOOK = "async () => { const { lookFor } = await import('/static/js/device/reach.js'); return lookFor(''); }"
LOADED = "async () => { window.look = (await import('/static/js/device/reach.js')).lookFor; }"
AGAIN = "() => window.look('')"
YES = ("application/json", b'{"lane_ledger":true}')
SIGN_IN = ("text/html", b"<p>Sign in to this network")


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    context = browser.new_context()
    yield context.new_page()
    context.close()


@pytest.mark.parametrize(("answer", "found"), [(YES, "yes"), (SIGN_IN, "stranger"), (("application/json", b"{}"), "stranger")])
def test_who_answers(page: Page, answer: tuple[str, bytes], found: str) -> None:
    desk = FakeDesk(files={"/trust/yes": answer})
    with open_desk(desk) as address:
        page.goto(address)
        assert page.evaluate(LOOK) == found


def test_nobody_and_silence(page: Page) -> None:
    with open_desk(FakeDesk(files={"/trust/yes": YES})) as address:
        page.goto(address)
        page.evaluate(LOADED)
        assert page.evaluate(AGAIN) == "yes"
    assert page.evaluate(AGAIN) == "dead"
    with a_black_hole(int(address.rpartition(":")[2])):
        assert page.evaluate(AGAIN) == "silent"


def test_a_line_that_comes_back_takes_the_reason_away(page: Page) -> None:
    with open_desk(FakeDesk(files={"/trust/yes": SIGN_IN})) as address:
        page.goto(address)
        said = page.evaluate("""async () => {
          const { Reach } = await import('/static/js/device/reach.js');
          const reach = new Reach('');
          const told = new Promise((resolve) => reach.watch(() => resolve(reach.sentence)));
          reach.needed(true);
          const while_broken = await told;
          reach.needed(false);
          return [while_broken, reach.sentence, reach.advice];
        }""")
    assert said == ["Something else answers at the desk's address.", "", ""]
