"""The colour of a club: given at the desk, and worn by its entries on the board and on the lane."""

import re

from app.hall.club_colours import club_colours
from tests.builders.halls import House

PAGE = {"accept": "text/html"}


def test_a_colour_is_given_kept_and_worn(demo: House) -> None:
    desk = demo.browser()
    desk.post("/desk/enter", data={"password": demo.app.state.hall.demo_password})
    assert desk.post("/desk/clubs/clb_0", data={"name": "Ropewalk", "colour": "orange"}).status_code == 303
    assert desk.post("/desk/clubs/clb_0", data={"name": "Ropewalk"}).status_code == 303, "who says no colour keeps it"
    answer = desk.post("/desk/clubs/clb_0", data={"name": "Ropewalk Club"})
    assert answer.status_code == 409 and "signed off" in answer.text, "its name stands on a sheet that was signed"
    roster = demo.app.state.hall.projection.roster
    assert club_colours(roster)["ent_mixed_2"] == ("orange",)
    board = demo.browser().get("/board", headers=PAGE).text
    assert re.search(r'data-colour="orange" aria-hidden="true"></span>Brass &amp; Sawdust', board)
    lane = next(
        lane.lane for heat in roster.heats if heat.id == "het_bar_3" for lane in heat.lanes if lane.entry == "ent_mixed_2"
    )
    judge = demo.browser()
    judge.post("/demo/seat", data={"role": "lane", "lane": str(lane)})
    heats = judge.get("/lane/packet").json()["heats"]
    assert ["orange"] in [heat["assignment"]["entry"]["colours"] for heat in heats]


def test_a_colour_that_there_is_not_is_refused(demo: House) -> None:
    desk = demo.browser()
    desk.post("/desk/enter", data={"password": demo.app.state.hall.demo_password})
    refused = desk.post("/desk/clubs/clb_1", data={"name": "Brickfield & Sons", "colour": "url(x)"}, headers=PAGE)
    assert refused.status_code == 422 and "The colour is one of" in refused.text
