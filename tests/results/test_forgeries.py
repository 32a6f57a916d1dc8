"""Nobody changes a result and keeps its digest: random forgeries of a whole file, and what belongs to one event alone."""

import json
import random
from typing import Any

import pytest

from app.live.projection import Projection
from app.results.competition_file import BadFile, read_file, write_file
from app.rules.records.document import CompetitionFile
from app.rules.records.overall_rule import OverallRule
from app.rules.records.rulings import Ruling
from app.rules.records.seal import mark_print
from app.rules.records.signed import marks_held
from app.rules.result.results import EventResults, results
from app.rules.result.sealing import seal_of, sealed
from tests.builders.forging import forged
from tests.builders.meets import DONE, a_meet

FORGERIES = 300


def a_ruling(key: str, at: int, kind: Any, body: dict[str, Any], **about: str) -> Ruling:
    return Ruling(id=key, kind=kind, body=body, by="Cy Marlow", why="Seen on the floor.", made_wall_ms=at, **about)  # type: ignore[arg-type]


FEW = {name: (a % 4 + 1, b % 3 + 1, s and s - 30, c % 3 + 1, load) for name, (a, b, s, c, load) in list(DONE.items())[:5]}
MEET = a_meet(OverallRule(by="linear", named="swings"), FEW)
RULED = (
    a_ruling("r1", 10, "penalty", {"amount": "3"}, entry="ent_2", event="swings"),
    a_ruling("r2", 20, "undo", {"ruling": "r1"}),
    a_ruling("r3", 30, "reps", {"add": 2, "window": 0, "run": 1}, assignment="asg_11"),
    a_ruling("r4", 40, "move", {"sheet": "asg_14/1/lane"}, assignment="asg_13"),
    a_ruling("r5", 50, "status", {"status": "withdrawn"}, entry="ent_7"),
    a_ruling("r6", 60, "rerun", {"again": "asg_25", "counts": "again"}, assignment="asg_25", entry="ent_5"),
    a_ruling("r7", 90, "sign_off", {"state": "signed", "marks": marks_held(MEET.marks), "runs": {}}, event="errands"),
)
WHOLE = sealed(MEET.model_copy(update={"rulings": RULED}))
TEXT = write_file(WHOLE).decode()
PLAIN = json.loads(TEXT)


def read(plain: dict[str, Any]) -> CompetitionFile | None:
    """The file, or None where it is refused."""
    try:
        return read_file(json.dumps(plain).encode())
    except BadFile:
        return None


def shown(file: CompetitionFile) -> list[EventResults]:
    """What a desk that holds the file's records shows, which it makes of all of them at once."""
    desk = Projection()
    desk.load(file, file.runs, file.rulings, file.marks)
    return [desk.event_results(event.id) for event in file.events]


def test_of_three_hundred_forgeries_each_that_changes_a_result_changes_its_digest_or_is_refused() -> None:
    """And the desk shows what the recount finds: it reads nothing that the digest does not cover."""
    die, told = random.Random(600), {"refused": 0, "changed": 0, "nothing": 0}
    before, printed = {one.event.id: one for one in results(WHOLE)}, seal_of(WHOLE).events
    for number in range(FORGERIES):
        plain, how = forged(TEXT, die)
        file = read(plain)
        if file is None:
            told["refused"] += 1
            continue
        counted = results(file)
        assert number % 4 or counted == shown(file), f"{how}: the desk shows something else than a recount of the file"
        changed = [one.event.id for one in counted if one != before[one.event.id]]
        digests = seal_of(file).events if changed else {}
        for event in changed:
            assert digests[event] != printed[event], f"{how}: another result of {event} under the printed digest"
        told["changed" if changed else "nothing"] += 1
    assert min(told.values()) > 25, told


def test_what_touches_one_event_alone_leaves_the_digests_of_the_others_as_they_were() -> None:
    before = seal_of(WHOLE).events
    for event, lane in (("swings", "asg_12"), ("errands", "asg_22"), ("heavy", "asg_32")):
        struck = next(mark for mark in WHOLE.marks if mark.sheet.startswith(f"{lane}/"))
        for change in (
            {"marks": tuple(mark for mark in WHOLE.marks if mark is not struck)},
            {"rulings": (*RULED, a_ruling("new", 99, "penalty", {"amount": "1"}, assignment=lane))},
            {
                "rulings": (
                    *RULED,
                    a_ruling("new", 99, "penalty", {"amount": "1"}, assignment=lane),
                    a_ruling("u", 100, "undo", {"ruling": "new"}),
                )
            },
        ):
            after = seal_of(WHOLE.model_copy(update=change)).events
            assert {key for key, digest in after.items() if digest != before[key]} == {event}, change


NAMED = {
    "an undo of nothing": {"kind": "undo", "event": "errands", "body": {"ruling": "nobodys"}},
    "a rerun on another event's lane": {
        "kind": "rerun",
        "assignment": "asg_11",
        "entry": "ent_1",
        "body": {"again": "asg_21", "counts": "again"},
    },
    "a move of another event's sheet": {"kind": "move", "assignment": "asg_11", "body": {"sheet": "asg_22/1/lane"}},
    "a move to another event's lane": {"kind": "move", "assignment": "asg_31", "body": {"sheet": "asg_21/1/lane"}},
    "a sheet that stands of no lane": {"kind": "stand", "assignment": "asg_11", "body": {"sheet": "asg_99/1/lane"}},
    "a lift of no mark": {"kind": "lift", "assignment": "asg_31", "body": {"mark": "f" * 32, "good": False}},
    "a run that there is not": {"kind": "run", "assignment": "asg_11", "body": {"run": 9}},
    "a protest that nobody filed": {"kind": "protest", "event": "swings", "body": {"protest": "p", "decision": "upheld"}},
    "a number of no mark": {"kind": "number", "assignment": "asg_11", "body": {"print": "0" * 64}},
    "a number that one mark has": {"kind": "number", "assignment": "asg_11", "body": {"print": mark_print(MEET.marks[0])}},
    "two events at once": {"kind": "sign_off", "assignment": "asg_11", "event": "errands", "body": {"state": "open"}},
}


@pytest.mark.parametrize("ruling", NAMED.values(), ids=NAMED)
def test_a_ruling_that_names_nothing_or_what_is_of_two_events_is_refused_by_name(ruling: dict[str, Any]) -> None:
    forgery = {"id": "forged", "by": "Nobody", "why": "Nothing", "made_wall_ms": 95} | ruling
    with pytest.raises(BadFile, match=rf"At /rulings/7: ruling “forged” \({ruling['kind']}\): .+\."):
        read_file(json.dumps(PLAIN | {"rulings": [*PLAIN["rulings"], forgery]}).encode())


def test_a_strike_out_of_nothing_is_refused_unless_the_file_says_that_it_awaits_the_mark() -> None:
    strike = PLAIN["marks"][0] | {"id": "e" * 32, "seq": 999, "kind": "strike", "body": {"mark": "d" * 32}}
    plain = PLAIN | {"marks": [*PLAIN["marks"], strike]}
    with pytest.raises(BadFile, match=f"mark “{'e' * 32}” .strike.: it names the mark “{'d' * 32}”"):
        read_file(json.dumps(plain).encode())
    awaiting = read_file(json.dumps(plain | {"awaited": ["d" * 32]}).encode())
    assert seal_of(awaiting).digest != seal_of(WHOLE).digest
