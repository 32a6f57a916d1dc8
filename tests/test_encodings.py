"""Names of any language, where the system's own encoding does not know their letters.

Two surroundings are imitated: streams in the encoding of a Windows laptop in the west (cp1252), and the C locale with Python's
own help against it switched off, where text is ASCII unless something else is said.
"""

import ast
import asyncio
import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.planning.worker import Job, Worker
from tests.builders.slate_day import the_slate_day
from tests.planning.days import a_day

ROOT = Path(__file__).resolve().parent.parent
AWKWARD = ("Ángel", "Łukasz", "Özgül-”x”", "李小龍", "🏋 Bar")
SURROUNDINGS = {
    "cp1252": {"PYTHONIOENCODING": "cp1252"},
    "C locale": {"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"},
}
odd_surroundings = pytest.mark.parametrize("surroundings", SURROUNDINGS.values(), ids=SURROUNDINGS.keys())


@odd_surroundings
def test_a_day_is_planned_whatever_judges_and_events_are_called(
    surroundings: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    for name, value in surroundings.items():
        monkeypatch.setenv(name, value)
    day = a_day(entries=4, minutes=(10,), judges=len(AWKWARD))
    judges = tuple(judge.model_copy(update={"name": name}) for judge, name in zip(day.judges, AWKWARD, strict=True))
    events = tuple(event.model_copy(update={"name": AWKWARD[2]}) for event in day.events)
    job = Job(seconds=5, given=day.model_copy(update={"judges": judges, "events": events}))
    found = asyncio.run(Worker(job, lambda _: None).run())
    assert found.why == "" and len({spot.entry for heat in found.heats for spot in heat.spots}) == 4


@pytest.mark.parametrize(
    ("surroundings", "form"),
    [(SURROUNDINGS["cp1252"], []), (SURROUNDINGS["C locale"], []), (SURROUNDINGS["cp1252"], ["--json"])],
    ids=["table, cp1252", "table, C locale", "json, cp1252"],
)
def test_a_recount_goes_into_a_file_whatever_athletes_are_called(
    surroundings: dict[str, str], form: list[str], tmp_path: Path
) -> None:
    day = the_slate_day(("10:00", "10:30", "11:00"))
    named = tuple(entry.model_copy(update={"name": name}) for entry, name in zip(day.entries, AWKWARD, strict=False))
    file, out = tmp_path / "file.json", tmp_path / "out.txt"
    file.write_text(day.model_copy(update={"entries": named + day.entries[len(named) :]}).model_dump_json(), encoding="utf-8")
    with out.open("wb") as into:
        command = [sys.executable, "-m", "app", "recount", str(file), *form]
        done = subprocess.run(
            command, cwd=ROOT, env={**os.environ, **surroundings}, stdout=into, stderr=subprocess.PIPE, timeout=60
        )
    assert (done.returncode, done.stderr) == (0, b"")
    text = out.read_text(encoding="utf-8")
    assert all(name in text for name in AWKWARD)
    if form:
        json.loads(text)


@odd_surroundings
def test_a_refusal_names_a_file_that_the_terminal_can_not_spell(surroundings: dict[str, str]) -> None:
    command = [sys.executable, "-m", "app", "recount", os.fsencode("no/Özgül-”x”.json")]
    done = subprocess.run(command, cwd=ROOT, env={**os.environ, **surroundings}, capture_output=True, timeout=60)
    assert done.returncode == 1
    assert b"can't be read" in done.stderr and b"Traceback" not in done.stderr


def test_a_folder_whose_name_can_not_be_read_here_is_refused_with_a_sentence(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "app", "serve", "--data", os.fsencode(tmp_path / AWKWARD[2])]
    refused = subprocess.run(command, cwd=ROOT, env={**os.environ, **SURROUNDINGS["C locale"]}, capture_output=True, timeout=60)
    assert refused.returncode == 1
    assert b"letters that this system's encoding can't read" in refused.stderr and b"Traceback" not in refused.stderr


TEXT_UNLESS_SAID = {"open", "read_text", "write_text", "fdopen", "TextIOWrapper", "NamedTemporaryFile", "TemporaryFile"}

WITHOUT_ENCODING = {"read_text": 0, "write_text": 1}  # so many arguments, and the next is the encoding
MODE = re.compile(r"[rwax][bt+]*")
# Without one of these nothing needs to be parsed.
MAY_BE_TEXT = re.compile(rf"\b(?:{'|'.join(sorted(TEXT_UNLESS_SAID))})\b|\b(?:text|universal_newlines)\s*=[\s(]*True\b")


def left_to_the_system(tree: ast.AST) -> Iterator[int]:
    """The lines in which text is read or written without a word on its encoding."""
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        said = {word.arg: word.value for word in node.keywords}
        as_text = [
            one for one in map(said.get, ("text", "universal_newlines")) if isinstance(one, ast.Constant) and one.value is True
        ]
        if (_opens_text(node) or as_text) and "encoding" not in said:
            yield node.lineno


def _opens_text(call: ast.Call) -> bool:
    """Sockets, announcers and browsers are opened too: what is opened by its name, or as a path in a mode of text, is a file."""
    name = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
    given = [*call.args, *(word.value for word in call.keywords)]
    modes = {
        one.value for one in given if isinstance(one, ast.Constant) and isinstance(one.value, str) and MODE.fullmatch(one.value)
    }
    if name == "open" and isinstance(call.func, ast.Attribute):
        return bool(modes) and not any("b" in mode for mode in modes)
    if len(call.args) > WITHOUT_ENCODING.get(name, len(call.args)):
        return False
    return name in TEXT_UNLESS_SAID and not any("b" in mode for mode in modes)


def test_text_that_leaves_the_app_says_its_encoding() -> None:
    found = {
        path.relative_to(ROOT).as_posix(): lines
        for path in sorted((ROOT / "app").rglob("*.py"))
        if MAY_BE_TEXT.search(text := path.read_text(encoding="utf-8")) and (lines := [*left_to_the_system(ast.parse(text))])
    }
    assert found == {}


@pytest.mark.parametrize(
    ("code", "at_fault"),
    [
        ("path.read_text()", True),
        ("open('x')", True),
        ("file.open('w')", True),
        ("subprocess.run(x, text=True, errors='replace')", True),
        ("file.open('rb')", False),
        ("os.fdopen(x, 'wb')", False),
        ("path.write_text(x, encoding='utf-8')", False),
        ("announcer.open(known, port)", False),
    ],
)
def test_what_the_law_on_encodings_catches(code: str, at_fault: bool) -> None:
    assert [*left_to_the_system(ast.parse(code))] == [1] * at_fault
