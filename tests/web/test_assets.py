"""What is sent for the files of the static tree."""

import hashlib
import json
import re
from pathlib import Path

import pytest

from app.paths import static_dir
from app.web.assets import alone, served_bytes, sheets_of
from app.web.pages import rows_json, static_url
from tests.builders.halls import House

OURS = sorted(
    path for kind in ("*.js", "*.css") for path in static_dir().rglob(kind) if "vendor" not in path.parts and path.name != "sw.js"
)
STRINGS_AND_COMMENTS = re.compile(
    r"""("(?:\\.|[^"\\\n])*"|'(?:\\.|[^'\\\n])*'|`(?:\\.|[^`\\])*`)|(?<![\\/[(])//[^\n]*|/\*.*?\*/""", re.S
)


def code(text: str) -> str:
    """What of a script or a style sheet a browser acts on: no comments, no space between the words."""
    kept = STRINGS_AND_COMMENTS.sub(lambda found: found[1] or " ", text)
    return " ".join(kept.split())


@pytest.mark.parametrize("path", OURS, ids=lambda path: path.name)
def test_what_is_sent_does_the_same_on_the_same_lines(path: Path) -> None:
    source, sent = path.read_text(encoding="utf-8"), alone(path).decode()
    assert code(sent) == code(source.replace('"__ROWS__"', rows_json().decode()))
    assert sent.count("\n") == source.count("\n")


def test_comments_that_have_a_line_to_themselves_stay_at_home(house: House) -> None:
    sent = house.browser().get(static_url("js/rules/tally.js")).text
    assert not [line for line in sent.splitlines() if line.lstrip().startswith(("//", "/*"))]
    assert "export function" in sent


def test_the_service_worker_knows_each_file_by_what_is_sent_for_it(house: House) -> None:
    page = house.browser()
    named = re.search(r"const ASSETS = [^(]*\((\{[^{}]+\})\)", page.get("/sw.js").text)
    assert named is not None
    hashes = json.loads(named[1])
    assert len(hashes) > 50
    assert {path: hashlib.sha256(page.get(path).content).hexdigest() for path in hashes} == hashes


def test_one_sheet_stands_for_all_of_the_lane_screens(house: House) -> None:
    base, lane = (static_dir().parent / "templates" / name for name in ("web/base.html", "floor/lane_styles.html"))
    named = [name for file in (base, lane) for name in re.findall(r"static_url\('css/([^']+)'\)", file.read_text("utf-8"))]
    assert [
        path.relative_to(static_dir() / "css").as_posix() for path in sheets_of(static_dir() / "css/floor/lane_screen.css")
    ] == named
    page = house.browser().get("/lane").text
    assert page.count('rel="stylesheet"') == 1
    sent = house.browser().get(static_url("css/floor/lane_screen.css"))
    parts = [house.browser().get(static_url(f"css/{name}")).text for name in named]
    assert sent.headers["content-type"] == "text/css"
    assert sent.text.split("\n") == ["", *(line for line in "".join(parts).split("\n") if line), ""]


def test_one_sheet_stands_for_all_of_the_call_screens(house: House) -> None:
    base = (static_dir().parent / "templates/web/base.html").read_text("utf-8")
    own = ("floor/declare.css", "floor/call.css", "compose/plates.css", "floor/declare_low.css")
    named = [*re.findall(r"static_url\('css/([^']+)'\)", base), *own]
    assert [
        path.relative_to(static_dir() / "css").as_posix() for path in sheets_of(static_dir() / "css/floor/call_screen.css")
    ] == named
    assert house.browser().get("/call").text.count('rel="stylesheet"') == 1
    assert house.browser().get(static_url("css/floor/call_screen.css")).status_code == 200


def test_a_sheet_that_is_not_there_is_not_there(house: House) -> None:
    assert house.browser().get(static_url("css/nothing.css")).status_code == 404


def test_what_others_wrote_is_sent_as_it_is() -> None:
    vendored = static_dir() / "vendor" / "htmx.min.js"
    assert served_bytes(vendored) == vendored.read_bytes()
