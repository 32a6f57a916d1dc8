"""Whatever is wrong with a file, a list or a mark: a sentence or a result, never a crash."""

import asyncio
import json
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.floor.taking import BadBody, read_body
from app.hall.forms import BadForm
from app.keep.tablet_file import BadTabletFile, take_tablet_file
from app.live.presence import Who
from app.live.servertime import this_machine
from app.people.entry_file import decoded, guessed_separator, rows_of, tidy
from app.people.entry_import import looked
from app.people.entry_plan import Known
from app.results.competition_file import BadFile, read_file, write_file
from app.results.file_texts import check_texts
from app.results.publishing import import_file
from app.results.recount import recount_of
from app.rules.records.document import CompetitionFile
from app.rules.records.marks import BadMark, mark_plain, parse_mark
from app.rules.result.results import results
from app.rules.result.sealing import sealed
from app.rules.result.worked_example import worked_example
from app.rules.values.texts import NEVER
from app.server import open_hall
from app.settings import Settings
from tests.builders.fuzz import as_json, broken, small_file, twisted

SMALL = small_file()
WHOLE = write_file(sealed(CompetitionFile.model_validate(SMALL)))
MARKS = SMALL["marks"][:6]
SAVED = {"file": "lane-ledger-marks", "version": 1, "tablet": "Lane 1 tablet", "marks": MARKS}
LIST = "\r\n".join(
    ("Division;Entry;Athlete;Club;Bodyweight", 'Open pairs;"Chalk; Lines";José Ek;Quay;70,5', "Open pairs;Two Left;Bo Lind;;", "")
).encode()
DESK = Who("dev_x", "desk", None)


few = settings(max_examples=25, suppress_health_check=list(HealthCheck))
many = settings(max_examples=120, suppress_health_check=list(HealthCheck))
Got = TypeVar("Got")


def attempt(act: Callable[[], Got], error: type[Exception]) -> tuple[Got | None, str]:
    """What an act brings, or the sentence that it is refused with. Any other error is a crash, and passes."""
    try:
        return act(), ""
    except error as told:
        return None, str(told)


def is_a_sentence(text: str) -> bool:
    """Whether a refusal can be shown: it ends as one, or in the pattern that is allowed, and holds nothing that garbles."""
    return (text.rstrip().endswith((".", "more after this.)")) or "Allowed: text that matches" in text) and not NEVER.search(text)


def _reads(data: bytes) -> None:
    """Reads a competition file as an import does, and counts it, if there is anything to count."""
    file, told = attempt(lambda: read_file(data), BadFile)
    if file is None:
        assert is_a_sentence(told), told
        return
    _, told = attempt(lambda: check_texts(file), BadFile)
    assert told == "" or (told.startswith("At /") and is_a_sentence(told))
    counted = recount_of(file, results(file))
    assert len(counted.events) == len(file.events)
    assert all(worked_example(event) for event in file.events)
    assert read_file(write_file(file)) == file, "what was read is written and read the same"


@many
@given(broken(WHOLE))
def test_a_competition_file_with_changed_bytes(data: bytes) -> None:
    _reads(data)


@many
@given(twisted(SMALL))
def test_a_competition_file_in_which_something_is_something_else(plain: Any) -> None:
    _reads(as_json(plain))


@many
@given(st.one_of(broken(as_json({"marks": MARKS})), twisted({"marks": MARKS}).map(as_json)))
def test_a_batch_of_marks(body: bytes) -> None:
    raw, told = attempt(lambda: read_body(body), BadBody)
    assert raw is not None or is_a_sentence(told)
    for one in raw or ():
        mark, told = attempt(partial(parse_mark, one), BadMark)
        if mark is None:
            assert is_a_sentence(told) and told.isprintable()
        else:
            assert parse_mark(json.loads(json.dumps(mark_plain(mark)))) == mark


@many
@given(broken(LIST), st.sampled_from(["", "utf-8", "utf-16", "windows-1252", "mac-roman"]))
def test_a_list_of_entries(data: bytes, encoding: str) -> None:
    file, told = attempt(lambda: decoded(data, encoding), BadForm)
    rows = None
    if file is not None:
        rows, told = attempt(lambda: rows_of(file.text, guessed_separator(file.text)), BadForm)
    assert is_a_sentence(told) or rows is not None
    assert all(len(tidy(cell)) <= len(cell) * 3 for row in rows or () for cell in row.cells)


@pytest.fixture(scope="module")
def hall(tmp_path_factory: pytest.TempPathFactory) -> Any:
    folder: Path = tmp_path_factory.mktemp("hall")
    opened = open_hall(Settings(data=folder, open_browser=False), this_machine())
    asyncio.run(import_file(opened, WHOLE))
    yield opened
    opened.hub.close()
    opened.database.close()


@few
@given(st.one_of(broken(as_json(SAVED)), twisted(SAVED).map(as_json)))
def test_a_file_that_a_tablet_saved(hall: Any, data: bytes) -> None:
    taken, told = attempt(lambda: asyncio.run(take_tablet_file(hall, DESK, data)), BadTabletFile)
    assert is_a_sentence(told if taken is None else taken.sentence())
    assert taken is None or taken.new <= len(MARKS)


@few
@given(data=broken(LIST), chosen=st.booleans())
def test_what_is_shown_of_a_list(hall: Any, data: bytes, chosen: bool) -> None:
    typed = {"text": data.decode("utf-8", "replace"), **({"columns": "x", "headed": "on"} if chosen else {})}
    look, told = attempt(lambda: looked(hall, typed, Known()), BadForm)
    assert look is not None or is_a_sentence(told)


@pytest.mark.parametrize("odd", [{"id": []}, {"id": {}}, {"id": None}, [], 7, {"id": 10**400}])
def test_a_saved_file_with_a_mark_that_has_no_name_is_told_and_not_a_crash(hall: Any, odd: object) -> None:
    taken = asyncio.run(take_tablet_file(hall, DESK, as_json({**SAVED, "tablet": [["x"]], "marks": [odd, *MARKS]})))
    assert len(taken.refused) == 1 and is_a_sentence(taken.sentence()) and "from a tablet" in taken.sentence()
