"""What was done is on record: every writing route, every refused try, with who and where, and never a secret."""

import csv
import io
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy.exc import DBAPIError

from app.cli import main
from app.keep.done import KINDS
from app.live.presence import STRANGERS_LINES
from app.store.acts import DOING, Act, Asked, acts, count_acts, put_act
from app.store.devices import asking
from app.web import roles
from app.web.fresh import Fresh
from app.web.rows import Page
from tests.builders.halls import ON_THE_LAN, PASSWORD, SLATE_DAY, House, a_house, a_mark, sent

PAGE = {"accept": "text/html"}
JSON = {"content-type": "application/json"}


def lines(house: House) -> list[Act]:
    """The record, oldest first."""
    found = house.app.state.hall.database.read(lambda session: acts(session, Asked(), 10_000))
    return list(reversed(found))


def last(house: House) -> tuple[str, str, str, str]:
    """Who did what to what last, and how it went."""
    act = lines(house)[-1]
    return act.name, act.words, act.about, act.outcome


def on_record(house: House) -> list[Page]:
    """Every page that leaves a line."""
    return [row for row in house.app.routes if isinstance(row, Page) and row.says.record is not None]


def test_what_is_sent_in_leaves_a_line_but_for_what_only_looks_and_so_does_every_file_that_leaves_the_desk(house: House) -> None:
    desk = {way.path for way in roles.ways(house.app) if roles.DESK in way.doors}
    silent = [row for row in house.app.routes if isinstance(row, Page) and row.says.record is None]
    sent_in = {row.path for row in silent if "POST" in row.methods}
    assert sent_in == {path for path in sent_in if path.endswith(("/look", "/dry-run"))}
    files = {row.path for row in silent if row.path in desk and row.path.endswith((".csv", ".json", ".zip"))}
    assert files == {"/desk/openapi.json"}, "a description of the pages says nothing of the competition"


def test_no_two_pages_go_by_the_same_words_and_each_is_of_a_kind_that_can_be_chosen(house: House) -> None:
    said = [row.says.record for row in on_record(house)]
    assert len(said) > 100 and len(said) == len(set(said))
    assert {kind for kind, _ in said} == set(KINDS)


def test_every_write_leaves_its_line_in_the_very_transaction(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    hall, seen = house.app.state.hall, []

    async def page(scope: Any, receive: Any, send: Any) -> None:
        await hall.database.awrite(lambda session: seen.append(count_acts(session, Asked())))
        seen.append(hall.database.read(lambda session: count_acts(session, Asked())))
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b""})

    async def send(_: Any) -> None:
        return

    sent_in = [row for row in on_record(house) if "POST" in row.methods]
    for number, row in enumerate(sent_in):
        assert isinstance(row.app, Fresh)
        monkeypatch.setattr(row.app.app, "app", page)
        asked = {"type": "http", "method": "POST", "path_params": dict.fromkeys(row.param_convertors, "x"), "headers": []}
        scope = asked | {"app": house.app, "client": ("192.0.2.7", 1)}
        house.inside.portal.call(row.app, scope, None, send)  # type: ignore[union-attr]
        line = lines(house)[-1]
        assert ((line.kind, line.words), line.outcome, line.address) == (row.says.record, "done", "192.0.2.7")
        assert seen[-2:] == [number, number + 1], "it stands when the change stands, and not before"


def test_who_did_it_on_which_record_and_from_where(house: House) -> None:
    desk = house.desk()
    assert last(house) == ("Desk", "Log in at the desk", "its first password is set", "done")
    desk.post("/desk/heats/het_1/go", data={"lead": "5"})
    assert last(house)[:2] == ("Desk", "Give a heat its GO") and last(house)[2].endswith("heat 1")
    desk.post("/desk/clubs", data={"name": "Night Shift Barbell"}, headers=PAGE)
    assert last(house) == ("Desk", "Add a club", "Night Shift Barbell", "done")
    desk.post("/desk/judges", data={"name": ""}, headers=PAGE)
    assert last(house) == ("Desk", "Add a judge", "", "refused")
    entry = house.app.state.hall.projection.roster.entries[0]
    desk.post(f"/desk/entries/{entry.id}/delete", headers=PAGE)
    assert last(house)[1:3] == ("Delete an entry", entry.name)
    desk.get("/desk/competition.json")
    assert last(house) == ("Desk", "Download the competition file", "", "done")
    desk.post("/review/password", data={"password": "two odd words", "again": "two odd words"})
    head = house.browser(ON_THE_LAN)
    head.post("/review/enter", data={"password": "two odd words"})
    assert last(house) == ("Head judge", "Log in to review", "", "done")
    head.post("/review/lanes/asg_1_1/rule", data={"by": "Sam", "why": ""})
    line = lines(house)[-1]
    assert (line.role, line.address, line.outcome) == ("head judge", ON_THE_LAN, "refused") and line.about.endswith("by Sam")
    assert "lane 1 of" in line.about


def test_devices_that_come_are_named_and_go(house: House) -> None:
    desk, tablet = house.desk(), house.browser(ON_THE_LAN)
    token = house.invitation(2, sure=False).token
    word = tablet.post("/pair", json={"token": token}).json()["word"]
    assert last(house) == ("Somebody", "Take an invitation", f"lane 2, shows {word}", "done")
    key = next(one.id for one in house.app.state.hall.database.read(lambda s: _asking(s)))
    desk.post(f"/desk/tablets/asking/{key}/in")
    assert last(house) == ("Desk", "Let a device in", f"Lane 2 tablet, which showed {word}, at {ON_THE_LAN}", "done")
    device = tablet.get("/pair/waiting") and tablet.get("/lane/packet").json()["device"]["id"]
    desk.post(f"/desk/tablets/{device}/name", data={"name": "Window side"})
    assert last(house)[1:] == ("Name a device", "Lane 2 tablet", "done")
    desk.post(f"/desk/tablets/{device}/away")
    assert last(house)[1:] == ("End a device's pairing", "Window side", "done")
    desk.post(f"/desk/tablets/{device}/away")
    assert last(house)[1:] == ("End a device's pairing", "", "refused")


def _asking(session: Any) -> Any:
    return asking(session, 0)


def test_wrong_guesses_are_on_record_and_marks_are_not(house: House) -> None:
    house.desk()
    stranger = house.browser("192.0.2.9")
    stranger.post("/desk/enter", data={"password": "letmein12"})
    assert last(house) == ("Somebody", "Log in at the desk", "", "refused") and lines(house)[-1].address == "192.0.2.9"
    stranger.post("/pair", json={"code": "123456"})
    assert last(house)[1:] == ("Take an invitation", "", "refused")
    stranger.post("/desk/clubs", data={"name": "Mine"}, headers=PAGE)
    assert last(house)[1:] == ("Add a club", "", "refused"), "sent to the door is refused"
    count = len(lines(house))
    house.tablet(1).post("/marks", content=sent(a_mark(1)), headers=JSON)
    assert [line.words for line in lines(house)[count:]] == ["Take an invitation"]


def test_a_stranger_cannot_fill_the_disk_with_refused_tries(house: House) -> None:
    house.desk()
    before, stranger = len(lines(house)), house.browser("192.0.2.9")
    for _ in range(STRANGERS_LINES + 40):
        assert stranger.post("/desk/clubs", data={"name": "x"}).status_code == 401
    assert len(lines(house)) == before + STRANGERS_LINES
    house.desk()
    assert last(house)[1] == "Log in at the desk", "what is really done is always written"
    house.clocks.pass_ms(3_600_000)
    stranger.post("/desk/clubs", data={"name": "x"})
    assert last(house)[3] == "refused"


def test_no_secret_and_no_private_word_comes_into_the_record(house: House, tmp_path: Path) -> None:
    desk = house.desk()
    new = "four other odd words"
    desk.post("/desk/password", data={"now": PASSWORD, "password": new, "again": new})
    invited = house.invitation(1, sure=False)
    tablet = house.browser(ON_THE_LAN)
    tablet.post("/pair", json={"code": invited.code})
    desk.post("/review/protests", data={"entry": "ent_1", "event": "evt_1", "text": "He shouted at me", "by": "Ada"})
    cookies = [*desk.cookies.values(), *tablet.cookies.values()]
    text = " ".join(f"{line.name} {line.words} {line.about} {line.device_id}" for line in lines(house))
    secrets = [PASSWORD, new, invited.code, invited.token, "shouted", *cookies]
    assert [one for one in secrets if one in text] == []


def test_the_record_is_never_changed(house: House) -> None:
    house.desk()
    for statement in ("UPDATE act SET outcome = 'done'", "DELETE FROM act"):
        with pytest.raises(DBAPIError, match="stays on record"):
            house.app.state.hall.database.write(lambda session, sql=statement: session.connection().exec_driver_sql(sql))
    assert len(lines(house)) == 1


def test_a_change_that_fails_leaves_no_line_that_it_was_done(house: House) -> None:
    desk = house.desk()
    before = len(lines(house))
    desk.post("/desk/divisions", data={"name": "Open " * 200})
    assert [line.outcome for line in lines(house)[before:]] == ["refused"] and DOING.get() is None


def test_the_page_shows_a_hundred_lines_at_a_time_by_who_what_and_day(house: House) -> None:
    desk = house.desk()
    day = 86_400_000
    made = [
        _line(n, "Zoë" if n % 2 else "Desk", "entry" if n % 3 else "plan", house.clocks.wall - (n % 2) * 3 * day)
        for n in range(250)
    ]

    def work(session: Any) -> None:
        for one in made:
            put_act(session, one)

    house.app.state.hall.database.write(work)
    first = desk.get("/desk/done", headers=PAGE).text
    assert first.count('class="done-line"') == 100 and "251 lines" in first and "page=2" in first
    third = desk.get("/desk/done?page=3", headers=PAGE).text
    assert third.count('class="done-line"') == 51 and "page=4" not in third and "page=2" in third
    hers = desk.get("/desk/done?who=Zo%C3%AB&kind=plan", headers=PAGE).text
    assert hers.count('class="done-line"') == len([n for n in range(250) if n % 2 and not n % 3])
    assert 'value="Zoë" selected' in hers and "Line 3" in hers and "Line 4 " not in hers
    shown = next(part for part in first.split("<h2>") if "done-line" in part)[:10]
    today = desk.get(f"/desk/done?day={shown}", headers=PAGE).text
    assert "125 lines" in today and "125 lines" in desk.get("/desk/done?who=Zo%C3%AB", headers=PAGE).text
    assert desk.get("/desk/done?day=2026-02-31&page=x&kind=%00", headers=PAGE).status_code == 200


def _line(n: int, who: str, kind: str, wall_ms: int) -> Act:
    return Act(wall_ms, f"dev_{n}", who, "desk", "192.0.2.1", kind, f"Line {n}", "<b>about</b>", "done")


def test_the_record_as_csv_runs_no_formula_and_holds_what_was_asked_for(house: House) -> None:
    desk = house.desk()
    desk.post("/desk/clubs", data={"name": '=HYPERLINK("x")'}, headers=PAGE)
    told = desk.get("/desk/done.csv?kind=setup").content.decode("utf-8-sig")
    (heading, row) = list(csv.reader(io.StringIO(told)))
    assert heading[:4] == ["number", "time", "who", "role"] and row[2] == "Desk" and not row[8].startswith("=")
    assert [row[7], row[9]] == ["Add a club", "done"]
    assert len(desk.get("/desk/done.csv").content) > len(told)


def test_the_line_is_of_the_page_that_answers(house: House) -> None:
    desk = house.desk()
    desk.post("/desk/judges/paste", data={"lines": "", "do": "store"}, headers=PAGE)
    assert last(house) == ("Desk", "Add judges pasted as lines", "", "refused")
    desk.post("/desk/judges/jdg_none", data={"name": "Ash Quarry"}, headers=PAGE)
    assert last(house)[1] == "Change a judge"
    before = len(lines(house))
    desk.post("/pair/look", data={"code": "none"})
    desk.post("/desk/events/look", data={})
    desk.get("/desk")
    desk.get("/desk/openapi.json")
    assert len(lines(house)) == before


def test_what_is_done_from_the_command_line_is_on_record_too(tmp_path: Path) -> None:
    data, taken = tmp_path / "data", tmp_path / "taken.json"
    with a_house(data, file=SLATE_DAY):
        pass
    assert main(["export", str(taken), "--data", str(data)]) == 0
    other = tmp_path / "other"
    assert main(["import", str(taken), "--data", str(other)]) == 0
    assert main(["publish", str(tmp_path / "pages"), "--data", str(data)]) == 0
    along = ["Download the competition file", "Download the results for the web"]
    for folder, words in ((data, along), (other, ["Import a competition file"])):
        with a_house(folder, competition=False) as house:
            assert [(line.name, line.words) for line in lines(house)] == [("Command line", one) for one in words]
