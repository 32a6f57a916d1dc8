"""A server killed in the middle of writing: every mark that it acknowledged is there when it starts again."""

import subprocess
import sys
from pathlib import Path

import pytest

from app.store.database import Database
from app.store.ledger import Ledger
from tests.store.making import stored_ids

CHECKOUT = Path(__file__).parents[2]

TABLETS = """
import asyncio, sys
from app.store.database import Database
from app.store.ledger import Ledger
from tests.store.making import a_mark

ledger = Ledger(Database(sys.argv[1]))

async def tablet(number):
    for seq in range(1, 100_000):
        mark = a_mark(seq, device=f"tab_{number}")
        await ledger.append([mark], 1)
        sys.stdout.write(mark.id + "\\n")
        sys.stdout.flush()

async def hall():
    await asyncio.gather(*(tablet(n) for n in range(1, 11)))

asyncio.run(hall())
"""


@pytest.fixture
def url(sqlite_url: str) -> str:
    """A database server outlives the process: tests/faults/test_postgres.py kills both."""
    return sqlite_url


@pytest.mark.parametrize("marks", [1, 40, 333])
def test_what_was_acknowledged_before_the_kill_is_there_after_it(url: str, marks: int) -> None:
    server = subprocess.Popen([sys.executable, "-c", TABLETS, url], cwd=CHECKOUT, stdout=subprocess.PIPE, text=True)
    assert server.stdout is not None
    acknowledged = {server.stdout.readline().strip() for _ in range(marks)}
    server.kill()
    acknowledged |= {line.strip() for line in server.stdout if len(line) == 33}  # what it said before it died; no half lines
    server.stdout.close()
    server.wait()

    again = Database(url)
    assert acknowledged <= stored_ids(again)
    ledger = Ledger(again)
    marks_there = ledger.all_marks()
    assert len({mark.id for mark in marks_there}) == len(marks_there) >= marks
    assert all(ledger.held(f"tab_{n}").get(1, 0) == sum(mark.device == f"tab_{n}" for mark in marks_there) for n in range(1, 11))
    again.close()
