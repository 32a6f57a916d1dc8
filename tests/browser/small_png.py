"""Makes a screenshot small: its most frequent 256 colours, each other one as the nearest of them, packed as hard as it goes."""

import base64
import struct
import zlib

import numpy as np
import numpy.typing as npt
from playwright.sync_api import BrowserContext

MOST_COLOURS = 256  # of a PNG with a palette
PIXELS = """async (data) => {
  const picture = await createImageBitmap(await (await fetch(data)).blob());
  const canvas = new OffscreenCanvas(picture.width, picture.height);
  const paper = canvas.getContext('2d');
  paper.drawImage(picture, 0, 0);
  const reader = new FileReader();
  const read = new Promise((done) => { reader.onload = () => done(reader.result.split(',')[1]); });
  reader.readAsDataURL(new Blob([paper.getImageData(0, 0, picture.width, picture.height).data]));
  return [picture.width, picture.height, await read];
}"""

Numbers = npt.NDArray[np.int64]


def small(picture: bytes, context: BrowserContext) -> bytes:
    """A screenshot with a palette. The browser unpacks it, for it is there anyway."""
    page = context.new_page()
    wide, high, packed = page.evaluate(PIXELS, f"data:image/png;base64,{base64.b64encode(picture).decode()}")
    page.close()
    pixels = np.frombuffer(base64.b64decode(packed), np.uint8).reshape(-1, 4)[:, :3]
    palette, indexes = with_palette(pixels.astype(np.int64))
    return written(palette, indexes.reshape(high, wide))


def with_palette(pixels: Numbers) -> tuple[Numbers, Numbers]:
    """The palette, and for each pixel its place in it."""
    colours, which, often = np.unique(pixels, axis=0, return_inverse=True, return_counts=True)
    palette = colours[np.argsort(-often)[:MOST_COLOURS]]
    apart = ((colours[:, None, :] - palette[None, :, :]) ** 2).sum(axis=2)
    return palette, apart.argmin(axis=1)[which.reshape(-1)]


def written(palette: Numbers, indexes: Numbers) -> bytes:
    """A PNG file (ISO/IEC 15948) of one byte a pixel."""
    high, wide = indexes.shape
    rows = np.zeros((high, wide + 1), np.uint8)
    rows[:, 1:] = indexes
    header = struct.pack(">IIBBBBB", wide, high, 8, 3, 0, 0, 0)
    parts = (
        (b"IHDR", header),
        (b"PLTE", palette.astype(np.uint8).tobytes()),
        (b"IDAT", zlib.compress(rows.tobytes(), 9)),
        (b"IEND", b""),
    )
    return b"\x89PNG\r\n\x1a\n" + b"".join(_chunk(name, data) for name, data in parts)


def _chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
