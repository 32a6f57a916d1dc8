"""The server as people start it: a process of its own on a port of its own, that a test can kill and start again."""

import signal
import subprocess
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager, redirect_stdout
from io import StringIO
from pathlib import Path

from app.cli import main
from app.rehearsal.serving import free_port
from app.results.competition_file import write_file
from app.rules.records.document import CompetitionFile
from app.rules.result.sealing import sealed
from tests.test_serving import ROOT, command, wait_for

PATIENCE_S = 20.0


class ServerProcess:
    """One data folder, served on one port. `url` is the server as the laptop itself reaches it, where a page is trusted."""

    def __init__(self, folder: Path, flags: Sequence[str] = (), port: int = 0) -> None:
        self._port = port or free_port()
        self.url = f"http://localhost:{self._port}"
        plain = () if "--https-port" in flags else ("--no-https",)  # the next port may be somebody else's
        self._command = command("serve", "--no-browser", "--port", str(self._port), "--data", str(folder), *plain, *flags)
        self._running: subprocess.Popen[bytes] | None = None

    @property
    def pid(self) -> int:
        """The process that runs."""
        assert self._running is not None
        return self._running.pid

    def start(self) -> None:
        """Starts the process and returns when it answers."""
        self._running = subprocess.Popen(self._command, cwd=ROOT, stdout=subprocess.DEVNULL)
        wait_for(self._port, self._running)

    def start_again(self) -> None:
        """Starts the process if it does not run."""
        if self._running is None:
            self.start()

    def kill(self) -> None:
        """Ends the process as a power cut does: nothing of it runs on."""
        self._end(signal.SIGKILL)

    def stop(self) -> None:
        """Ends the process as Ctrl-C does."""
        self._end(signal.SIGINT)

    def _end(self, how: signal.Signals) -> None:
        if self._running is None:
            return
        self._running.send_signal(how)
        try:
            self._running.wait(PATIENCE_S)
        finally:
            self._running.kill()
            self._running.wait(PATIENCE_S)
            self._running = None


def take_in(file: Path, folder: Path) -> None:
    """Reads a competition file into an empty data folder, by the command that people give.

    In this process, which has started; but in a thread of its own, for Playwright holds the loop of this one.
    """
    with redirect_stdout(StringIO()), ThreadPoolExecutor(1) as beside:
        assert beside.submit(main, ["import", str(file), "--data", str(folder)]).result() == 0


@contextmanager
def a_process(folder: Path, file: CompetitionFile | None = None, flags: Sequence[str] = ()) -> Iterator[ServerProcess]:
    """A started server; with a competition file, over that competition."""
    if file is not None:
        written = folder.with_suffix(".json")
        written.write_bytes(write_file(sealed(file)))
        take_in(written, folder)
    server = ServerProcess(folder, flags)
    server.start()
    try:
        yield server
    finally:
        server.kill()
