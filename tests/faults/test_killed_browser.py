"""Chromium killed right after taps, and its store wiped on purpose: every mark that was shown is in the ledger at the end.

The long one (50 kills, 5 wipes) is a bench: `python3 -m app bench faults`.
"""

import shutil
import sys
from collections import Counter
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserType, Page

from app.rehearsal.tablet import Seat
from app.rehearsal.turns import turn_about
from tests.faults import hearing
from tests.faults.imitated import ToldHall
from tests.faults.killed_browser import LONG_S, SHOWN, Browsers, Kills, Listens, kill_browsers
from tests.faults.table import TellOf

pytestmark = [pytest.mark.browser, pytest.mark.paced, pytest.mark.slow, pytest.mark.timeout(240)]


def listener(tell_of: TellOf, fault: str, folder: Path) -> Listens:
    """Listens to the tablet, the desk and /health, and knows what a tablet had, and lost."""
    told = ToldHall(tell_of, fault, folder / "data", format=turn_about(work_seconds=LONG_S))

    def listens(page: Page, found: Kills, port: int, token: str) -> None:
        lane = told.ground.lane(1)
        # What the last tap before a kill came to is seen only now.
        made = max(found.shown, sum(page.evaluate(SHOWN)))
        assert made + found.gone <= found.tapped
        lane.places, lane.unsent = Counter({("asg_1/1/lane", 0): made + found.gone}), found.unsent
        lane.gone = found.gone
        told.listen_to([lambda: hearing.on_tablet(page, 1)], port, token)

    return listens


@pytest.mark.skipif(sys.platform == "win32", reason="Windows knows no process groups to kill")
def test_every_mark_that_was_shown_survives_kills_and_a_wiped_store(browser: Browser, tmp_path: Path, tell_of: TellOf) -> None:
    listens = listener(tell_of, "the browser killed after taps, its store wiped", tmp_path)
    found = kill_browsers(browser.browser_type, tmp_path, kills=2, wipes=1, listens=listens)
    assert found.lost == []
    assert found.kills == 3 and found.wipes == 1 and found.shown >= 6
    assert found.in_ledger >= found.shown
    assert found.restored > 0, "what was wiped came back from the second store, and the judge was told"


@pytest.mark.skipif(sys.platform == "win32", reason="Windows knows no process groups to kill")
def test_of_a_tablet_that_lost_all_its_stores_no_more_is_said_than_is_known(
    browser: Browser, tmp_path: Path, tell_of: TellOf
) -> None:
    listens = listener(tell_of, "the browser killed, all its stores wiped", tmp_path)
    found = kill_browsers(browser.browser_type, tmp_path, kills=0, wipes=0, emptied=1, listens=listens)
    assert found.gone > 0 and found.in_ledger == found.shown == 0


@pytest.mark.skipif(sys.platform == "win32", reason="Windows knows no process groups to kill")
@pytest.mark.parametrize("leads_to", ["", "socket", "{there}/others/socket"])
def test_a_browser_that_does_not_start_is_told_and_nothing_of_others_is_removed(
    leads_to: str, chromium: BrowserType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)  # where a link that is relative would lead
    monkeypatch.setattr("tests.faults.killed_browser.find_browser", lambda: shutil.which("true"))
    monkeypatch.setattr("tests.faults.killed_browser.PATIENCE_S", 0.0)
    (tmp_path / "profile").mkdir()
    (tmp_path / "others").mkdir()
    if leads_to:
        (tmp_path / "profile" / "SingletonSocket").symlink_to(leads_to.format(there=tmp_path))
    lives = Browsers(chromium, tmp_path / "profile", "", Seat(1, "", "", ""), "")
    with pytest.raises(TimeoutError, match="Chromium did not start"), lives.alive():
        pytest.fail("nothing is there to be asked")
    assert (tmp_path / "profile").is_dir() and (tmp_path / "others").is_dir()
