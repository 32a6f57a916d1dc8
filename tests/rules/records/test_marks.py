"""What makes a mark acceptable, and the sentence that one gets when it is not."""

from typing import Any

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.records.document import MARK_SCHEMA
from app.rules.records.kinds import BODY, KINDS
from app.rules.records.marks import BadMark, Mark, SheetKey, mark_plain, parse_mark, sheet_key
from tests.builders.cast import Plain, Sheet
from tests.builders.chance import json_values, sheets_of_any

SCHEMA = jsonschema.Draft202012Validator(MARK_SCHEMA)
REP = Sheet().rep(1_500, 0)
LIFT = Sheet().lift(1_500, "225.50 lb", True, declared="a" * 32, win=4)


def _refused(raw: object) -> str:
    with pytest.raises(BadMark) as wrong:
        parse_mark(raw)
    return str(wrong.value)


def test_a_mark_is_read_with_its_load_kept_as_it_was_declared() -> None:
    mark = parse_mark(LIFT)
    assert (mark.kind, mark.at, mark.win, mark.device, mark.seq) == ("lift", 1_500, 4, "tab-a", 1)
    assert mark.body["load"] == {"amount": "225.50", "unit": "lb"}


def test_a_mark_may_leave_out_its_window_and_an_empty_body() -> None:
    plain = {name: value for name, value in REP.items() if name not in ("win", "body")}
    assert parse_mark(plain) == parse_mark({**REP, "win": None, "body": {}})


def test_what_a_body_leaves_open_is_as_if_it_were_not_there() -> None:
    assert parse_mark({**REP, "body": {"member": None}}) == parse_mark({**REP, "body": {}})


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("id", "A" * 32),
        ("id", "0" * 31),
        ("id", "٣" * 32),
        ("sheet", "asg_1/0/lane"),
        ("sheet", "asg_1/1٠/lane"),
        ("sheet", "asg_1/1/board"),
        ("sheet", "asg 1/1/lane"),
        ("device", ""),
        ("device", "tab a"),
        ("epoch", 0),
        ("seq", 0),
        ("seq", 2**53),
        ("seq", True),
        ("kind", "bonus"),
        ("kind", ["rep"]),
        ("at", 1.5),
        ("at", "1500"),
        ("at", 24 * 3_600_000 + 1),
        ("at", float("nan")),
        pytest.param("at", 10**5000, id="at of 5001 digits"),
        ("err", -1),
        ("win", -1),
        ("win", 1000),
    ],
)
def test_a_wrong_field_is_named_in_the_sentence(field: str, value: Any) -> None:
    sentence = _refused({**REP, field: value})
    assert sentence.startswith(f"The {field} of a mark")
    assert len(sentence) < 200


@pytest.mark.parametrize(
    ("kind", "body", "sentence"),
    [
        ("lift", {"good": True}, "A lift mark must say its load."),
        ("lift", {"load": {"amount": "100", "unit": "kg"}}, "A lift mark must say its good."),
        ("lift", {"load": {"amount": "100", "unit": "kg"}, "good": 1}, "true or false"),
        ("lift", {"load": {"amount": 100, "unit": "kg"}, "good": True}, "The amount of a load is text"),
        ("lift", {"load": {"amount": "100", "unit": "st"}, "good": True}, "A load is in kg or lb, not in 'st'."),
        ("lift", {"load": {"amount": "2001", "unit": "kg"}, "good": True}, "more than any bar carries"),
        ("declare", {"load": {"amount": "1"}, "by": "judge"}, "A load is an amount and its unit."),
        ("declare", {"load": {"amount": "1", "unit": "kg"}, "by": "coach"}, "one of lifter, judge, desk"),
        ("rep", {"member": 0}, "a whole number from 1 to 12"),
        ("rep", {"bonus": 1}, "A rep mark says nothing about 'bonus'."),
        ("norep", {"fault": "Too high"}, "The fault of a mark is a short key"),
        ("measure", {"value": 12.5}, "a plain number such as 12.5, as text"),
        ("measure", {"value": "1e9"}, "a plain number such as 12.5, as text"),
        ("measure", {"value": "١٢"}, "a plain number such as 12.5, as text"),
        ("strike", {}, "A strike mark must say its mark."),
        ("note", {"text": "  "}, "a text of 1 to 500 characters"),
        ("note", {"text": "a\u202eb"}, "holds control characters"),
        ("sign", {"who": "judge", "name": "Io\x00"}, "holds control characters"),
    ],
)
def test_a_body_says_what_its_kind_needs_and_nothing_else(kind: str, body: Plain, sentence: str) -> None:
    assert sentence in _refused({**REP, "kind": kind, "body": body})


@pytest.mark.parametrize("raw", [None, [], "rep", 7, {**REP, "score": 12}, {**REP, "body": []}])
def test_what_is_no_mark_at_all_is_refused(raw: object) -> None:
    assert _refused(raw).endswith(".")


def test_a_deep_nest_of_lists_is_refused_like_anything_else() -> None:
    nest: list[Any] = []
    for _ in range(100_000):
        nest = [nest]
    assert _refused({**REP, "at": nest}).startswith("The at of a mark")
    assert _refused({**REP, "body": {"member": nest}}).startswith("The member of a mark")


@given(json_values)
def test_any_json_is_refused_as_a_bad_mark_and_never_otherwise(raw: Any) -> None:
    assert _refused(raw)


def _mark_or_sentence(raw: object) -> Mark | str:
    try:
        return parse_mark(raw)
    except BadMark as wrong:
        return str(wrong)


@given(st.sampled_from(KINDS), st.sampled_from(sorted(REP)), json_values, json_values)
def test_a_mark_with_any_json_in_one_field_is_read_or_refused(kind: Any, field: str, value: Any, inner: Any) -> None:
    body = {**{name: inner for name, needed in BODY[kind].items() if needed}, "member": value}
    for raw in ({**REP, "kind": kind, field: value}, {**LIFT, "kind": kind, "body": body}):
        read = _mark_or_sentence(raw)
        assert read.endswith(".") if isinstance(read, str) else _mark_or_sentence(mark_plain(read)) == read


@given(sheets_of_any())
def test_a_mark_written_as_json_is_read_back_the_same_and_fits_the_schema(drawn: tuple[object, list[Mark]]) -> None:
    for mark in drawn[1]:
        assert parse_mark(mark_plain(mark)) == mark
        SCHEMA.validate(mark_plain(mark))


def test_a_sheet_key_names_the_assignment_the_run_and_the_kind() -> None:
    key = sheet_key("asg_x-2/12/video")
    assert key == SheetKey("asg_x-2", 12, "video") and key.text() == "asg_x-2/12/video"
    with pytest.raises(BadMark, match="names no sheet"):
        sheet_key("asg_x/012/lane")


def test_marks_stand_in_the_order_of_time_then_tablet_then_number() -> None:
    a, b = Sheet(device="tab-a"), Sheet(device="tab-b")
    late, first, second, other = a.rep(9), a.rep(5), a.rep(5), b.rep(5)
    ordered = sorted((parse_mark(mark) for mark in (late, other, second, first)), key=lambda mark: mark.order)
    assert [mark.id for mark in ordered] == [first["id"], second["id"], other["id"], late["id"]]
