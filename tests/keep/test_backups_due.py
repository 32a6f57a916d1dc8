"""When backups are made by themselves, when they are late, and what else the desk hears of tablets' stores."""

import asyncio
from pathlib import Path
from typing import Any

import pytest

from app.floor.pages.line import Said
from app.hall.backup_age import is_late, something_new
from app.hall.hall import Hall
from app.keep.backups import back_up, backup_view, keep_backing_up
from app.live.presence import Who
from app.store.copies.backup import BackupFailed, backups_in
from tests.builders.halls import House, a_mark, sent

PAGE = {"accept": "text/html"}
JSON = {"content-type": "application/json"}


def hall_of(house: House) -> Hall:
    hall: Hall = house.app.state.hall
    return hall


def call(house: House, work: Any, *arguments: Any) -> Any:
    return house.inside.portal.call(work, *arguments)  # type: ignore[union-attr]


def test_a_backup_is_due_when_something_was_stored_since_the_last(house: House) -> None:
    hall = hall_of(house)
    assert something_new(hall)
    call(house, back_up, hall)
    assert not something_new(hall)
    house.tablet(1).post("/marks", content=sent(a_mark()), headers=JSON)
    assert something_new(hall)


def test_before_there_is_a_competition_nothing_is_backed_up(empty_house: House) -> None:
    assert not something_new(hall_of(empty_house))


def test_a_backup_is_late_only_if_there_is_something_to_back_up(house: House) -> None:
    hall, desk = hall_of(house), house.desk()
    call(house, back_up, hall)
    house.clocks.pass_ms(16 * 60_000)
    assert not is_late(hall), "nothing has changed"
    house.tablet(1).post("/marks", content=sent(a_mark()), headers=JSON)
    assert is_late(hall)
    assert "The last one was 16 minutes ago" in desk.get("/desk", headers=PAGE).text
    call(house, back_up, hall)
    assert not is_late(hall)


def test_backups_go_on_by_themselves_after_one_failed(house: House, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    hall = hall_of(house)
    slept: list[float] = []

    own: list[object] = []
    real = asyncio.sleep

    async def sleep(seconds: float) -> None:
        if asyncio.current_task() not in own:  # the hall's own loop of backups, and whoever else sleeps
            await real(seconds)
            return
        slept.append(seconds)
        if len(slept) == 2:
            (tmp_path / "backups").unlink()
        if len(slept) == 3:
            raise asyncio.CancelledError

    monkeypatch.setattr("app.keep.backups.asyncio.sleep", sleep)
    (tmp_path / "backups").write_text("a file is in the way")

    async def go_on() -> None:
        own.append(asyncio.current_task())
        with pytest.raises(asyncio.CancelledError):
            await keep_backing_up(hall)

    call(house, go_on)
    assert slept == [300, 30, 300], "sooner after a failure"
    assert len(backups_in(tmp_path / "backups")) == 1 and hall.backups.failure == ""


def test_a_failed_backup_is_shown_until_one_succeeds(house: House, tmp_path: Path) -> None:
    hall = hall_of(house)
    (tmp_path / "backups").write_text("a file is in the way")
    with pytest.raises(BackupFailed):
        call(house, back_up, hall)
    assert call(house, backup_view, hall).state.shape == "look"
    (tmp_path / "backups").unlink()
    call(house, back_up, hall)
    assert call(house, backup_view, hall).state.shape == "safe"


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"trouble": "no-disk"}, "keep marks on its own disk"),
        ({"trouble": "restored"}, "had lost its marks; all of them are back"),
        ({"trouble": "lost-more", "missing": 2}, "at least 2 marks are missing for good"),
        ({"trouble": "unsure"}, "None is known to be missing, but the last ones before that may be"),
        ({"trouble": "blank"}, "nobody knows whether marks are missing"),
        ({"trouble": "lost", "missing": 3}, "3 marks are missing for good"),
        ({"trouble": "lost", "missing": 1}, "1 mark is missing for good"),
    ],
)
def test_a_tablet_whose_store_fails_needs_a_person(house: House, said: dict[str, Any], words: str) -> None:
    desk, presence = house.desk(), hall_of(house).presence
    desk.post("/desk/heats/het_1/go")
    presence.arrived(Who("tab", "lane", 1), house.clocks.server, lambda _: None)
    presence.heard("tab", house.clocks.server, Said(screen="lane", heat="het_1", **said).report())
    assert words in desk.get("/desk?heat=het_1", headers=PAGE).text.replace("&#39;", "'")
