"""A laptop of its own beside a demo: a server for this computer alone, which ends when whoever began it is gone.

What it begins with comes as one line of JSON. Whoever began it holds the other end of that line, until it is to end.
"""

import os
import signal
import sys
import threading
import time
from pathlib import Path

from pydantic import BaseModel

from app.doors.logins import set_first_password
from app.files import in_hall
from app.hall.devices import Caller
from app.hall.hall import Hall
from app.results.publishing import import_file
from app.serving import serve
from app.settings import Settings

HERE = "127.0.0.1"
ENDS_S = 10.0


class Begins(BaseModel):
    """What it begins with: its folder, the desk's password, the competition file in it as text."""

    data: Path
    password: str
    competition: str


async def fill(hall: Hall, begins: Begins) -> None:
    """Puts what it begins with into an empty hall."""
    await import_file(hall, begins.competition.encode())
    await set_first_password(hall, begins.password, begins.password, Caller(HERE), "")


def main() -> int:
    """Fills the folder and serves it."""
    begins = Begins.model_validate_json(sys.stdin.buffer.readline())
    settings = Settings(data=begins.data, host=HERE, port=0, open_browser=False, database_url="")
    in_hall(settings, lambda hall: fill(hall, begins))
    threading.Thread(target=_end_with_whoever_began_it, daemon=True).start()
    return serve(settings)


def _end_with_whoever_began_it() -> None:
    while sys.stdin.buffer.read(1):
        pass
    signal.raise_signal(signal.SIGINT)
    time.sleep(ENDS_S)
    os._exit(1)


if __name__ == "__main__":
    sys.exit(main())
