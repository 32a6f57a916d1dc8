"""What stands in the way of a sign-off: each thing by its name, until it is settled or left out with a reason."""

import pytest

from app.rules.records.document import CompetitionFile
from app.rules.records.roster import Protest
from app.rules.records.rulings import Ruling
from app.rules.records.signed import marks_held
from app.rules.result.in_the_way import Obstacle, in_the_way, left_out_of, not_settled
from app.rules.result.results import results
from app.rules.workout.formats import CountTask
from tests.builders.cast import Sheet, a_competition, a_format, reps

FORMAT = a_format(CountTask(movement="swing"))
HERE = {"Open": ["Ana", "Bo"]}
PROTEST = Protest(id="prt", entry="ent_1", event="evt", text="One was good", by="Ada", via="desk")
ODD = Obstacle("flag:x", "Heat 1, lane 1: in a hold")


def told(file: CompetitionFile, *odd: Obstacle) -> list[str]:
    (found,) = results(file)
    return [one.what for one in in_the_way(file, file.runs, file.rulings, found, odd)]


def decided(kind: str, body: dict[str, object], **about: str) -> Ruling:
    return Ruling.model_validate({"id": f"r_{kind}", "kind": kind, "body": body, "by": "Ruth", "why": "Seen", **about})


def test_nothing_stands_in_the_way_of_an_event_that_is_run_and_judged() -> None:
    assert told(a_competition(FORMAT, HERE, reps(3, 1) + reps(4, 2))) == []


def test_a_heat_that_was_not_run_stands_for_its_lanes_and_an_entry_that_was_not_judged_for_itself() -> None:
    assert told(a_competition(FORMAT, HERE, runs=[])) == ["Heat 1 was not run"]
    file = a_competition(FORMAT, HERE, reps(3, 1))
    assert told(file) == ["Bo was not judged"]
    out = decided("status", {"status": "did_not_start"}, entry="ent_2", event="evt")
    assert told(file.model_copy(update={"rulings": (out,)})) == []


def test_protests_reruns_flags_and_papers_stand_in_the_way_until_they_are_settled() -> None:
    file = a_competition(FORMAT, HERE, reps(3, 1) + reps(4, 2)).model_copy(update={"protests": (PROTEST,)})
    assert told(file, ODD) == ["Protest of Ana: One was good", ODD.what]
    answered = decided("protest", {"protest": "prt", "decision": "refused"})
    assert told(file.model_copy(update={"rulings": (answered,)})) == []
    (heat,) = file.heats
    lane = heat.lanes[0].model_copy(update={"id": "asg_9", "lane": 1})
    later = heat.model_copy(update={"id": "later", "number": 2, "lanes": (lane,)})
    rerun = decided("rerun", {"again": "asg_9", "counts": "again"}, assignment="asg_1", entry="ent_1", event="evt")
    owed = file.model_copy(update={"heats": (heat, later), "rulings": (answered, rerun)})
    assert told(owed) == ["Heat 2 was not run", "Ana was to be rerun"]


@pytest.mark.parametrize("better", ["more", "less"])
def test_who_is_left_out_as_not_judged_is_given_no_score_by_the_sign_off(better: str) -> None:
    """Whoever reads that Ana was not judged does not read a place of hers beside it; and the fewest are no best."""
    sheet = Sheet("asg_1")
    tap = sheet.rep(1_000)
    format = a_format(CountTask(movement="swing"), better=better)
    file = a_competition(format, HERE, [tap, sheet.strike(2_000, tap), *reps(4, 2)])
    (one,) = in_the_way(file, file.runs, (), results(file)[0])
    assert one.what == "Ana was not judged"
    body = {"state": "signed", "marks": marks_held(file.marks), "runs": {"heat": 1}, "signer": "desk"}
    for left_out, place in (
        ([{"key": one.key, "what": one.what, "why": "The tablet fell"}], None),
        ([], 2 if better == "more" else 1),
    ):
        signed = decided("sign_off", {**body, "left_out": left_out}, event="evt")
        rows = results(file.model_copy(update={"rulings": (signed,)}))[0].tables[0].rows
        assert {row.entry.name: row.place for row in rows}["Ana"] == place


@pytest.mark.parametrize(("why", "left"), [("", 1), ("  ", 1), ("The film is lost", 0)])
def test_what_is_left_out_needs_a_reason_of_its_own(why: str, left: int) -> None:
    assert len(not_settled([ODD], {ODD.key: why, "flag:other": "Seen"})) == left


def test_a_sign_off_tells_what_it_left_out_and_says_nothing_unsaid() -> None:
    body = {"state": "signed", "marks": {}, "runs": {}, "signer": "desk"}
    said = [{"key": ODD.key, "what": ODD.what, "why": "The film is lost"}]
    assert left_out_of(decided("sign_off", {**body, "left_out": said}, event="evt")) == ((ODD.what, "The film is lost"),)
    assert left_out_of(decided("sign_off", body, event="evt")) == left_out_of(None) == ()
    for wrong in ([{"key": "a", "what": "b", "why": ""}], [{"what": "b", "why": "c"}], "all"):
        with pytest.raises(ValueError, match="A sign-off says which marks"):
            decided("sign_off", {**body, "left_out": wrong}, event="evt")
