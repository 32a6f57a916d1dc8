"""Marks decoded to typed values are what the plain way reads, and are refused in the same sentences."""

import json

import msgspec
from hypothesis import given
from hypothesis import strategies as st

from app.floor.sent_marks import SentMark, mark_of
from app.floor.taking import read_list
from app.rules.records.kinds import KINDS
from app.rules.records.marks import BadMark, Mark, parse_mark
from tests.builders.halls import a_mark

ODD = [
    None,
    True,
    0,
    -1,
    1.0,
    1.5,
    2**53,
    "",
    "rep",
    "asg\n",
    "f" * 32,
    "f" * 32 + "\n",
    "a/1/lane",
    "a/1/lane\n",
    [],
    {},
    {"member": 2},
]


def read_either_way(mark: object) -> tuple[Mark | str, Mark | str]:
    """What the door makes of a mark, and what the plain way does: the mark or why not."""

    def outcome(raw: object) -> Mark | str:
        try:
            return mark_of(raw)
        except BadMark as wrong:
            return str(wrong)

    (typed,) = read_list(msgspec.Raw(json.dumps([mark]).encode()))
    try:
        return outcome(typed), parse_mark(mark)
    except BadMark as wrong:
        return outcome(typed), str(wrong)


@given(st.sampled_from(KINDS), st.sampled_from([*a_mark(), "more"]), st.sampled_from(ODD), st.booleans())
def test_the_typed_way_reads_what_the_plain_way_reads(kind: str, name: str, odd: object, without: bool) -> None:
    mark = a_mark(1, kind=kind) | {name: odd}
    if without:
        del mark[name]
    typed, plain = read_either_way(mark)
    assert typed == plain


def test_a_mark_as_tablets_make_it_is_read_once() -> None:
    (typed,) = read_list(msgspec.Raw(json.dumps([a_mark(1)]).encode()))
    assert isinstance(typed, SentMark) and typed.mark() == parse_mark(a_mark(1))
