"""The program on a stick: whole or not there, of locked files alone, with names that suit every system it is made for."""

import hashlib
import json
import shutil
import zipfile
from collections import namedtuple
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from app import cli
from app.first_start import packages
from app.keep import on_stick, packed, packing, wheels
from app.keep.packed import BACKUPS, FOLDER, SIGN, Packed, brought_along, packed_in
from app.keep.packing import made_now, pack
from app.keep.wheels import PYTHONS, TARGETS, NotPacked, Target, needed
from app.settings import Settings
from app.store.copies.backup import AT_THE_DESK, named
from tests.builders.halls import House
from tests.first_start.resolving import RUN, System, lacking

PAGE = {"accept": "text/html"}
Usage = namedtuple("Usage", "total used free")


def a_wheel(folder: Path) -> str:
    """A package of nothing, ready-made; its line in a lock."""
    file = folder / "lanetrial-1.0-py3-none-any.whl"
    about = {
        "lanetrial-1.0.dist-info/METADATA": "Metadata-Version: 2.1\nName: lanetrial\nVersion: 1.0\n",
        "lanetrial-1.0.dist-info/WHEEL": "Wheel-Version: 1.0\nGenerator: hand\nRoot-Is-Purelib: true\nTag: py3-none-any\n",
        "lanetrial-1.0.dist-info/RECORD": "",
    }
    with zipfile.ZipFile(file, "w") as opened:
        for name, text in about.items():
            opened.writestr(name, text)
    return f"lanetrial==1.0 \\\n    --hash=sha256:{hashlib.sha256(file.read_bytes()).hexdigest()}\n"


@pytest.fixture
def small(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A lock of one small package that was fetched before, and of one that no system here needs; an empty stick."""
    (tmp_path / "kept").mkdir()
    lock = tmp_path / "small.lock"
    lock.write_text(a_wheel(tmp_path / "kept") + f"elsewhere==2 ; sys_platform == 'os2' \\\n    --hash=sha256:{'0' * 64}\n")
    monkeypatch.setattr(wheels, "LOCK", lock)
    monkeypatch.setattr(wheels, "CACHE", tmp_path / "kept")
    monkeypatch.setattr(wheels, "BESIDE", tmp_path / "none")
    monkeypatch.setattr(wheels, "PYTHONS", ("3.12",))
    (tmp_path / "stick").mkdir()
    return tmp_path / "stick"


@pytest.fixture
def empty(small: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The same where nothing is fetched at all: for what is not about packages."""
    monkeypatch.setattr(packing, "fetch", lambda systems, into, tell: into.mkdir())
    monkeypatch.setattr(packing, "PROGRAM", ("migrations",))
    return small


def packed_onto(stick: Path, data: Path, *systems: str) -> list[str]:
    told: list[str] = []
    pack(stick, systems, made_now(Settings(data=data)), told.append)
    return told


def test_what_is_packed_is_whole_and_says_how_large_it_is_before_it_is_written(small: Path, house: House) -> None:
    told = packed_onto(small, house.app.state.hall.settings.data, "windows")
    program = small / FOLDER
    for name in ("app/__main__.py", "templates", "static", "migrations", "start.cmd", "start.command", "requirements.lock"):
        assert (program / name).exists(), name
    assert [file.name for file in (program / "wheels").iterdir()] == ["lanetrial-1.0-py3-none-any.whl"]
    assert not list(program.rglob("__pycache__"))
    words = (program / packing.FIRST_READ).read_text(encoding="utf-8")
    assert "a backup of The Slate Day, 0 marks" in words and "On Windows and Macs it was not tried" in words
    assert told[0].startswith("About 250 MB in all") and told[-1].startswith("Together ")
    found = packed_in(program)
    assert found is not None and found.systems == ("windows",) and found.size > 1_000_000
    (backup,) = brought_along(program)
    assert backup.parent == program / BACKUPS


def test_what_was_packed_before_is_replaced_as_a_whole(empty: Path, tmp_path: Path) -> None:
    packed_onto(empty, tmp_path / "nobody")
    (empty / FOLDER / "migrations" / "left.txt").write_text("from before")
    packed_onto(empty, tmp_path / "nobody")
    assert not (empty / FOLDER / "migrations" / "left.txt").exists() and packed_in(empty / FOLDER) is not None
    assert sorted(path.name for path in empty.iterdir()) == [FOLDER]


def test_what_is_refused_leaves_the_stick_as_it_was(empty: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    nobody = made_now(Settings(data=tmp_path / "nobody"))
    for place, systems, said in ((empty, ["beos"], "beos is not a system"), (tmp_path / "gone", [], "Is the stick plugged in")):
        with pytest.raises(NotPacked, match=said):
            pack(place, systems, nobody, lambda words: None)
    monkeypatch.setattr(shutil, "disk_usage", lambda place: Usage(9, 9, 1_000_000))
    with pytest.raises(NotPacked, match="is too small"):
        pack(empty, [], nobody, lambda words: None)
    assert list(empty.iterdir()) == []


def test_a_file_that_the_lock_does_not_name_is_not_packed(small: Path, tmp_path: Path) -> None:
    folder = tmp_path / "came"
    folder.mkdir()
    a_wheel(folder)
    wheels._only_locked(folder)
    (folder / "lanetrial-1.0-py3-none-any.whl").write_bytes(b"another")
    with pytest.raises(NotPacked, match="fingerprint differs"):
        wheels._only_locked(folder)


@pytest.mark.parametrize("target", TARGETS, ids=lambda target: target.name)
def test_for_every_system_there_are_files_by_their_names(target: Target) -> None:
    """By the kept list of what the index offered (tests/first_start/): nothing is fetched."""
    # Of a Mac's release pip takes those before it too.
    suits = (*target.suits, *(f"macosx_{n}_0_{target.machine}" for n in (11,)), *older_macs(target))
    as_named = System(target.name, target.platform, target.os, target.machine, suits)
    for python in PYTHONS:
        assert lacking(as_named, python, RUN) == []
        lines = needed(target, python)
        assert ("uvloop" in lines) == (target.platform != "win32") and ";" not in lines
        assert lines.count("numpy==") == 1


def older_macs(target: Target) -> list[str]:
    old = [f"macosx_10_{n}_{kind}" for n in range(4, 17) for kind in (target.machine, "universal2")] + ["macosx_11_0_universal2"]
    return old if target.platform == "darwin" else []


def test_half_a_stick_is_none(tmp_path: Path) -> None:
    assert packed_in(tmp_path) is None
    for said in ("{", "[]", "{}", '{"version": "1"}', json.dumps({"version": "1", "moment": "soon", "systems": []})):
        (tmp_path / SIGN).write_text(said, encoding="utf-8")
        assert packed_in(tmp_path) is None
    whole = Packed("1", "2026-05-30T08:00:00+00:00", "Linux", ("macos",), 5)
    whole.write(tmp_path)
    assert packed_in(tmp_path) == whole


def test_a_start_finds_the_newest_backup_of_each_competition(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(packed, "places", list)
    program = tmp_path / "stick" / FOLDER
    own, beside = program / BACKUPS, tmp_path / "stick" / AT_THE_DESK
    for folder, ledger, hour in ((own, "aa", 9), (beside, "aa", 11), (beside, "aa", 10), (beside, "bb", 8)):
        folder.mkdir(parents=True, exist_ok=True)
        (folder / named(ledger, datetime(2026, 5, 30, hour, tzinfo=UTC))).write_bytes(b"")
    assert brought_along(program) == []
    Packed("1", "2026-05-30T08:00:00+00:00", "Linux", (), 5).write(program)
    assert [(file.parent, file.name[12:14], file.name[-17:-15]) for file in brought_along(program)] == [
        (beside, "aa", "11"),
        (beside, "bb", "08"),
    ]


def test_an_installer_takes_what_was_brought_and_asks_no_network(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[list[str]] = []
    monkeypatch.setattr(packages, "BROUGHT", tmp_path / "wheels")
    monkeypatch.setattr(packages, "LOG", tmp_path / "log")
    monkeypatch.setattr(packages, "heard", lambda command: None)

    def followed(command: list[str], total: int) -> tuple[int, str]:
        asked.append(command)
        return int("--no-index" in command and not list((tmp_path / "wheels").iterdir())), "No matching distribution"

    monkeypatch.setattr(packages, "followed", followed)
    packages.install(Path("python3"), packages.LOCKS["run"])
    assert ["--no-index" in command for command in asked] == [False]
    (tmp_path / "wheels").mkdir()
    (tmp_path / "wheels" / "a.whl").touch()
    packages.install(Path("python3"), packages.LOCKS["run"])
    assert ["--no-index" in command for command in asked] == [False, True]
    (tmp_path / "wheels" / "a.whl").unlink()
    packages.install(Path("python3"), packages.LOCKS["run"])
    assert ["--no-index" in command for command in asked] == [False, True, True, False]
    assert all("--require-hashes" in command for command in asked)


def test_the_desk_packs_onto_the_stick_of_the_backups_and_says_how_old_it_is(
    house: House, empty: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk: Any = house.desk()
    assert "Choose a stick for the backups above" in desk.get("/desk/backups", headers=PAGE).text
    assert desk.post("/desk/backups/pack", data={"linux": "no"}, headers=PAGE).status_code == 422
    desk.post("/desk/backups/folder", data={"folder": str(empty)}, headers=PAGE)
    assert "Not on the stick yet" in desk.get("/desk/backups", headers=PAGE).text
    started: list[Any] = []
    monkeypatch.setattr(on_stick, "_pack", lambda *given: started.append(given[1:3]))
    assert desk.post("/desk/backups/pack", data={"windows": "yes"}, headers=PAGE).status_code == 303
    assert started == [(empty, ("windows",))]
    assert "Packing: A backup" in desk.get("/desk/backups/packing", headers=PAGE).text
    assert desk.post("/desk/backups/pack", data={"linux": "no"}, headers=PAGE).status_code == 422


def test_the_desk_says_how_old_it_is_and_why_it_failed(house: House, empty: Path) -> None:
    desk: Any = house.desk()
    desk.post("/desk/backups/folder", data={"folder": str(empty)}, headers=PAGE)
    hall = house.app.state.hall
    made = desk.post("/desk/backups/now").json()
    backup = house.app.state.hall.backups.last
    assert made["marks"] == 0
    on_stick._pack(hall, empty, ("beos",), backup)
    assert "beos is not a system" in desk.get("/desk/backups", headers=PAGE).text and hall.packing.now == ""
    hall.packing.failure = ""
    on_stick._pack(hall, empty, (), backup)
    moment = datetime.fromtimestamp(house.clocks.wall / 1000 - 3 * 86_400, UTC).isoformat()
    found = packed_in(empty / FOLDER)
    assert found is not None
    Packed(found.version, moment, found.packed_on, found.systems, found.size).write(empty / FOLDER)
    assert "Packed 3 days ago for " in desk.get("/desk/backups", headers=PAGE).text
    Packed("0.0.1", moment, found.packed_on, found.systems, found.size).write(empty / FOLDER)
    assert "by another version (0.0.1): pack it again" in desk.get("/desk/backups", headers=PAGE).text
    assert [file.name for file in (empty / FOLDER / BACKUPS).iterdir()] == [Path(made["file"]).name]


def test_a_start_from_a_stick_offers_the_backup_first(
    house: House, empty: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    packed_onto(empty, house.app.state.hall.settings.data)
    monkeypatch.setattr(packages, "CHECKOUT", empty / FOLDER)
    (tmp_path / "elsewhere").mkdir()
    monkeypatch.chdir(tmp_path / "elsewhere")
    monkeypatch.setattr(packed, "places", list)
    called: list[list[str]] = []
    whole = cli.main
    monkeypatch.setattr(cli, "main", lambda given: called.append(given) or 0)
    for typed in ("", "2", "3"):
        monkeypatch.setattr("builtins.input", lambda _, said=typed: said)
        assert whole(["start"]) == 0
    (backup,) = (empty / FOLDER / BACKUPS).glob("*.sqlite3")
    assert called == [["restore", str(backup), "--yes"], ["serve"], ["serve"], ["demo"]]
    assert f"1  Carry on from a backup: {backup.name} is of The Slate Day: 0 marks" in capsys.readouterr().out
    (tmp_path / "elsewhere" / "data").mkdir()
    (tmp_path / "elsewhere" / "data" / "lane-ledger.sqlite3").touch()
    monkeypatch.setattr("builtins.input", lambda _: "2")
    assert whole(["start"]) == 0 and called[-1] == ["demo"], "a competition is here already"
