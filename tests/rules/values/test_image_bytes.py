"""Pictures by their bytes: nothing that a camera writes beside them stays, and what is cut off or none is told from a picture."""

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.values.image_bytes import LEAST_SIDE, MOST_BYTES, MOST_SIDE, BadPicture, picture_of
from tests.builders.images import SECRET, a_jpeg, a_png

sides = st.integers(LEAST_SIDE, 200)


@given(sides, sides, st.sampled_from([a_png, a_jpeg]))
def test_what_stands_beside_a_picture_is_left_out_and_the_picture_is_the_same(width: int, height: int, made: type) -> None:
    bare, full = picture_of(made(width, height)), picture_of(made(width, height, SECRET))
    assert (full.width, full.height) == (width, height)
    assert full == bare and SECRET not in full.data
    assert picture_of(full.data) == full


@given(st.sampled_from([a_png(beside=SECRET), a_jpeg(beside=SECRET)]), st.data())
def test_a_picture_that_is_cut_off_or_changed_is_refused_or_still_bare(whole: bytes, data: st.DataObject) -> None:
    end = data.draw(st.integers(0, len(whole)))
    at = data.draw(st.integers(0, len(whole) - 1))
    changed = whole[:at] + bytes((data.draw(st.integers(0, 255)),)) + whole[at + 1 :]
    for one in (whole[:end], changed):
        with contextlib.suppress(BadPicture):
            made = picture_of(one)
            assert picture_of(made.data) == made


@pytest.mark.parametrize("length", range(0, len(a_png()), 7))
def test_a_png_without_its_end_is_none(length: int) -> None:
    with pytest.raises(BadPicture):
        picture_of(a_png()[:length])


@pytest.mark.parametrize(
    "data",
    [b"", b"<svg onload='x'/>", b"GIF89a", b"\xff\xd8\xff", a_png(LEAST_SIDE - 1), a_png(40, MOST_SIDE + 1), a_jpeg(5000, 40)],
)
def test_what_is_no_picture_to_show_is_refused(data: bytes) -> None:
    with pytest.raises(BadPicture):
        picture_of(data)


def test_one_that_is_too_heavy_is_refused_by_its_weight() -> None:
    heavy = a_jpeg().replace(b"\x12\xff\x00\x34", b"\x12" * (MOST_BYTES + 1), 1)
    with pytest.raises(BadPicture, match="kB"):
        picture_of(heavy)
