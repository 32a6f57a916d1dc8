"""The memory of the server's process."""

import gc
import platform
import subprocess
import sys

import pytest

from app.memory import settle, started


def test_the_collector_rests_during_a_start_and_works_afterwards() -> None:
    with started():
        assert not gc.isenabled()
        settle()
        assert gc.isenabled() and gc.get_freeze_count() > 0
    assert gc.isenabled()
    gc.unfreeze()


def test_it_works_again_after_a_start_that_failed() -> None:
    with pytest.raises(ValueError, match="the port"), started():
        raise ValueError("the port")
    assert gc.isenabled()


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="only glibc has several heaps")
def test_glibc_takes_the_wish_for_one_heap() -> None:
    asked = "from app.memory import few_heaps; print(few_heaps())"
    assert subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True).stdout.strip() == "True"
