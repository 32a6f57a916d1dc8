"""The results written into a folder again and again while the competition runs."""

import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.cli import main
from app.files import FileRefused
from app.publishing import keep_published
from app.results.published_folder import LIST, NotOurs, PublishedFolder
from app.settings import Settings
from tests.builders.halls import a_house
from tests.builders.meets import a_meet

names = st.sampled_from(["index.html", "a.csv", "b/c.css", "b/d.css"])
FILES = st.dictionaries(names, st.binary(max_size=3))


class Enough(Exception):
    """Raised to stop what otherwise goes on."""


def stands(folder: Path) -> dict[str, bytes]:
    found = {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    return {path: content for path, content in found.items() if path != LIST}


def put(file: Path, content: bytes) -> None:
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(content)


@settings(max_examples=60)
@given(st.lists(FILES, min_size=1, max_size=4), st.booleans())
def test_the_folder_holds_what_it_was_told_last_and_only_what_changed_is_written(
    tmp_path_factory: pytest.TempPathFactory, told: list[dict[str, bytes]], begun_anew: bool
) -> None:
    folder = tmp_path_factory.mktemp("site") / "pages"
    before: dict[str, bytes] = {}
    kept = PublishedFolder(folder, put)
    for files in told:
        written: list[str] = []
        kept = PublishedFolder(folder, put) if begun_anew else kept
        kept._write = lambda file, content, all=written: (all.append(file.relative_to(folder).as_posix()), put(file, content))[1]
        changed = kept.take(files)
        assert stands(folder) == files
        assert set(changed) == {path for path in files | before if files.get(path) != before.get(path)}
        pages = [path for path in written if path != LIST]
        assert set(pages) == {path for path in files if files[path] != before.get(path)}
        assert "index.html" not in pages or pages[-1] == "index.html"
        before = files


def test_a_folder_of_somebody_else_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "theirs.html").write_text("theirs", encoding="utf-8")
    with pytest.raises(NotOurs, match="holds something else"):
        PublishedFolder(tmp_path, put)
    (tmp_path / LIST).write_text('{"../theirs.html": "0"}', encoding="utf-8")
    with pytest.raises(NotOurs, match="holds something else"):
        PublishedFolder(tmp_path, put)


def test_a_folder_that_was_half_written_is_gone_on_with(tmp_path: Path) -> None:
    def full(file: Path, content: bytes) -> None:
        if file.name == "index.html":
            raise FileRefused("The disk is full.")
        put(file, content)

    files = {"index.html": b"all", "a.csv": b"1"}
    with pytest.raises(FileRefused):
        PublishedFolder(tmp_path / "site", full).take(files)
    assert PublishedFolder(tmp_path / "site", put).take(files) == ("a.csv", "index.html")
    assert stands(tmp_path / "site") == files


def test_what_changed_in_the_hall_is_in_the_folder_the_next_time(tmp_path: Path) -> None:
    folder, turns = tmp_path / "site", iter(range(4))
    told: list[str] = []
    with a_house(tmp_path, file=a_meet()) as house:
        page: list[bytes] = []

        def wait(_: float) -> None:
            page.append((folder / "index.html").read_bytes())
            match next(turns):
                case 1:
                    assert house.desk().post("/desk/divisions/open", data={"name": "Everybody"}).status_code in (200, 303)
                case 3:
                    raise Enough

        with pytest.raises(Enough):
            keep_published(Settings(data=tmp_path), folder, initials=False, every_s=30, tell=told.append, wait=wait, behind=0)
    assert page[0] == page[1] != page[2] == page[3] and b"Everybody" in page[2]
    assert b'http-equiv="refresh" content="30"' in page[0]
    assert [bool(re.search(r"\d+ of \d+ files written anew", line)) for line in told] == [True, True]
    rest = [line.split("  ", 1)[1] for line in told]
    assert int(rest[1].split()[0]) < int(rest[0].split()[0])


def test_what_can_not_be_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["publish", str(tmp_path / "site"), "--every", "30", "--data", str(tmp_path / "none")]) == 1
    assert "There is no competition" in capsys.readouterr().err
    with a_house(tmp_path, file=a_meet()):
        assert main(["publish", str(tmp_path / "site"), "--every", "0", "--data", str(tmp_path)]) == 1
        assert "--every 5 or more" in capsys.readouterr().err
        (tmp_path / "full").mkdir()
        put(tmp_path / "full" / "x", b"x")
        assert main(["publish", str(tmp_path / "full"), "--every", "30", "--data", str(tmp_path)]) == 1
        assert "holds something else" in capsys.readouterr().err
