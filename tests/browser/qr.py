"""Reads a QR code off the screen, as a tablet's camera does: the pixels that are painted, not what was meant."""

from collections.abc import Iterator

import segno.consts
from playwright.sync_api import Locator

FORMAT_MASK = 0x5412
MASKS = (
    lambda y, x: (y + x) % 2,
    lambda y, x: y % 2,
    lambda y, x: x % 3,
    lambda y, x: (y + x) % 3,
    lambda y, x: (y // 2 + x // 3) % 2,
    lambda y, x: y * x % 2 + y * x % 3,
    lambda y, x: (y * x % 2 + y * x % 3) % 2,
    lambda y, x: ((y + x) % 2 + y * x % 3) % 2,
)
# The image may be scaled: the number of modules follows from the finder in the corner, which is seven wide.
PIXELS = """(image) => {
  const [wide, canvas] = [image.naturalWidth, document.createElement('canvas')];
  canvas.width = canvas.height = wide;
  const paper = canvas.getContext('2d');
  paper.drawImage(image, 0, 0);
  const { data } = paper.getImageData(0, 0, wide, wide);
  const dark = (x, y) => data[4 * (y * wide + x)] < 128;
  const edge = [...Array(wide).keys()].find((at) => dark(at, at));
  const size = edge / 4;
  const middles = [...Array(wide / size - 8).keys()].map((n) => Math.floor(edge + (n + 0.5) * size));
  return middles.map((y) => middles.map((x) => (dark(x, y) ? 1 : 0)));
}"""

Matrix = list[list[int]]


def read_qr(image: Locator) -> str:
    """The text of the QR code that an <img> shows."""
    return text_of(image.evaluate(PIXELS))


def text_of(dark: Matrix) -> str:
    """The text of a code of versions 1 to 6 in bytes; without mending, for a screen has no stains."""
    size = len(dark)
    version = (size - 17) // 4
    assert 1 <= version <= 6, f"{size} modules are no code that an address needs"
    shape = sum(dark[8][x] << 14 - i for i, x in enumerate((0, 1, 2, 3, 4, 5, 7, 8)))
    shape += sum(dark[y][8] << 6 - i for i, y in enumerate((7, 5, 4, 3, 2, 1, 0)))
    level, mask = (shape ^ FORMAT_MASK) >> 13, MASKS[(shape ^ FORMAT_MASK) >> 10 & 7]
    bits = [dark[y][x] ^ (mask(y, x) == 0) for y, x in _path(size)]
    words = [int("".join(map(str, map(int, bits[i : i + 8]))), 2) for i in range(0, len(bits) - 7, 8)]
    return _payload(list(_in_order(words, version, level)))


def _path(size: int) -> Iterator[tuple[int, int]]:
    """The modules that carry data: pairs of columns from the right, up and down in turn, around the patterns."""
    columns = [x for x in range(size - 1, 0, -2) if x > 6] + [5, 3, 1]
    for turn, right in enumerate(columns):
        rows = range(size) if turn % 2 else range(size - 1, -1, -1)
        for y in rows:
            yield from ((y, x) for x in (right, right - 1) if not _pattern(y, x, size))


def _pattern(y: int, x: int, size: int) -> bool:
    corner = (y < 9 and x < 9) or (y < 9 and x >= size - 8) or (y >= size - 8 and x < 9)
    aligning = size > 21 and abs(y - (size - 7)) <= 2 and abs(x - (size - 7)) <= 2
    return corner or aligning or y == 6 or x == 6


def _in_order(words: list[int], version: int, level: int) -> Iterator[int]:
    """Data words out of their interleaved blocks."""
    blocks = [kind.num_data for kind in segno.consts.ECC[version][level] for _ in range(kind.num_blocks)]
    columns = [(block, at) for at in range(max(blocks)) for block, length in enumerate(blocks) if at < length]
    placed = dict(zip(columns, words, strict=False))
    for block, length in enumerate(blocks):
        yield from (placed[block, at] for at in range(length))


def _payload(words: list[int]) -> str:
    stream = "".join(f"{word:08b}" for word in words)
    assert stream.startswith("0100"), "an address with small letters is written in bytes"
    length = int(stream[4:12], 2)
    return bytes(int(stream[i : i + 8], 2) for i in range(12, 12 + 8 * length, 8)).decode()
