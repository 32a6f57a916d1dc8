"""What the server says while it runs: to its terminal, which may stand still, and to a log, which is bounded.

Where somebody selects text in a Windows console, or a pipe is full, whatever writes there stops until they are done. So a thread
writes, and what it can't keep up with is dropped and counted; judges never wait for a terminal.
"""

import logging
import os
import queue
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from logging.handlers import RotatingFileHandler
from pathlib import Path
from typing import Any, TextIO

MOST_WAITING = 2_000  # pieces of text; a start says some twenty
LOG_BYTES, LOG_FILES = 1_000_000, 3  # of the newest file, and how many older ones are kept beside it
LAST_WORDS_S = 1.0  # how long the end waits for what is still to be written
LOG = "lane-ledger.log"  # in the data folder
FORM = "%(asctime)s %(levelname)s %(name)s: %(message)s"


class Aside:
    """Does things one after another in a thread of its own, and lets nobody wait. What is too much is dropped: `dropped` of them.

    A process that was forked off begins with a thread and a queue of its own.
    """

    def __init__(self, most: int = MOST_WAITING) -> None:
        self._most = most
        self._begin()

    def _begin(self) -> None:
        self.dropped = 0
        self._pid = os.getpid()
        self._waiting: queue.Queue[Callable[[], object] | None] = queue.Queue(self._most)
        self._thread: threading.Thread | None = None
        self._starting = threading.Lock()

    def do(self, act: Callable[[], object]) -> None:
        """Does it soon, after what was asked before."""
        if self._pid != os.getpid():
            self._begin()
        try:
            self._waiting.put_nowait(act)
        except queue.Full:
            self.dropped += 1
            return
        if self._thread is None:
            with self._starting:
                self._thread = self._thread or self._started()

    def finish(self, wait_s: float = LAST_WORDS_S) -> None:
        """Waits a while for all of it to be done."""
        if self._thread is None or self._pid != os.getpid():
            return
        with suppress(queue.Full):
            self._waiting.put_nowait(None)
            self._thread.join(wait_s)

    def _started(self) -> threading.Thread:
        thread = threading.Thread(target=self._work, daemon=True, name="aside")
        thread.start()
        return thread

    def _work(self) -> None:
        while (act := self._waiting.get()) is not None:
            with suppress(Exception):  # a terminal that is gone, a disk that is full: there is nobody to tell
                act()


class NeverBlocks:
    """A stream like another one, whose writing is done aside."""

    def __init__(self, stream: TextIO, aside: Aside) -> None:
        self._stream, self._aside = stream, aside

    def write(self, text: str) -> int:
        """Writes soon."""
        self._aside.do(lambda: self._write(text))
        return len(text)

    def flush(self) -> None:
        """All is flushed as it is written; nobody waits for it here."""

    def _write(self, text: str) -> None:
        self._stream.write(text)
        self._stream.flush()

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)


class LogAside(logging.Handler):
    """Hands records to another handler, aside."""

    def __init__(self, handler: logging.Handler, aside: Aside) -> None:
        super().__init__(handler.level)
        self._handler, self._aside = handler, aside

    def emit(self, record: logging.LogRecord) -> None:
        """Writes it soon."""
        self._aside.do(lambda: self._handler.handle(record))

    def close(self) -> None:
        """Closes the other handler, after all that is still to be written."""
        super().close()
        self._aside.do(self._handler.close)


@contextmanager
def said_aside(folder: Path) -> Iterator[None]:
    """While this lasts nothing that is printed or logged can hold the process up; what is logged is kept in the folder too."""
    out, err = sys.stdout, sys.stderr
    terminal, disk = Aside(), Aside()
    sys.stdout, sys.stderr = NeverBlocks(out, terminal), NeverBlocks(err, terminal)
    handlers: list[logging.Handler] = [logging.StreamHandler(sys.stderr), *_on_disk(folder / LOG, disk)]
    for handler in handlers:
        handler.setLevel(logging.WARNING)
        logging.getLogger().addHandler(handler)
    try:
        yield
    finally:
        for handler in handlers:
            logging.getLogger().removeHandler(handler)
            handler.close()
        sys.stdout, sys.stderr = out, err
        terminal.finish()
        disk.finish()


class Kept(RotatingFileHandler):
    """The log's files, which nobody but their owner reads: addresses and names may stand in them."""

    def _open(self) -> Any:
        return open(
            self.baseFilename,
            "a",
            encoding="utf-8",
            errors="backslashreplace",
            opener=lambda file, flags: os.open(file, flags, 0o600),
        )


def _on_disk(file: Path, aside: Aside) -> Iterator[logging.Handler]:
    try:
        kept = Kept(file, maxBytes=LOG_BYTES, backupCount=LOG_FILES)
    except OSError:
        return  # what can't be kept is still said on the terminal
    kept.setFormatter(logging.Formatter(FORM))
    yield LogAside(kept, aside)
