"""Pages that are loaded when somebody asks for them: none is lost, none is hidden from whoever lists the routes."""

import re
from concurrent.futures import ThreadPoolExecutor
from importlib import import_module
from pathlib import Path

import pytest
from fastapi import APIRouter
from fastapi.routing import iter_route_contexts

from app.live.servertime import this_machine
from app.server import AT_ONCE, ON_DEMAND, create_app
from app.settings import Settings
from app.web import later
from app.web.later import Later, Pages
from tests.builders.halls import House, TestClient

APP = Path(later.__file__).parents[1]


def paths_of(module: str) -> list[str]:
    """The addresses of a page's routes, parts of included pages among them, with something in place of each name."""
    routes = import_module(f"app.{module}").routes.routes
    return [re.sub(r"\{\w+\}", "x1", str(found.path)) for found in iter_route_contexts(routes) if found.path]


@pytest.mark.parametrize("module", ON_DEMAND)
def test_all_pages_of_a_module_lie_under_the_addresses_that_load_it(module: str) -> None:
    door = Later(Pages(), module, ON_DEMAND[module])
    paths = paths_of(module)
    assert paths and [path for path in paths if not door.covers(path)] == []


def test_every_module_with_pages_is_served() -> None:
    pages = [file for file in APP.glob("*/pages/*.py") if re.search(r"^routes = ", file.read_text("utf-8"), re.MULTILINE)]
    with_routes = {".".join(file.relative_to(APP).with_suffix("").parts) for file in pages}
    included = {
        "floor.pages.calls",
        "doors.pages.device",
        "doors.pages.desk_login",
        "doors.pages.review_login",
        "review.pages.results",
    }
    at_once = {"watch.pages.board", "floor.pages.lane"}
    assert len(AT_ONCE) == len(at_once)
    assert with_routes == set(ON_DEMAND) | included | at_once


def test_whoever_lists_the_routes_sees_all_of_them(tmp_path: Path) -> None:
    app = create_app(Settings(data=tmp_path, demo=True), this_machine())
    assert any(isinstance(route, Later) for route in app.router.routes)
    listed = {found.path for found in iter_route_contexts(app.routes)}
    assert not any(isinstance(route, Later) for route in app.router.routes)
    assert {"/desk/plan", "/board", "/demo", "/review/compare", "/protest/{token}", "/desk/events/{key}/openers"} <= listed


def test_a_page_is_loaded_by_the_first_request_and_stands_in_its_place(house: House) -> None:
    waiting = [route.module for route in house.app.router.routes if isinstance(route, Later)]
    before = len(house.app.router.routes)
    assert house.browser().get("/timetable").status_code == 200
    assert house.browser().get("/timetable.ics").status_code == 200
    left = [route.module for route in house.app.router.routes if isinstance(route, Later)]
    assert (set(waiting) - set(left), len(house.app.router.routes)) == ({"app.plan.pages.timetable"}, before)


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
    assert sum(1 for route in house.app.router.routes if getattr(route, "module", "") == "app.compose.pages.brief") == 0


def test_of_two_pages_that_take_an_address_the_earlier_one_has_it(monkeypatch: pytest.MonkeyPatch) -> None:
    def module(word: str) -> object:
        routes = APIRouter()
        routes.add_api_route("/x/{key}", lambda: word)
        return type("Module", (), {"routes": routes})

    modules = {"first": module("first"), "second": module("second")}
    monkeypatch.setattr(later, "import_module", modules.__getitem__)
    app = Pages(openapi_url=None)
    app.add_later("first", ("/x/{key}",))
    app.add_later("second", ("/x",))
    with TestClient(app) as client:
        assert client.get("/x/1").json() == "first"
    assert [route.module for route in app.router.routes if isinstance(route, Later)] == ["second"]
