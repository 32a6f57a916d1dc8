"""A loader's phone beside a server that went back to an older backup: its word on the bar is sent again."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.hall_server import HallServer, served
from tests.browser.moments import a_heat_of_everything, set_clock
from tests.browser.people import PHONE, a_hall
from tests.builders.halls import STORE
from tests.floor.test_loaders_in_browser import Declared, stored, until_stored

pytestmark = [pytest.mark.browser, pytest.mark.timeout(180)]


def copied(folder: Path, backup: Path) -> None:
    """A backup of a running server's store, by SQLite's own means."""
    with closing(sqlite3.connect(folder / STORE)) as now, closing(sqlite3.connect(backup)) as then:
        now.backup(then)


def put_back(server: HallServer, folder: Path, backup: Path) -> None:
    """The laptop's store is that of the backup, and the server answers again at the same address."""
    server.stop()
    for part in ("-wal", "-shm"):
        (folder / f"{STORE}{part}").unlink(missing_ok=True)
    (folder / STORE).write_bytes(backup.read_bytes())
    server.start()


def test_a_loaders_phone_sends_its_marks_again_after_an_older_backup(browser: Browser, tmp_path: Path) -> None:
    folder, backup = tmp_path / "data", tmp_path / "backup.sqlite3"
    with served(folder, a_heat_of_everything()) as server, a_hall(browser, server.url) as hall:
        desk = hall.desk()
        judge, loader = hall.tablet(desk, 1), hall.tablet(desk, 1, "call screen", PHONE)
        set_clock(server, "lift")
        judge.shows("lift")
        loader.touch(loader.part("turn-view"))
        Declared(server).pounds("225")
        expect(loader.part("load-next")).to_have_text("225 lb")
        copied(folder, backup)
        loader.touch(loader.part("bar-loaded"))
        until_stored(server, loader, 1)
        said = stored(server)
        loader.page.wait_for_function("() => document.querySelector('.loaders[data-ready]') !== null")
        put_back(server, folder, backup)
        assert stored(server) == [], "the backup is older than the word on the bar"
        until_stored(server, loader, 1)
        assert stored(server) == said
