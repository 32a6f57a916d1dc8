"""What a command says where the system can't do what it needs: in a sentence, with status 1, and nothing is lost by it."""

import errno
import re
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from shutil import disk_usage

import pytest
from sqlalchemy.exc import OperationalError

from app.cli import main
from app.data_folder import CannotStart
from app.files import FileRefused, keep_writing, write_in_folder
from app.hall.day_list import RESULTS_TAKEN
from app.results.published_folder import PublishedFolder
from app.round.room_files import alone_in_room
from app.rules.round.kit import BadKit
from app.store.acts import last_done
from app.store.copies import restoring
from app.store.database import Database
from app.store.full_disk import FIRST_PART
from app.store.writer import SQLITE_FULL, SQLITE_IOERR
from tests.builders.slate_day import the_slate_day

STORE = "lane-ledger.sqlite3"


class Enough(Exception):
    """Raised to stop what otherwise goes on."""


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """A data folder with a competition."""
    (tmp_path / "day.json").write_text(the_slate_day(("10:00", "10:30", "11:00")).model_dump_json(), encoding="utf-8")
    assert main(["import", str(tmp_path / "day.json"), "--data", str(tmp_path / "data")]) == 0
    return tmp_path / "data"


def was_taken(data: Path) -> bool:
    """Whether the activity log says that the results were taken along."""
    database = Database(f"sqlite:///{(data / STORE).as_posix()}")
    try:
        return database.read(lambda session: last_done(session, RESULTS_TAKEN)) is not None
    finally:
        database.close()


def full(*_: object, **__: object) -> None:
    raise OSError(errno.ENOSPC, "No space left on device")


def standing(folder: Path) -> dict[str, bytes]:
    """All that a data folder holds, but for what stands beside a store only while it is open."""
    found = {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    return {name: content for name, content in found.items() if not name.endswith((".lock", "-wal", "-shm", ".ballast"))}


@pytest.mark.parametrize("words", [["import", "day.json"], ["restore", "kept"], ["serve", "--port", "0", "--no-browser"]])
def test_a_folder_that_nobody_may_hold_is_told(
    data: Path, words: list[str], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(data.parent)
    assert main(["backup", "kept", "--data", "data"]) == 0
    (data.parent / "held" / "lane-ledger.lock").mkdir(parents=True)  # such as one that somebody else made
    assert main([*words, "--data", "held"]) == 1
    assert "lane-ledger.lock can't be used (Is a directory). Choose another folder: --data FOLDER" in capsys.readouterr().err


def test_a_folder_on_a_share_that_knows_no_locks_is_not_said_to_be_in_use(
    data: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def no_locks(_: object) -> None:
        raise OSError(errno.ENOLCK, "No locks available")

    monkeypatch.setattr("app.alone._lock", no_locks)
    assert main(["import", str(data.parent / "day.json"), "--data", str(data.parent / "share")]) == 1
    assert "share can't be used (No locks available). Choose another folder" in capsys.readouterr().err
    with pytest.raises(BadKit, match=r"The folder of the round can't be written: No locks available\."), alone_in_room(data):
        pytest.fail("nobody has it to themselves")


@pytest.mark.parametrize("words", ["export day.json/x", "publish day.json/x", "restore kept --data day.json/x"])
def test_a_place_that_can_not_be_written_to_is_told(
    data: Path, words: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(data.parent)
    assert main(["backup", "kept", "--data", "data"]) == 0
    assert main([*words.split(), *([] if "--data" in words else ["--data", "data"])]) == 1
    assert "Not a directory" in capsys.readouterr().err
    assert not was_taken(data)


def test_a_name_that_no_file_may_have_is_told(data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for word, said in (
        ("export", "can't be written: File name too long"),
        ("publish", "can't be looked into: File name too long"),
    ):
        assert main([word, str(data.parent / ("n" * 300)), "--data", str(data)]) == 1
        assert said in capsys.readouterr().err


def test_results_are_taken_along_once_they_are_written(data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    site = data.parent / "site"
    with monkeypatch.context() as patched:
        patched.setattr("app.files.os.fsync", full)
        assert main(["publish", str(site), "--data", str(data)]) == 1
    assert not was_taken(data) and not (site / "index.html").exists()
    assert main(["publish", str(data.parent / "another"), "--data", str(data)]) == 0
    assert was_taken(data)


def test_what_is_in_a_store_is_had_though_no_line_more_can_be_kept_there(data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_space(*_: object) -> None:
        raise _of_sqlite("database or disk is full", SQLITE_FULL)

    monkeypatch.setattr("app.hall.doing.put_act", no_space)
    assert main(["export", str(data.parent / "out.json"), "--data", str(data)]) == 0
    assert (data.parent / "out.json").is_file()


def _of_sqlite(words: str, code: int) -> sqlite3.OperationalError:
    error = sqlite3.OperationalError(words)
    error.sqlite_errorcode = code
    return error


@pytest.mark.parametrize(
    ("free", "said"),
    [
        (FIRST_PART, "is full. Free some space and try again: nothing that was kept there has changed."),
        (1 << 30, "Replace it with a backup"),
    ],
)
def test_data_on_a_full_disk_is_not_said_to_be_broken(
    data: Path, free: int, said: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def not_opened(*_: object) -> None:
        raise OperationalError("PRAGMA journal_mode=WAL", None, _of_sqlite("disk I/O error", SQLITE_IOERR))

    whole = data.parent / "whole.json"
    assert main(["export", str(whole), "--data", str(data)]) == 0
    monkeypatch.setattr("app.store.database.bring_to_head", not_opened)
    monkeypatch.setattr("app.store.full_disk.shutil.disk_usage", lambda _: disk_usage(data)._replace(free=free))
    assert main(["export", str(data.parent / "out.json"), "--data", str(data)]) == 1
    assert said in capsys.readouterr().err
    (data.parent / "there").mkdir()
    for folder, left in (("new", False), ("there", True)):  # what came to nothing leaves no folder behind that it made
        assert main(["import", str(whole), "--data", str(data.parent / folder)]) == 1
        assert said in capsys.readouterr().err
        assert (data.parent / folder).exists() is left


@pytest.mark.parametrize(
    ("free", "said"), [(0, "data is too full for a backup. Free some space."), (1 << 30, "stick: No space left")]
)
def test_which_disk_is_too_full_for_a_backup_is_told(
    data: Path, free: int, said: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("app.store.copies.backup.copy_to_disk", full)
    monkeypatch.setattr("app.store.full_disk.shutil.disk_usage", lambda _: disk_usage(data)._replace(free=free))
    assert main(["backup", str(data.parent / "stick"), "--data", str(data)]) == 1
    assert said in capsys.readouterr().err


def test_a_backup_of_a_store_that_is_damaged_is_refused_in_a_sentence(
    data: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def not_read(_: Path) -> None:
        raise sqlite3.DatabaseError("database disk image is malformed")

    monkeypatch.setattr("app.store.copies.backup.put_proof", not_read)
    assert main(["backup", str(data.parent / "stick"), "--data", str(data)]) == 1
    assert capsys.readouterr().err == "The backup could not be made: database disk image is malformed.\n"
    assert not list((data.parent / "stick").iterdir())


def test_wherever_a_restore_stops_what_was_there_is_there_again(
    data: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    kept = str(data.parent / "kept")
    assert main(["backup", kept, "--data", str(data)]) == 0
    (data / f"{STORE}.files").mkdir()
    (data / f"{STORE}.files" / "picture").write_bytes(b"seen")
    before, replace, stops = standing(data), restoring.replace, 0
    while True:
        left = iter([*([True] * stops), False])

        def stopped(part: Path, file: Path, left: Iterator[bool] = left) -> None:
            if not next(left, True):
                raise PermissionError(errno.EACCES, "Somebody holds it")
            replace(part, file)

        with monkeypatch.context() as patched:
            patched.setattr(restoring, "replace", stopped)
            if main(["restore", kept, "--data", str(data)]) == 0:
                break
        assert "Somebody holds it. Nothing was replaced." in capsys.readouterr().err
        assert standing(data) == before and not list(data.glob("replaced-*"))
        stops += 1
    assert stops >= 3, "the store, its files, the new one"
    assert (next(data.glob("replaced-*")) / f"{STORE}.files" / "picture").read_bytes() == b"seen"


def test_a_restore_that_can_not_put_back_what_was_there_says_where_it_is(
    data: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    kept = str(data.parent / "kept")
    assert main(["backup", kept, "--data", str(data)]) == 0
    monkeypatch.setattr(restoring, "_open_and_count", full)
    monkeypatch.setattr(restoring.shutil, "move", full)
    assert main(["restore", kept, "--data", str(data)]) == 1
    said = re.search(r"What was there before is kept in (\S+): move its files back", capsys.readouterr().err)
    assert said is not None and (Path(said[1]) / STORE).is_file()


def test_what_is_kept_written_goes_on_when_its_store_or_its_stick_is_back() -> None:
    told: list[str] = []
    turns: Iterator[Exception | str] = iter(
        [
            "3 files",
            CannotStart("The database is away."),
            CannotStart("The database is away."),
            FileRefused("No stick."),
            "1 file",
        ]
    )

    def write() -> str:
        turn = next(turns, None)
        if turn is None:
            raise Enough
        if isinstance(turn, Exception):
            raise turn
        return turn

    with pytest.raises(Enough):
        keep_writing(write, 30, told.append, lambda _: None, behind=0)
    assert [line.split("  ", 1)[1] for line in told] == [
        "3 files",
        "The database is away. Trying again every 30 seconds.",
        "No stick. Trying again every 30 seconds.",
        "1 file",
    ]

    def never() -> str:
        raise CannotStart("There is no such database.")

    with pytest.raises(CannotStart):  # nobody waits for what was named wrong
        keep_writing(never, 30, told.append, lambda _: None, behind=0)


def test_a_stick_that_is_gone_is_told_by_what_writes_to_it_and_waited_for(tmp_path: Path) -> None:
    stick = tmp_path / "stick"
    folder = PublishedFolder(stick / "site", write_in_folder)
    assert folder.take({"css/a.css": b"1", "index.html": b"1"}) == ("css/a.css", "index.html")
    stick.rename(tmp_path / "pulled out")
    stick.write_bytes(b"")
    with pytest.raises(FileRefused, match=r"site/\S+ can't be written: "):
        folder.take({"css/a.css": b"2", "index.html": b"1"})
    stick.unlink()
    (tmp_path / "pulled out").rename(stick)
    assert folder.take({"css/a.css": b"2", "index.html": b"1"}) == ("css/a.css",)


def test_what_the_system_can_not_do_amid_anything_is_a_sentence(
    data: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("app.files.export_to", full)
    assert main(["export", str(data.parent / "out.json"), "--data", str(data)]) == 1
    assert capsys.readouterr().err == "It could not be done: No space left on device.\n"
