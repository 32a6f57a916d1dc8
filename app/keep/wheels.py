"""The packages that Lane Ledger is built on, ready-made, for this laptop and for others: what the lock names, by its hashes.

pip fetches them. For another kind of computer it takes files by their names alone; which packages of the lock that computer needs
is decided here by the lock's own markers, which pip would ask of this one.
"""

import hashlib
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from app.first_start.packages import CHECKOUT, LOCKS, in_utf8
from app.first_start.troubles import meaning

LOCK = LOCKS["run"][0]
CACHE = CHECKOUT / ".wheels"  # what was fetched before; a second stick needs no internet
BESIDE = CHECKOUT / "wheels"  # what a program that was packed itself has beside it
PYTHONS = ("3.11", "3.12", "3.13")
GLIBC = 28  # Debian 10, of 2018
# Measured: the program and its packages for one laptop; each system with all its processors and versions of Python.
HERE_MB = 85
ABOUT_MB = {"windows": 165, "macos": 335, "linux": 435}

Tell = Callable[[str], object]


class NotPacked(Exception):
    """Raised when the program can't be put onto a stick; its text is the sentence to show."""


@dataclass(frozen=True, slots=True)
class Target:
    """A kind of computer: by the name that --for takes, what its Python calls it (sys.platform, os.name, platform.machine()), and
    the platforms in the names of files that suit it."""

    system: str
    name: str
    platform: str
    os: str
    machine: str
    suits: tuple[str, ...]

    def markers(self, python: str) -> dict[str, str]:
        """What the markers of a lock are decided by (dependency specifiers, PEP 508), for a version of Python."""
        return {
            "sys_platform": self.platform,
            "os_name": self.os,
            "platform_machine": self.machine,
            "platform_python_implementation": "CPython",
            "implementation_name": "cpython",
            "python_version": python,
            "python_full_version": f"{python}.0",
        }


def _linux(machine: str) -> Target:
    suits = (*(f"manylinux_2_{minor}_{machine}" for minor in range(GLIBC, 16, -1)), f"manylinux2014_{machine}")
    return Target("linux", f"Linux {machine}", "linux", "posix", machine, suits)


def _mac(machine: str, name: str) -> Target:
    return Target("macos", name, "darwin", "posix", machine, (f"macosx_11_0_{machine}",))


# For Windows on ARM some packages are not offered; the x64 Python, which runs there too, takes those of x64.
TARGETS = (
    Target("windows", "Windows", "win32", "nt", "AMD64", ("win_amd64",)),
    _mac("arm64", "Mac with Apple silicon"),
    _mac("x86_64", "Mac with Intel"),
    _linux("x86_64"),
    _linux("aarch64"),
)
SYSTEMS = tuple(dict.fromkeys(target.system for target in TARGETS))


def fetch(systems: Sequence[str], into: Path, tell: Tell) -> None:
    """Puts the packages for this laptop and for these systems into a folder. Raises NotPacked."""
    tell("Packages for this laptop")
    _download(LOCK.read_text(encoding="utf-8"), into, ())
    for target in (target for target in TARGETS if target.system in systems):
        for python in PYTHONS:
            tell(f"Packages for {target.name}, Python {python}")
            platforms = [part for suits in target.suits for part in ("--platform", suits)]
            _download(needed(target, python), into, ("--python-version", python, "--implementation", "cp", *platforms))
    _only_locked(into)


def needed(target: Target, python: str) -> str:
    """The lock's lines for a kind of computer and a version of Python, without their markers."""
    # The library that reads markers is not among ours; pip brings it, and whoever packs has pip.
    from pip._vendor.packaging.markers import Marker

    lines = []
    for block in LOCK.read_text(encoding="utf-8").replace("\\\n", " ").splitlines():
        if "==" not in block:
            continue
        pin, _, hashes = block.partition("--hash")
        name, _, marker = pin.partition(";")
        if not marker.strip() or Marker(marker.strip()).evaluate(target.markers(python)):
            lines.append(f"{name.strip()} --hash{hashes}\n")
    return "".join(lines)


def _download(lines: str, into: Path, more: Sequence[str]) -> None:
    with tempfile.TemporaryDirectory(prefix="lane-ledger-wheels-") as room:
        wanted, came = Path(room) / "wanted.txt", Path(room) / "came"
        wanted.write_text(lines, encoding="utf-8")
        command = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps"]
        command += ["--require-hashes", "--only-binary", ":all:", "--disable-pip-version-check", "--no-input"]
        command += ["-d", str(came), "-r", str(wanted), *more]
        kept = [part for folder in (CACHE, BESIDE) if folder.is_dir() for part in ("--find-links", str(folder))]
        if not (kept and _ran([*command, "--no-index", *kept]).returncode == 0):
            fetched = _ran([*command, *kept])
            if fetched.returncode != 0:
                raise NotPacked(f"The packages can't be fetched. {meaning(fetched.stdout)}")
        for folder in (CACHE, into):
            folder.mkdir(parents=True, exist_ok=True)
            for wheel in came.iterdir():
                if not (folder / wheel.name).is_file():
                    shutil.copyfile(wheel, folder / wheel.name)


def _ran(command: list[str]) -> "subprocess.CompletedProcess[str]":
    return subprocess.run(
        command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, env=in_utf8(), encoding="utf-8", errors="replace"
    )


def _only_locked(folder: Path) -> None:
    """Raises NotPacked for a file that is not one that the lock names by its hash."""
    locked = set(re.findall(r"sha256:([0-9a-f]{64})", LOCK.read_text(encoding="utf-8")))
    for wheel in folder.iterdir():
        with wheel.open("rb") as opened:
            if hashlib.file_digest(opened, "sha256").hexdigest() not in locked:
                raise NotPacked(f"{wheel.name} is not the file that was tested: its fingerprint differs. Nothing was packed.")


def sizes(folder: Path) -> Iterator[int]:
    """The sizes of all files in a folder, in bytes."""
    for inside, _, files in os.walk(folder):
        for name in files:
            yield (Path(inside) / name).stat().st_size
