"""A real phone beside the imitated tablets: they never leave the laptop, so only a phone proves the way in from the hall."""

import io
import json
import sys
from typing import TextIO

from app.rehearsal.wire import LineBroken, Wire
from app.settings import LOOPBACK_HOSTS


def invite_a_phone(host: str, url: str, out: TextIO | None = None) -> None:
    """Prints the address of the board, and its QR code where the terminal can draw one."""
    if host in LOOPBACK_HOSTS:
        print("This laptop is on no network, so no phone can test the connection.", flush=True)
        return
    terminal = out or sys.stdout
    print(f"Meanwhile open {url} on a real phone on the hall's Wi-Fi: only that proves the connection.", file=terminal)
    drawn = drawn_qr(url)
    try:
        drawn.encode(terminal.encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return  # a console of old; the address stands there in words
    print(drawn, file=terminal, flush=True)


def drawn_qr(text: str) -> str:
    """A QR code in half blocks, two rows to a line."""
    import segno  # see app.web.phones

    drawn = io.StringIO()
    segno.make(text, error="l", micro=False).terminal(drawn, compact=True)
    return drawn.getvalue()


async def who_came(wire: Wire) -> str:
    """The address that the first real device came from, as the server noted it; empty where none came or it can't be asked."""
    try:
        answer = await wire.ask("GET", "/desk/way-in/reached")
        return str(json.loads(answer.body)["reached_by"]) if answer.status == 200 else ""
    except LineBroken:
        return ""
    finally:
        wire.cut()


def phone_words(phone: str) -> str:
    """Whether the way in is proven."""
    return f"a device at {phone} connected from the hall." if phone else "no phone was seen, so it is not proven."
