"""The ballast: a file that takes up a little space, so that on a full disk there is something to throw overboard."""

import shutil
from pathlib import Path

BALLAST_BYTES = 1_000_000
AMPLE_BYTES = 64_000_000  # take the ballast back only when the disk has room again


class Ballast:
    """One megabyte beside the database. Released when the disk is full, taken back when there is ample space."""

    def __init__(self, path: Path) -> None:
        self.path = path

    @property
    def aboard(self) -> bool:
        """Whether the ballast is in place."""
        return self.path.exists()

    def release(self) -> None:
        """Frees the space."""
        self.path.unlink(missing_ok=True)

    def take(self) -> None:
        """Takes the space again if there is ample; a disk too full for it is no error."""
        try:
            if not self.aboard and shutil.disk_usage(self.path.parent).free > AMPLE_BYTES:
                self.path.write_bytes(b"\1" * BALLAST_BYTES)
        except OSError:
            self.release()
