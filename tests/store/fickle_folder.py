"""A file system that loses power, for the folder of files by their digest: what that does is noted, and a cut is played back.

What was synced is there: a file's bytes after its own sync, a name in a folder after the folder's. Of the rest each name was
changed or not, by chance and for itself, and a file has any of its sectors, or zeros. (POSIX promises no more.)
"""

import os
import random
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from types import ModuleType
from typing import IO, Any
from unittest.mock import patch

from app.store.copies import held
from app.store.files import folder as subject
from app.store.whose import make_private_folder

SECTOR = 512


class Killed(BaseException):
    """Raised in the process that is killed."""


@dataclass
class Noted:
    """What a folder did, step by step: what, where, and with what. kill_at: the step before which the process is killed."""

    steps: list[tuple[str, Path, Any]] = field(default_factory=list)
    kill_at: int = -1
    forgets: frozenset[str] = frozenset()  # of `file`, `folder`: what is never synced by a store that is broken on purpose

    def note(self, what: str, where: Path, told: Any = None) -> None:
        if len(self.steps) == self.kill_at:
            self.kill_at = -1
            raise Killed
        self.steps.append((what, where, told))

    def told(self, digest: str) -> None:
        """Somebody was told that this file is kept."""
        self.steps.append(("told", Path(), digest))


class _System:
    """The operating system as the folder calls it, noted before it is done."""

    def __init__(self, noted: Noted) -> None:
        self._noted, self._where = noted, dict[int, Path]()

    def __getattr__(self, name: str) -> Any:
        return getattr(os, name)

    def open(self, where: Path, flags: int, *mode: int) -> int:
        if flags & os.O_CREAT:
            self._noted.note("new", where)
        line = os.open(where, flags, *mode)
        self._where[line] = where
        return line

    def fdopen(self, line: int, mode: str) -> IO[bytes]:
        noted, where, file = self._noted, self._where[line], os.fdopen(line, mode)
        write = file.write

        class Written:
            def __enter__(self) -> "Written":
                return self

            def __exit__(self, *_: object) -> None:
                file.close()

            def __getattr__(self, name: str) -> Any:
                return getattr(file, name)

            def write(self, content: bytes) -> int:
                noted.note("written", where, bytes(content))
                return write(content)

        made: Any = Written()
        return made  # type: ignore[no-any-return]

    def fsync(self, line: int) -> None:
        where = self._where[line]
        kind = "folder" if where.is_dir() else "file"
        if kind not in self._noted.forgets:
            self._noted.note(f"{kind} synced", where)


@contextmanager
def noted_by(noted: Noted, *writers: ModuleType) -> Iterator[None]:
    """Lets every folder of files be noted, and what else these modules write."""

    class Held:
        def __getattr__(self, name: str) -> Any:
            return getattr(held, name)

        def replace(self, old: Path, new: Path) -> None:
            noted.note("renamed", old, new)
            held.replace(old, new)

    def make(where: Path) -> None:
        noted.note("folder made", where)
        make_private_folder(where)

    imitated = {"os": _System(noted), "held": Held(), "make_private_folder": make}
    with ExitStack() as stack:
        for module in (subject, *writers):
            for name in imitated.keys() & vars(module).keys():
                stack.enter_context(patch.object(module, name, imitated[name]))
        yield


def left_by_a_cut(noted: Noted, moment: int, root: Path, left: Path, chance: random.Random) -> set[str]:
    """Makes in `left` what a cut after so many steps leaves of `root`; what was told to be kept until then."""
    names: dict[Path, list[tuple[str, Path, Any]]] = {}  # by folder, what was done to its names since it was synced
    here: dict[Path, Path | None] = {root: None}  # what has a name for ever: a file by the path that it was written at
    bytes_of: dict[
        Path, tuple[bytes, bool]
    ] = {}  # by the path that a file was written at, and which of those it is: its bytes, and whether they are synced
    newest: dict[Path, Path] = {}  # by the path that a file is written at
    told = set[str]()
    for what, where, more in noted.steps[:moment]:
        match what:
            case "told":
                told.add(more)
            case "new":
                newest[where] = where.with_name(f"{where.name}#{len(bytes_of)}")
                bytes_of[newest[where]] = b"", False
                names.setdefault(where.parent, []).append((what, where, newest[where]))
            case "written":
                bytes_of[newest[where]] = bytes_of[newest[where]][0] + more, False
            case "file synced":
                bytes_of[newest[where]] = bytes_of[newest[where]][0], True
            case "renamed":
                names.setdefault(where.parent, []).append((what, where, more))
            case "folder made":
                names.setdefault(where.parent, []).append((what, where, None))
            case "folder synced":
                for step in names.pop(where, []):
                    _change(here, *step)
    for steps in names.values():
        for step in steps:
            if chance.random() < 0.5:
                _change(here, *step)
    for where, written_at in sorted(here.items()):
        if all(above in here for above in (where, *where.parents) if root in above.parents):
            _make(left / where.relative_to(root), written_at, bytes_of, chance)
    return told


def _change(here: dict[Path, Path | None], what: str, where: Path, more: Any) -> None:
    if what == "renamed":
        if where in here:
            here[more] = here.pop(where)
    else:
        here[where] = more


def _make(where: Path, written_at: Path | None, bytes_of: dict[Path, tuple[bytes, bool]], chance: random.Random) -> None:
    if written_at is None:
        where.mkdir(exist_ok=True)
        return
    content, synced = bytes_of[written_at]
    if not synced:
        sectors = [content[at : at + SECTOR] for at in range(0, len(content), SECTOR)]
        content = b"".join(one if chance.random() < 0.5 else bytes(len(one)) for one in sectors)[
            : chance.randint(0, len(content))
        ]
    where.write_bytes(content)
