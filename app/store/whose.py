"""Whose store it is: an id given once, when a store is made. Its backups carry it, and so does what is restored from them.

A competition read in from a file gets an id of its own: from then on it is another ledger, which may be kept beside the first.
The hall whose competition files leave this store is told by a secret beside it, which an import takes over: where a laptop was
replaced, the hall is the same.
On a computer that several people use, what is kept is its owner's alone.
"""

import os
import secrets
from contextlib import suppress
from pathlib import Path

from sqlmodel import Session

from app.rules.records.document import Ledger, ledger_id
from app.store.devices import get_setting, put_setting, put_setting_once

SETTING = "ledger"  # the name under which a store keeps its own id
SECRET = "hall_secret"  # what its competition files are proven and salted by
SECRET_BYTES = 32
ID_BYTES = 6  # 12 letters: enough for every ledger that ever shares a folder with another, and short in a file's name


def ledger_of(session: Session) -> str:
    """The id of the ledger, 12 hexadecimal digits; empty for a store that no server has opened since it has one."""
    return get_setting(session, SETTING) or ""


def give_an_id(session: Session) -> None:
    """Gives a store its id unless it has one; of two who try, one succeeds."""
    put_setting_once(session, SETTING, secrets.token_hex(ID_BYTES))


def hall_of(session: Session) -> Ledger | None:
    """Whose the competition files of this store are; None until `give_a_secret`."""
    secret = get_setting(session, SECRET)
    return None if secret is None else Ledger(id=ledger_id(secret), secret=secret)


def give_a_secret(session: Session) -> None:
    """Gives a store its hall's secret unless it has one; of two who try, one succeeds."""
    put_setting_once(session, SECRET, secrets.token_hex(SECRET_BYTES))


def take_over(session: Session, ledger: Ledger | None) -> None:
    """Goes on as the hall of a file that was read in; as a new one without."""
    put_setting(session, SECRET, (ledger and ledger.secret) or secrets.token_hex(SECRET_BYTES))


def make_private_folder(folder: Path) -> None:
    """Makes a folder, and those above it, unless it is there; whose we make nobody else may look into. Raises OSError."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)


def make_private(file: Path) -> None:
    """Makes a file that nobody else may read, or one that is there so. Raises OSError where it can't be made."""
    os.close(os.open(file, os.O_WRONLY | os.O_CREAT, 0o600))
    with suppress(OSError):  # a stick has no owners; and a file that somebody else lent us stays as they have it
        file.chmod(0o600)
