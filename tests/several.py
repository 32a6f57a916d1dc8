"""`serve --processes N` over a PostgreSQL database, as a process that can be looked into, hurt and ended."""

import os
import signal
import subprocess
import tempfile
import time
from pathlib import Path

from app.paths import CHECKOUT
from app.rehearsal.serving import COMMAND, PATIENCE_S, answers


class Several:
    """Several server processes behind one port. Killing ends one child at a time; the parent starts it again by itself."""

    def __init__(self, url: str, data: Path, port: int, processes: int = 2, *flags: str) -> None:
        self.port = port
        self._turn = 0
        usual = ["--data", str(data), "--port", str(port), "--host", "127.0.0.1", "--no-browser", "--no-https"]
        with tempfile.TemporaryFile() as said:
            self.process = subprocess.Popen(
                [*COMMAND, "serve", *(flags or usual), "--processes", str(processes)],
                cwd=CHECKOUT,
                stdout=said,
                stderr=subprocess.DEVNULL,
                env={**os.environ, "DATABASE_URL": url},
            )
            until = time.monotonic() + PATIENCE_S
            # All of them: one that is still starting when its database is taken away ends, and is started again.
            while not (os.fstat(said.fileno()).st_size and answers("127.0.0.1", port)):
                if self.process.poll() is not None or time.monotonic() > until:
                    self.process.kill()  # its children end with it
                    raise AssertionError("the server did not start")
                time.sleep(0.02)

    def children(self) -> list[int]:
        """The process ids of those that serve."""
        listed = Path(f"/proc/{self.process.pid}/task/{self.process.pid}/children").read_text(encoding="ascii")
        return [int(pid) for pid in listed.split()]

    def start(self) -> None:
        """Nothing: the parent does it."""

    def kill(self) -> None:
        """Ends one child as a crash would."""
        found = self.children()
        if found:
            self._turn += 1
            os.kill(found[self._turn % len(found)], signal.SIGKILL)

    def close(self) -> None:
        """Ends the parent as a person would, and with it all."""
        self.process.send_signal(signal.SIGTERM)
        self.process.wait(PATIENCE_S)
