"""The way in from the hall: nobody has come until somebody has, and the desk says what stands in the way on each system."""

import pytest

from app.doors.way_in import system_of, way_in_view
from app.live.reached import Reached
from tests.builders.halls import LAPTOP, ON_THE_LAN, House

PAGE = {"accept": "text/html"}
NOBODY = "Nobody in the hall has reached this laptop yet"


def test_nobody_has_come_until_a_request_comes_from_another_computer(house: House) -> None:
    desk = house.desk()
    assert NOBODY in desk.get("/desk", headers=PAGE).text
    house.browser(LAPTOP).get("/board")
    house.browser("::1").get("/board")
    assert NOBODY in desk.get("/desk", headers=PAGE).text and desk.get("/desk/way-in/reached").json() == {"reached_by": ""}
    house.browser(ON_THE_LAN).get("/board")
    assert NOBODY not in desk.get("/desk", headers=PAGE).text
    house.clocks.pass_ms(4 * 60_000)
    house.browser("192.0.2.99").get("/board")
    assert f"Reached from {ON_THE_LAN}, 4 minutes ago" in desk.get("/desk/way-in/state", headers=PAGE).text
    assert desk.get("/desk/way-in/reached").json() == {"reached_by": ON_THE_LAN}


def test_a_refused_request_has_found_the_way_too(house: House) -> None:
    assert house.browser(ON_THE_LAN).get("/board", headers={"host": "elsewhere.test"}).status_code == 421
    assert NOBODY not in house.desk().get("/desk", headers=PAGE).text


def test_the_page_is_the_desks_and_tells_this_laptops_system_first(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("app.doors.pages.way_in.lan_addresses", lambda: ["192.0.2.10", "192.0.2.11"])
    for page in ("/desk/way-in", "/desk/way-in/state", "/desk/way-in/reached"):
        assert house.browser().get(page, headers=PAGE).status_code == 303
    shown = house.desk().get("/desk/way-in", headers=PAGE).text
    assert "http://192.0.2.10/board" in shown and "http://192.0.2.11/board" in shown and "Kept awake" not in shown
    hall = house.app.state.hall
    for platform, first in (("win32", "Windows"), ("darwin", "macOS"), ("linux", "Linux")):
        names = [name for _, name in way_in_view(hall, ["http://192.0.2.10/board"], [8765], platform).systems]
        assert names[0] == first and sorted(names) == ["Linux", "Windows", "macOS"]
        assert system_of(platform) in ("windows", "mac", "linux")


def test_what_is_no_address_of_another_computer_proves_nothing() -> None:
    told: list[str] = []
    reached = Reached(told=lambda: told.append(reached.by))
    for nobody in ("testclient", "unknown", "", "127.0.0.1", "127.0.0.9", "::1", "::ffff:127.0.0.1"):
        reached.came(nobody, 5)
    assert not reached.by and not told
    reached.came("fe80::1%eth0", 6)
    reached.came(ON_THE_LAN, 7)
    assert (reached.by, reached.wall_ms, told) == ("fe80::1%eth0", 6, ["fe80::1%eth0"])
    other = Reached()
    other.take(reached.plain())
    assert other.plain() == reached.plain()


def test_a_door_that_was_closed_is_told_at_the_desk(house: House) -> None:
    desk, told = house.desk(), house.app.state.told
    told("Port 8765 was closed by the system, and can't be opened (it is in use).")
    assert "and can&#39;t be opened (it is in use). It keeps trying" in desk.get("/desk", headers=PAGE).text
    told("")
    house.clocks.pass_ms(3 * 60_000)
    shown = desk.get("/desk", headers=PAGE).text
    assert "tried again" not in shown and "The system closed a port and it was reopened, 3 minutes ago" in shown
    house.clocks.pass_ms(60 * 60_000)
    assert "opened again" not in desk.get("/desk", headers=PAGE).text
