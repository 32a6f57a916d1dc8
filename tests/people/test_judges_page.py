"""The desk's page of judges: added, pasted, changed, removed with a way back, and chosen for lanes."""

import html

from tests.builders.halls import House, TestClient

PAGE = {"accept": "text/html"}


def post(desk: TestClient, path: str, status: int, **typed: str) -> str:
    answer = desk.post(path, data=typed, headers=PAGE)
    assert answer.status_code == status, answer.text[:2000]
    return html.unescape(answer.text)


def judges(house: House) -> dict[str, str]:
    """Ids by name."""
    return {judge.name: judge.id for judge in house.app.state.hall.projection.roster.judges}


def test_a_judge_is_added_with_club_level_and_hours(house: House) -> None:
    desk = house.desk()
    post(desk, "/desk/judges", 303, name="Ines Varga", club="Quay", level="second year", hours="9-12.30, 14:00 to 17")
    roster = house.app.state.hall.projection.roster
    (judge,) = roster.judges
    assert (judge.level, [(one.start, one.end) for one in judge.hours]) == (
        "second year",
        [("09:00", "12:30"), ("14:00", "17:00")],
    )
    assert next(club.name for club in roster.clubs if club.id == judge.club) == "Quay"
    assert "09:00-12:30, 14:00-17:00, no lane yet" in desk.get("/desk/judges").text


def test_bad_hours_keep_what_was_typed_and_say_how_hours_are_written(house: House) -> None:
    desk = house.desk()
    text = post(desk, "/desk/judges", 422, name="Ines Varga", level="first year", hours="12-9")
    assert "Hours end after they begin; “12-9” does not." in text and 'value="first year"' in text
    text = post(desk, "/desk/judges", 422, name="Ines Varga", hours="mornings")
    assert "Hours are written like 9:00-12:30, several with commas between; not “mornings”." in text
    assert judges(house) == {}


def test_a_second_judge_of_the_same_name_is_refused(house: House) -> None:
    desk = house.desk()
    post(desk, "/desk/judges", 303, name="Kim Osei")
    assert "There is already a judge called kim osei." in post(desk, "/desk/judges", 422, name="kim osei")


def test_pasted_judges_are_stored_all_or_none(house: House) -> None:
    desk = house.desk()
    lines = "Ada Moss; Quay; third year; 9-17\nBo Tarn\n\nCai Reed; ; ; 25-26"
    text = post(desk, "/desk/judges/paste", 200, lines=lines, do="look")
    assert "A day ends at 24:00" in text and "1 to fix" in text and 'value="store"' not in text
    assert "Save these 3 judges" in post(desk, "/desk/judges/paste", 200, lines=lines.replace("25-26", ""), do="look")
    assert "1 to fix" in post(desk, "/desk/judges/paste", 422, lines=lines, do="store")
    assert judges(house) == {}
    post(desk, "/desk/judges/paste", 303, lines=lines.replace("25-26", "20-24"), do="store")
    assert sorted(judges(house)) == ["Ada Moss", "Bo Tarn", "Cai Reed"]


def test_a_name_on_a_lane_is_linked_to_the_judge_and_follows_a_new_spelling(house: House) -> None:
    desk = house.desk()
    post(desk, "/desk/judges", 303, name="Kim Osei")
    key = judges(house)["Kim Osei"]
    form = {"event": "evt_turns", "number": "3", "lanes": "4", "lane-1-entry": "ent_9", "lane-2-entry": "ent_10"}
    form |= {"lane-1-judge": "kim osei", "lane-2-judge": "A guest", "do": "store"}
    post(desk, "/desk/heats/het_3/lanes", 200, **form)

    def lanes() -> list[tuple[str, str | None]]:
        heats = house.app.state.hall.projection.roster.heats
        return [(lane.judge, lane.judge_id) for heat in heats if heat.id == "het_3" for lane in heat.lanes]

    assert lanes() == [("Kim Osei", key), ("A guest", None)]
    post(desk, f"/desk/judges/{key}", 303, name="Kim Osei-Ward")
    assert lanes()[0] == ("Kim Osei-Ward", key)
    refused = post(desk, f"/desk/judges/{key}/delete", 409)
    assert "Kim Osei-Ward judges 1 lane. Tick “Away” instead" in refused


def test_a_judge_who_is_away_is_not_offered_for_lanes(house: House) -> None:
    desk = house.desk()
    post(desk, "/desk/judges", 303, name="Kim Osei")
    assert '<option value="Kim Osei">' in desk.get("/desk/heats/het_3/lanes").text
    post(desk, f"/desk/judges/{judges(house)['Kim Osei']}/away", 303, away="on")
    assert '<option value="Kim Osei">' not in desk.get("/desk/heats/het_3/lanes").text
    post(desk, f"/desk/judges/{judges(house)['Kim Osei']}/away", 303, away="")
    assert '<option value="Kim Osei">' in desk.get("/desk/heats/het_3/lanes").text


def test_judges_travel_in_the_competition_file(house: House) -> None:
    desk = house.desk()
    post(desk, "/desk/judges", 303, name="Ines Varga", hours="9-12")
    file = desk.get("/desk/competition.json").json()
    assert [(judge["name"], judge["hours"]) for judge in file["judges"]] == [("Ines Varga", [{"start": "09:00", "end": "12:00"}])]
