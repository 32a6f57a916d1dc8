"""The hall's clock over HTTP: open to all, one page, and a stream that tells only what a clock shows."""

import json
from functools import partial
from pathlib import Path
from typing import Any

from app.floor import timing
from app.rules.records.document import CompetitionFile
from app.watch.pages.clock import told
from tests.builders.halls import House, a_house, a_mark, sent, slate_day_lifting


def move(house: House, action: Any, **typed: str) -> None:
    assert house.inside.portal is not None
    house.inside.portal.call(partial(action, house.app.state.hall, "het_1", typed))


def events(house: House, steps: list[Any]) -> list[dict[str, Any]]:
    """What a watcher is told at first and after each step."""

    async def watch() -> list[dict[str, Any]]:
        stream = told(house.app.state.hall)
        found = [await anext(stream)]
        for step in steps:
            await step()
            found.append(await anext(stream))
        await stream.aclose()
        return [json.loads(one.split(b"data: ")[1]) for one in found]

    assert house.inside.portal is not None
    return house.inside.portal.call(watch)


def test_the_clock_is_open_to_everybody_and_says_what_comes_next(tmp_path: Path) -> None:
    with a_house(tmp_path) as house:
        page = house.browser("192.0.2.50").get("/clock")
        assert page.status_code == 200
        assert "Heat 1, planned 10:00" in page.text


def test_before_there_is_a_competition_the_clock_says_so(tmp_path: Path) -> None:
    with a_house(tmp_path, competition=False) as house:
        assert "Nothing to show yet" in house.browser().get("/clock").text


def test_the_board_and_the_desk_lead_to_the_clock(tmp_path: Path) -> None:
    with a_house(tmp_path) as house:
        assert 'href="/clock"' in house.browser().get("/board").text
        assert 'href="/clock"' in house.desk().get("/desk").text


def test_the_stream_tells_of_go_hold_and_abort(tmp_path: Path) -> None:
    with a_house(tmp_path) as house:
        hall = house.app.state.hall

        async def go() -> None:
            await timing.go(hall, "het_1", {"lead": "5"})
            house.clocks.pass_ms(15_000)

        first, started, held, stopped = events(
            house, [go, partial(timing.hold, hall, "het_1", {}), partial(timing.abort, hall, "het_1", {})]
        )
    assert first["heat"] is None and first["next"].startswith("Heat 1")
    assert (started["heat"]["number"], started["heat"]["go_ms"], started["heat"]["holds"]) == (
        1,
        house.clocks.server - 10_000,
        "[]",
    )
    assert started["next"].startswith("Heat 2")
    assert json.loads(held["heat"]["holds"]) == [{"at_ms": 10_000, "for_ms": None}]
    assert stopped["heat"]["state"] == "stopped"


def test_a_mark_is_no_news_to_the_clock(tmp_path: Path) -> None:
    with a_house(tmp_path) as house:
        move(house, timing.go, lead="5")
        house.clocks.pass_ms(10_000)
        before = house.browser().get("/clock").text
        answer = house.tablet(1).post("/marks", content=sent(a_mark(device="x")), headers={"content-type": "application/json"})
        assert answer.status_code == 200
        assert house.browser().get("/clock").text == before


def test_the_desks_hold_and_its_shift_come_in_by_forms(tmp_path: Path) -> None:
    with a_house(tmp_path) as house:
        desk = house.desk()
        move(house, timing.go, lead="5")
        house.clocks.pass_ms(15_000)
        assert desk.post("/desk/heats/het_1/hold").status_code == 200
        again = desk.post("/desk/heats/het_1/hold")
        assert (again.status_code, again.json()) == (409, {"sentence": "This heat is held already."})
        page = desk.get("/desk", headers={"accept": "text/html"}).text
        assert "Resume" in page and "Held" in page
        assert desk.post("/desk/heats/het_1/go-on", data={"lead": "5"}).status_code == 200
        refused = desk.post("/desk/lanes/asg_1_1/shift", data={"seconds": "much"})
        assert refused.status_code == 422 and "number of seconds" in refused.json()["sentence"]
        assert desk.post("/desk/lanes/asg_9_9/shift", data={"seconds": "1", "why": "x", "by": "y"}).status_code == 404
        given = desk.post("/desk/lanes/asg_1_1/shift", data={"seconds": "1.4", "why": "Late whistle", "by": "Io"})
        assert given.status_code == 200
        stranger = house.browser().post("/desk/lanes/asg_1_1/shift", data={"seconds": "1.4", "why": "x", "by": "y"})
        assert stranger.status_code in (303, 401, 403)


def test_the_voice_is_told_who_lifts_next_by_the_order_of_the_bar_and_since_when(tmp_path: Path) -> None:
    squats, loads = 4, {1: "104", 2: "95", 3: "95"}

    def declared(lane: int, n: int, at: int, amount: str) -> dict[str, Any]:
        body = {"load": {"amount": amount, "unit": "kg"}, "by": "judge"}
        said = {"kind": "declare", "at": at, "win": squats, "body": body, "device": f"t{lane}"}
        return marked(a_mark(n, f"asg_1_{lane}/1/lane", **said))

    def marked(mark: dict[str, Any]) -> dict[str, Any]:
        lane = int(mark["device"][1:])
        answer = tablets[lane].post("/marks", content=sent(mark), headers={"content-type": "application/json"})
        assert answer.status_code == 200
        return mark

    def named(house: House) -> dict[int, tuple[str, str, int]]:
        heat = house.browser().get("/clock/now").json()["heat"]
        return {one["lane"]: (one["name"], one["amount"], one["at"]) for one in heat["lifts"]}

    found = {}
    for order in ("lanes", "lightest"):
        plain = slate_day_lifting(order).model_dump(mode="json")
        plain["events"][0]["format"]["tasks"]["squat"]["bar_rises"] = order == "lightest"
        with a_house(tmp_path / order, file=CompetitionFile.model_validate(plain)) as house:
            tablets = {lane: house.tablet(lane) for lane in loads}
            house.desk().post("/desk/heats/het_1/go", data={"lead": "8"})
            house.clocks.pass_ms(500_000)
            said = {lane: declared(lane, lane, 481_000 + lane, loads[lane])["id"] for lane in (1, 2)}
            if order == "lightest":
                found["first"] = named(house)
                body: dict[str, Any] = {"declared": said[1]}
                marked(a_mark(4, "asg_1_1/1/lane", kind="called", at=482_000, win=squats, device="t1", body=body))
                found["called"] = named(house)
                for lane in (1, 2):
                    body = {"load": {"amount": loads[lane], "unit": "kg"}, "good": True, "declared": said[lane]}
                    sheet, at = f"asg_1_{lane}/1/lane", 490_000 + lane
                    marked(a_mark(4 + lane, sheet, kind="lift", at=at, win=squats, body=body, device=f"t{lane}"))
            declared(3, 3, 491_000, loads[3])
            found[order] = named(house)
    assert {lane: amount for lane, (_, amount, _) in found["lanes"].items()} == loads
    assert found["lanes"][1] == ("Ada Quill", "104", 481_001)
    assert set(found["first"]) == {2} and found["first"][2][1:] == ("95", 481_002)
    assert set(found["called"]) == {1}, "whoever was called is, though another's load is lighter"
    assert found["lightest"] == {}, "95 kg is below the bar: nobody is called till more is declared"
