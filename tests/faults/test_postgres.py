"""The same storms on PostgreSQL: over one server process, over one of several, and over the database server itself.

The long one is a bench: `python3 -m app bench faults`.
"""

import http.client
import json
import sys
import threading
import time
from pathlib import Path

import pytest

from app.rehearsal.serving import PATIENCE_S, answers
from tests.faults.imitated import ToldHall
from tests.faults.storm import storm, storm_over
from tests.faults.table import TellOf
from tests.postgres import Cluster, needed_cluster
from tests.several import Several

pytestmark = [pytest.mark.slow, pytest.mark.paced, pytest.mark.skipif(sys.platform == "win32", reason="the server is forked")]


@pytest.fixture(scope="module")
def durable() -> Cluster:
    """A database server that writes to the disk before it says so, and may be ended at any moment."""
    return needed_cluster(own=True)


class OverDatabase(Several):
    """Killing ends the database server; the two processes above it go on."""

    def __init__(self, cluster: Cluster, url: str, data: Path, port: int, hall: ToldHall) -> None:
        super().__init__(url, data, port)
        self._cluster, self._hall = cluster, hall
        self.told: list[tuple[int, str]] = []

    def start(self) -> None:
        """Starts the database server again; nobody tells the processes."""
        if not self._cluster.running:
            self._cluster.start()
            self._hall.ground.takes = True

    def kill(self) -> None:
        """Ends the database server without letting it finish anything, and asks for something meanwhile."""
        before = self.children()
        self._cluster.stop("immediate")
        self._hall.ground.takes = False
        self.told.append(asked(self.port))
        self._hall.listen([], self.port, "", answers=[self.told[-1][1]])
        assert self.children() == before, "nobody dies of it"

    def close(self) -> None:
        """Ends everything but the database server, which others need."""
        self.start()
        super().close()


def asked(port: int) -> tuple[int, str]:
    """What a device that nobody knows yet is told about its marks: status and sentence. A busy machine may cut a slow one."""
    until = time.monotonic() + PATIENCE_S
    while True:
        try:
            return asked_once(port)
        except ConnectionError:
            assert time.monotonic() < until


def asked_once(port: int) -> tuple[int, str]:
    """One try."""
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)
    line.request("POST", "/marks", b'{"marks":[]}', {"Content-Type": "application/json", "Cookie": "ll_device=nobody"})
    answer = line.getresponse()
    said = answer.status, str(json.loads(answer.read())["sentence"])
    line.close()
    return said


def test_whatever_is_killed_cut_or_lost_every_mark_is_there_once(durable: Cluster, tmp_path: Path, tell_of: TellOf) -> None:
    url = durable.ready_store()
    told = ToldHall(tell_of, "PostgreSQL: the server killed three times, lines cut", tmp_path, url)
    outcome = storm("whole", tmp_path, tablets=20, marks=500, kills=3, url=url, listens=told.listen)
    assert outcome.acknowledged >= 500 and outcome.kills == 3
    assert outcome.resent > 25 and outcome.broken > 0, "marks were sent again, and answers were lost"
    assert (outcome.lost, outcome.doubled, outcome.unequal) == (0, 0, 0)


def test_a_server_that_acknowledges_before_it_commits_is_caught(durable: Cluster, tmp_path: Path) -> None:
    outcome = storm("early", tmp_path, tablets=10, marks=300, kills=3, url=durable.ready_store())
    assert outcome.lost > 0


def test_a_server_without_idempotent_ids_is_caught(durable: Cluster, tmp_path: Path) -> None:
    outcome = storm("doubling", tmp_path, tablets=10, marks=300, kills=3, url=durable.ready_store())
    assert outcome.doubled > 0


def test_of_two_processes_one_is_killed_again_and_again_and_nobody_loses_a_mark(
    durable: Cluster, tmp_path: Path, tell_of: TellOf
) -> None:
    url = durable.ready_store()
    told = ToldHall(tell_of, "PostgreSQL: one of two processes killed three times", tmp_path, url)
    outcome = storm_over(lambda port: Several(url, tmp_path, port), tmp_path, 20, 500, 3, url=url, listens=told.listen)
    # What a killed process leaves unanswered on a tablet's line may all go to the other one by request: no line need break.
    assert outcome.acknowledged >= 500 and outcome.kills == 3 and outcome.resent > 0
    assert (outcome.lost, outcome.doubled, outcome.unequal) == (0, 0, 0)


def test_the_database_server_is_killed_and_everything_acknowledged_is_there_when_it_is_back(
    durable: Cluster, tmp_path: Path, tell_of: TellOf
) -> None:
    url = durable.ready_store()
    told = ToldHall(tell_of, "PostgreSQL itself killed twice under two processes", tmp_path, url)
    made: list[OverDatabase] = []

    def make(port: int) -> OverDatabase:
        made.append(OverDatabase(durable, url, tmp_path, port, told))
        return made[0]

    outcome = storm_over(make, tmp_path, 20, 400, 2, url=url, listens=told.listen)
    assert outcome.acknowledged >= 400 and outcome.kills == 2 and outcome.resent > 0
    assert (outcome.lost, outcome.doubled, outcome.unequal) == (0, 0, 0)
    assert {status for status, _ in made[0].told} == {503}
    assert all("database can't be reached just now" in sentence for _, sentence in made[0].told)


def test_the_children_end_with_their_parent_even_if_it_is_killed(durable: Cluster, tmp_path: Path) -> None:
    from app.rehearsal.serving import free_port

    several = Several(durable.ready_store(), tmp_path, free_port())
    children = several.children()
    assert len(children) == 2
    several.process.kill()
    several.process.wait()
    ended = threading.Event()
    for _ in range(400):
        if not any(Path(f"/proc/{child}").exists() for child in children):
            break
        ended.wait(0.05)
    assert not any(Path(f"/proc/{child}").exists() for child in children)
    assert not answers("127.0.0.1", several.port)
