"""Protests, and how final an event's results are."""

from typing import Any

import pytest
from pydantic import ValidationError

from app.rules.records.document import CompetitionFile, Run
from app.rules.records.holding import Hold
from app.rules.records.roster import Protest
from app.rules.records.rulings import Ruling
from app.rules.result.protests import decisions, finality, over_at, protest_open_until, state_text
from app.rules.workout.formats import CountTask
from tests.builders.cast import Plain, a_competition, a_format

SWINGS = a_format(CountTask(movement="swing"))
FILE = a_competition(SWINGS, {"Open": ["Ana", "Bo"]})
BELL, MINUTE = 1_000_000, 60_000
P = Protest(id="prt_1", entry="ent_1", event="evt", text="Two not counted", via="link", filed_wall_ms=BELL)


def a_ruling(kind: str, body: Plain, at: int = 1, **about: Any) -> Ruling:
    plain = {"id": f"rul_{at}", "kind": kind, "body": body, "by": "Sam", "why": "Seen", "made_wall_ms": at, **about}
    return Ruling.model_validate(plain)


def decided(decision: str, at: int = 1) -> Ruling:
    return a_ruling("protest", {"protest": "prt_1", "decision": decision}, at, entry="ent_1", event="evt")


def state(rulings: tuple[Ruling, ...] = (), protests: tuple[Protest, ...] = (), bell: int | None = BELL, now: int = BELL) -> str:
    return finality("evt", bell, 30, rulings, protests, now).state


def a_run(go: int, *holds: Hold, state: Any = "set") -> Run:
    return Run(heat="heat", number=1, go_wall_ms=go, holds=holds, state=state)


def test_an_event_is_over_with_the_last_bell_of_its_last_heat_holds_and_all() -> None:
    heats = FILE.heats
    assert over_at(heats, (), 60_000) is None, "not run yet"
    assert over_at(heats, (a_run(5_000),), 60_000) == 65_000
    assert over_at(heats, (a_run(5_000, Hold(at_ms=1_000, for_ms=9_000)),), 60_000) == 74_000
    assert over_at(heats, (a_run(5_000, Hold(at_ms=1_000)),), 60_000) is None, "its clock stands"
    assert over_at(heats, (a_run(5_000, state="stopped"),), 60_000) is None
    assert over_at((), (), 60_000) is None


def test_protests_may_be_filed_for_the_minutes_of_the_competition() -> None:
    assert protest_open_until(BELL, 30) == BELL + 30 * MINUTE and protest_open_until(None, 30) is None
    assert state(now=BELL - 1) == "running"
    assert state(now=BELL) == "provisional"
    assert state(now=BELL + 30 * MINUTE - 1) == "provisional"
    assert state(now=BELL + 30 * MINUTE) == "unsigned"
    assert state(bell=None) == "running"


def test_an_open_protest_keeps_a_result_open_until_it_is_answered() -> None:
    late = BELL + 40 * MINUTE
    assert state((), (P,), now=late) == "protested"
    assert finality("evt", BELL, 30, (), (P, P.model_copy(update={"id": "prt_2"})), late).open == 2
    assert state((decided("refused"),), (P,), now=late) == "unsigned"
    assert state((), (P.model_copy(update={"event": "other"}),), now=late) == "unsigned"
    taken_back = a_ruling("undo", {"ruling": "rul_1"}, 2)
    assert state((decided("refused"), taken_back), (P,), now=late) == "protested"


def test_a_sign_off_ends_it_and_opening_again_takes_that_back() -> None:
    signed = a_ruling("sign_off", {"state": "signed", "marks": {}, "runs": {}}, 5, event="evt")
    opened = a_ruling("sign_off", {"state": "open"}, 6, event="evt")
    assert state((signed,), now=BELL) == "signed"
    assert state((signed, opened), now=BELL) == "provisional"


def test_the_newest_decision_stands() -> None:
    rulings = (decided("refused", 1), decided("partly", 2))
    assert state_text(P, decisions(rulings)) == "upheld in part"
    assert state_text(P, {}) == "open"


def test_a_protest_names_what_is_there_and_older_files_have_none() -> None:
    plain = FILE.model_dump(mode="json")
    assert plain.pop("protests") == [] and plain["competition"].pop("protest_minutes") == 30
    assert CompetitionFile.model_validate(plain) == FILE
    with_one = {**plain, "protests": [P.model_dump(mode="json")]}
    assert CompetitionFile.model_validate(with_one).protests == (P,)
    for wrong in ({"entry": "ent_9"}, {"event": "gone"}, {"text": ""}, {"via": "shout"}):
        with pytest.raises(ValidationError):
            CompetitionFile.model_validate({**plain, "protests": [{**P.model_dump(mode="json"), **wrong}]})
