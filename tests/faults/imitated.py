"""Ears in a hall whose tablets the test imitates: what they were told is safe, what desk and /health say meanwhile."""

from collections.abc import Iterable, Iterator
from contextlib import suppress
from pathlib import Path

import psycopg

from app.rehearsal.turns import turn_about
from app.rules.workout.formats import Format
from tests.builders.halls import STORE
from tests.faults import hearing
from tests.faults.ground import Acked, Ground, Held, Lane, in_file, on_server
from tests.faults.hearing import Said, now_ms
from tests.faults.table import TellOf
from tests.faults.teller import Ear, Teller


class ToldHall:
    """The hall of a server that is about to be hurt. url: of its store, where that is on a database server; format: of its heat,
    where that is another than a hall is made with."""

    def __init__(self, tell_of: TellOf, fault: str, data: Path, url: str = "", format: Format | None = None) -> None:
        self._holds = (lambda: on_server(url)) if url else (lambda: in_file(data / STORE))
        self._known = Held([])
        windows = tuple((window.start * 1000.0, window.end_ms) for window in (format or turn_about()).windows)
        self.ground = Ground(self._look, windows=windows, besides=frozenset({"several processes"} if url else ()))
        self.teller: Teller = tell_of(fault, self.ground)

    def listen(self, tablets: Iterable[Acked], port: int, token: str, answers: Iterable[str] = ()) -> None:
        """What was acknowledged, what `answers` said, and what /health and the desk say now is true. No token: not the desk."""
        for one in tablets:
            self.ground.lanes.setdefault(one.lane, Lane(open=False)).told(one)
        acked = [Said("answer", lane, f"{len(one.acked)} acknowledged", now_ms()) for lane, one in self.ground.lanes.items()]
        told = [Said("answer", 0, words, now_ms()) for words in answers]
        self.listen_to([lambda: acked, lambda: told], port, token)

    def listen_to(self, ears: Iterable[Ear], port: int, token: str) -> None:
        """What these hear, and what /health and the desk say now is true."""
        self.teller.listen(*ears, lambda: self._at_desk(port, token), lambda: hearing.health(port))

    def _look(self) -> Held:
        """What the store holds; while its database server is dead, what it held."""
        with suppress(psycopg.OperationalError):
            self._known = self._holds()
        return self._known

    def _at_desk(self, port: int, token: str) -> Iterator[Said]:
        if self.ground.runs and token:
            yield from hearing.at_desk(lambda path: hearing.fetched(port, path, token)[1])
