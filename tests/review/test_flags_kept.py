"""Flags that are kept while the sheets are as they were: whatever happens, they are those that a first look finds."""

import random
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from app.hall.hall import Hall
from app.live.kept_views import KeptViews
from app.review.flags import flags
from app.rules.records.holding import Hold
from app.rules.records.marks import Mark
from app.rules.records.rulings import Ruling
from tests.builders.halls import a_house
from tests.builders.pairs import a_file

FILE = a_file(done=((6, 9, 95), (7, 8, 80), (5, 5, 70)))
CHANGES: tuple[dict[str, object], ...] = (
    {"kind": "shift", "assignment": "asg_0", "body": {"run": 1, "ms": 2000}},
    {"kind": "reps", "assignment": "asg_0", "body": {"add": 3, "window": 1, "run": 1}},
    {"kind": "move", "assignment": "asg_1", "body": {"sheet": "asg_0/1/lane"}},
    {"kind": "status", "assignment": "asg_2", "body": {"status": "did_not_finish"}},
    {"kind": "undo", "body": {"ruling": "rul_2"}},
    {"kind": "sign_off", "event": "evt", "body": {"state": "open"}},
)


@pytest.fixture
def hall(tmp_path: Path) -> Iterator[Hall]:
    with a_house(tmp_path, file=FILE.model_copy(update={"marks": ()})) as house:
        yield house.app.state.hall


def odd(marks: Sequence[Mark], dice: random.Random) -> list[Mark]:
    """The same marks, some by a clock started by hand, some early, some without a time between them."""
    return [
        replace(mark, at=dice.choice([mark.at, mark.at, mark.at - 40_000]), body={**mark.body, "hand": dice.random() < 0.1})
        for mark in marks
    ]


def a_ruling(number: int, change: dict[str, object]) -> Ruling:
    return Ruling.model_validate({"id": f"rul_{number}", "by": "Sam", "why": "Seen", "made_wall_ms": number, **change})


def test_whatever_happens_between_two_looks_the_flags_are_those_of_a_first_look(hall: Hall) -> None:
    seen = {flag for seed in range(6) for flag in flags_of_a_walk(hall, random.Random(seed))}
    assert seen >= {"by-hand", "outside", "no-declaration"}, "there was something to find"


def flags_of_a_walk(hall: Hall, dice: random.Random) -> set[str]:
    """What kinds of flags there were, in a hall to which marks, rulings and holds come; at each step they are compared."""
    held, runs = hall.projection, FILE.runs
    held.load(FILE, runs, (), ())
    marks, rulings, seen = odd(FILE.marks, dice), list[Ruling](), set[str]()
    dice.shuffle(marks)
    for step in range(25):
        what = dice.choice(["marks", "marks", "ruling", "hold", "settled"])
        if what == "marks":
            held.apply([marks.pop() for _ in range(min(4, len(marks)))])
        elif what == "hold":
            runs = tuple(run.model_copy(update={"holds": (Hold(at_ms=dice.randrange(400_000), for_ms=9_000),)}) for run in runs)
        elif what == "settled" and (found := flags(hall)):
            flag = dice.choice(found)
            settled = {"flag": flag.key, "done": "settled", "marks": list(flag.marks)}
            rulings.append(a_ruling(step, {"kind": "flag", "assignment": flag.assignment, "body": settled}))
        else:
            rulings.append(a_ruling(step, dice.choice(CHANGES)))
        if what != "marks":
            held.roster_changed(held.roster, runs, rulings)
        kept = flags(hall)
        assert kept == flags(replace(hall, looked=KeptViews()))
        seen |= {flag.why for flag in kept}
    return seen


def test_a_flag_that_is_settled_has_no_sheet_looked_through_again(hall: Hall, monkeypatch: pytest.MonkeyPatch) -> None:
    held = hall.projection
    held.apply(odd(FILE.marks, random.Random(1)))
    found, looked = flags(hall), list[str]()
    read = held.sheet_marks
    monkeypatch.setattr(held, "sheet_marks", lambda sheet: looked.append(sheet) or read(sheet))
    settled = {"flag": found[0].key, "done": "settled", "marks": list(found[0].marks)}
    ruling = a_ruling(1, {"kind": "flag", "assignment": found[0].assignment, "body": settled})
    held.roster_changed(held.roster, held.runs, [ruling])
    assert [flag.done for flag in flags(hall)].count("settled") == 1 and looked == []
    held.apply([replace(FILE.marks[0], id="f" * 32, seq=999)])
    flags(hall)
    assert set(looked) == {f"{lane.id}/1/lane" for lane in FILE.heats[0].lanes}, "the heat of a new mark is looked at"
