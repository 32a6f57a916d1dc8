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


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="only glibc keeps what lies free between things in use")
def test_what_lies_free_is_given_back() -> None:
    asked = """
from pathlib import Path
from app.memory import few_heaps, give_back
few_heaps()
held = lambda: int(Path("/proc/self/statm").read_text().split()[1])
some = [bytearray(2000) for _ in range(20_000)]
del some[:-1]
before = held()
print(give_back(), before - held() > 2000)
"""
    assert (
        subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True).stdout.split() == ["True"] * 2
    )
