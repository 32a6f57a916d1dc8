"""Files by digest in a folder: two levels of folders by their first digits, each file written whole before it has its name."""

import errno
import os
import re
import secrets
import sys
from collections.abc import Callable, Iterator
from contextlib import suppress
from hashlib import sha256
from pathlib import Path

from sqlmodel import Session

from app.store.copies import held
from app.store.files.heads import digests_named
from app.store.files.in_database import InDatabase
from app.store.files.verbs import NotAsStored
from app.store.whose import make_private_folder
from app.store.writer import StoreFull, StoreReadOnly

DIGEST = re.compile(r"[0-9a-f]{64}")
PART = ".part"  # the end of a file's name while it is written
NEW = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
LEVEL = 2  # digits of a digest that name a folder: 256 in a level
FULL = frozenset({errno.ENOSPC, errno.EFBIG, errno.EIO, getattr(errno, "EDQUOT", errno.ENOSPC)})


def files_of(store: Path) -> Path:
    """The folder with the files of a store, beside it."""
    return store.with_name(store.name + ".files")


class Folder:
    """Files in a folder, which is made with the first. `read_back`: what is put is read again from the disk itself.

    Each raises OSError where the disk does not take or give it.
    """

    def __init__(self, folder: Path, read_back: bool = False) -> None:
        self.folder, self._read_back = folder, read_back
        self._named = set[Path]()  # folders whose names outlast a power cut

    def put(self, content: bytes) -> str:
        """Keeps a file unless it is there; its digest. When this returns, the file outlasts a power cut."""
        digest = sha256(content).hexdigest()
        file = self._place(digest)
        self._make_folders(file.parent)
        if self._is_kept(file, content):
            sync_folder(file.parent)  # whoever put it may have been killed before
        else:
            self._write(file, content)
        if self._read_back:
            self.get(digest)
        return digest

    def get(self, digest: str) -> bytes:
        """A file, proven by its digest. Raises NotAsStored."""
        try:
            content = self._place(digest).read_bytes()
        except FileNotFoundError:
            raise NotAsStored(digest) from None
        if sha256(content).hexdigest() != digest:
            raise NotAsStored(digest)
        return content

    def has(self, digest: str) -> bool:
        """Whether a file is there."""
        return self.size(digest) is not None

    def size(self, digest: str) -> int | None:
        """How many bytes a file has; None for one that is not there."""
        try:
            return self._place(digest).stat().st_size
        except (FileNotFoundError, NotADirectoryError):
            return None

    def digests(self) -> Iterator[str]:
        """The digests of all files, in order."""
        for file in self._files():
            if DIGEST.fullmatch(file.name):
                yield file.name

    def take_over(self, digest: str, other: "Folder") -> None:
        """Has a file that another folder has, with no second copy of it where the disk can do that. Raises NotAsStored."""
        content, file = other.get(digest), self._place(digest)
        self._make_folders(file.parent)
        try:
            os.link(other._place(digest), file)
            sync_folder(file.parent)
        except OSError:
            self.put(content)

    def _place(self, digest: str) -> Path:
        return self.folder / digest[:LEVEL] / digest[LEVEL : 2 * LEVEL] / digest

    def _files(self) -> Iterator[Path]:
        """All files of the folder, those that are being written too."""
        for first in _sorted(self.folder):
            for second in _sorted(first):
                yield from _sorted(second)

    def _is_kept(self, file: Path, content: bytes) -> bool:
        """Whether a file is there as it should be; it then counts as one that was put now."""
        try:
            if file.read_bytes() != content:
                return False
            os.utime(file)
        except FileNotFoundError:
            return False
        return True

    def _make_folders(self, folder: Path) -> None:
        """Has a file's folders be there after a power cut. Whoever made one may have been killed before its name was synced."""
        for one in (self.folder, folder.parent, folder):
            if not one.is_dir():
                make_private_folder(one)
            elif one in self._named:
                continue
            sync_folder(one.parent)
            self._named.add(one)

    def _write(self, file: Path, content: bytes) -> None:
        part = file.with_name(f".{file.name}-{secrets.token_hex(4)}{PART}")
        try:
            with os.fdopen(os.open(part, NEW, 0o600), "wb") as opened:
                opened.write(content)
                opened.flush()
                os.fsync(opened.fileno())
                if self._read_back and sys.platform == "linux":  # else reading it back would only read this computer's memory
                    os.posix_fadvise(opened.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)
            held.replace(part, file)
        except BaseException:
            with suppress(OSError):
                part.unlink(missing_ok=True)
            raise
        sync_folder(file.parent)


class StoreFolder(Folder):
    """The files of a store, beside it. `rows`: what of them could not be moved out of the store yet. `when_full`: called when the
    disk has no space for a file."""

    def __init__(self, folder: Path, rows: InDatabase, when_full: Callable[[], None]) -> None:
        super().__init__(folder)
        self._rows, self._when_full = rows, when_full

    def put(self, content: bytes) -> str:
        """As Folder.put. Raises StoreFull, StoreReadOnly."""
        try:
            return super().put(content)
        except OSError as wrong:
            if wrong.errno not in FULL:
                raise StoreReadOnly from wrong
            self._when_full()
            raise StoreFull from wrong

    def get(self, digest: str) -> bytes:
        """A file, proven by its digest. Raises NotAsStored."""
        try:
            return super().get(digest)
        except NotAsStored:
            return self._rows.get(digest)

    def size(self, digest: str) -> int | None:
        """How many bytes a file has; None for one that is not there."""
        size = super().size(digest)
        return self._rows.size(digest) if size is None else size

    def digests(self) -> Iterator[str]:
        """The digests of all files, in order."""
        return iter(sorted({*super().digests(), *self._rows.digests()}))

    def delete_unreferenced(self, before_wall_s: float) -> int:
        """Deletes what no head names and was put before a time (Unix seconds), what was never finished too; how many."""
        named: frozenset[str] = self._rows.read(digests_named)
        old = [file for file in self._files() if file.name not in named and _put_before(file, before_wall_s)]
        gone: int = self._rows.do(lambda session: self._delete(session, old, before_wall_s)) if old else 0
        return gone

    def _delete(self, session: Session, files: list[Path], before_wall_s: float) -> int:
        named = digests_named(session)  # now that nobody else writes a head
        gone = [file for file in files if file.name not in named and _put_before(file, before_wall_s)]
        return sum(held.is_removed(file) for file in gone)


def _put_before(file: Path, wall_s: float) -> bool:
    try:
        return file.stat().st_mtime < wall_s
    except FileNotFoundError:
        return False


def _sorted(folder: Path) -> list[Path]:
    try:
        return sorted(folder.iterdir())
    except (FileNotFoundError, NotADirectoryError):
        return []


def sync_folder(folder: Path) -> None:
    """Has the names in a folder outlast a power cut. Windows has nothing of the kind."""
    if sys.platform == "win32":
        return
    line = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(line)
    finally:
        os.close(line)
