"""Other places to keep backups in: what is plugged in or mounted on this computer, each by what it is, as its system tells.

A place is not taken for granted because it was named once: a backup brings the name along to a computer where it means nothing.
"""

import ctypes
import os
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path, PurePath
from typing import Literal

What = Literal["stick", "disk", "share", ""]
WORDS: dict[What, str] = {"stick": "a stick or card", "disk": "another disk", "share": "a network share", "": "a drive"}
ORDER: tuple[What, ...] = ("stick", "disk", "", "share")

MOUNTS = Path("/proc/self/mounts")
OF_THE_NETWORK = frozenset({"cifs", "smb3", "nfs", "nfs4", "fuse.sshfs", "smbfs", "afpfs", "webdav", "davfs"})
ON_DISKS = frozenset({"vfat", "exfat", "ntfs", "ntfs3", "fuseblk", "ext2", "ext3", "ext4", "btrfs", "xfs", "f2fs", "hfsplus"})
OF_THE_SYSTEM = frozenset({"", "boot", "efi", "usr", "var", "etc", "opt", "snap", "nix", "tmp", "proc", "sys", "dev", "home"})
# winbase.h: what GetDriveTypeW answers.
REMOVABLE, FIXED, REMOTE = 2, 3, 4
BY_DRIVE_TYPE: dict[int, What] = {REMOVABLE: "stick", FIXED: "disk", REMOTE: "share"}


@dataclass(frozen=True, slots=True)
class Place:
    """A place to offer, and what it is."""

    folder: Path
    what: What

    @property
    def words(self) -> str:
        """What it is, in words."""
        return WORDS[self.what]


def places() -> list[Place]:
    """What is plugged in or mounted here and can be written to, sticks first."""
    found = _windows() if sys.platform == "win32" else _mac() if sys.platform == "darwin" else _linux()
    writable = {place.folder: place for place in found if _takes_files(place.folder)}
    return sorted(writable.values(), key=lambda place: (ORDER.index(place.what), place.folder))


def is_of_this_system(chosen: PurePath) -> bool:
    """Whether a path is whole on this kind of computer: `E:\\` is none on Linux, and `/media` none on Windows."""
    return chosen.is_absolute()


def _takes_files(folder: Path) -> bool:
    try:
        return folder.is_dir() and os.access(folder, os.W_OK)
    except OSError:  # a drive without a card in it
        return False


def _linux() -> Iterator[Place]:
    try:
        text = MOUNTS.read_text(encoding="utf-8", errors="surrogateescape")
    except OSError:
        return
    yield from in_mounts(text, _is_removable)


def in_mounts(text: str, removable: Callable[[str], bool]) -> Iterator[Place]:
    """The places in a table of mounts as Linux keeps it (proc(5), fstab(5)); `removable` says it of a device."""
    for line in text.splitlines():
        device, folder, kind, how = (_plain(part) for part in [*line.split(" "), "", "", ""][:4])
        if folder.strip("/").partition("/")[0] in OF_THE_SYSTEM or "ro" in how.split(","):
            continue
        if kind in OF_THE_NETWORK:
            yield Place(Path(folder), "share")
        elif kind in ON_DISKS and device.startswith("/dev/"):
            yield Place(Path(folder), "stick" if removable(device) else "disk")


def _plain(part: str) -> str:
    """A field of the table: blanks and the like stand in it as octal numbers."""
    return re.sub(r"\\([0-7]{3})", lambda found: chr(int(found[1], 8)), part)


def _is_removable(device: str) -> bool:
    """Whether a partition is on something that can be pulled out, or hangs on USB."""
    try:
        block = (Path("/sys/class/block") / Path(device).resolve().name).resolve(strict=True)
        says = [one / "removable" for one in (block, block.parent)]
        return "/usb" in str(block) or any(one.is_file() and one.read_text(encoding="ascii").strip() == "1" for one in says)
    except OSError:
        return False


def _mac() -> Iterator[Place]:
    try:
        said = subprocess.run(["mount"], capture_output=True, encoding="utf-8", errors="replace", timeout=5).stdout
    except (OSError, subprocess.SubprocessError):
        return
    yield from in_mac_mounts(said)


def in_mac_mounts(text: str) -> Iterator[Place]:
    """The places in what `mount` says on macOS: what is mounted below /Volumes. Which of them is a stick it does not say."""
    for line in text.splitlines():
        found = re.fullmatch(r".+? on (/Volumes/.+) \((\w+)((?:, [^,)]+)*)\)", line)
        if found and "read-only" not in found[3]:
            yield Place(Path(found[1]), "share" if found[2] in OF_THE_NETWORK else "")


def _windows() -> Iterator[Place]:
    kernel = getattr(ctypes, "windll").kernel32  # noqa: B009  other systems' types know no windll
    drives, system = int(kernel.GetLogicalDrives()), os.environ.get("SYSTEMDRIVE", "")
    yield from in_drives(drives, lambda root: int(kernel.GetDriveTypeW(root)), system)


def in_drives(drives: int, kind: Callable[[str], int], system: str) -> Iterator[Place]:
    """The places among the drives of Windows, a bit for each letter; `kind` answers as GetDriveTypeW. `system`: none of them."""
    letters = [chr(ord("A") + n) for n in range(26) if drives >> n & 1]
    for letter in letters:
        what = BY_DRIVE_TYPE.get(kind(f"{letter}:\\"))
        if what is not None and f"{letter}:" != system.upper():
            yield Place(Path(f"{letter}:\\"), what)
