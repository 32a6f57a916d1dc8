"""The line between server processes: an ear that hears what the database tells, and a mouth for words that nobody keeps.

Both are threads with a connection each. A line that is lost is made again by itself; whoever listens is told of both.
"""

import logging
import queue
import threading
from collections.abc import Callable
from typing import Any

from sqlalchemy import Engine

from app.store.engines import line_engine
from app.store.writer import is_away

log = logging.getLogger(__name__)

LOOK_S = 0.25  # how often the ear looks whether it is wanted any longer
AGAIN_S = (0.1, 0.2, 0.5, 1.0, 2.0)  # pauses between tries to be connected again
MOST_BYTES = 7_900  # of one word: the database takes 8,000
MOST_AT_ONCE = 200

SAY = "SELECT pg_notify('lane_ledger_' || current_schema(), word) FROM unnest(%s::text[]) AS word"


class Line:
    """One process's line; `origin` names the process. `heard`, `up` and `down` are called on the ear's thread."""

    def __init__(
        self, url: str, origin: str, heard: Callable[[str], None], up: Callable[[], None], down: Callable[[], None]
    ) -> None:
        self._heard, self._up, self._down = heard, up, down
        self._engine: Engine = line_engine(url, origin)
        self._words: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        self._closed = threading.Event()
        self._renew = threading.Event()
        parts = (self._ear, self._mouth)
        self._threads = [threading.Thread(target=part, daemon=True, name=f"line{part.__name__}") for part in parts]

    def open(self) -> None:
        """Begins to listen and to speak."""
        for thread in self._threads:
            thread.start()

    def say(self, word: str) -> bool:
        """Tells every process, this one too, soon and in order. False for a word that is too long; it is not said."""
        if len(word.encode()) > MOST_BYTES:
            return False
        self._words.put(word)
        return True

    def renew(self) -> None:
        """Makes the ear's connection anew: it hears nothing any more, though nobody has hung up."""
        self._renew.set()

    def close(self) -> None:
        """Ends both."""
        self._closed.set()
        self._words.put(None)
        for thread in self._threads:
            if thread.is_alive():
                thread.join()
        self._engine.dispose()

    def _ear(self) -> None:
        tries = 0
        while not self._closed.is_set():
            try:
                self._listen()
                tries = 0
            except Exception as wrong:
                if not is_away(wrong):
                    log.exception("The line to the other server processes failed; it is tried again")
            if not self._closed.is_set():
                self._down()
                self._closed.wait(AGAIN_S[min(tries, len(AGAIN_S) - 1)])
                tries += 1

    def _listen(self) -> None:
        """Listens until the connection is lost, told to be renewed, or closed."""
        self._renew.clear()
        borrowed = self._engine.raw_connection()
        raw: Any = borrowed.driver_connection
        try:
            channel = raw.execute("SELECT 'lane_ledger_' || current_schema()").fetchone()[0]
            raw.execute(f'LISTEN "{channel}"')
            self._up()
            while not (self._closed.is_set() or self._renew.is_set()):
                for notice in raw.notifies(timeout=LOOK_S):
                    self._heard(notice.payload)
        finally:
            borrowed.invalidate()

    def _mouth(self) -> None:
        while (word := self._words.get()) is not None:
            words = [word]
            while len(words) < MOST_AT_ONCE and not self._words.empty():
                following = self._words.get()
                if following is None:
                    self._words.put(None)
                    break
                words.append(following)
            self._speak(words)

    def _speak(self, words: list[str]) -> None:
        """Words are news of the moment: those that can't be said are dropped, and said better a moment later."""
        try:
            borrowed = self._engine.raw_connection()
        except Exception as wrong:
            log.debug("Nothing could be said to the other processes: %s", wrong)
            return
        raw: Any = borrowed.driver_connection
        try:
            raw.execute(SAY, (words,))
        except Exception as wrong:
            borrowed.invalidate()
            log.debug("Nothing could be said to the other processes: %s", wrong)
        else:
            borrowed.close()
