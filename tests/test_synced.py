"""A data folder that another program copies to other computers is told of, with a better place."""

from pathlib import Path

import pytest

from app.synced import sync_trouble, synced_by, trouble_of
from tests.builders.halls import House

PAGE = {"accept": "text/html"}


@pytest.mark.parametrize(
    ("folder", "above"),
    [
        ("OneDrive/day/data", "OneDrive"),
        ("OneDrive - A Club/data", "OneDrive - A Club"),
        ("Dropbox/data", "Dropbox"),
        ("Library/CloudStorage/GoogleDrive-anna/My Drive/data", "Library/CloudStorage/GoogleDrive-anna"),
        ("Library/Mobile Documents/com~apple~CloudDocs/data", "Library/Mobile Documents"),
        ("kept/data", "kept"),
        ("ours/data", "ours"),
        ("Documents/data", "Documents"),
    ],
)
def test_folders_that_are_copied_are_known_by_name_sign_or_variable(tmp_path: Path, folder: str, above: str) -> None:
    (tmp_path / "kept" / ".stfolder").mkdir(parents=True)
    (tmp_path / "Library/Mobile Documents/com~apple~CloudDocs/Documents").mkdir(parents=True)
    variables = {"OneDriveCommercial": str(tmp_path / "ours")}
    assert synced_by(tmp_path / folder, tmp_path, variables) == tmp_path / above
    said = trouble_of(tmp_path / folder, tmp_path, variables)
    assert str(tmp_path / above) in said and f"to {tmp_path / 'lane-ledger-data'} and name that by --data" in said


@pytest.mark.parametrize("folder", ["data", "Documents/data", "drive/data", "a Dropbox of ours/data"])
def test_others_are_left_alone(tmp_path: Path, folder: str) -> None:
    assert synced_by(tmp_path / folder, tmp_path, {}) is None and trouble_of(tmp_path / folder, tmp_path, {}) == ""


def test_where_everything_is_copied_no_place_is_promised(tmp_path: Path) -> None:
    home = tmp_path / "OneDrive" / "anna"
    assert "to this computer's own disk and" in trouble_of(home / "data", home, {})


def test_it_stands_at_the_desk(house: House, tmp_path: Path) -> None:
    desk = house.desk()
    assert "copied to other computers" not in desk.get("/desk", headers=PAGE).text
    (house.app.state.hall.settings.data / ".dropbox").touch()
    sync_trouble.cache_clear()
    try:
        assert "copied to other computers" in desk.get("/desk", headers=PAGE).text
    finally:
        sync_trouble.cache_clear()
