"""What of the locks an installer would take on another computer: by the names of the files that the index offered, and by nothing
else. That a file is named for a system does not prove that it runs there.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from packaging.requirements import Requirement
from packaging.tags import Tag, compatible_tags, cpython_tags, mac_platforms
from packaging.utils import InvalidWheelFilename, canonicalize_name, parse_wheel_filename

from tests.first_start.listing import HASH_CHARACTERS, WHEELS

ROOT = Path(__file__).resolve().parents[2]
RUN, POSTGRESQL = ROOT / "requirements.lock", ROOT / "requirements-postgresql.lock"

# The C library of a Linux: 2.28, that of 2018 (Debian 10), is the oldest that the files are for.
GLIBC = 28


@dataclass(frozen=True, slots=True)
class System:
    """A kind of computer: what Python calls it (`sys.platform`, `os.name`, `platform.machine()`), and which files suit it."""

    name: str
    platform: str
    os: str
    machine: str
    suits: tuple[str, ...]

    def markers(self, python: str) -> dict[str, str]:
        """What the markers of a lock are decided by."""
        return {
            "sys_platform": self.platform,
            "os_name": self.os,
            "platform_machine": self.machine,
            "platform_system": {"win32": "Windows", "darwin": "Darwin"}.get(self.platform, "Linux"),
            "platform_python_implementation": "CPython",
            "implementation_name": "cpython",
            "python_version": python,
            "python_full_version": f"{python}.0",
        }

    def tags(self, python: str) -> frozenset[Tag]:
        """The tags of files that a usual Python of this version would take here."""
        version = tuple(map(int, python.split(".")))
        interpreter = f"cp{''.join(python.split('.'))}"
        return frozenset(
            (
                *cpython_tags(version, platforms=self.suits),
                *compatible_tags(version, interpreter, self.suits),
            )
        )


def _linux(machine: str) -> tuple[str, ...]:
    return (*(f"manylinux_2_{minor}_{machine}" for minor in range(GLIBC, 4, -1)), f"manylinux2014_{machine}")


def mac(release: tuple[int, int], machine: str) -> System:
    """A Mac of one release of its system."""
    return System(f"macOS {release[0]} {machine}", "darwin", "posix", machine, tuple(mac_platforms(release, machine)))


WINDOWS = System("Windows x64", "win32", "nt", "AMD64", ("win_amd64",))
WINDOWS_ARM = System("Windows on ARM", "win32", "nt", "ARM64", ("win_arm64",))
WINDOWS_32 = System("Windows, 32-bit Python", "win32", "nt", "x86", ("win32",))
LINUX = System("Linux x86-64", "linux", "posix", "x86_64", _linux("x86_64"))
LINUX_ARM = System("Linux ARM64", "linux", "posix", "aarch64", _linux("aarch64"))


def lacking(system: System, python: str, *locks: Path) -> list[str]:
    """The packages of which an installer that builds nothing finds no file for a system and a version of Python."""
    suitable = system.tags(python)
    wanted = [
        pin for lock in locks for pin in pins(lock) if pin[0].marker is None or pin[0].marker.evaluate(system.markers(python))
    ]
    return [str(pin) for pin, hashes in wanted if not any(tags & suitable for tags in offered(pin, hashes))]


def offered(pin: Requirement, hashes: frozenset[str]) -> Iterator[frozenset[Tag]]:
    """The tags of each file of a pin whose hash the lock holds."""
    for fingerprint, name, version, tags in wheels():
        if fingerprint in hashes and name == canonicalize_name(pin.name) and pin.specifier.contains(version):
            yield tags


@cache
def pins(lock: Path) -> tuple[tuple[Requirement, frozenset[str]], ...]:
    """What a lock names, with the beginnings of the hashes that it takes."""
    blocks = lock.read_text(encoding="utf-8").replace("\\\n", " ").splitlines()
    return tuple(
        (Requirement(block.split("--hash")[0].strip()), frozenset(re.findall(rf"sha256:(.{{{HASH_CHARACTERS}}})", block)))
        for block in blocks
        if "==" in block
    )


@cache
def wheels() -> tuple[tuple[str, str, str, frozenset[Tag]], ...]:
    """The kept list: the beginning of each file's hash, its package, version and tags."""
    return tuple(_read(WHEELS.read_text(encoding="utf-8").splitlines()))


def _read(lines: list[str]) -> Iterator[tuple[str, str, str, frozenset[Tag]]]:
    for line in lines:
        fingerprint, file = line.split(" ")
        try:
            name, version, _, tags = parse_wheel_filename(file)
        except InvalidWheelFilename:
            continue  # a source: nothing is built
        yield fingerprint, name, str(version), tags
