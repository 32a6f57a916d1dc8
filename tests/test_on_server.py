"""The command line over a PostgreSQL database: every command that touches the store, and what may not be said aloud."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from app.cli import main
from app.results.competition_file import make_file, write_file
from app.rules.result.sealing import sealed
from app.settings import Settings
from tests.postgres import PASSWORD, needed_cluster
from tests.store.making import a_mark, a_roster, a_ruling, a_run

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def url(monkeypatch: pytest.MonkeyPatch) -> str:
    """The address of an empty store, named as hosts commonly name it."""
    made = needed_cluster().ready_store()
    monkeypatch.setenv("DATABASE_URL", made)
    return made


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command: its exit code, what it said, what it complained of."""

    def command(*words: object) -> tuple[int, str, str]:
        code = main([str(word) for word in words])
        said = capsys.readouterr()
        return code, said.out, said.err

    return command


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A competition file."""
    made = tmp_path / "cup.json"
    marks = [a_mark(n, id=f"{n:032x}") for n in range(1, 41)]
    made.write_bytes(write_file(sealed(make_file(a_roster(), (a_run(),), (a_ruling(),), marks, 1_700_000_000_000))))
    return made


def test_a_competition_goes_in_and_out_of_a_database_and_recounts_the_same(
    url: str, run: Run, file: Path, tmp_path: Path
) -> None:
    data = tmp_path / "data"
    code, said, _ = run("import", file, "--data", data)
    assert code == 0 and "into the PostgreSQL database postgres on 127.0.0.1" in said and "40 marks" in said
    assert run("import", file, "--data", data)[0] == 1, "a second time it is not empty"
    assert run("export", tmp_path / "out.json", "--data", data)[0] == 0
    assert recounted(run, tmp_path / "out.json") == recounted(run, file)
    assert run("publish", tmp_path / "pages", "--data", data)[0] == 0
    assert (tmp_path / "pages" / "index.html").is_file()


def recounted(run: Run, file: Path) -> object:
    """The standings of a file."""
    code, said, _ = run("recount", file, "--json")
    assert code == 0
    return json.loads(said)["events"]


def test_a_backup_of_a_database_is_restored_to_a_laptop_and_to_another_database(
    url: str, run: Run, file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert run("import", file, "--data", tmp_path / "data")[0] == 0
    code, said, _ = run("backup", tmp_path / "stick", "--data", tmp_path / "data")
    assert code == 0 and "Chalk Cup, 40 marks" in said
    code, _, complained = run("restore", tmp_path / "stick", "--data", tmp_path / "data")
    assert code == 1 and "already holds a competition" in complained
    monkeypatch.setenv("DATABASE_URL", needed_cluster().ready_store())
    code, said, _ = run("restore", tmp_path / "stick", "--data", tmp_path / "data")
    assert code == 0 and "40 marks" in said
    monkeypatch.delenv("DATABASE_URL")
    assert run("restore", tmp_path / "stick", "--data", tmp_path / "laptop")[0] == 0
    assert run("export", tmp_path / "laptop.json", "--data", tmp_path / "laptop")[0] == 0
    assert recounted(run, tmp_path / "laptop.json") == recounted(run, file)


@pytest.mark.parametrize("harm", ["secret", "port", "scheme"])
def test_a_database_that_can_not_be_opened_is_told_in_a_sentence_without_its_password(
    harm: str, url: str, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    broken = {
        "secret": url.replace(PASSWORD, f"{PASSWORD}-not"),
        "port": url.replace(url.split(":")[-1].split("/")[0], "1"),
        "scheme": url.replace("postgresql+psycopg", "oracle"),
    }[harm]
    monkeypatch.setenv("DATABASE_URL", broken)
    code, said, complained = run("export", tmp_path / "out.json", "--data", tmp_path)
    assert code == 1
    assert ("can't be read" if harm == "scheme" else "Is it running, and is DATABASE_URL right?") in complained
    assert PASSWORD not in said + complained and len(complained.splitlines()) == 1


def test_several_processes_need_a_database_server(run: Run, tmp_path: Path) -> None:
    code, _, complained = run("serve", "--processes", "2", "--data", tmp_path, "--port", "0", "--no-browser")
    assert code == 1 and "need a PostgreSQL database to share: name it in DATABASE_URL" in complained
    code, _, complained = run("serve", "--processes", "0", "--data", tmp_path, "--port", "0", "--no-browser")
    assert code == 1 and "The setting processes can't be 0" in complained


def test_the_demo_the_drill_and_the_rehearsal_leave_a_named_database_alone(
    url: str, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    found: list[str] = []
    monkeypatch.setattr("app.serving.serve", lambda settings, started: found.append(settings.database()) or 0)
    assert run("serve", "--data", tmp_path)[0] == run("demo", "--data", tmp_path)[0] == 0
    for name in ("drill.run_drill", "rehearse.run_rehearsal"):
        monkeypatch.setenv("DATABASE_URL", url)
        monkeypatch.setattr(f"app.rehearsal.{name}", lambda *_: found.append(Settings(data=tmp_path).database()) or 0)
        assert run(name.split(".")[0])[0] == 0
    assert found == [url, *[f"sqlite:///{tmp_path}/lane-ledger.sqlite3"] * 3]
