"""Every CSV that the desk hands out: no cell that a spreadsheet would run, in whatever locale it is opened."""

import csv
import io
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.hall.csv_text import csv_bytes, plain_text
from app.results.competition_file import write_file
from app.rules.records.document import CompetitionFile
from tests.builders.halls import House, a_house
from tests.builders.pairs import a_file

# What spreadsheets and their helpers run, in our own words: a cell that begins like one of these, with what may stand before it.
NAMES = (
    *("=1+1", "+1+1", "-1+1", "@SUM(A1)", "=cmd|' /C calc'!A0", '=HYPERLINK("http://x.example")', "＝1+1", "－1+1", '"=1+1"'),
    *("Ana; =1+1", "a,=1", "'=1", "%0A-1", "|x", "  =1", "=1\u00a0"),
)
RUNS = re.compile(r"[\s\"\u200b-\u200f\u2060\ufeff]*[=+\-@\uff1d\uff0b\uff0d\uff20]")
NUMBER = re.compile(r"-?\d+(\.\d+)?")
NO_FILMS = "/desk/round/gym/hand-in/films.csv"  # of a gym that hands in to a round: the list that it keeps, none in this hall


def running(data: bytes) -> list[str]:
    """The cells of a file that would run: read by the rules (RFC 4180), and as a spreadsheet does that parts them elsewhere."""
    text = data.decode("utf-8-sig")
    cells = [cell for row in csv.reader(io.StringIO(text, newline="")) for cell in row]
    torn = [part for cell in cells for part in re.split(r"[;\t\r\n]", cell)]
    return [cell for cell in (*cells, *torn) if RUNS.match(cell) and not NUMBER.fullmatch(cell)]


def csv_paths(house: House) -> list[str]:
    """The address of every CSV that can be asked for."""
    return sorted(path for path in house.app.openapi()["paths"] if path.endswith(".csv"))


@pytest.fixture
def meet(tmp_path: Path) -> Iterator[House]:
    with a_house(tmp_path, file=a_spiteful_file()) as opened:
        yield opened


def a_spiteful_file() -> CompetitionFile:
    """Every name in it is a formula."""
    done = [(20, 30, 225 - n) for n in range(len(NAMES) - 1)]
    plain = a_file([NAMES], heat_of=len(NAMES), done=done).model_dump(mode="json")
    for kind in ("divisions", "clubs", "athletes", "events"):
        for n, one in enumerate(plain[kind]):
            one["name"] = NAMES[n % len(NAMES)]
    plain["competition"] |= {"name": NAMES[0], "place": NAMES[1]}
    plain["overall"] = {"by": "places"}
    penalty = {
        "id": "rul_1",
        "kind": "penalty",
        "assignment": "asg_2",
        "body": {"amount": "-500"},
        "by": NAMES[2],
        "why": NAMES[3],
    }
    withdrawn = {
        "id": "rul_2",
        "kind": "status",
        "assignment": "asg_3",
        "body": {"status": "withdrawn"},
        "by": NAMES[2],
        "why": "x",
    }
    plain["rulings"] = [penalty, withdrawn]
    return CompetitionFile.model_validate(plain)


def test_no_file_that_the_desk_hands_out_holds_a_cell_that_runs(meet: House) -> None:
    desk = meet.desk()
    sent = desk.post("/desk/halls", data={"name": "=Other hall"}, files={"file": ("x.json", write_file(a_spiteful_file()))})
    assert sent.status_code == 303
    paths = csv_paths(meet)
    assert len(paths) >= 4 and NO_FILMS in paths
    for path in paths:
        answer = desk.get(path)
        assert answer.status_code == 200 and (len(answer.content) > 50 or path == NO_FILMS), path
        assert running(answer.content) == [], path


def test_names_and_numbers_stay_what_they_are(meet: House) -> None:
    rows = list(csv.DictReader(io.StringIO(meet.desk().get("/desk/results.csv").content.decode("utf-8-sig"), newline="")))
    assert {row["entry"].removeprefix("'").replace(";' ", "; ") for row in rows} == {
        name.strip().removeprefix("'") for name in NAMES
    }
    assert any(row["penalty"].lstrip("-").isdigit() for row in rows)
    assert all(not row["score_value"].startswith("'") for row in rows)


def test_a_list_of_entries_with_such_names_is_taken_as_it_is_written(house: House) -> None:
    desk = house.desk()
    lines = io.StringIO(newline="")
    csv.writer(lines).writerows(
        [("Division", "Entry", "Athlete"), *(("Open pairs", f"{name} {n}", name) for n, name in enumerate(NAMES))]
    )
    form = {"text": lines.getvalue(), "do": "store"}
    answer = desk.post("/desk/entries/file", data=form, headers={"accept": "text/html"})
    assert answer.status_code == 303, answer.text[:2000]
    roster = house.app.state.hall.projection.roster
    stored = {entry.name for entry in roster.entries}
    assert {re.sub(r"[ \u00a0]+", " ", f"{name} {n}").strip() for n, name in enumerate(NAMES)} <= stored


@given(st.lists(st.text("=+-@\t\r\n;,|\"' \u00a0\ufeff\uff1da1\x00", max_size=8), min_size=1, max_size=4))
def test_no_text_whatever_makes_a_cell_that_runs(texts: list[str]) -> None:
    assert [cell for cell in running(csv_bytes([[plain_text(text) for text in texts]])) if cell] == []


def test_the_search_finds_what_is_not_guarded() -> None:
    for name in (one for one in NAMES if one not in ("a,=1", "'=1", "%0A-1", "|x")):
        assert running(csv_bytes([["fine", name]])), name
    assert running(csv_bytes([["-5", "-0.25", "fine"]])) == []
