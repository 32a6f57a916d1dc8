"""The commands of the competition file, as a person gives them: export, import, recount, schema."""

import contextlib
import json
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import jsonschema
import pytest

from app.cli import main
from tests.builders.slate_day import the_slate_day

ROOT = Path(__file__).resolve().parent.parent
TIMES = ("10:00", "10:30", "11:00")


@dataclass(frozen=True)
class Said:
    """What a command answered."""

    code: int
    out: str
    err: str


@pytest.fixture
def command(capsys: pytest.CaptureFixture[str]) -> "Command":
    return Command(capsys)


class Command:
    """Gives commands to the command line in this process."""

    def __init__(self, capsys: pytest.CaptureFixture[str]) -> None:
        self._capsys = capsys

    def __call__(self, *words: str | Path) -> Said:
        code = 2
        with contextlib.suppress(SystemExit):  # argparse leaves so when it does not understand
            code = main([str(word) for word in words])
        said = self._capsys.readouterr()
        return Said(code, said.out, said.err)


@pytest.fixture
def slate_day(tmp_path: Path) -> Path:
    """The demo's competition before its first mark, as a file."""
    file = tmp_path / "slate day.json"
    file.write_text(the_slate_day(TIMES).model_dump_json(), encoding="utf-8")
    return file


def without_its_date(file: Path) -> dict[str, object]:
    return json.loads(file.read_text(encoding="utf-8")) | {"made_wall_ms": 0}


def test_what_was_imported_is_exported_again(command: Command, slate_day: Path, tmp_path: Path) -> None:
    came = command("import", slate_day, "--data", tmp_path / "data")
    assert came.code == 0, came.err
    assert "entries" in came.out
    assert command("export", tmp_path / "out.json", "--data", tmp_path / "data").code == 0
    assert command("import", tmp_path / "out.json", "--data", tmp_path / "other").code == 0
    assert command("export", tmp_path / "again.json", "--data", tmp_path / "other").code == 0
    assert without_its_date(tmp_path / "out.json") == without_its_date(tmp_path / "again.json")
    assert without_its_date(tmp_path / "out.json")["competition"] == without_its_date(slate_day)["competition"]


def test_a_second_import_is_refused_and_changes_nothing(command: Command, slate_day: Path, tmp_path: Path) -> None:
    command("import", slate_day, "--data", tmp_path / "data")
    refused = command("import", slate_day, "--data", tmp_path / "data")
    assert (refused.code, refused.out) == (1, "")
    assert "already holds a competition" in refused.err


def test_an_export_writes_over_nothing(command: Command, slate_day: Path, tmp_path: Path) -> None:
    command("import", slate_day, "--data", tmp_path / "data")
    (tmp_path / "precious.json").write_text("{}")
    refused = command("export", tmp_path / "precious.json", "--data", tmp_path / "data")
    assert refused.code == 1
    assert "already there" in refused.err
    assert (tmp_path / "precious.json").read_text() == "{}"


def test_an_export_of_an_empty_folder_makes_nothing_in_it(command: Command, tmp_path: Path) -> None:
    refused = command("export", tmp_path / "out.json", "--data", tmp_path / "nowhere")
    assert refused.code == 1
    assert "no competition in the folder" in refused.err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("verb", ["import", "recount"])
@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (None, "can't be read: No such file"),
        (b"", "is not JSON"),
        (b"[1, 2]", "not a competition file"),
        (b"\xff\xfe", "not UTF-8"),
        (b'{"file": "lane-ledger-competition", "version": 99}', "/version"),
    ],
)
def test_a_bad_file_gets_a_sentence(command: Command, tmp_path: Path, verb: str, content: bytes | None, sentence: str) -> None:
    file = tmp_path / "file.json"
    if content is not None:
        file.write_bytes(content)
    refused = command(verb, file, *(["--data", tmp_path / "data"] if verb == "import" else []))
    assert (refused.code, refused.out) == (1, "")
    assert sentence in refused.err
    assert not (tmp_path / "data").exists(), "a refused file leaves no store behind"


def test_a_recount_is_a_table_or_json(command: Command, slate_day: Path) -> None:
    names = {entry.name for entry in the_slate_day(TIMES).entries}
    table = command("recount", slate_day)
    assert table.code == 0
    assert all(name in table.out for name in names)
    told = json.loads(command("recount", slate_day, "--json").out)
    rows = [row for event in told["events"] for standing in event["standings"] for row in standing["rows"]]
    assert {row["name"] for row in rows} == names


def test_the_schema_is_a_schema_and_an_export_keeps_to_it(command: Command, slate_day: Path, tmp_path: Path) -> None:
    schema = json.loads(command("schema").out)
    jsonschema.Draft202012Validator.check_schema(schema)
    command("import", slate_day, "--data", tmp_path / "data")
    command("export", tmp_path / "out.json", "--data", tmp_path / "data")
    jsonschema.validate(json.loads((tmp_path / "out.json").read_text(encoding="utf-8")), schema)


def test_a_written_workout_is_read_and_its_status_says_whether_anything_is_open(command: Command, tmp_path: Path) -> None:
    file = tmp_path / "workout.txt"
    file.write_text("3 rounds for time\n10 burpees\n200 m run\n", encoding="utf-8")
    asked = command("read", file, "--json")
    read = json.loads(asked.out)
    (question,) = read["questions"]
    assert (asked.code, read["whole"]) == (1, False)
    answered = command("read", file, "--json", "--answer", f"{question['id']}=12:00")
    read = json.loads(answered.out)
    assert (answered.code, read["whole"]) == (0, True)
    schema = json.loads(command("schema").out)
    jsonschema.validate(read["format"], {"$ref": "#/$defs/Format", "$defs": schema["$defs"]})
    assert "3 rounds for time" in command("read", file).out and question["id"] in command("read", file).out
    nothing_said = command("read", file, "--answer", question["id"])
    assert (nothing_said.code, nothing_said.out) == (1, "") and "is written ID=VALUE" in nothing_said.err
    missing = command("read", tmp_path / "nothing.txt")
    assert (missing.code, missing.err.count("\n")) == (1, 1) and "can't be read: No such file" in missing.err
    file.write_bytes("10 bürpees".encode("latin-1"))
    assert "is not text in UTF-8" in command("read", file).err


@pytest.mark.parametrize("words", [["schema"], ["recount", "{file}"], ["recount", "{file}", "--json"]])
def test_neither_a_server_nor_a_database_is_loaded_to_recount(words: list[str], slate_day: Path) -> None:
    given = [word.format(file=slate_day) for word in words]
    heavy = {"fastapi", "starlette", "uvicorn", "sqlmodel", "sqlalchemy", "sqlite3"}
    run = f"import sys; from app.cli import main; main({given!r})"
    script = f"{run}; print(sorted({heavy!r} & set(sys.modules)), file=sys.stderr)"
    done = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, timeout=60)
    assert (done.returncode, done.stderr.strip()) == (0, "[]")


def test_every_command_says_what_it_is_for(command: Command) -> None:
    told = command("--help").out
    for name in ("demo", "serve", "test", "bench", "export", "import", "recount", "read", "schema"):
        assert name in told
