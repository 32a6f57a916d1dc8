"""Browsers that have logged in here before: strangers who guess at passwords can't use up their tries."""

import json
import secrets

from sqlmodel import Session

from app.hall.devices import token_hash
from app.hall.hall import Hall
from app.store.devices import get_setting, put_setting

SETTING = "known-browsers"
TOKEN_BYTES = 16  # 128 bits
MOST_KNOWN = 40  # the oldest is forgotten
MOST_TOKEN = 64


async def known_hash(hall: Hall, token: str) -> str:
    """The stored hash of what a browser holds from an earlier login; empty if nothing that is known here."""
    if not token or len(token) > MOST_TOKEN:
        return ""
    hashed = token_hash(token)
    return hashed if hashed in await hall.database.aread(_known) else ""


async def remember_browser(hall: Hall, token: str) -> str:
    """Knows a browser that has just logged in from now on; returns what it is to hold: what it held, if that was known."""
    if await known_hash(hall, token):
        return token
    fresh = secrets.token_urlsafe(TOKEN_BYTES)

    def work(session: Session) -> None:
        kept = [*_known(session), token_hash(fresh)][-MOST_KNOWN:]
        put_setting(session, SETTING, json.dumps(kept))

    await hall.database.awrite(work)
    return fresh


def _known(session: Session) -> list[str]:
    return list(json.loads(get_setting(session, SETTING) or "[]"))
