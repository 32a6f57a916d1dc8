"""Who may come in where: every route is knocked at by everybody, with every method, and by every kind of session."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from sqlmodel import Session, SQLModel

from app.web import roles
from app.web.roles import DOORS, Way, ways
from app.web.who import NO_DESK, NO_HEAD, NO_JUDGE, NOT_PAIRED
from tests.builders.halls import ON_THE_LAN, House, a_house
from tests.web.knocking import Caller, knock
from tests.web.ways import LISTED, listed, walked

METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE")
REFUSALS = {
    roles.DESK: NO_DESK,
    roles.HEAD_JUDGE: NO_HEAD,
    roles.JUDGE: NO_JUDGE,
    roles.LANE: NOT_PAIRED,
    roles.LEDGER: NOT_PAIRED,
}
SENT_TO = {roles.DESK: "/desk/enter?next=", roles.HEAD_JUDGE: "/review/enter?next=", roles.JUDGE: "/pair", roles.LANE: "/pair"}
HEAD_PASSWORD = "two odd words"
GARBLED = "x" * 43
LEAVES = {"/desk/leave", "/review/leave"}  # they end the session that knocks
SOCKET = "ws://localhost/lane/socket"


@dataclass
class Street:
    """A house and all who knock at it."""

    house: House
    callers: dict[str, Caller]
    ways: list[Way]


@pytest.fixture(scope="module")
def street(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Street]:
    with a_house(tmp_path_factory.mktemp("street")) as house:
        desk = house.desk()
        desk.post("/review/password", data={"password": HEAD_PASSWORD, "again": HEAD_PASSWORD})
        head = house.browser(ON_THE_LAN)
        assert head.post("/review/enter", data={"password": HEAD_PASSWORD}).status_code == 303
        sent_away = house.tablet(1)
        device = sent_away.get("/lane/packet").json()["device"]["id"]
        assert desk.post(f"/desk/tablets/{device}/away").status_code == 303
        devices = {
            "lane 1's tablet": (house.tablet(1), "lane"),
            "lane 2's tablet": (house.tablet(2), "lane"),
            "lane 1's second counter": (house.tablet(1, "second"), "lane"),
            "lane 1's shadow judge": (house.tablet(1, "shadow"), "lane"),
            "lane 1's lifter": (house.tablet(1, "lifter"), "lifter"),
            "a tablet that was sent away": (sent_away, "reader"),
            "the head judge": (head, "head judge"),
            "the desk": (desk, "desk"),
        }
        callers = [Caller(name, dict(browser.cookies), role) for name, (browser, role) in devices.items()]  # type: ignore[arg-type]
        tokens = {one.name: next(iter(one.cookies.values())) for one in callers}
        callers += [
            Caller("a reader", {}, "reader"),
            Caller("a garbled session", dict.fromkeys(("ll_desk", "ll_device", "ll_review"), GARBLED), "reader"),
            Caller("a lane's session as the desk's", {"ll_desk": tokens["lane 1's tablet"]}, "reader"),
            Caller("a lane's session as the head judge's", {"ll_review": tokens["lane 1's tablet"]}, "reader"),
            Caller("the head judge's session as the desk's", {"ll_desk": tokens["the head judge"]}, "reader"),
        ]
        yield Street(house, {one.name: one for one in callers}, ways(house.app))


def address_of(way: Way) -> str:
    """An address with something in each of its gaps that is nobody's id."""
    return re.sub(r"\{[^}]+\}", "nobodys", way.path)


def fits(way: Way, path: str) -> bool:
    """Whether a way's address is this one."""
    return re.fullmatch(re.sub(r"\\\{[^}]+\\\}", "[^/]+", re.escape(way.path)), path) is not None


def wrongly_let_in(street: Street) -> Iterator[str]:
    """Whoever a door does not admit is told so in one sentence, and sent where one logs in if a person looks."""
    for way in street.ways:
        door, path = way.doors[0] if way.doors else roles.DESK, address_of(way)
        for method in way.methods:
            for caller in street.callers.values():
                if caller.role in door.admits:
                    continue
                status, _, body = knock(street.house, method, path, caller)
                if (status, body) != (401, _sentence(REFUSALS[door])):
                    yield f"{method} {path} answered {status} to {caller.name}"
            if roles.READER.admits != door.admits and door in SENT_TO:
                status, headers, _ = knock(street.house, method, path, street.callers["a reader"], accept="text/html")
                if status != 303 or not headers["location"].startswith(SENT_TO[door]):
                    yield f"{method} {path} does not send a stranger's browser to {SENT_TO[door]}"


def wrongly_kept_out(street: Street) -> Iterator[str]:
    """Whoever a door admits comes as far as the page itself."""
    one_each = {caller.role: caller for caller in street.callers.values()}.values()
    for way in street.ways:
        for method in way.methods:
            for caller in one_each:
                if caller.role in way.doors[0].admits and way.path not in LEAVES:
                    status, _, _ = knock(street.house, method, address_of(way), caller)
                    if status in (401, 403) or status >= 500:
                        yield f"{method} {way.path} answered {status} to {caller.name}"


def _sentence(words: str) -> bytes:
    return b'{"sentence":"%s"}' % words.encode()


def stored(house: House) -> dict[str, list[Any]]:
    """Everything in the store, but the record that refused tries leave."""

    def work(session: Session) -> dict[str, list[Any]]:
        tables = [table for table in SQLModel.metadata.sorted_tables if table.name != "act"]
        return {table.name: list(session.connection().execute(table.select())) for table in tables}

    return house.app.state.hall.database.read(work)


def test_every_route_declares_one_door(street: Street) -> None:
    assert [(way.path, way.doors) for way in street.ways if len(way.doors) != 1 or way.doors[0] not in DOORS] == []
    assert len(street.ways) > 200, "all routes are walked, those of included routers too"


def test_the_list_of_all_routes_by_their_doors_is_the_one_that_was_looked_at(tmp_path: Path) -> None:
    assert listed(walked(tmp_path)) == LISTED.read_text(encoding="utf-8"), "run python -m tests.web.ways, and read what changed"


def test_nobody_comes_in_by_a_door_that_does_not_admit_them_and_nothing_is_done(street: Street) -> None:
    before = stored(street.house)
    assert list(wrongly_let_in(street)) == []
    assert stored(street.house) == before


def test_whoever_a_door_admits_comes_in(street: Street) -> None:
    assert list(wrongly_kept_out(street)) == []


def test_a_method_that_no_route_takes_is_refused_even_to_the_desk(street: Street) -> None:
    """Each address is asked with one of them, in turn, so that each method is asked at many addresses."""
    paths = {address_of(way) for way in street.ways if way.methods}
    wrong = []
    for number, path in enumerate(sorted(paths)):
        taken = {method for way in street.ways if fits(way, path) for method in way.methods}
        others = sorted(set(METHODS) - taken)
        method = others[number % len(others)]
        status, _, _ = knock(street.house, method, path, street.callers["the desk"])
        wrong += [(method, path, status)] if status not in (404, 405) else []
    assert wrong == []


@pytest.mark.parametrize(
    ("name", "hears"),
    [
        ("a reader", NOT_PAIRED),
        ("a garbled session", NOT_PAIRED),
        ("a tablet that was sent away", NOT_PAIRED),
        ("the head judge", NOT_PAIRED),
        ("lane 2's tablet", ""),
        ("lane 1's lifter", ""),
        ("the desk", "The desk sees one lane at a time"),
    ],
)
def test_the_tablets_line_is_open_to_the_devices_of_a_lane_alone(street: Street, name: str, hears: str) -> None:
    browser = street.house.browser(ON_THE_LAN)
    browser.cookies.update(street.callers[name].cookies)
    with browser.websocket_connect(SOCKET) as line:
        first = line.receive_json()
    assert first["type"] == ("bye" if hears else "hello") and first.get("sentence", "").startswith(hears)


def test_a_login_can_be_left_by_whoever_has_it(street: Street) -> None:
    desk = street.house.desk()
    assert desk.post("/review/leave").status_code == 303 and desk.get("/review").status_code == 200, (
        "the desk rules on as the desk"
    )
    assert desk.post("/desk/leave").status_code == 303 and desk.get("/desk").status_code == 401


def test_the_demos_seats_are_there_in_a_demo_alone(street: Street, tmp_path: Path) -> None:
    only = {way.path for way in walked(tmp_path)} - {way.path for way in street.ways}
    of_its_round = {f"/demo/round{one}" for one in ("", "/begin", "/begin-open", "/laptop", "/others", "/{name}.kit")}
    assert only == {"/demo", "/demo/seat", "/demo/round/films/{name}.json"} | of_its_round
    assert {knock(street.house, "GET", path, street.callers["a reader"])[0] for path in only} == {404}


def test_the_walk_finds_a_route_that_declares_nothing_and_one_that_does_not_do_as_it_says(street: Street) -> None:
    app = FastAPI()

    @app.get("/forgotten")
    async def forgotten() -> str:
        return "in"

    @app.get("/said-only")
    @roles.wears(roles.DESK)
    async def said_only() -> str:
        return "in"

    app.state.hall = street.house.app.state.hall
    own = [way for way in ways(app) if way.path in ("/forgotten", "/said-only")]
    assert [len(way.doors) for way in own] == [0, 1]
    house = House(app, street.house.clocks, street.house.inside)
    found = list(wrongly_let_in(Street(house, street.callers, own)))
    strangers = [one for one in street.callers.values() if one.role != "desk"]
    assert len(found) == 2 * (len(strangers) + 1)
