"""Protests, and how final an event's results are."""

from typing import Any

import pytest
from pydantic import ValidationError

from app.rules.records.document import CompetitionFile, Run
from app.rules.records.holding import Hold
from app.rules.records.roster import Protest
from app.rules.records.rulings import Ruling
from app.rules.result.protests import (
    announced_at,
    decides_twice,
    decisions,
    finality,
    in_time,
    no_appeal,
    open_until,
    over_at,
    state_text,
)
from app.rules.workout.formats import CountTask
from tests.builders.cast import Plain, a_competition, a_format

SWINGS = a_format(CountTask(movement="swing"))
FILE = a_competition(SWINGS, {"Open": ["Ana", "Bo"]})
BELL, MINUTE = 1_000_000, 60_000
FROM_THE_BELL = FILE.competition
ANNOUNCED = FROM_THE_BELL.model_copy(update={"protest_from": "announcement", "appeal_minutes": 20})
P = Protest(id="prt_1", entry="ent_1", event="evt", text="Two not counted", via="link", filed_wall_ms=BELL)


def a_ruling(kind: str, body: Plain, at: int = 1, **about: Any) -> Ruling:
    plain = {"id": f"rul_{at}", "kind": kind, "body": body, "by": "Sam", "why": "Seen", "made_wall_ms": at, **about}
    return Ruling.model_validate(plain)


def decided(decision: str, at: int = 1) -> Ruling:
    return a_ruling("protest", {"protest": "prt_1", "decision": decision}, at, entry="ent_1", event="evt")


def state(rulings: tuple[Ruling, ...] = (), protests: tuple[Protest, ...] = (), bell: int | None = BELL, now: int = BELL) -> str:
    return finality("evt", bell, None, FROM_THE_BELL, rulings, protests, now).state


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
    assert open_until(BELL, 30) == BELL + 30 * MINUTE and open_until(None, 30) is None
    assert in_time(BELL - 1, BELL) and not in_time(BELL, BELL) and in_time(BELL, None)
    assert state(now=BELL - 1) == "running"
    assert state(now=BELL) == "provisional"
    assert state(now=BELL + 30 * MINUTE - 1) == "provisional"
    assert state(now=BELL + 30 * MINUTE) == "unsigned"
    assert state(bell=None) == "running"


def test_an_open_protest_keeps_a_result_open_until_it_is_answered() -> None:
    late = BELL + 40 * MINUTE
    assert state((), (P,), now=late) == "protested"
    assert finality("evt", BELL, None, FROM_THE_BELL, (), (P, P.model_copy(update={"id": "prt_2"})), late).open == 2
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


def test_the_time_runs_from_the_announcement_where_the_competition_says_so_and_anew_when_it_is_announced_again() -> None:
    """Athletics, Technical Rules 8.2, as read: within 30 minutes of the official announcement of the result."""

    def at(now: int, announced: int | None) -> tuple[str, int | None]:
        found = finality("evt", BELL, announced, ANNOUNCED, (), (), now)
        return found.state, found.until_wall_ms

    late, until = BELL + 90 * MINUTE, BELL + 120 * MINUTE
    assert at(BELL - 1, None)[0] == "running" and at(late, None) == ("unannounced", None)
    assert at(until - 1, late) == ("provisional", until) and at(until, late) == ("unsigned", until)
    assert at(BELL - 1, BELL - 2)[0] == "provisional", "a heat that was closed early is announced before its clock would end"
    first, again = (a_ruling("announce", {}, moment, event="evt") for moment in (late, late + MINUTE))
    heats, runs = FILE.heats, tuple(Run(heat=heat.id, number=1, go_wall_ms=BELL) for heat in FILE.heats)
    assert announced_at("evt", heats, runs, (again, first)) == late + MINUTE
    assert announced_at("evt", heats, runs, (first, again, a_ruling("undo", {"ruling": again.id}, until))) == late
    assert announced_at("evt", heats, (*runs, Run(heat=heats[0].id, number=2, go_wall_ms=until)), (first,)) is None, "run again"
    with pytest.raises(ValidationError, match="names the event"):
        a_ruling("announce", {})


def test_an_answer_may_be_appealed_against_once_for_a_time_of_its_own_and_somebody_else_decides() -> None:
    answered, appeal = BELL + 40 * MINUTE, P.model_copy(update={"id": "prt_2", "against": "prt_1"})
    rulings, ends = (decided("refused", answered),), answered + 20 * MINUTE

    def at(now: int, protests: tuple[Protest, ...] = (P,)) -> str:
        return finality("evt", BELL, BELL, ANNOUNCED, rulings, protests, now).state

    assert at(ends - 1) == "appealable" and at(ends) == "unsigned"
    assert at(ends, (P, appeal)) == "protested", "an appeal keeps the result open"
    first = decisions(rulings)
    assert not no_appeal(P, first["prt_1"], (P,)) and "no third" in no_appeal(appeal, first["prt_1"], (P, appeal))
    assert "not answered" in no_appeal(P, None, (P,)) and "already" in no_appeal(P, first["prt_1"], (P, appeal))
    assert "withdrawn" in no_appeal(P, decided("withdrawn"), (P,))
    assert (
        decides_twice(appeal, " SAM ", first) and not decides_twice(appeal, "Ruth", first) and not decides_twice(P, "Sam", first)
    )


def test_a_protest_names_what_is_there_and_older_files_have_none() -> None:
    plain = FILE.model_dump(mode="json")
    assert plain.pop("protests") == [] and plain["competition"].pop("protest_minutes") == 30
    assert (plain["competition"].pop("protest_from"), plain["competition"].pop("appeal_minutes")) == ("bell", 30)
    assert CompetitionFile.model_validate(plain) == FILE
    with_one = {**plain, "protests": [P.model_dump(mode="json")]}
    assert CompetitionFile.model_validate(with_one).protests == (P,)
    appeal = {**P.model_dump(mode="json"), "id": "prt_2", "against": "prt_1"}
    assert (
        CompetitionFile.model_validate({**with_one, "protests": [*with_one["protests"], appeal]}).protests[1].against == "prt_1"
    )
    for more in ([{**appeal, "entry": "ent_2"}], [{**appeal, "against": "prt_9"}], [appeal, {**appeal, "id": "prt_3"}]):
        with pytest.raises(ValidationError):
            CompetitionFile.model_validate({**with_one, "protests": [*with_one["protests"], *more]})
    for wrong in ({"entry": "ent_9"}, {"event": "gone"}, {"text": ""}, {"via": "shout"}):
        with pytest.raises(ValidationError):
            CompetitionFile.model_validate({**plain, "protests": [{**P.model_dump(mode="json"), **wrong}]})
