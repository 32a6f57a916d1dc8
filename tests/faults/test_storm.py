"""Forty tablets in a storm: nothing acknowledged is lost, nothing is stored twice; and a server that lies is found out.

The long one (50,000 marks, 200 kills) is a bench: `python3 -m app bench faults`.
"""

import sys
from pathlib import Path

import pytest

from tests.faults.imitated import ToldHall
from tests.faults.storm import storm
from tests.faults.table import TellOf

pytestmark = [
    pytest.mark.slow,
    pytest.mark.paced,
    pytest.mark.apart,
    pytest.mark.skipif(sys.platform == "win32", reason="the server is forked"),
]


def test_whatever_is_killed_cut_or_lost_every_mark_is_there_once(tmp_path: Path, tell_of: TellOf) -> None:
    told = ToldHall(tell_of, "40 tablets, the server killed four times, lines cut", tmp_path)
    outcome = storm("whole", tmp_path, tablets=40, marks=1_000, kills=4, listens=told.listen)
    assert outcome.acknowledged >= 1_000 and outcome.kills == 4
    assert outcome.resent > 50 and outcome.broken > 0, "marks were sent again, and answers were lost"
    assert (outcome.lost, outcome.doubled, outcome.unequal) == (0, 0, 0)


def test_a_server_that_acknowledges_before_it_commits_is_caught(tmp_path: Path) -> None:
    outcome = storm("early", tmp_path, tablets=10, marks=300, kills=3)
    assert outcome.lost > 0


def test_a_server_without_idempotent_ids_is_caught(tmp_path: Path) -> None:
    outcome = storm("doubling", tmp_path, tablets=10, marks=300, kills=3)
    assert outcome.doubled > 0 and outcome.unequal > 0
