"""Where people's own phones reach this server."""

from fastapi import Request

from app.lan.addresses import best_address, is_loopback
from app.web.pages import secure_of


def address_for_phones(request: Request) -> str:
    """By the plain door, for they trust no certificate of ours: `http://192.168.1.20:8000`."""
    secure, asked = secure_of(request), request.url.hostname or ""
    number = request.url.port if secure is None else secure.http_port
    name = asked if asked != "localhost" and not is_loopback(asked) else best_address() or asked
    shown = f"[{name}]" if ":" in name else name
    return f"http://{shown}:{number}" if number else f"http://{shown}"
