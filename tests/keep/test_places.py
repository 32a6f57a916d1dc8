"""Other places for backups: what is plugged in by what it is, and a name from another computer that is none here."""

from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Any

import pytest

from app.keep import places
from app.keep.places import FIXED, REMOTE, REMOVABLE, Place, in_drives, in_mac_mounts, in_mounts, is_of_this_system
from app.store.devices import put_setting
from tests.builders.halls import House

PAGE = {"accept": "text/html"}
# As /proc/self/mounts has them: proc(5), with blanks as fstab(5) writes them.
MOUNTS = r"""/dev/nvme0n1p2 / ext4 rw,relatime 0 0
proc /proc proc rw,nosuid 0 0
/dev/nvme0n1p1 /boot/efi vfat rw 0 0
/dev/nvme0n1p3 /home ext4 rw 0 0
/dev/sdb1 /media/anna/THE\040STICK vfat rw,nosuid,nodev 0 0
/dev/sdc1 /run/media/anna/Big exfat rw 0 0
/dev/sdd1 /media/anna/LOCKED vfat ro,nosuid 0 0
//nas/hall /mnt/hall cifs rw,relatime 0 0
nas:/export /mnt/export nfs4 rw 0 0
/dev/loop3 /snap/core/1 squashfs ro 0 0
tmpfs /run tmpfs rw 0 0
portal /run/user/1000/doc fuse.portal rw 0 0
"""
# As `mount` says it on macOS: mount(8).
MAC = """/dev/disk3s1s1 on / (apfs, sealed, local, read-only, journaled)
devfs on /dev (devfs, local, nobrowse)
/dev/disk3s5 on /System/Volumes/Data (apfs, local, journaled, nobrowse)
/dev/disk4s1 on /Volumes/THE STICK (msdos, local, nodev, nosuid, noowners)
/dev/disk5s1 on /Volumes/Installer (hfs, local, nodev, nosuid, read-only, noowners, mounted by anna)
//anna@nas._smb._tcp.local/hall on /Volumes/hall (smbfs, nodev, nosuid, mounted by anna)
"""


def test_linux_tells_what_each_mounted_place_is() -> None:
    found = list(in_mounts(MOUNTS, removable=lambda device: device == "/dev/sdb1"))
    assert found == [
        Place(Path("/media/anna/THE STICK"), "stick"),
        Place(Path("/run/media/anna/Big"), "disk"),
        Place(Path("/mnt/hall"), "share"),
        Place(Path("/mnt/export"), "share"),
    ]


def test_macos_tells_shares_from_volumes() -> None:
    found = list(in_mac_mounts(MAC))
    assert found == [Place(Path("/Volumes/THE STICK"), ""), Place(Path("/Volumes/hall"), "share")]


def test_windows_tells_all_drives_but_its_own_and_those_for_discs() -> None:
    kinds = {"A:\\": REMOVABLE, "C:\\": FIXED, "D:\\": 5, "E:\\": REMOVABLE, "M:\\": FIXED, "Z:\\": REMOTE}
    bits = sum(1 << ord(root[0]) - ord("A") for root in kinds)
    found = [(str(place.folder), place.what) for place in in_drives(bits, kinds.__getitem__, "c:")]
    assert found == [("A:\\", "stick"), ("E:\\", "stick"), ("M:\\", "disk"), ("Z:\\", "share")]


def test_what_is_here_is_looked_at_and_nothing_breaks(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    table = tmp_path / "mounts"
    table.write_text(f"/dev/sdb1 {tmp_path} vfat rw 0 0\n/dev/sdb1 {tmp_path}/gone vfat rw 0 0\n", encoding="utf-8")
    monkeypatch.setattr(places, "MOUNTS", table)
    monkeypatch.setattr(places, "OF_THE_SYSTEM", frozenset())
    monkeypatch.setattr(places.sys, "platform", "linux")
    assert [place.folder for place in places.places()] == [tmp_path]
    monkeypatch.setattr(places, "MOUNTS", tmp_path / "none")
    assert places.places() == []


def test_a_path_of_another_system_is_whole_on_none_but_its_own() -> None:
    assert is_of_this_system(PureWindowsPath("E:\\lane-ledger-backups")) and is_of_this_system(PureWindowsPath("\\\\nas\\hall"))
    assert not is_of_this_system(PurePosixPath("E:\\lane-ledger-backups")) and not is_of_this_system(
        PurePosixPath("\\\\nas\\hall")
    )
    assert not is_of_this_system(PureWindowsPath("/media/anna/STICK")) and is_of_this_system(PurePosixPath("/media/anna/STICK"))


def named(house: House, folder: str) -> None:
    """A place as it comes along inside a backup."""
    house.app.state.hall.database.write(lambda session: put_setting(session, "backup-folder", folder))


def test_a_place_that_came_along_from_another_system_becomes_no_folder_here(
    house: House, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    foreign = "E:\\lane-ledger-backups" if Path("/").is_absolute() else "/media/anna/STICK/lane-ledger-backups"
    named(house, foreign)
    desk: Any = house.desk()
    made = desk.post("/desk/backups/now").json()
    assert Path(made["file"]).parent == house.app.state.hall.settings.data / "backups" and not (tmp_path / foreign).exists()
    shown = desk.get("/desk/backups", headers=PAGE).text
    assert foreign in shown and "This computer has no such place" in shown and "on the same disk" in shown


def test_a_place_whose_stick_is_not_there_is_not_made(house: House, tmp_path: Path) -> None:
    gone = tmp_path / "STICK" / "lane-ledger-backups"
    named(house, str(gone))
    answer = house.desk().post("/desk/backups/now", headers=PAGE)
    assert answer.status_code == 507 and "Is the stick plugged in?" in answer.text and not gone.parent.exists()
