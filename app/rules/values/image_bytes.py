"""Pictures by their bytes: a JPEG or a PNG, how large, and the same without all that says more than what is to be seen.

What a camera writes beside a picture (where and when it was taken, with what, a smaller picture of before it was cut, a film
behind its end) is left out: only the parts without which it can't be drawn are copied. The formats' published descriptions:
ITU-T T.81 for JPEG, and the PNG specification of W3C.
"""

import struct
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

Kind = Literal["jpeg", "png"]
MOST_BYTES = 300_000  # of a picture as it is kept: a square of 480 px is a tenth of it
LEAST_SIDE, MOST_SIDE = 32, 2_000  # px
PNG_START = b"\x89PNG\r\n\x1a\n"
PNG_PARTS = frozenset({b"IHDR", b"PLTE", b"tRNS", b"gAMA", b"sRGB", b"IDAT", b"IEND"})
JPEG_FRAMES = frozenset({0xC0, 0xC1, 0xC2})  # drawn by every browser; the others are of no camera
JPEG_PARTS = JPEG_FRAMES | {0xC4, 0xDB, 0xDD, 0xDA}  # tables, restarts, scans
SCAN, END, START = 0xDA, 0xD9, 0xD8
ADOBE = 0xEE  # says how colours are told, without which a picture turns green
NO_PICTURE = "That is no picture that can be shown. Choose a JPEG or a PNG."
BROKEN = "That picture is cut off or broken. Choose another one."


class BadPicture(ValueError):
    """Raised for bytes that are no picture to show; its text is the sentence."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture with nothing beside it: its kind, its sides in px, its bytes."""

    kind: Kind
    width: int
    height: int
    data: bytes


def picture_of(data: bytes) -> Picture:
    """The picture that some bytes are, bare. Raises BadPicture, also for one that is too large or too small."""
    if data.startswith(PNG_START):
        made = _png(data)
    elif data.startswith(b"\xff\xd8\xff"):
        made = _jpeg(data)
    else:
        raise BadPicture(NO_PICTURE)
    if not all(LEAST_SIDE <= side <= MOST_SIDE for side in (made.width, made.height)):
        said = f"{made.width} by {made.height}"
        raise BadPicture(f"That picture is {said} px. Each side may be {LEAST_SIDE} to {MOST_SIDE:,} px.")
    if len(made.data) > MOST_BYTES:
        raise BadPicture(f"That picture has {len(made.data) // 1000:,} kB. Choose one with at most {MOST_BYTES // 1000} kB.")
    return made


def _png(data: bytes) -> Picture:
    parts = list(_png_parts(data))
    if not parts or parts[0][0] != b"IHDR" or parts[-1][0] != b"IEND" or all(name != b"IDAT" for name, _ in parts):
        raise BadPicture(BROKEN)
    width, height = struct.unpack(">II", parts[0][1][:8])
    kept = [
        struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        for name, body in parts
        if name in PNG_PARTS
    ]
    return Picture("png", width, height, PNG_START + b"".join(kept))


def _png_parts(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    """The chunks of a PNG up to its end, each with its check sum right."""
    at = len(PNG_START)
    while at + 12 <= len(data):
        (length,) = struct.unpack(">I", data[at : at + 4])
        name, body = data[at + 4 : at + 8], data[at + 8 : at + 8 + length]
        told = data[at + 8 + length : at + 12 + length]
        if len(body) < length or told != struct.pack(">I", zlib.crc32(name + body)) or (name == b"IHDR" and length != 13):
            raise BadPicture(BROKEN)
        yield name, body
        if name == b"IEND":
            return
        at += 12 + length
    raise BadPicture(BROKEN)


def _jpeg(data: bytes) -> Picture:
    sides: tuple[int, int] | None = None
    kept = [b"\xff\xd8"]
    for marker, body, scan in _jpeg_parts(data):
        if marker in JPEG_FRAMES and len(body) >= 6:
            sides = struct.unpack(">HH", body[1:5])
        elif 0xC0 <= marker <= 0xCF and marker != 0xC4:
            raise BadPicture(NO_PICTURE)
        if marker in JPEG_PARTS or (marker == ADOBE and body.startswith(b"Adobe")):
            kept.append(bytes((0xFF, marker)) + struct.pack(">H", len(body) + 2) + body + scan)
    if sides is None or len(kept) < 3:
        raise BadPicture(BROKEN)
    return Picture("jpeg", sides[1], sides[0], b"".join(kept) + b"\xff\xd9")


def _jpeg_parts(data: bytes) -> Iterator[tuple[int, bytes, bytes]]:
    """The segments of a JPEG up to its end: marker, body, and behind a scan's head what is drawn."""
    at = 2
    while at + 4 <= len(data):
        if data[at] != 0xFF:
            raise BadPicture(BROKEN)
        marker = data[at + 1]
        if marker == 0xFF:  # filled up
            at += 1
            continue
        if marker == END:
            return
        (length,) = struct.unpack(">H", data[at + 2 : at + 4])
        body = data[at + 4 : at + 2 + length]
        if length < 2 or len(body) < length - 2 or marker in (0x00, START):
            raise BadPicture(BROKEN)
        at += 2 + length
        after = _end_of_scan(data, at) if marker == SCAN else at
        yield marker, body, data[at:after]
        at = after
    if data[at : at + 2] != b"\xff\xd9":
        raise BadPicture(BROKEN)


def _end_of_scan(data: bytes, at: int) -> int:
    """Where what is drawn ends: at the next marker that is no restart."""
    while (at := data.find(b"\xff", at)) >= 0:
        if at + 1 >= len(data):
            break
        if data[at + 1] != 0x00 and not 0xD0 <= data[at + 1] <= 0xD7:
            return at
        at += 2
    raise BadPicture(BROKEN)
