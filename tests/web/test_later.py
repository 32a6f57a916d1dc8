"""Pages that are loaded when somebody asks for them: none is lost, none is hidden from whoever lists the routes."""

import re
from concurrent.futures import ThreadPoolExecutor
from importlib import import_module
from itertools import combinations
from pathlib import Path

import pytest
from fastapi.routing import iter_route_contexts

from app.live.servertime import this_machine
from app.server import create_app
from app.settings import Settings
from app.web import later
from app.web.later import Later, Pages, gaps
from app.web.rows import Page, Row, Rows, Says
from app.web.scan import APP, Found, Module, modules, read
from tests.builders.halls import House, TestClient

ALL = modules()


def rows_of(module: str) -> list[Row]:
    """The rows of a module as they are once it is loaded."""
    rows: list[Row] = import_module(module).routes.rows
    return rows


def known(address: str, says: Says) -> tuple[str | int, ...]:
    """What must be known of a row before its module is loaded."""
    return address, says.takes_mb, says.takes_kb, says.printed, says.cheap, says.from_elsewhere


def test_what_is_read_in_a_modules_text_is_what_its_rows_say() -> None:
    misread = []
    for module in ALL:
        there = sorted(known(row.path, row.says) for row in rows_of(module.name))
        if sorted(known(row.address, row.says) for row in module.rows) != there or not there:
            misread.append(module.name)
        if module.at_once != import_module(module.name).routes.at_once:
            misread.append(module.name)
    assert misread == []


def test_every_module_with_pages_is_served() -> None:
    with_routes = [file for file in APP.glob("**/*.py") if re.search(r"^routes = Rows\(", file.read_text("utf-8"), re.MULTILINE)]
    own = APP / "web" / "assets.py"  # the frame's own, which the server puts into the table itself
    assert {read(file).name for file in with_routes if file != own} == {module.name for module in ALL}


def test_what_judges_and_the_public_need_from_the_first_moment_is_there_at_once() -> None:
    at_once = {row.address for module in ALL if module.at_once for row in module.rows}
    assert {"/", "/board", "/board/stream", "/lane", "/call", "/lane/packet", "/lane/socket", "/marks"} <= at_once


def test_no_two_rows_take_the_same_address_by_the_same_way() -> None:
    """The rule of the order decides between all that one path may fit."""
    taken = [(way, row.path) for module in ALL for row in rows_of(module.name) for way in getattr(row, "methods", ("socket",))]
    assert len(taken) == len(set(taken))
    same = [(one, other) for one, other in combinations(sorted(taken), 2) if one[0] == other[0] and both_fit(one[1], other[1])]
    assert ("POST", "/desk/judges/paste") in {pair[0] for pair in same} | {pair[1] for pair in same}
    assert [pair for pair in same if gaps(pair[0][1]) == gaps(pair[1][1])] == []


def both_fit(one: str, other: str) -> bool:
    """Whether one path may fit both addresses."""
    pairs = list(zip(one.split("/"), other.split("/"), strict=False))
    return one.count("/") == other.count("/") and all(a == b or "{" in a or "{" in b for a, b in pairs)


def test_a_word_is_tried_before_a_gap() -> None:
    tried = ["/x/y", "/x/new/{key}", "/x/{key}/{entry}.json", "/x/{key}/{entry}"]
    assert sorted(tried[2:] + tried[:2], key=gaps) == tried
    assert sorted(["/a/{x}/c", "/a/b/{y}"], key=gaps) == ["/a/b/{y}", "/a/{x}/c"]


def test_a_page_without_a_word_for_the_record_cannot_be_made() -> None:
    with pytest.raises(TypeError, match="record"):
        Rows().post("/desk/anything")  # type: ignore[call-arg]


def test_the_rows_in_a_text_are_read_however_they_are_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("app.web.scan.APP", tmp_path)
    file = tmp_path / "plan" / "pages" / "cut.py"
    file.parent.mkdir(parents=True)
    lines = (
        *("routes = Rows()", 'HERE = "/x"', "", "", '@routes.get(HERE, printed="A sheet")'),
        *('@routes.get(f"{HERE}/{{key}}", cheap=True)', "def one(): ...", "", "", "@routes.post("),
        *('    "/y", record=("plan", "Do (it)"), takes_mb=3', ")", "async def two(): ...", ""),
    )
    file.write_text("\n".join(lines))
    found = read(file)
    assert (found.name, found.at_once) == ("app.plan.pages.cut", False)
    told = [(row.address, row.says.cheap, row.says.takes_mb, row.says.printed) for row in found.rows]
    assert told == [("/x", False, 0, "A sheet"), ("/x/{key}", True, 0, ""), ("/y", False, 3, "")]


def test_whoever_lists_the_routes_sees_all_of_them(tmp_path: Path) -> None:
    app = create_app(Settings(data=tmp_path, demo=True), this_machine())
    assert any(isinstance(route, Later) for route in app.router.routes)
    listed = {found.path for found in iter_route_contexts(app.routes)}
    assert not any(isinstance(route, Later) for route in app.router.routes)
    assert {"/desk/plan", "/board", "/demo", "/review/compare", "/protest/{token}", "/desk/events/{key}/openers"} <= listed


def waiting(house: House) -> set[str]:
    """The modules that nobody has asked for yet."""
    return {name for route in house.app.router.routes if isinstance(route, Later) for name in route.waiting}


def test_a_page_is_loaded_by_the_first_request_and_stands_in_its_place(house: House) -> None:
    before = waiting(house)
    assert house.browser().get("/timetable").status_code == 200
    assert house.browser().get("/timetable.ics").status_code == 200
    assert before - waiting(house) == {"app.plan.pages.timetable"}
    paths = [route.path for route in house.app.router.routes if isinstance(route, Page)]
    assert paths.count("/timetable") == 1 and paths == sorted(paths, key=gaps)


def test_an_address_that_is_nobodys_loads_nothing(house: House) -> None:
    before = waiting(house)
    assert house.browser().get("/timetable/nothing/at/all").status_code == 404
    assert house.browser().get("/timetables").status_code == 404
    assert waiting(house) == before


def test_what_a_page_refuses_it_refuses_before_and_after_it_was_loaded(house: House) -> None:
    browser = house.browser()
    for _ in range(2):
        assert browser.post("/timetable").status_code == 405
        assert browser.get("/timetable/nothing").status_code == 404
        assert browser.get("/timetables").status_code == 404
        assert browser.get("/desk/plan", headers={"accept": "application/json"}).status_code == 401


def test_two_first_requests_at_once_are_both_answered(house: House) -> None:
    browsers = [house.browser() for _ in range(6)]
    with ThreadPoolExecutor(6) as together:
        answers = list(together.map(lambda browser: browser.get("/brief").status_code, browsers))
    assert answers == [200] * 6
    assert "app.compose.pages.brief" not in waiting(house)
    assert [getattr(route, "path", "") for route in house.app.router.routes].count("/brief") == 1


def test_a_word_in_a_module_that_is_loaded_last_is_tried_first_all_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    def module(address: str, word: str) -> object:
        routes = Rows()
        routes.get(address, as_it_is=True)(lambda: word)  # there is no hall to wait for
        return type("Module", (), {"routes": routes})

    loaded = {"gap": module("/x/{key}", "gap"), "word": module("/x/new", "word"), "else": module("/y", "else")}
    monkeypatch.setattr(later, "import_module", loaded.__getitem__)
    told = [Module(name, False, (Found(made.routes.rows[0].path, Says()),)) for name, made in loaded.items()]  # type: ignore[attr-defined]
    app = Pages(told, openapi_url=None)
    with TestClient(app) as client:
        assert client.get("/x/1").json() == "gap"
        assert client.get("/x/new").json() == "word"
    assert set(app.later.waiting) == {"else"}
