"""What is published: the podium, the sheet that is signed, the folder for a web space."""

import csv
import io
import re
import zipfile
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest

from app.cli import main
from app.results.recount import recount
from tests.builders.halls import House, a_house
from tests.builders.meets import a_meet
from tests.review.test_signed_stays_page import signed

MEET = a_meet()


@pytest.fixture
def meet(tmp_path: Path) -> Iterator[House]:
    """A running application over a meet with results."""
    with a_house(tmp_path, file=MEET) as house:
        yield house


class Links(HTMLParser):
    """Every address in a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found += [value for name, value in attrs if name in ("href", "src", "action") and value]


def unpacked(house: House, names: str = "full") -> dict[str, bytes]:
    """The folder for a web space, by path."""
    packed = house.desk().get("/desk/results-copy.zip", params={"names": names})
    assert packed.headers["content-type"] == "application/zip"
    with zipfile.ZipFile(io.BytesIO(packed.content)) as archive:
        return {name.removeprefix("results/"): archive.read(name) for name in archive.namelist()}


def test_the_folder_stands_by_itself(meet: House) -> None:
    files = unpacked(meet)
    links = Links(files["index.html"].decode()).found
    assert [link for link in links if not link.startswith("#") and link not in files] == []
    fonts = re.findall(r'url\("\.\./\.\./(.+?)"\)', files["css/web/tokens.css"].decode())
    assert fonts and all(font in files for font in fonts)
    assert b"<script" not in files["index.html"]


def test_its_files_say_what_the_page_says_and_can_be_recounted(meet: House) -> None:
    files = unpacked(meet)
    found = recount(files["competition.json"])
    assert found.sealed is not None and not found.sealed.faults and found.sealed.whole in files["index.html"].decode()
    rows = list(csv.DictReader(io.StringIO(files["results.csv"].decode("utf-8-sig"))))
    assert [row["entry"] for row in rows] == [r.entry.name for e in found.events for t in e.tables for r in t.rows]
    one = list(csv.DictReader(io.StringIO(files["event-swings.csv"].decode("utf-8-sig"))))
    assert one == [row for row in rows if row["event"] == one[0]["event"]]


def test_the_file_for_everybody_has_the_digests_of_the_sheet_and_is_proven_by_the_whole_file(meet: House) -> None:
    event, whole = re.findall(r'<p class="digest">(.+?)</p>', meet.browser().get("/results/swings").text)
    public = unpacked(meet)["competition.json"]
    for printed, name in ((event, "Swings"), (whole, "the whole competition")):
        found = recount(public, printed).sealed
        assert found is not None and found.matches == name and found.faults == () and printed.startswith("v2 ")
    proven = recount(meet.desk().get("/desk/competition.json").content, whole, public).sealed
    assert proven is not None and proven.proves and proven.faults == ()


def test_with_initials_no_athletes_name_is_in_any_file(meet: House) -> None:
    files = unpacked(meet, "initials")
    assert "competition.json" not in files
    for athlete in MEET.athletes:
        assert [path for path, content in files.items() if athlete.name.encode() in content] == []
    assert b"A. Q." in files["index.html"] and b"A. Q." in files["results.csv"]


def test_with_initials_nobody_is_named_whom_a_sign_off_left_out(tmp_path: Path) -> None:
    left_out = [{"key": "entry:ent_2", "what": "Bo Farrow was not judged", "why": "Bo Farrow had left"}]
    with a_house(tmp_path, file=a_meet(rulings=signed(["swings"], left_out=left_out))) as house:
        for names, there in (("full", True), ("initials", False)):
            files = unpacked(house, names)
            shown = [content for path, content in files.items() if path in ("index.html", "results.csv", "results.json")]
            assert [b"Bo Farrow had left" in content for content in shown] == [there] * 3
            assert all(b"but for one thing left out" in content for content in shown)


def test_the_sheet_of_an_event_carries_a_digest_that_the_file_confirms(meet: House) -> None:
    page = meet.browser().get("/results/swings").text
    printed = re.search(r'<p class="digest">(.+?)</p>', page)
    assert printed is not None and "Head judge" in page and "cola-coloured urine" in page
    data = meet.desk().get("/desk/competition.json").content
    found = recount(data, printed[1])
    assert found.sealed is not None and found.sealed.faults == () and found.sealed.matches == "Swings"
    other = recount(data, "0" * 64).sealed
    assert other is not None and "the printout came from another file" in other.faults[0]
    assert meet.browser().get("/results/nothing").status_code == 404


def test_the_podium_has_three_places_and_whoever_shares_them(meet: House) -> None:
    page = meet.browser().get("/podium").text
    places = re.findall(r'<span class="podium-place">(=?)(\d+)</span>', page)
    assert places and all(1 <= int(place) <= 3 for _, place in places)
    assert "Bo Farrow" in page


def test_a_folder_is_written_from_the_command_line_and_nothing_is_written_over(
    meet: House, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "out" / "site"
    assert main(["publish", str(folder), "--initials", "--data", str(tmp_path)]) == 0
    assert (folder / "index.html").is_file() and (folder / "css/web/tokens.css").is_file()
    assert main(["publish", str(folder), "--data", str(tmp_path)]) == 1
    assert "is not an empty folder" in capsys.readouterr().err


def test_whoever_is_not_the_desk_gets_no_copy(meet: House) -> None:
    assert meet.browser().get("/desk/results-copy.zip").status_code in (303, 401, 403)
