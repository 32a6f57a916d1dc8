"""Publishing: the file and its recount, the way back in, and a spreadsheet that runs nothing."""

import asyncio
import csv
import io
import json
import re
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path

import pandas
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.hall.csv_text import plain_text
from app.hall.hall import Hall
from app.live.servertime import ServerTime
from app.results.competition_file import BadFile, read_file, write_file
from app.results.publishing import NotEmpty, csv_file, export_file, import_file
from app.results.recount import recount, recount_plain, recount_table
from app.results.results_csv import results_csv
from app.rules.records.document import CompetitionFile
from app.rules.records.overall_rule import OverallRule
from app.rules.result.public_file import public_of
from app.rules.result.results import results
from app.rules.result.sealing import digest_text, seal_of, sealed
from app.rules.result.signed_words import Stated, stated_in
from app.server import open_hall
from app.settings import Settings
from app.watch.board import board
from tests.builders.meets import a_meet, penalty
from tests.builders.pairs import a_file

LONG = "The Sixty Letter Chalk Dust Sisterhood of the Lower Harbours"
DONE = ((60, 300, 150), (61, 200, 125), (60, 300, 150), (10, 12, 0))
FILE = a_file(names=(("Chalk Lines", "Iron Larks", "Two Left"), ("Slow Burn", "Low Tide")), done=DONE, heat_of=3)
TIME = ServerTime("boot", lambda: 1_000_000, lambda: 1_900_000_000_000)


def in_a_hall(folder: Path, play: Callable[[Hall], object], file: CompetitionFile | None = FILE) -> object:
    """Runs `play` in a hall that has read `file`."""

    async def run() -> object:
        hall = open_hall(Settings(data=folder, open_browser=False), TIME)
        try:
            if file is not None:
                await import_file(hall, write_file(sealed(file)))
            made = play(hall)
            return await made if asyncio.iscoroutine(made) else made
        finally:
            hall.database.close()

    folder.mkdir(exist_ok=True)
    return asyncio.run(run())


def test_a_recount_of_the_export_is_what_the_board_shows(tmp_path: Path) -> None:
    shown, exported = in_a_hall(tmp_path, lambda hall: (board(hall), export_file(hall)))
    on_the_board = [
        [
            (row.place, row.entry, list(row.members), row.score or None, [asdict(part) for part in row.parts if row.score])
            for row in panel.rows
        ]
        for panel in shown.panels
    ]
    counted = [
        [(place(row), row["name"], row["members"], row["score"], row["parts"]) for row in table["rows"]]
        for event in recount_plain(recount(exported))["events"]
        for table in event["standings"]
    ]
    assert on_the_board == counted
    assert [row[0] for row in on_the_board[0]] == ["=1", "=1", "3"]


def place(row: dict[str, object]) -> str:
    return "" if row["place"] is None else f"{'=' if row['shared'] else ''}{row['place']}"


def test_an_export_read_into_an_empty_server_is_exported_the_same(tmp_path: Path) -> None:
    first = in_a_hall(tmp_path / "one", export_file)
    second = in_a_hall(tmp_path / "two", export_file, read_file(first))
    assert first == second
    assert read_file(first).marks == tuple(sorted(FILE.marks, key=lambda mark: (mark.sheet, mark.order)))


def test_an_imported_server_knows_what_it_holds_of_each_tablet(tmp_path: Path) -> None:
    held = in_a_hall(tmp_path, lambda hall: hall.ledger.held("tab_0"))
    assert held == {1: sum(1 for mark in FILE.marks if mark.device == "tab_0")}


def test_a_server_goes_on_as_the_ledger_of_its_file_unless_another_hall_begins_from_it(tmp_path: Path) -> None:
    first = in_a_hall(tmp_path / "one", export_file)

    async def begin(hall: Hall) -> bytes:
        await import_file(hall, first, another_hall=True)
        return export_file(hall)

    begun, ledger = read_file(in_a_hall(tmp_path / "two", begin, None)), read_file(first).ledger
    assert ledger is not None and ledger.secret and begun.ledger not in (None, ledger)
    assert begun.ledger is not None and begun.ledger.secret != ledger.secret and begun.marks == read_file(first).marks


OLD = Path(__file__).with_name("old")
PRINTED = {  # on the sheets that were printed when the files in `old` were written, by version 1
    "Swings": "5338 de0a 403b dd25 1dc2 acf9 f14c 0325 667b c24b fa6f 123c 2229 4fd5 639e bee1",
    "Errands for the hall": "9936 9489 015c 5e0c 085b 97d8 e6a7 b1b2 f3be a554 4e96 65bc 52cb 9486 d752 7206",
    "Heavy and quick": "69f0 7954 1cd0 1096 973c 1cca 10a6 ab85 88e8 da3f cea8 36ab 7e83 62cb 250f 3610",
    "the whole competition": "594a 1b1a a6e4 576b 40cf d2ea ed4a eeb2 a9b7 15b3 ca92 ad9d bd2c dfa8 88ba 2c50",
}


@pytest.mark.parametrize("name", PRINTED)
def test_a_sheet_printed_before_is_found_in_the_old_file_and_in_what_is_exported_from_it_today(tmp_path: Path, name: str) -> None:
    old = (OLD / "version_1.json").read_bytes()
    for data in (old, in_a_hall(tmp_path, export_file, read_file(old))):
        sealed = recount(data, PRINTED[name]).sealed
        assert sealed is not None and sealed.matches == name and sealed.faults == ()
        forged = recount(data.replace(b'"at":1000,', b'"at":1001,', 1), PRINTED[name]).sealed
        assert forged is not None and forged.faults


def test_what_a_legal_file_of_version_1_could_lack_is_no_fault_there_and_one_today() -> None:
    """Its public file left out the protests that rulings decide; a lane of a run again that was ruled away could be removed."""
    said = {"by": "Sam", "why": "Seen", "event": "swings"}
    gone = {"kind": "rerun", "entry": "ent_1", "assignment": "asg_11", "body": {"again": "gone", "counts": "again"}}
    rulings = [
        {"id": "a", "kind": "protest", "body": {"protest": "p9", "decision": "refused"}, "made_wall_ms": 5, **said},
        {"id": "b", "made_wall_ms": 6, **said, **gone},
        {"id": "c", "kind": "undo", "body": {"ruling": "b"}, "made_wall_ms": 7, **said},
    ]
    plain = json.loads((OLD / "version_1.json").read_bytes())
    plain["rulings"] += rulings
    assert len(results(read_file(json.dumps(plain).encode()))) == 3
    with pytest.raises(BadFile, match="there is no protest “p9”"):
        read_file(json.dumps({**plain, "version": 2}).encode())
    plain["rulings"].remove(plain["rulings"][-1])
    with pytest.raises(BadFile, match="there is no lane assignment “gone”"):
        read_file(json.dumps(plain).encode())


def test_files_of_version_2_are_read_and_hold_and_their_sign_off_is_proven() -> None:
    """Written before a sign-off held the overall rule; the digests are those that were printed then."""
    whole, public = ((OLD / name).read_bytes() for name in ("version_2.json", "version_2_public.json"))
    printed = "v2 3b6e 85ba 9331 23e2 0ee8 0b41 09f8 3faf 12b9 89ca 5dcb 088c 40eb 58d1 9700 6eca"
    for found in (recount(whole, printed, public), recount(public, printed)):
        assert found.sealed is not None and found.sealed.faults == () and found.sealed.matches == "the whole competition"
        assert found.holds and [one.said.text for one in found.signed] == SAID_THEN
        assert "- Its digests prove all 61 marks that were signed." in recount_table(found)
        assert recount_plain(found)["signed"]["events"][1]["proven"]


SAID_THEN = ["Not signed off", "Final: signed off by Cy Marlow", "Not signed off"]


def test_a_recount_says_that_a_signed_mark_is_not_there_whatever_seal_the_file_has() -> None:
    whole = read_file((OLD / "version_2.json").read_bytes())
    gone = next(mark for mark in whole.marks if mark.sheet.startswith("asg_21/") and mark.kind == "rep")
    fewer = sealed(whole.model_copy(update={"marks": tuple(mark for mark in whole.marks if mark is not gone)}))
    found = recount(write_file(fewer))
    assert found.sealed is not None and found.sealed.faults == () and not found.holds
    table = recount_table(found)
    assert "Signed off by Cy Marlow, but marks that were signed are missing or changed" in table
    assert "- Tablet tab_21_lane: marks that were signed are missing, 1 of 13." in table and "prove all" not in table


def test_a_recount_says_that_a_sign_off_of_an_older_version_proves_numbers_only() -> None:
    whole = read_file((OLD / "version_2.json").read_bytes())
    body = {"state": "signed", "marks": {"tab_21_lane/1": "1-13"}, "runs": {}}
    rulings = tuple(one.model_copy(update={"body": body}) if one.kind == "sign_off" else one for one in whole.rulings)
    found = recount(write_file(sealed(whole.model_copy(update={"rulings": rulings}))))
    assert "only the number of marks was recorded" in recount_table(found)
    assert not recount_plain(found)["signed"]["events"][1]["proven"]


def test_a_printed_digest_is_looked_for_in_a_file_whose_seal_was_taken_off_too() -> None:
    whole = read_file((OLD / "version_2.json").read_bytes())
    bare, printed = whole.model_copy(update={"seal": None}), digest_text(seal_of(whole).digest)
    found = recount(write_file(bare), printed)
    assert found.holds and found.sealed is not None and found.sealed.matches == "the whole competition"
    other = recount(write_file(bare.model_copy(update={"marks": whole.marks[1:]})), printed)
    assert not other.holds
    assert "The digest you typed matches nothing in this file" in recount_table(other)


def test_a_public_file_of_version_1_is_read_and_holds() -> None:
    found = recount((OLD / "version_1_public.json").read_bytes(), PRINTED["Swings"])
    assert found.sealed is not None and found.sealed.faults == () and found.sealed.matches == "Swings"


def test_a_competition_does_not_go_on_from_a_file_for_everybody(tmp_path: Path) -> None:
    public = write_file(public_of(read_file(in_a_hall(tmp_path / "one", export_file))))

    async def go_on(hall: Hall) -> str:
        with pytest.raises(BadFile) as told:
            await import_file(hall, public)
        assert hall.projection.roster is None
        return str(told.value)

    assert "This is a public file" in in_a_hall(tmp_path / "two", go_on, None)


def test_a_file_is_not_read_into_a_server_that_holds_a_competition(tmp_path: Path) -> None:
    async def again(hall: Hall) -> bytes:
        before = export_file(hall)
        with pytest.raises(NotEmpty, match="already holds a competition"):
            await import_file(hall, write_file(a_file(names=(("Others",),))))
        return before if export_file(hall) == before else b""

    assert in_a_hall(tmp_path, again)


def test_a_bad_file_leaves_nothing_behind(tmp_path: Path) -> None:
    async def bad(hall: Hall) -> tuple[object, int]:
        with pytest.raises(BadFile):
            await import_file(hall, write_file(FILE).replace(b'"kind":"rep"', b'"kind":"rap"', 1))
        return hall.projection.roster, hall.ledger.count()

    assert in_a_hall(tmp_path, bad, None) == (None, 0)


GOOD = write_file(FILE).decode()
FAULTS = [
    ("", "The file is not JSON: line 1, column 1"),
    (GOOD[:-30], "The file is not JSON: line"),
    ('{"a": 1, "a": 2}', "says “a” twice"),
    ("[" * 60_000, "nested too deep"),
    ('{"made_wall_ms": NaN}', "holds NaN"),
    (GOOD.replace('"lane":1', '"lane":' + "9" * 5000, 1), "too many digits"),
    ("[]", "This is not a competition file"),
    (GOOD.replace('"version": 7', '"version": 8'), "At /version: this app reads versions 1 to 7"),
    (GOOD.replace('"version": 7', '"version": true'), "At /version: this app reads versions 1 to 7"),
    (GOOD.replace('"version": 7', '"version": 3.0'), "At /version: this app reads versions 1 to 7"),
    (GOOD.replace('"name":"Chalk Lines"', '"nom":"x"'), "At /entries/0/name: this field is missing"),
    (GOOD.replace('"lane":2', '"lane":0', 1), "At /heats/0/lanes/1/lane: “0” does not fit"),
    (GOOD.replace('"unit":"kg"}', '"unit":"stone"}', 1), "At /competition/unit: “stone” does not fit. Allowed: 'kg' or 'lb'"),
    (GOOD.replace('"kind":"rep"', '"kind":"rap"', 1), "At /marks/0: The kind of a mark is one of rep, norep"),
    (GOOD.replace('"members":["ath_0"', '"members":["ath_77"'), "athlete that is not there"),
    (GOOD.replace('"id":"heat_2","lanes"', '"id":"heat_2","lanes"').replace('"number":2', '"number":1'), "At /heats/1/number"),
]


@pytest.mark.parametrize(("text", "sentence"), FAULTS, ids=[sentence[:40] for _, sentence in FAULTS])
def test_a_fault_is_told_with_its_place_and_what_is_allowed(text: str, sentence: str) -> None:
    with pytest.raises(BadFile) as told:
        read_file(text.encode())
    assert sentence in str(told.value)


def test_a_file_that_is_not_text_is_told_so() -> None:
    with pytest.raises(BadFile, match="not UTF-8 text: byte 2"):
        read_file(b"{\xff}")


def test_a_ruling_on_nobody_is_refused() -> None:
    ruling = {
        "id": "r",
        "kind": "status",
        "entry": "ent_9_9",
        "event": "evt",
        "body": {"status": "withdrawn"},
        "by": "Head",
        "why": "Left",
    }
    raw = json.loads(GOOD) | {"rulings": [ruling]}
    with pytest.raises(BadFile, match="At /rulings/0: ruling “r” \\(status\\): there is no entry “ent_9_9”"):
        read_file(json.dumps(raw).encode())


def test_of_two_marks_under_one_id_neither_counts_in_a_recount() -> None:
    raw = json.loads(GOOD)
    rep = next(mark for mark in raw["marks"] if mark["kind"] == "rep")
    raw["marks"].append(rep | {"at": rep["at"] + 7})
    doubled, honest = recount(json.dumps(raw).encode()), recount(GOOD.encode())
    raw["marks"] = [mark for mark in raw["marks"] if mark["id"] != rep["id"]]
    without = recount(json.dumps(raw).encode())
    assert doubled.events == without.events != honest.events


def test_the_recount_is_a_table_to_read() -> None:
    text = recount_table(recount(GOOD.encode()))
    assert text.splitlines()[:4] == [
        "Turns · Open pairs",
        "------------------",
        "Place  Entry        Members                    Score  Parts",
        "   =1  Chalk Lines  Ana Ek, Bo Ek         620 points  Handstand shoulder taps 60, Push-ups 300, Front squat 260 kg",
    ]


def test_the_recount_prints_variants_and_the_overall_standing_as_the_board_shows_it(tmp_path: Path) -> None:
    meet = a_meet(OverallRule(by="linear", less=5), chosen={"Ada Quill": "light", "Cy Marlow": "scaled"})  # type: ignore[arg-type]
    shown, exported = in_a_hall(tmp_path, lambda hall: (board(hall), export_file(hall)), meet)
    counted = recount_plain(recount(exported))["overall"]
    panels = [panel for panel in shown.panels if panel.title == "Overall"]
    assert [[(row.place, row.entry) for row in panel.rows] for panel in panels] == [
        [(place(row), row["name"]) for row in table["rows"]] for table in counted
    ]
    assert [row.score for row in panels[0].rows if row.score] == [row["total"] for row in counted[0]["rows"] if row["place"]]
    text = recount_table(recount(exported))
    assert "Swings · Open · Scaled\n" in text and "Swings · Masters · Light bell\n" in text
    lines = [line.rstrip() for line in text.partition("Overall · Open\n")[2].splitlines()]
    assert lines[1].split("  ")[0] == "Place" and lines[2].split()[:3] == ["1", "Bo", "Farrow"]
    assert "100 (1)" in lines[2] and any("by count-back" in line for line in lines)
    assert "Light bell" in text.partition("Swings · Open\n")[2].split("\n\n")[0]


def test_a_file_with_an_overall_rule_is_restored_and_a_wrong_one_is_told(tmp_path: Path) -> None:
    meet = a_meet(OverallRule(by="table", points=(10, 5), named="swings"))  # type: ignore[arg-type]
    first = in_a_hall(tmp_path / "one", export_file, meet)
    assert in_a_hall(tmp_path / "two", export_file, read_file(first)) == first
    raw = json.loads(first)
    with pytest.raises(BadFile, match="At /overall: A table of points needs the points of at least one place"):
        read_file(json.dumps({**raw, "overall": {"by": "table"}}).encode())
    with pytest.raises(BadFile, match="refers to an event that is not there"):
        read_file(json.dumps({**raw, "overall": {"named": "gone"}}).encode())


# --- CSV ----------------------------------------------------------------------------------------------------------------


def csv_of(*names: str) -> bytes:
    file = a_file(names=(names,), done=[(20 - i, 30, 0) for i in range(len(names))])
    return results_csv(file, results(file), said_in(file))


def said_in(file: CompetitionFile) -> dict[str, Stated]:
    return {event.id: stated_in(file, event.id) for event in file.events}


NAMES = ("=1+1", 'Ana "Bo", José', LONG, "-2 kg", "@home", "Plain")


def test_csv_is_read_back_by_the_csv_library() -> None:
    text = csv_of(*NAMES).decode("utf-8-sig")
    assert text.endswith("\r\n") and "\n" not in text.replace("\r\n", "")
    rows = list(csv.DictReader(io.StringIO(text, newline=""), strict=True))
    assert [row["entry"] for row in rows] == ["'=1+1", 'Ana "Bo", José', LONG, "'-2 kg", "'@home", "Plain"]
    assert [row["score_value"] for row in rows] == ["50", "49", "48", "47", "46", "45"]
    assert rows[0]["members"] == "Ana Ek; Bo Ek" and rows[0]["parts"] == "Handstand shoulder taps 20; Push-ups 30; Front squat 0"


def test_csv_is_read_back_by_pandas_with_numbers_as_numbers() -> None:
    table = pandas.read_csv(io.BytesIO(csv_of(*NAMES)))
    assert table["event"].tolist() == ["Turns"] * 6  # the byte order mark is no part of the first heading
    assert table["entry"].tolist()[1] == 'Ana "Bo", José' and table["score_value"].sum() == 285
    assert table["place"].tolist() == [1, 2, 3, 4, 5, 6]


def test_csv_shows_the_variant_and_what_rulings_took() -> None:
    meet = a_meet(rulings=[penalty("ent_2", "swings", "1.5")], chosen={"Cy Marlow": "scaled"})
    rows = list(csv.DictReader(io.StringIO(results_csv(meet, results(meet), said_in(meet)).decode("utf-8-sig"))))
    swings = {row["entry"]: (row["variant"], row["penalty"], row["score"]) for row in rows if row["event"] == "Swings"}
    assert swings["Bo Farrow"] == ("", "1.5", "40.5") and swings["Cy Marlow"] == ("Scaled", "", "33")
    assert swings["Edda Thorne"] == ("Light bell", "", "21")


def test_there_is_one_row_for_each_entry_and_event_also_without_a_score(tmp_path: Path) -> None:
    rows = list(csv.DictReader(io.StringIO(in_a_hall(tmp_path, csv_file).decode("utf-8-sig"))))
    assert [(row["entry"], row["place"], row["shared"]) for row in rows] == [
        ("Chalk Lines", "1", "yes"),
        ("Two Left", "1", "yes"),
        ("Iron Larks", "3", "no"),
        ("Slow Burn", "1", "no"),
        ("Low Tide", "", "no"),
    ]
    assert rows[-1]["status"] == "not judged yet" and rows[-1]["score"] == ""


@pytest.mark.parametrize(
    "text",
    [
        *(
            "=1",
            "+1",
            "-1",
            "@x",
            "\t=1",
            "\rx",
            "\nx",
            "\x00=1",
            "  =1",
            "\u00a0+1",
            "\u200b=1",
            "\ufeff=1",
            "＝1",
            "＋1",
            "－1",
            "＠x",
        ),
    ],
)
def test_what_a_spreadsheet_could_run_gets_an_apostrophe(text: str) -> None:
    assert plain_text(text).startswith("'")


def test_a_later_line_is_watched_too() -> None:
    assert plain_text("fine\r\n=1+1") == "fine\r\n'=1+1"
    assert plain_text("fine\n  @x\nfine") == "fine\n'  @x\nfine"


@pytest.mark.parametrize("text", ["Plain", "a=b", "x - y", "José", "", "3-2-1 Go", "Ana\nBo"])
def test_other_text_stays_as_it_is(text: str) -> None:
    assert plain_text(text) == text


@given(st.text(max_size=30))
def test_no_line_of_a_text_begins_a_formula(text: str) -> None:
    for line in plain_text(text).replace("\r", "\n").split("\n"):
        assert not line.strip(" \t\u00a0\u200b\ufeff").startswith(("=", "+", "-", "@"))


@pytest.mark.parametrize(
    ("was", "now", "place"),
    [
        ('"protest_minutes":30', '"protest_minutes":true', "/competition/protest_minutes"),
        ('"protest_minutes":30', '"protest_minutes":"30"', "/competition/protest_minutes"),
        ('"protest_minutes":30', '"protest_minutes":30.0', "/competition/protest_minutes"),
        ('"demo":false', '"demo":"false"', "/competition/demo"),
        ('"lane":1', '"lane":true', "/heats/0/lanes/0/lane"),
        ('"name":"Chalk Lines"', '"name":5', "/entries/0/name"),
        ('"name":"Chalk Lines"', r'"name":"a\ud800"', ""),
    ],
)
def test_what_only_looks_like_a_number_or_a_text_is_refused_where_it_stands(was: str, now: str, place: str) -> None:
    assert was in GOOD
    with pytest.raises(BadFile, match=re.escape(f"At {place}: ") if place else "not JSON"):
        read_file(GOOD.replace(was, now, 1).encode())
