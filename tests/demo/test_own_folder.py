"""The demo writes nothing outside its own folder, and its page of backups offers no other place."""

from pathlib import Path

from tests.builders.halls import House

PAGE = {"accept": "text/html"}


def test_a_place_that_can_not_be_changed_is_not_offered_to_be(demo: House, tmp_path: Path) -> None:
    desk = demo.browser()
    desk.post("/desk/enter", data={"password": demo.app.state.hall.demo_password})
    shown = desk.get("/desk/backups", headers=PAGE).text
    assert "on the same disk" in shown and "choose it here" not in shown
    answer = desk.post("/desk/backups/folder", data={"folder": str(tmp_path)}, headers=PAGE)
    assert answer.status_code == 422 and "keeps its backups in its own folder" in answer.text
