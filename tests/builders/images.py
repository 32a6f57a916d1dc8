"""Pictures made by hand, with what a camera writes beside them."""

import struct
import zlib

SECRET = b"GPS 52.0 N, 13.0 E, taken by a phone"


def a_png(width: int = 64, height: int = 48, beside: bytes = b"", red: int = 200) -> bytes:
    """A PNG of one colour; `beside`: a comment in it, and something after its end."""
    rows = b"".join(b"\0" + bytes((red, 40, 60)) * width for _ in range(height))
    parts = [(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))]
    parts += [(b"tEXt", b"Comment\0" + beside), (b"eXIf", beside)] if beside else []
    parts += [(b"IDAT", zlib.compress(rows)), (b"IEND", b"")]
    chunks = (struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body)) for name, body in parts)
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunks) + beside


def a_jpeg(width: int = 64, height: int = 48, beside: bytes = b"") -> bytes:
    """What is built like a JPEG of two scans, with restarts in them; `beside`: in APP1, in a comment, and after its end."""

    def segment(marker: int, body: bytes) -> bytes:
        return bytes((0xFF, marker)) + struct.pack(">H", len(body) + 2) + body

    aside = segment(0xE1, b"Exif\0\0" + beside) + segment(0xFE, beside) if beside else b""
    frame = segment(0xC0, b"\x08" + struct.pack(">HH", height, width) + b"\x01\x01\x11\x00")
    tables = segment(0xDB, b"\0" * 65) + segment(0xC4, b"\0" * 20)
    scan = segment(0xDA, b"\x01\x01\x00\x00\x3f\x00") + b"\x12\xff\x00\x34\xff\xd0\x56"
    return b"\xff\xd8" + segment(0xE0, b"JFIF\0" + beside) + aside + tables + frame + scan + aside + scan + b"\xff\xd9" + beside
