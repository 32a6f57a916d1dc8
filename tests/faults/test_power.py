"""Power loss, imitated: no acknowledged mark is lost and no store is broken; synchronous=NORMAL fails the same test.

The long ones are a bench: `python3 -m app bench faults`.
"""

import pytest

from tests.faults import image
from tests.faults.image import NoLoop
from tests.faults.power import Cuts, cut_power


def test_whenever_the_power_fails_every_acknowledged_mark_is_there() -> None:
    cuts = cut_power("FULL", marks=200, cuts=120)
    assert cuts.made == 120
    assert (cuts.losing, cuts.corrupt, cuts.lost) == (0, 0, 0)


def test_the_same_disk_finds_out_a_store_that_does_not_wait_for_it() -> None:
    cuts = cut_power("NORMAL", marks=200, cuts=60)
    assert cuts.losing > 30 and cuts.lost > 0


@pytest.mark.slow
def test_the_image_of_a_real_file_system_holds_what_was_acknowledged() -> None:
    cuts = on_image("FULL", 3)
    assert (cuts.made, cuts.corrupt, cuts.losing) == (3, 0, 0)


@pytest.mark.slow
def test_the_same_image_finds_out_a_store_that_does_not_wait_for_it() -> None:
    # One cut in five finds all written by chance, more where others keep the disk busy: it is cut until something is missing.
    cuts = on_image("NORMAL", 40, until_lost=True)
    assert cuts.lost > 0 and cuts.corrupt == 0


def on_image(synchronous: str, cuts: int, until_lost: bool = False) -> Cuts:
    """What cuts of a real file system's image left; the test is skipped where none can be mounted."""
    try:
        return image.cut_power(synchronous, cuts, until_lost)
    except NoLoop as wrong:
        pytest.skip(str(wrong))
