"""A public file: it says nothing that decides nothing, and proves the result as the whole file does."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.cli import main
from app.results.competition_file import read_file, write_file
from app.results.recount import recount
from app.rules.records.document import CompetitionFile, Ledger, Run, ledger_id
from app.rules.records.judges import Judge
from app.rules.records.markings import BodyMeasure
from app.rules.records.marks import parse_mark
from app.rules.records.resting import deciding
from app.rules.records.roster import Competition, Event, Protest
from app.rules.records.rulings import Ruling
from app.rules.result.first_seal import FIRST_SIZES, first_seal
from app.rules.result.public_file import NO_SECRET, proof_faults, public_of
from app.rules.result.results import results
from app.rules.result.sealing import digest_text, names_digest, seal_faults, seal_of, sealed
from app.rules.result.withholding import commitment, commitments, left_out, salt
from app.rules.values.lengths import Length
from app.rules.values.units import Load
from app.rules.workout.openers import Opener
from app.rules.workout.safety import Safety
from tests.builders.cast import FORMATS
from tests.builders.meets import a_mark, a_meet
from tests.rules.result.test_halls import a_ruling

SECRET = "5c" * 32
SAID: dict[str, tuple[str, dict[str, Any]]] = {
    "a note": ("note", {"text": "Left knee was taped"}),
    "why a lane stopped": ("stop", {"why": "Felt faint after the third"}),
    "a signature": ("sign", {"who": "athlete", "name": "Signed Sigrun"}),
    "who checked the bar": ("check", {"items": ["Collars of the red bar"], "name": "Checking Chester"}),
    "what a lifter means to lift": ("plan", {"loads": [{"amount": "377.5", "unit": "kg"}], "by": "lifter"}),
    "a wall line measured again": ("remeasure", {"what": "line", "value": "219.17", "unit": "cm"}),
}
WORDS = {
    "a note": "taped",
    "why a lane stopped": "faint",
    "a signature": "Sigrun",
    "who checked the bar": "Chester",
    "what was checked": "Collars",
    "what a lifter means to lift": "377.5",
    "a wall line measured again": "219.17",
    "a judge": "Judging Judith",
    "a judge's telephone": "555 0142",
    "a reach": "211.07",
    "an opener": "333.25",
    "a protest": "Squats that were not counted",
    "who protested": "Petra",
    "the medic": "Medic Medea",
    "the emergency number": "555 0199",
    "why a run was stopped": "fell from the rope",
    "a flag that was set aside": "Looked at twice",
    "the secret": SECRET,
}


def a_whole_file() -> CompetitionFile:
    """A meet in which something private is said in every place where it can be."""
    meet = a_meet()
    marks = [
        parse_mark(a_mark(f"asg_1{n}/1/lane", 900 + n, kind, 1000, None, **body))
        for n, (kind, body) in enumerate(SAID.values(), 1)
    ]
    heats = [
        heat.model_copy(update={"lanes": tuple(one.model_copy(update={"judge": "Judging Judith"}) for one in heat.lanes)})
        for heat in meet.heats
    ]
    rulings = (
        a_ruling("cleared", 10, "medical", {"state": "cleared", "medic": "Medic Medea"}, assignment="asg_11"),
        Ruling(
            id="aside",
            kind="flag",
            body={"flag": "f", "marks": [], "done": "aside"},
            by="Head",
            why="Looked at twice",
            assignment="asg_11",
        ),
        a_ruling("counts", 20, "penalty", {"amount": "2"}, entry="ent_1", event="swings"),
    )
    return meet.model_copy(
        update={
            "ledger": Ledger(id=ledger_id(SECRET), secret=SECRET),
            "competition": meet.competition.model_copy(update={"safety": Safety(medic="Medic Medea", emergency="555 0199")}),
            "judges": (Judge(id="j1", name="Judging Judith", notes="Ring 555 0142"),),
            "measures": (BodyMeasure(athlete="ath_1", reach=Length("211.07", "cm")),),
            "openers": (Opener(event="heavy", task="pulls", entry="ent_1", member=1, load=Load("333.25", "kg")),),
            "protests": (
                Protest(id="p1", entry="ent_1", event="swings", text="Squats that were not counted", by="Petra", via="desk"),
            ),
            "heats": tuple(heats),
            "runs": (*meet.runs, Run(heat=meet.heats[0].id, number=2, state="stopped", why="Somebody fell from the rope")),
            "rulings": rulings,
            "marks": (*meet.marks, *marks),
        }
    )


WHOLE = sealed(a_whole_file())
PUBLIC = public_of(WHOLE)


def test_what_is_private_is_in_the_whole_file_and_nowhere_in_the_one_for_everybody() -> None:
    whole, public = write_file(WHOLE).decode(), write_file(PUBLIC).decode()
    assert [what for what, words in WORDS.items() if words not in whole] == []
    assert [what for what, words in WORDS.items() if words in public] == []


FLAGGED = {"kind": "flag", "body": {"flag": "f", "marks": [], "done": "aside"}, "by": "Head", "why": "Was seen to cheat"}
ADDED: dict[str, dict[str, Any]] = {
    "a protest": {"protests": WHOLE.protests},
    "a judge": {"judges": (Judge(id="j9", name="Nobody"),)},
    "what became of a flag": {"rulings": (*PUBLIC.rulings, Ruling(id="f9", assignment="asg_11", **FLAGGED))},
    "why a run was stopped": {"runs": tuple(run.model_copy(update={"why": "Was pushed"}) for run in PUBLIC.runs)},
    "how long protests may be filed": {"competition": PUBLIC.competition.model_copy(update={"protest_minutes": 5})},
    "a note": {"marks": tuple(replace(m, body={"text": "Drunk"}) if m.kind == "note" else m for m in PUBLIC.marks)},
}


@pytest.mark.parametrize("update", ADDED.values(), ids=ADDED)
def test_nothing_can_be_said_in_a_file_for_everybody_that_its_seal_does_not_hold(update: dict[str, Any]) -> None:
    forged = read_file(write_file(PUBLIC.model_copy(update=update)))
    assert any("it was added" in fault for fault in seal_faults(forged)) and proof_faults(WHOLE, forged)


def test_a_bodyweight_stays_where_it_may_part_a_tie_and_nowhere_else() -> None:
    asking = {member for entry in WHOLE.entries for member in entry.members if entry.id in on_lanes("swings")}
    assert {one.id for one in PUBLIC.athletes if one.bodyweight is not None} == asking
    others = WHOLE.model_copy(
        update={
            "events": WHOLE.events[1:],
            "heats": tuple(h for h in WHOLE.heats if h.event != "swings"),
            "rulings": (),
            "protests": (),
            "marks": (),
            "runs": (),
        }
    )
    assert all(one.bodyweight is None for one in public_of(others).athletes)


def on_lanes(event: str) -> set[str]:
    return {lane.entry for heat in WHOLE.heats if heat.event == event for lane in heat.lanes}


def test_it_recounts_to_the_same_result_under_the_same_digests() -> None:
    again = read_file(write_file(PUBLIC))
    assert seal_faults(again) == [] and again.seal == WHOLE.seal == seal_of(WHOLE)
    assert results(again) == results(WHOLE)
    assert public_of(again) == again and deciding(deciding(WHOLE)) == deciding(WHOLE)


def test_each_value_is_held_by_a_commitment_that_the_whole_file_proves_alone() -> None:
    values = dict(left_out(WHOLE))
    assert PUBLIC.withheld is not None and set(PUBLIC.withheld) == set(values)
    note = next(place for place, value in values.items() if value == "Left knee was taped")
    assert commitment(bytes.fromhex(SECRET), note, values[note]) == PUBLIC.withheld[note]
    salts = {salt(bytes.fromhex(SECRET), place) for place in values}
    assert len(salts) == len(values), "each place has a salt of its own"
    assert not any(one.hex().encode() in write_file(PUBLIC) for one in salts)
    assert proof_faults(WHOLE, PUBLIC) == []


@given(st.data())
def test_whatever_private_is_changed_in_the_whole_file_breaks_its_seal_and_the_proof_and_no_result(data: st.DataObject) -> None:
    change = data.draw(st.sampled_from(("note", "judge", "reach", "why", "flag")))
    plain = json.loads(write_file(WHOLE))
    if change == "note":
        mark = data.draw(st.sampled_from([one for one in plain["marks"] if one["kind"] in ("note", "stop", "sign", "check")]))
        mark["body"] |= {name: "Forged" for name in ("text", "why", "name") if name in mark["body"]}
    elif change == "judge":
        plain["heats"][data.draw(st.integers(0, len(plain["heats"]) - 1))]["lanes"][0]["judge"] = "Forged"
    elif change == "reach":
        plain["measures"][0]["reach"]["amount"] = "200"
    elif change == "why":
        next(run for run in plain["runs"] if run["why"])["why"] = "Forged"
    else:
        next(one for one in plain["rulings"] if one["kind"] == "flag")["why"] = "Forged"
    forged = read_file(json.dumps(plain).encode())
    assert results(forged) == results(WHOLE) and seal_of(forged).events == seal_of(WHOLE).events
    assert seal_faults(forged) and any("withheld" in fault for fault in proof_faults(forged, PUBLIC))


def test_whatever_is_changed_in_the_file_for_everybody_breaks_its_seal() -> None:
    assert PUBLIC.withheld is not None
    place = next(iter(PUBLIC.withheld))
    for change in (
        {"withheld": PUBLIC.withheld | {place: "0" * 64}},
        {"withheld": {key: value for key, value in PUBLIC.withheld.items() if key != place}},
        {"marks": PUBLIC.marks[1:]},
        {"rulings": ()},
        {"ledger": Ledger(id="0" * 32)},
    ):
        forged = PUBLIC.model_copy(update=change)
        assert seal_faults(forged) and proof_faults(WHOLE, forged), change
        assert proof_faults(WHOLE, sealed(forged)), "sealed anew it is not what the whole file gives"


def test_another_secret_gives_other_commitments_and_without_one_nothing_is_published() -> None:
    other = WHOLE.model_copy(update={"ledger": Ledger(id=ledger_id("ab" * 32), secret="ab" * 32)})
    assert not set(commitments(other).values()) & set(commitments(WHOLE).values())
    with pytest.raises(ValueError, match="does not hold its hall"):
        public_of(WHOLE.model_copy(update={"ledger": None}))
    assert proof_faults(PUBLIC, PUBLIC) == [NO_SECRET]


def test_sheets_printed_before_are_found_in_the_whole_file() -> None:
    first = first_seal(WHOLE)
    plain = " ".join(digest_text(first.events["heavy"]).split()[1:])
    assert names_digest(WHOLE, plain) == "heavy" and names_digest(WHOLE, first.digest) == ""
    assert WHOLE.seal is not None
    assert (
        names_digest(WHOLE, digest_text(WHOLE.seal.events["heavy"]))
        == names_digest(PUBLIC, WHOLE.seal.events["heavy"])
        == "heavy"
    )
    with pytest.raises(ValueError, match="only the whole file"):
        names_digest(PUBLIC, plain)


# Made by the code of that time, of markings as it stored them: all as it took them by itself, some changed.
FIRST_DIGESTS = (
    ({}, "6c65998a6d22cb8d7c22affaf26d4c55fe223e39cc8ac71ba0a2376f99bc3e38"),
    (
        {"unit": "cm", "bar": False, "drop": Length("10", "cm")},
        "f142657709ca180b9c722b0e41cbe432d3b76eff3029c2d7dc55b7b7c9f3564b",
    ),
    (
        {"gap": Length("45.72", "cm"), "rope": False, "box_width": Length("1", "m")},
        "b94e48a12ae5e7041ece3c873009af4e8270eb35b3af71aa2d71816f38edf268",
    ),
)


@pytest.mark.parametrize(("changed", "digest"), FIRST_DIGESTS)
def test_markings_are_in_a_digest_of_version_1_as_they_were(changed: dict[str, Any], digest: str) -> None:
    file = CompetitionFile(
        competition=Competition(id="cmp", name="Chalk Cup", unit="kg"),
        events=(Event(id="evt", name="E", format=FORMATS["lift"]),),
        markings={"evt": FIRST_SIZES.model_copy(update=changed)},
    )
    assert first_seal(file).digest == digest


def test_a_file_of_version_1_holds_by_the_seal_of_its_time() -> None:
    old = WHOLE.model_copy(update={"version": 1, "ledger": None, "seal": first_seal(WHOLE)})
    assert seal_faults(read_file(write_file(old))) == []
    changed = old.model_copy(update={"marks": (replace(old.marks[0], err=9), *old.marks[1:])})
    assert "was changed." in seal_faults(changed)[0]


def test_the_command_says_whether_the_file_for_everybody_is_proven(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    whole, public = tmp_path / "whole.json", tmp_path / "public.json"
    whole.write_bytes(write_file(WHOLE))
    public.write_bytes(write_file(PUBLIC))
    assert main(["recount", str(whole), "--public", str(public)]) == 0
    assert f"each value it withholds is proven ({len(PUBLIC.withheld or {})})" in capsys.readouterr().out
    public.write_bytes(write_file(sealed(PUBLIC.model_copy(update={"marks": PUBLIC.marks[1:]}))))
    assert main(["recount", str(whole), "--public", str(public)]) == 1
    assert "written at another time" in capsys.readouterr().out
    found = recount(write_file(PUBLIC), digest_text(WHOLE.seal.digest) if WHOLE.seal else "")
    assert found.sealed is not None and found.sealed.matches == "the whole competition" and not found.sealed.faults
