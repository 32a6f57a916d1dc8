"""README shows the pictures that the command takes, and no others."""

import struct
from pathlib import Path

from tests.browser.people import TABLET, WALL
from tests.browser.pictures import FOLDER, MOMENTS, MOST_BYTES, shown_in

ROOT = Path(__file__).resolve().parents[2]
SIZES = {"board": WALL, "wall": WALL}  # the others are a tablet's


def size_of(picture: bytes) -> dict[str, int]:
    """Width and height of a PNG: the first two numbers after the name of its first chunk (PNG specification, 11.2.2)."""
    assert picture[:8] == b"\x89PNG\r\n\x1a\n" and picture[12:16] == b"IHDR"
    return dict(zip(("width", "height"), struct.unpack(">II", picture[16:24]), strict=True))


def test_readme_shows_the_pictures_that_the_command_takes() -> None:
    taken = {name for _, _, names in MOMENTS for name in names}
    shown = shown_in((ROOT / "README.md").read_text(encoding="utf-8"))
    assert {(ROOT / path).resolve() for path in shown} == {(FOLDER / f"{name}.png").resolve() for name in taken}
    assert {path.stem for path in FOLDER.iterdir()} == taken


def test_the_pictures_have_the_sizes_of_the_screens_they_are_taken_on() -> None:
    for picture in FOLDER.iterdir():
        held = picture.read_bytes()
        assert size_of(held) == SIZES.get(picture.stem, TABLET) and len(held) < MOST_BYTES
