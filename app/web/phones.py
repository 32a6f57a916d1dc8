"""Where people's own phones reach this server, and the code by which they do."""

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


def qr_image(text: str) -> str:
    """A `data:` address of an SVG with this text as a QR code: black on white with the quiet zone that cameras need."""
    import segno  # loaded at the first invitation, which most starts never make: ten milliseconds

    return str(segno.make(text, error="m", micro=False).svg_data_uri(scale=8, border=4, dark="#000", light="#fff"))
