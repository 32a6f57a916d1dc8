"""Writes `wheels.txt`: what each file of the locks is called, as the package index told it when the packages were locked.

    python3 -m tests.first_start.listing PYLOCK

PYLOCK is the lock in the form of PEP 751, which names the files beside their hashes; DEVELOPERS.md says how it is made. Addresses
are left out.
"""

import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

WHEELS = Path(__file__).with_name("wheels.txt")
HASH_CHARACTERS = 16  # enough to tell two thousand files apart


def listed(pylock: str) -> list[str]:
    """A line for each file: the beginning of its hash, its name."""
    return sorted(line for package in tomllib.loads(pylock)["packages"] for line in _files(package))


def _files(package: dict[str, object]) -> Iterator[str]:
    source = package.get("sdist")
    for file in (*package.get("wheels", ()), *([source] if source else [])):  # type: ignore[misc]
        yield f"{file['hashes']['sha256'][:HASH_CHARACTERS]} {file['url'].rsplit('/', 1)[1]}"  # type: ignore[index]


if __name__ == "__main__":
    WHEELS.write_text("\n".join(listed(Path(sys.argv[1]).read_text(encoding="utf-8"))) + "\n", encoding="utf-8")
