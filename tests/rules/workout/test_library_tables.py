"""The tables of movements and plates: what stands in a row, and how a row that can't be one is told."""

import copy
import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from app.library import Tables
from app.rules.values.table_rows import BadTable
from app.rules.values.tables import NotHandedIn, hand_in_tables, made_of
from app.rules.workout.equipment import equipment
from app.rules.workout.formats import CountTask
from app.rules.workout.movement_library import read_library
from app.rules.workout.movements import library, named_movement
from app.rules.workout.plate_sets import read_sets, set_to_begin
from tests.builders.cast import a_format

Change = Callable[[Any], object]


@pytest.fixture
def given() -> Iterator[dict[str, Any]]:
    """A copy of the tables as they are shipped; what a test hands in is taken back."""
    shipped = Tables()
    yield copy.deepcopy(dict(shipped))
    hand_in_tables(shipped)


def squat(table: Any) -> Any:
    """A row to spoil."""
    return next(row for row in table["movements"] if row["key"] == "front_squat")


def pounds(table: Any) -> Any:
    """A set to spoil."""
    return next(row for row in table["sets"] if row["key"] == "gym-lb")


def test_a_movement_is_one_row_of_the_table(given: dict[str, Any]) -> None:
    row = {
        "key": "log_roll",
        "name": "Log rolls",
        "called": ["rolled logs"],
        "fastest_ms": 900,
        "needs": ["mat"],
        "standards": ["Once over."],
        "faults": ["standing", {"id": "half", "name": "Half a roll", "word": "whole"}],
        "cautions": ["landing", "Nobody lies behind it."],
    }
    given["movements"]["movements"].append(row)
    hand_in_tables(given)
    key, made = named_movement("rolled log")
    assert (key, made.name, made.library, made.fastest_ms) == ("log_roll", "rolled log", "log_roll", 900)
    assert [fault.say for fault in made.faults] == ["No rep, stand up.", "No rep, whole."]
    assert made.cautions == ("A mat or clear floor below; step down when the grip goes.", "Nobody lies behind it.")
    needed = equipment(a_format(CountTask(movement="swing")).model_copy(update={"movements": {"swing": made}}), 2)
    assert "Mat" in [thing.name for thing in needed.things] and needed.unknown == ()


def test_a_set_of_plates_is_one_row_of_the_table(given: dict[str, Any]) -> None:
    row = {"key": "yard", "name": "Yard", "sources": ["Weighed."], "unit": "kg", "bars": ["18"]}
    row |= {"plates": [{"weight": "7.5", "count": 4, "across_mm": 300, "thick_mm": "20.5"}]}
    given["plates"]["sets"].append(row)
    hand_in_tables(given)
    begun = set_to_begin("yard", "set_1")
    assert begun is not None and (begun.id, begun.name, begun.bars[0].text()) == ("set_1", "Yard", "18 kg")
    assert [plate.weight.text() for plate in begun.plates] == ["7.5 kg"]


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (lambda t: squat(t).pop("name"), "row “front_squat”: name: Field required"),
        (lambda t: squat(t).update(fastest_ms=0), "row “front_squat”: Input should be greater than or equal to 1"),
        (lambda t: squat(t)["faults"].append("dpth"), "row “front_squat”: there is no fault “dpth”"),
        (lambda t: squat(t)["cautions"].append("colars"), "row “front_squat”: there is no caution “colars”"),
        (lambda t: squat(t)["needs"].append("rak"), "row “front_squat”: there is no thing “rak”"),
        (lambda t: squat(t)["faults"].append("depth"), "row “front_squat”: Front squat has the fault depth twice"),
        (lambda t: squat(t).update(heaviest={"amount": "-1", "unit": "kg"}), "row “front_squat”: heaviest: "),
        (lambda t: t["movements"].append(squat(t)), "the row “front_squat” twice"),
        (lambda t: squat(t).update(called=["Squats"]), "“squat” means both front_squat and, as a lift, back_squat"),
        (lambda t: squat(t).update(called_as_lift=["back squat"]), "means both back_squat and, as a lift, front_squat"),
        (lambda t: squat(t).update(kind_of="goblet_squat"), "row “front_squat”: there is no row “goblet_squat” above it"),
        (lambda t: t["things"].pop("pad"), "has no thing “pad”"),
        (lambda t: t["cautions"].pop("collars"), "has no caution “collars”"),
        (lambda t: t.pop("faults"), "faults: Field required"),
    ],
)
def test_a_movement_that_can_not_be_is_told_by_its_row(given: dict[str, Any], change: Change, sentence: str) -> None:
    change(given["movements"])
    with pytest.raises(BadTable, match=f"^movements.json.*{sentence}"):
        read_library(given["movements"])


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (lambda t: pounds(t).pop("sources"), "row “gym-lb”: sources: Field required"),
        (lambda t: pounds(t)["plates"][0].update(weight="0"), "row “gym-lb”.*more than nothing"),
        (lambda t: pounds(t)["plates"][0].update(colour="pink"), "row “gym-lb”: plates 0 colour"),
        (lambda t: t["sets"].append(pounds(t)), "the row “gym-lb” twice"),
    ],
)
def test_a_set_of_plates_that_can_not_be_is_told_by_its_row(given: dict[str, Any], change: Change, sentence: str) -> None:
    change(given["plates"])
    with pytest.raises(BadTable, match=f"^plates.json.*{sentence}"):
        read_sets(given["plates"])


def test_every_table_says_where_it_comes_from(given: dict[str, Any]) -> None:
    assert all(table["about"] for table in given.values() if not isinstance(table, str))
    assert all(text.startswith("// ") for text in given.values() if isinstance(text, str))
    assert all(row["sources"] for row in given["plates"]["sets"])


def test_everything_that_movements_share_is_used(given: dict[str, Any]) -> None:
    rows = json.dumps(given["movements"]["movements"])
    shared = [key for what in ("things", "cautions", "faults") for key in given["movements"][what]]
    assert [key for key in shared if f'"{key}"' not in rows] == []


def test_a_table_that_nobody_handed_in_is_told() -> None:
    with pytest.raises(NotHandedIn, match="no table “kites”"):
        made_of("kites", lambda plain: plain)


def test_a_file_that_is_no_json_is_told_by_its_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "movements.json").write_text('{"about": [}', encoding="utf-8")
    monkeypatch.setattr("app.library.HERE", tmp_path)
    with pytest.raises(ValueError, match=r"movements.json can't be read: .* line 1 column"):
        Tables()["movements"]


def test_the_library_is_made_once() -> None:
    assert library() is library()
