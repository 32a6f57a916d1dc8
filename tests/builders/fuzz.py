"""Files, lists and marks with something wrong in them: bytes that were changed, and JSON in which one thing is another."""

import copy
import json
from collections.abc import Iterator
from typing import Any

from hypothesis import strategies as st

from tests.builders.pairs import a_file

TOKENS = (
    *(b"NaN", b"-Infinity", b"1e400", b"1e999999999", b"9" * 400, b"-0", b"null", b"true", b'"', b"\\", b"\\u0000", b"\\ud800"),
    *(b"\xff\xfe", b"\x00", b"{", b"}", b"[", b"]", b",", b":", b"\xe2\x80\xae", b"\\u202e", b"[" * 3000, b"\r\n", b";", b"\t"),
)
ODD: tuple[Any, ...] = (
    *(None, True, False, 0, -1, 1, 2**31, 2**53, 2**63, 10**30, 1.5, -0.0, "", "x", "a\x00b", "a\u202eb", "\ud800", "x" * 600),
    *("1e999999999", "NaN", "-5", "1/0", "1/3", "999999999", "0.000001", [], {}, [[]], {"amount": "100", "unit": "kg"}),
    *([None], ["x", "x"], {"x": 1}, "o" + "\u0301" * 40, "2031-02-30", "25:61", "../x", "asg_0/1/lane", "0" * 32),
)


def broken(whole: bytes) -> st.SearchStrategy[bytes]:
    """The same bytes with a few pieces taken out, doubled, or something else put in."""
    places = st.integers(0, len(whole))

    def changed(changes: list[tuple[int, int, bytes]]) -> bytes:
        said = whole
        for at, length, token in changes:
            said = said[:at] + token + said[at + length :]
        return said

    piece = st.builds(lambda at, length: whole[at : at + length], places, st.integers(0, 80))
    token = st.one_of(st.sampled_from(TOKENS), st.just(b""), piece)
    return st.lists(st.tuples(places, st.integers(0, 40), token), min_size=1, max_size=3).map(changed)


def twisted(plain: Any) -> st.SearchStrategy[Any]:
    """The same JSON with one to three of its parts made something else, left out, or there twice."""
    places = list(_places(plain))
    change = st.tuples(
        st.sampled_from(places), st.sampled_from(("put", "drop", "twice", "swap")), st.sampled_from(ODD), st.sampled_from(places)
    )

    def changed(changes: list[tuple[tuple[Any, ...], str, Any, tuple[Any, ...]]]) -> Any:
        said = copy.deepcopy(plain)
        for place, how, odd, other in changes:
            try:
                _change(said, place, how, odd, _at(plain, other))
            except (KeyError, IndexError, TypeError):  # an earlier change took this part away
                continue
        return said

    return st.lists(change, min_size=1, max_size=3).map(changed)


def _change(said: Any, place: tuple[Any, ...], how: str, odd: Any, other: Any) -> None:
    room, key = _at(said, place[:-1]), place[-1]
    if how == "drop":
        del room[key]
    elif how == "twice" and isinstance(room, list):
        room.append(copy.deepcopy(room[key]))
    else:
        room[key] = copy.deepcopy(other if how == "swap" else odd)


def _at(plain: Any, place: tuple[Any, ...]) -> Any:
    for key in place:
        plain = plain[key]
    return plain


def _places(plain: Any, place: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The place of every part but the whole."""
    if place:
        yield place
    parts = plain.items() if isinstance(plain, dict) else enumerate(plain) if isinstance(plain, list) else ()
    for key, part in parts:
        yield from _places(part, (*place, key))


def as_json(plain: Any) -> bytes:
    """A value as a file of JSON, with whatever cannot stand in one as an escape."""
    return json.dumps(plain).encode("utf-8", "surrogatepass")


def small_file() -> dict[str, Any]:
    """A competition file of four entries with their marks, runs, rulings and everything else that a file can hold."""
    plain: dict[str, Any] = a_file(done=[(3, 4, 225), (2, 2, 135)]).model_dump(mode="json")
    plain["overall"] = {"by": "places"}
    plain["judges"] = [{"id": "jud_1", "name": "Kim", "club": "club_1"}]
    plain["openers"] = [
        {"event": "evt", "task": "squat", "entry": "ent_0_0", "member": 1, "load": {"amount": "100", "unit": "kg"}}
    ]
    plain["protests"] = [{"id": "pro_1", "entry": "ent_0_0", "event": "evt", "text": "Look again", "via": "desk"}]
    plain["rulings"] = [
        {"id": "rul_1", "kind": "penalty", "assignment": "asg_0", "body": {"amount": "5"}, "by": "Ruth", "why": "Seen"},
        {
            "id": "rul_2",
            "kind": "reps",
            "assignment": "asg_1",
            "body": {"add": 1, "window": 0, "run": 1},
            "by": "Ruth",
            "why": "x",
        },
        {"id": "rul_3", "kind": "undo", "body": {"ruling": "rul_1"}, "by": "Ruth", "why": "x"},
    ]
    return plain
