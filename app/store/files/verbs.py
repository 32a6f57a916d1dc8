"""What can be done with files by their digest, wherever they lie: the verbs of an object store."""

from collections.abc import Iterator
from typing import Protocol


def short(digest: str) -> str:
    """A digest as people are told which it is."""
    return f"{digest[:12]}…"


class NotAsStored(LookupError):
    """Raised where a file is not there, or is not what its digest says; its text is a sentence."""

    def __init__(self, digest: str) -> None:
        super().__init__(f"The file {short(digest)} is not there any more, or is not as it was when it came.")


class Files(Protocol):
    """Files by the SHA-256 of their bytes, 64 hex digits. What cannot be done raises a StoreTrouble, and then nothing was."""

    def put(self, content: bytes) -> str:
        """Keeps a file unless it is there; its digest. When this returns, the file outlasts a power cut."""

    def get(self, digest: str) -> bytes:
        """A file, proven by its digest. Raises NotAsStored."""

    def has(self, digest: str) -> bool:
        """Whether a file is there."""

    def size(self, digest: str) -> int | None:
        """How many bytes a file has; None for one that is not there."""

    def digests(self) -> Iterator[str]:
        """The digests of all files, in order."""

    def delete_unreferenced(self, before_wall_s: float) -> int:
        """Deletes what no head names and was put before a time (Unix seconds); how many files that were."""
