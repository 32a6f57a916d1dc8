"""An entry's picture at the desk: kept bare, shown in the hall, published only where it is said so, removed for good."""

import io
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.results.whole_file import whole_file
from app.rules.result.sealing import seal_of
from tests.builders.halls import STORE, House, TestClient, a_house
from tests.builders.images import SECRET, a_jpeg, a_png
from tests.builders.meets import a_meet

PAGE = {"accept": "text/html"}


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with a_house(tmp_path, file=a_meet()) as opened:
        yield opened


def give(desk: TestClient, entry: str, data: bytes) -> int:
    return int(desk.post(f"/desk/entries/{entry}/picture", files={"picture": ("a.jpg", data)}, headers=PAGE).status_code)


def ids(house: House) -> list[str]:
    return [entry.id for entry in house.app.state.hall.projection.roster.entries]


def zipped(desk: TestClient, names: str) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(desk.get(f"/desk/results-copy.zip?names={names}").content)) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def test_a_picture_is_kept_bare_and_everybody_in_the_hall_sees_it(house: House) -> None:
    desk, anybody, entry = house.desk(), house.browser(), ids(house)[0]
    assert anybody.get(f"/entries/{entry}/picture").status_code == 404
    assert anybody.post(f"/desk/entries/{entry}/picture", files={"picture": ("a.jpg", a_png())}).status_code == 401
    assert anybody.get(f"/entries/{entry}/picture").status_code == 404
    pages = (f"/follow/{entry}", "/announcer", "/podium", f"/desk/entries/{entry}")
    assert not any("/picture?v=" in desk.get(path, headers=PAGE).text for path in pages)
    assert give(desk, entry, a_png(beside=SECRET)) == 303
    answer = anybody.get(f"/entries/{entry}/picture")
    assert answer.status_code == 200 and answer.headers["content-type"] == "image/png"
    assert SECRET not in answer.content and answer.headers["cache-control"] == "no-cache"
    again = anybody.get(f"/entries/{entry}/picture", headers={"if-none-match": answer.headers["etag"]})
    assert again.status_code == 304
    for path in pages:
        assert f"/entries/{entry}/picture?v=" in desk.get(path, headers=PAGE).text, path
    assert give(desk, entry, a_jpeg()) == 200  # in place of another, which can be put back
    assert anybody.get(f"/entries/{entry}/picture").headers["content-type"] == "image/jpeg"


def test_what_is_no_picture_is_refused_by_a_sentence_and_the_old_one_stays(house: House) -> None:
    desk, entry = house.desk(), ids(house)[0]
    give(desk, entry, a_png())
    for data, words in ((b"", "Choose a picture first"), (b"<svg/>", "no picture that can be shown"), (a_png()[:-9], "cut off")):
        answer = desk.post(f"/desk/entries/{entry}/picture", files={"picture": ("a.png", data)}, headers=PAGE)
        assert answer.status_code == 422 and words in answer.text
    assert give(desk, "ent_none", a_png()) == 404
    assert house.browser().get(f"/entries/{entry}/picture").status_code == 200


def test_no_file_digest_or_tablet_knows_of_a_picture(house: House) -> None:
    desk, hall = house.desk(), house.app.state.hall
    before = seal_of(whole_file(hall, hall.projection.roster, 0)), desk.get("/desk/competition.json").json()
    for entry in ids(house):
        assert give(desk, entry, a_png()) == 303
    after = seal_of(whole_file(hall, hall.projection.roster, 0)), desk.get("/desk/competition.json").json()
    assert before[0] == after[0]
    assert {key: value for key, value in before[1].items() if key != "made"} == {
        key: value for key, value in after[1].items() if key != "made"
    }
    assert "picture" not in desk.get("/desk/start.json").text


def test_pictures_are_published_only_where_the_competition_says_so_and_never_with_initials(house: House) -> None:
    desk = house.desk()
    for entry in ids(house):
        give(desk, entry, a_png(beside=SECRET))
    assert not any("pictures/" in name for name in zipped(desk, "full"))
    form = {"name": "Meet", "unit": "kg", "protest_minutes": "30", "pictures-published": "on"}
    assert desk.post("/desk/competition", data=form, headers=PAGE).status_code == 303
    assert "checked" in desk.get("/desk/competition", headers=PAGE).text.split("pictures-published")[-1][:200]
    files = zipped(desk, "full")
    shown = {name.removeprefix("results/") for name in files if "pictures/" in name}
    assert shown and all(f'src="{name}"' in files["results/index.html"].decode() for name in shown)
    assert not any(SECRET in content for content in files.values())
    with_initials = zipped(desk, "initials")
    assert not any("pictures/" in name for name in with_initials) and b"entry-picture" not in with_initials["results/index.html"]


@pytest.mark.parametrize("how", ["removed", "left"])
def test_a_removed_picture_is_gone_from_the_store_too(tmp_path: Path, how: str) -> None:
    secret = bytes(range(1, 250)) * 4
    data = a_jpeg().replace(b"\x12\xff\x00\x34", b"\x12" + secret, 1)
    with a_house(tmp_path, file=a_meet()) as house:
        desk, entry = house.desk(), house.app.state.hall.projection.roster.entries[0]
        assert give(desk, entry.id, data) == 303
        if how == "removed":
            answer = desk.post(f"/desk/entries/{entry.id}/picture/remove", headers=PAGE)
        else:
            other = next(one for one in house.app.state.hall.projection.roster.athletes if one.id not in entry.members)
            form = {"name": entry.name, "division": entry.division, "member-0-name": other.name}
            answer = desk.post(f"/desk/entries/{entry.id}", data=form, headers=PAGE)
        assert answer.status_code == 200 and "/desk/undo" in answer.text
        assert house.browser().get(f"/entries/{entry.id}/picture").status_code == 404
        assert "/picture?v=" not in desk.get(f"/follow/{entry.id}", headers=PAGE).text
    kept = [path for path in tmp_path.iterdir() if path.name.startswith(STORE)]
    assert kept and not any(secret[:600] in path.read_bytes() for path in kept)


def test_the_picture_of_a_deleted_entry_goes_with_it(house: House) -> None:
    desk, roster = house.desk(), house.app.state.hall.projection.roster
    form = {"name": "Late Comers", "division": roster.divisions[0].id, "member-0-name": "Wil Late"}
    assert desk.post("/desk/entries/new", data=form, headers=PAGE).status_code == 303
    entry = next(one.id for one in house.app.state.hall.projection.roster.entries if one.name == "Late Comers")
    assert give(desk, entry, a_png()) == 303
    assert desk.post(f"/desk/entries/{entry}/delete", headers=PAGE).status_code == 200
    assert house.browser().get(f"/entries/{entry}/picture").status_code == 404
