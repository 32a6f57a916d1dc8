"""The demo's password: made at each start, kept in memory alone, and shown to whoever sits at the computer itself."""

import secrets

from app.doors.letting_in import WORDS
from app.hall.hall import Hall
from app.lan.addresses import is_loopback


def new_demo_password() -> str:
    """A password for one start of the demo: two words that can be read out, and four digits."""
    first, second = secrets.SystemRandom().sample(WORDS, 2)
    return f"{first}-{second}-{secrets.randbelow(10**4):04}".lower()


def demo_password_at(hall: Hall, address: str) -> str:
    """The demo's password for whoever sits at this very computer; nothing for anybody else, and where there is no demo."""
    return hall.demo_password if is_loopback(address) else ""
