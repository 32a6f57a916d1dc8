"""What the desk can't change while an event is signed off, whichever page it is tried on, and what it still can."""

import csv
import io
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from app.results.recount import recount, recount_table
from app.results.results_state import stated_overall
from app.results.whole_file import whole_file
from app.rules.records.overall_rule import OverallRule
from app.rules.records.rulings import Ruling
from app.rules.records.signed import marks_held
from app.rules.result.sealing import seal_of
from app.rules.result.signed_words import NOT_ALL_SIGNED
from app.store.roster import read_roster
from tests.builders.halls import House, TestClient, a_house
from tests.builders.meets import EVENTS, NAMES, a_meet
from tests.review.test_review_page import PAGE, WHO, text_of

LANES = {f"lane-{n}-entry": f"ent_{n}" for n in range(1, len(NAMES) + 1)}
HEAT = {"event": "swings", "number": "1", **LANES}
ENTRY = {"name": "Bo Farrow", "division": "open", "member-0-name": "Bo Farrow"}
SWAPPED = {"lane-5-entry": "ent_8", "lane-8-entry": "ent_5"}  # neither has a mark
OVERALL = ("/desk/overall", {"by": "places", "absent": "last", "shared": "same"})

# What is signed, and by its name: a page and what is posted to it, which is another result, another standing or another digest.
CHANGES: Mapping[str, tuple[str, Mapping[str, str]]] = {
    "a division's variant": (
        "/desk/events/swings/variants",
        {"how": "closest_two", "recount_beyond": "2", "division-open": "scaled"},
    ),
    "a lane's variant": ("/desk/heats/heat_1/lanes", {**HEAT, "lane-2-variant": "scaled"}),
    "a bodyweight that parts a tie": ("/desk/checkin/ath_1", {"weight": "99 kg"}),
    "who is in an entry": ("/desk/entries/ent_2", {**ENTRY, "member-0-name": "Somebody Else"}),
    "one member more": ("/desk/entries/ent_2", {**ENTRY, "member-1-name": "Somebody Else"}),
    "an entry's name": ("/desk/entries/ent_2", {**ENTRY, "name": "Ada Quill the Second"}),
    "an entry's division": ("/desk/entries/ent_2", {**ENTRY, "division": "masters"}),
    "lanes moved": ("/desk/heats/heat_1/lanes", {**HEAT, **SWAPPED}),
    "a lane taken out": ("/desk/heats/heat_1/lanes", {**HEAT, "lane-5-entry": ""}),
    "how several counts become one": ("/desk/events/swings/variants", {"how": "mean", "recount_beyond": "2"}),
    "a division's name": ("/desk/divisions/open", {"name": "Everybody"}),
}


def signed(events: Sequence[str], **more: Any) -> tuple[Ruling, ...]:
    """The sign-offs of these events by Ruth; `more`: what else they hold."""
    body: dict[str, Any] = {"state": "signed", "marks": {}, "runs": {}, **more}
    made = [{"id": f"sign_{n}", "event": event, "made_wall_ms": 10 + n} for n, event in enumerate(events)]
    plain = {"kind": "sign_off", "body": body, "by": "Ruth", "why": "Looked through"}
    return tuple(Ruling.model_validate({**plain, **one}) for one in made)


def posted(change: tuple[str, Mapping[str, str]], desk: TestClient) -> Any:
    return desk.post(change[0], data=dict(change[1]), headers=PAGE)


def digests(house: House) -> dict[str, str]:
    hall = house.app.state.hall
    return seal_of(whole_file(hall, hall.projection.roster, 0)).events


def test_what_a_signed_result_rests_on_stays_until_it_is_opened_again(tmp_path: Path) -> None:
    with a_house(tmp_path, file=a_meet(rulings=signed(["swings"]))) as house:
        desk, before, as_printed = house.desk(), house.app.state.hall.projection.roster, digests(house)
        for what, change in CHANGES.items():
            answer = posted(change, desk)
            assert answer.status_code == 409 and "Swings is signed off, by Ruth" in text_of(answer), what
            assert "has to reopen it first, under Review, Protests and sign-off" in text_of(answer), what
            assert house.app.state.hall.projection.roster == before, what
        assert house.app.state.hall.database.read(read_roster) == before and digests(house) == as_printed
        assert desk.post("/review/events/swings/open", data=WHO, headers=PAGE).status_code == 303
        for what, change in CHANGES.items():
            as_it_was = digests(house)["swings"]
            assert posted(change, desk).status_code in (200, 303), what
            assert digests(house)["swings"] != as_it_was, f"{what}: the result rests on it"


def test_what_a_signed_result_does_not_rest_on_may_change(tmp_path: Path) -> None:
    with a_house(tmp_path, file=a_meet(rulings=signed(["swings"]))) as house:
        desk, as_printed = house.desk(), digests(house)["swings"]
        for free in (
            ("/desk/heats/heat_1/lanes", {**HEAT, "planned": "11:30", "lane-1-judge": "Joss"}),
            ("/desk/heats/heat_2/lanes", {**HEAT, "event": "errands", **SWAPPED}),
            ("/desk/entries/new", {"name": "Late", "division": "open", "member-0-name": "Lou Late"}),
            OVERALL,
        ):
            assert posted(free, desk).status_code in (200, 303), free
            assert digests(house)["swings"] == as_printed, free


def test_a_bodyweight_is_under_the_sign_off_of_those_events_alone_that_ask_for_it(tmp_path: Path) -> None:
    with a_house(tmp_path, file=a_meet(rulings=signed(["errands"]))) as house:
        before = digests(house)
        assert posted(CHANGES["a bodyweight that parts a tie"], house.desk()).status_code == 200
        now = digests(house)
        assert now["errands"] == before["errands"] and now["swings"] != before["swings"]


def test_the_rule_of_the_overall_standing_stays_once_every_event_is_signed_off(tmp_path: Path) -> None:
    everything = signed([key for key, _ in EVENTS])
    with a_house(tmp_path, file=a_meet(overall=OverallRule(), rulings=everything)) as house:
        desk = house.desk()
        answer = posted(("/desk/overall", {"by": "none"}), desk)
        assert answer.status_code == 409 and "Every event is signed off, so the overall standing is too" in text_of(answer)
        assert house.app.state.hall.projection.roster.overall == OverallRule()
        assert desk.post("/review/events/heavy/open", data=WHO, headers=PAGE).status_code == 303
        assert posted(("/desk/overall", {"by": "none"}), desk).status_code == 303
        assert house.app.state.hall.projection.roster.overall is None


NEW_EVENT = {"name": "Afterwards", "knob-movements": "Swings", "knob-cap": "10:00", "knob-unit": "kg"}


def test_an_overall_rule_that_was_changed_while_an_event_was_open_is_not_what_was_signed(tmp_path: Path) -> None:
    """An event is added, so that the overall standing is open and its rule may change, and is deleted again."""
    rule = OverallRule(by="scores")
    marks = a_meet().marks
    everything = tuple(
        ruling.model_copy(update={"body": ruling.body | {"marks": marks_held(held), "runs": {f"heat_{n}": 1}}})
        for n, ruling in enumerate(signed([key for key, _ in EVENTS], overall=rule.model_dump(mode="json")), 1)
        for held in [[mark for mark in marks if mark.sheet.startswith(f"asg_{n}")]]
    )
    with a_house(tmp_path, file=a_meet(overall=rule, rulings=everything)) as house:
        desk, hall = house.desk(), house.app.state.hall
        assert stated_overall(hall).text == "Final"
        made = desk.post("/desk/events/new/for_time", data=NEW_EVENT, headers=PAGE)
        assert made.status_code == 303 and stated_overall(hall).text == NOT_ALL_SIGNED
        assert posted(OVERALL, desk).status_code == 303
        desk.post(f"{made.headers['location'].partition('?')[0]}/delete", data={}, headers=PAGE)
        assert [event.id for event in hall.projection.roster.events] == [key for key, _ in EVENTS]
        told = "Signed off, but the overall standing is no longer made the way it was signed off"
        for path in ("/results", "/podium", "/board", "/desk/overall", "/review/results", "/overall/open/ent_1"):
            shown = text_of(desk.get(path, headers=PAGE))
            assert told in shown, path
            if path not in ("/board", "/overall/open/ent_1"):
                assert "As signed by Ruth: The scores themselves are added up" in shown and "Now: The places in all" in shown, (
                    path
                )
        rows = list(csv.DictReader(io.StringIO(desk.get("/desk/overall.csv").content.decode("utf-8-sig"))))
        assert {(row["final"], row["state"]) for row in rows} == {("no", told)}
        found = recount_table(recount(desk.get("/desk/competition.json").content))
        assert f"Overall: {told}" in found and "- Now: The places" in found
        assert posted(("/desk/overall", {"by": "none"}), desk).status_code == 409
        back = {"by": "scores", "better": "more", "absent": "last", "count_back": "on"}
        assert posted(("/desk/overall", back), desk).status_code == 303 and stated_overall(hall).text == "Final"


def test_a_sign_off_of_an_older_version_can_t_prove_the_overall_rule_and_says_so(tmp_path: Path) -> None:
    everything = signed([key for key, _ in EVENTS])
    with a_house(tmp_path, file=a_meet(overall=OverallRule(), rulings=everything)) as house:
        said = stated_overall(house.app.state.hall)
        assert (
            said.text == "Signed off, but it was signed off by an older version, which did not record how "
            "the overall standing is made"
        )
    with a_house(tmp_path / "none", file=a_meet(rulings=everything)) as house:
        assert stated_overall(house.app.state.hall).text == "Final", "there is no overall standing to be made"
