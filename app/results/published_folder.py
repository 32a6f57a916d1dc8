"""A folder of published pages that is kept as the competition is: what changed is written, what is gone is taken away.

What stands there is told by a list in it, with the SHA-256 of each file, so that it can go on after a stop, so that no file of
somebody else is touched, and so that whatever carries the folder to a web space can see what is new.
"""

import hashlib
import json
from collections.abc import Callable, Mapping
from pathlib import Path, PurePosixPath

from app.store.copies import held

LIST = "published.json"
FIRST_PAGE = "index.html"

Write = Callable[[Path, bytes], None]


class NotOurs(ValueError):
    """Raised for a folder that holds something else; its text is the sentence to show."""


class PublishedFolder:
    """A folder and what was written into it, by path. Raises NotOurs. `write` puts one file there whole or not at all, and makes
    the folders that it is in."""

    def __init__(self, folder: Path, write: Write) -> None:
        self.folder = folder
        self._write = write
        self._digests = _listed(folder)

    def differs(self, files: Mapping[str, bytes]) -> bool:
        """Whether the folder holds anything else than these files."""
        return self._digests != _digests(files)

    def take(self, files: Mapping[str, bytes]) -> tuple[str, ...]:
        """Makes the folder hold these files; the paths of those that changed or went, in their order.

        The first page comes last, so that it never names a file that is not there yet.
        """
        digests = _digests(files)
        if not (self.folder / LIST).exists():  # so that a folder that is half written is known as ours the next time
            self._tell(self._digests)
        new = sorted((path for path in files if self._digests.get(path) != digests[path]), key=lambda path: path == FIRST_PAGE)
        for path in new:
            self._write(self.folder / path, files[path])
        old = sorted(self._digests.keys() - digests.keys())
        gone = [path for path in old if held.is_removed(self.folder / path)]
        digests |= {path: self._digests[path] for path in old if path not in gone}  # somebody has it open: the next time
        if new or gone:
            self._tell(digests)
            self._digests = digests
        return (*new, *gone)

    def _tell(self, digests: Mapping[str, str]) -> None:
        self._write(self.folder / LIST, (json.dumps(digests, indent=1, sort_keys=True) + "\n").encode())


def _digests(files: Mapping[str, bytes]) -> dict[str, str]:
    return {path: hashlib.sha256(content).hexdigest() for path, content in files.items()}


def is_new(folder: Path) -> bool:
    """Whether nothing stands at a folder's place, or an empty folder. Raises NotOurs where that can't be known."""
    try:
        return not folder.exists() or (folder.is_dir() and not any(folder.iterdir()))
    except OSError as wrong:
        raise NotOurs(f"{folder} can't be looked into: {wrong.strerror}.") from None


def _listed(folder: Path) -> dict[str, str]:
    """What was published into a folder before; nothing for a new or empty one."""
    if is_new(folder):
        return {}
    refused = NotOurs(f"{folder} holds something else. Choose a new or empty folder, or one published into before.")
    try:
        listed = json.loads((folder / LIST).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        raise refused from None
    if not isinstance(listed, dict) or not all(_stays_inside(path) and isinstance(told, str) for path, told in listed.items()):
        raise refused
    return {path: told for path, told in listed.items() if (folder / path).is_file()}


def _stays_inside(path: str) -> bool:
    """Whether a path leads to a file in the folder and nowhere else."""
    pure = PurePosixPath(path)
    return bool(pure.parts) and not pure.is_absolute() and ".." not in pure.parts and "\\" not in path and ":" not in path
