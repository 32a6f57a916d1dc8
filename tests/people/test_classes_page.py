"""Classes at the desk: a row of them made at once, the weigh-in at the door, who is asked and who moves them."""

import html
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.people.classes import classes_typed
from app.results.competition_file import read_file
from app.results.publishing import export_file
from app.rules.result.public_file import public_of
from app.rules.result.sealing import seal_of
from tests.builders.halls import House, a_house
from tests.builders.meets import a_meet

PAGE = {"accept": "text/html"}
ROW = {"sex": "women", "bounds": "58, 62, 70", "above": "on"}


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with a_house(tmp_path, file=a_meet()) as opened:
        yield opened


def page(house: House) -> str:
    return html.unescape(house.desk().get("/desk/classes", headers=PAGE).text)


def divisions(house: House) -> dict[str, str]:
    return {one.name: one.id for one in house.app.state.hall.projection.roster.divisions}


def post(house: House, path: str, status: int = 303, **form: str) -> str:
    answer = house.desk().post(path, data=form, headers=PAGE)
    assert answer.status_code == status, answer.text[:2000]
    return html.unescape(answer.text)


def weigh(house: House, athlete: str, weight: str, **more: str) -> str:
    return post(house, f"/desk/checkin/{athlete}", 200, do="weigh", weight=weight, **more)


def open_entries(house: House) -> set[str]:
    """The names of those who must be asked."""
    part = page(house).partition("To settle")[2].partition('<form class="stack"')[0]
    return {entry.name for entry in house.app.state.hall.projection.roster.entries if f"<strong>{entry.name}</strong>" in part}


def test_a_row_of_classes_is_made_at_once_and_its_limits_can_be_changed(house: House) -> None:
    post(house, "/desk/classes/made", **ROW)
    assert list(divisions(house))[2:] == ["Women 58 kg", "Women 62 kg", "Women 70 kg", "Women over 70 kg"]
    before = house.app.state.hall.projection.roster.divisions
    post(house, "/desk/classes", **classes_typed(house.app.state.hall))
    assert house.app.state.hall.projection.roster.divisions == before, "as it is shown it is stored again"
    assert "There is already a division called Women 58 kg." in post(house, "/desk/classes/made", 422, **ROW)
    key = divisions(house)["Women 58 kg"]
    limits = {"sex": "women", "from_age": "40", "to_age": "", "over": "", "up_to": "58", "opens": "8:00", "closes": "09:30"}
    post(house, "/desk/classes", **{f"{key}-{field}": text for field, text in limits.items()})
    told = next(one.limits for one in house.app.state.hall.projection.roster.divisions if one.id == key)
    assert told is not None and told.words() == "women, from 40 years, up to 58 kg, weigh-in 08:00 to 09:30"
    wrong = {f"{key}-{field}": text for field, text in limits.items()} | {f"{key}-closes": "7:00"}
    assert "opens and a later one when it closes" in post(house, "/desk/classes", 422, **wrong)
    house.desk().post(f"/desk/divisions/{key}", data={"name": "Light"}, headers=PAGE)
    renamed = next(one for one in house.app.state.hall.projection.roster.divisions if one.id == key)
    assert (renamed.name, renamed.limits) == ("Light", told)


def test_whoever_is_not_weighed_in_or_stands_in_another_class_is_asked_and_moved_by_a_person(house: House) -> None:
    post(house, "/desk/classes/made", **ROW)
    into = divisions(house)["Women 62 kg"]
    post(house, "/desk/classes/ent_1/move", 200, division=into)
    assert open_entries(house) == {"Ada Quill"} and "Women or men is not given." in page(house)
    weigh(house, "ath_1", "64.3 kg", sex="women")
    told = page(house)
    assert "64.3 kg is over 62 kg." in told and "Move to Women 70 kg" in told and "Move to Women 58 kg" not in told
    entry = next(one for one in house.app.state.hall.projection.roster.entries if one.id == "ent_1")
    assert entry.division == into, "nobody is moved unasked"
    post(house, "/desk/classes/ent_1/move", 200, division=divisions(house)["Women 70 kg"])
    assert open_entries(house) == set() and "Every entry fits the limits of its class." in page(house)
    post(house, "/desk/checkin/ath_1", 200, weight="63 kg", **{"was-weight": "64.3 kg"})
    assert "Weighed in with 64.3 kg, and the list says 63 kg." in page(house)


def test_a_weigh_in_outside_the_window_is_asked_until_somebody_lets_it_count(house: House) -> None:
    post(house, "/desk/classes/made", **ROW, opens="00:00", closes="00:00")
    post(house, "/desk/classes/ent_1/move", 200, division=divisions(house)["Women 62 kg"])
    weigh(house, "ath_1", "61 kg", sex="women")
    assert "outside the window of 00:00 to 00:00" in page(house)
    post(house, "/desk/classes/ent_1/let")
    assert open_entries(house) == set()
    weigh(house, "ath_1", "61.2 kg")
    assert open_entries(house) == {"Ada Quill"}, "another weigh-in is asked about anew"


def test_limits_decide_no_result_and_are_withheld_from_a_file_for_everybody(house: House) -> None:
    before = seal_of(read_file(export_file(house.app.state.hall))).events
    key = divisions(house)["Open"]
    form = {f"{key}-{field}": "" for field in ("from_age", "to_age", "over", "up_to", "opens", "closes")}
    post(house, "/desk/classes", **form, **{f"{key}-sex": "women"})
    whole = read_file(export_file(house.app.state.hall))
    assert whole.divisions[0].limits is not None and seal_of(whole).events == before
    assert all(one.limits is None for one in public_of(whole).divisions)
