"""A terminal that stands still holds nobody up, and the log is kept and bounded."""

import io
import logging
import os
import sys
import threading
import time
from pathlib import Path

import pytest

from app import aside
from app.aside import LOG, Aside, NeverBlocks, said_aside


class Still(io.StringIO):
    """A console in which somebody selects text: whoever writes waits until they let go."""

    def __init__(self) -> None:
        super().__init__()
        self.let_go = threading.Event()

    def write(self, text: str) -> int:
        self.let_go.wait(10)
        return super().write(text)


def test_who_prints_to_a_terminal_that_stands_still_goes_on(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    console = Still()
    monkeypatch.setattr(sys, "stdout", console)
    monkeypatch.setattr(sys, "stderr", console)
    begun = time.monotonic()
    with said_aside(tmp_path):
        for number in range(100):
            print("line", number, flush=True)
        logging.getLogger("app.trial").error("something went wrong")
        assert time.monotonic() - begun < 5
        console.let_go.set()
    assert sys.stdout is console
    assert console.getvalue() == "".join(f"line {n}\n" for n in range(100)) + "something went wrong\n"


def test_what_a_terminal_never_takes_is_dropped_and_the_end_comes_all_the_same(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    console = Still()
    monkeypatch.setattr(aside, "LAST_WORDS_S", 0.05)
    monkeypatch.setattr(Aside.finish, "__defaults__", (0.05,))
    monkeypatch.setattr(sys, "stdout", console)
    with said_aside(tmp_path):
        for number in range(3 * aside.MOST_WAITING):
            print(number)
    assert console.getvalue() == ""
    console.let_go.set()


def test_the_log_is_kept_apart_private_and_bounded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(aside, "LOG_BYTES", 2_000)
    monkeypatch.setattr(sys, "stderr", io.StringIO())
    monkeypatch.setattr(logging.getLogger(), "handlers", [])  # who listens for the tests can't carry half a letter
    said = logging.getLogger("app.trial")
    with said_aside(tmp_path):
        for number in range(200):
            said.warning("number %d of Łukasz \ud800", number)
        said.info("not worth keeping")
    files = sorted(tmp_path.iterdir())
    assert [file.name for file in files] == [LOG, *(f"{LOG}.{n}" for n in (1, 2, 3))]
    assert all(file.stat().st_size <= 2_000 for file in files)
    newest = files[0].read_text(encoding="utf-8")
    assert "WARNING app.trial: number 199 of Łukasz" in newest and "not worth" not in newest
    if sys.platform != "win32":
        assert files[-1].stat().st_mode & 0o077 == 0
    assert not logging.getLogger().handlers or all("Aside" not in type(one).__name__ for one in logging.getLogger().handlers)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="only where processes are forked")
def test_a_forked_process_says_things_by_a_thread_of_its_own(tmp_path: Path) -> None:
    file = tmp_path / "said"
    with file.open("a", encoding="utf-8") as opened:
        work = Aside()
        stream = NeverBlocks(opened, work)
        stream.write("parent\n")
        work.finish()
        child = os.fork()
        if not child:
            stream.write("child\n")
            work.finish()
            os._exit(0)
        assert os.waitpid(child, 0)[1] == 0
    assert file.read_text(encoding="utf-8") == "parent\nchild\n"
