"""A coach's phone for three lifters: it declares for two, keeps a load without the network, and loses one at once."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, expect

from tests.browser.hall_server import HallServer, served
from tests.browser.looking import ALL_SIZES, faults_at, found_on
from tests.browser.people import PHONE, Desk, Hall, Person, a_hall
from tests.builders.cast import Sheet
from tests.builders.halls import STORE
from tests.builders.platforms import a_meet, a_platform_file, lifter
from tests.faults.ground import Ground, in_file
from tests.faults.hearing import now_ms, on_coach
from tests.faults.table import TellOf
from tests.faults.teller import Teller

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.timeout(120)]

ADA, BO, CY = (lifter(n) for n in (1, 2, 3))
LANES = {ADA: 1, BO: 2, CY: 3}


@pytest.fixture
def hall(browser: Browser, store: Path) -> Iterator[tuple[HallServer, Hall]]:
    with (
        served(store, a_platform_file(a_meet(), lifters=4)) as server,
        a_hall(browser, server.url) as hall,
    ):
        yield server, hall


def row(coach: Person, name: str) -> Locator:
    return coach.part("lifter").filter(has_text=name)


def declare(coach: Person, name: str) -> None:
    """Turns to a lifter, and declares what the screen begins with: their opener."""
    coach.touch(row(coach, name))
    expect(coach.part("entry").last).to_have_text(name)
    coach.touch(coach.part("declare"))


def declared(desk: Desk) -> dict[str, str]:
    """What the phones have declared at the desk, by sheet."""
    return {mark["sheet"]: mark["body"]["load"]["amount"] for mark in desk.marks() if mark["body"].get("by") == "lifter"}


class Told:
    """What the phone says of its lifters' declarations, held against what the test did and what the store's file holds."""

    def __init__(self, teller: Teller, coach: Person) -> None:
        self._teller, self._coach = teller, coach
        self._lanes = {lane: teller.ground.lane(lane) for lane in LANES.values()}

    def declared(self, name: str) -> None:
        """The phone has declared for a lifter."""
        lane = LANES[name]
        self._lanes[lane].tapped(1, f"asg_{lane}/1/lane")

    def cut(self, off: bool) -> None:
        """The phone's network is gone, or back."""
        for lane in self._lanes.values():
            lane.cut, lane.cut_wall_ms = off, now_ms() if off else None

    def refused(self, name: str) -> None:
        """The desk takes a lifter from the phone, and refuses what was declared meanwhile."""
        lane = self._lanes[LANES[name]]
        lane.refused = lane.kept = 1

    def over(self) -> None:
        """The fault is over: what others mark from here on is another matter."""
        self._teller.conclude()

    def listen(self) -> None:
        """All that it says now is so."""
        self._teller.listen(lambda: on_coach(self._coach.page, LANES))


@pytest.fixture
def store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("data")


def test_a_coach_declares_for_several_lifters_and_for_none_that_was_taken_away(
    hall: tuple[HallServer, Hall], store: Path, tell_of: TellOf
) -> None:
    server, people = hall
    desk = people.desk()
    coach = people.coach(desk, "ent_1", "ent_2", "ent_3")
    told = Told(tell_of("a coach's phone without network", Ground(lambda: in_file(store / STORE))), coach)
    server.go_was(60_000, lanes=(1, 2, 3, 4))
    expect(coach.part("lifter")).to_have_count(3)
    expect(coach.part("lifter").first).to_contain_text("Declare now")
    assert lifter(4) not in coach.page.content()
    told.listen()
    declare(coach, ADA)
    told.declared(ADA)
    told.listen()
    expect(coach.part("declared")).to_contain_text("Declared, at the desk")
    coach.touch(coach.part("all-lifters"))
    expect(coach.part("lifter").last).to_contain_text(ADA)  # whoever must declare stands above whoever has
    assert found_on(coach.page, light=False) == [] and faults_at(coach.page, sizes={"phone": PHONE}) == {}
    expect(row(coach, ADA).locator('[data-role="lifter-load"]')).to_have_text("105 kg")
    expect(row(coach, ADA)).to_contain_text("next")

    coach.cut_off()
    told.cut(True)
    declare(coach, BO)
    told.declared(BO)
    expect(coach.part("declared")).to_have_attribute("data-kept", "here")
    expect(coach.part("must-declare")).to_have_text(f"{CY} must declare.")
    coach.touch(coach.part("all-lifters"))
    expect(coach.part("kept")).to_be_visible()
    expect(coach.part("kept")).to_have_text("1 waiting on this tablet")
    expect(coach.part("order-age")).to_be_visible()
    expect(coach.part("order-age")).to_contain_text("The order of lifting is as the desk said it")
    told.listen()
    coach.page.context.set_offline(False)
    told.cut(False)
    expect(coach.part("kept")).to_be_hidden()
    told.listen()
    assert declared(desk) == {"asg_1/1/lane": "105", "asg_2/1/lane": "110"}
    expect(row(coach, BO)).to_contain_text("1 lift before theirs")

    device = coach.page.evaluate("async () => (await (await fetch('/lane/packet')).json()).device.id")
    desk.open(f"/desk/tablets/{device}/lifters")
    assert found_on(desk.page) == []
    coach.cut_off()
    declare(coach, CY)
    expect(coach.part("declared")).to_have_attribute("data-kept", "here")
    desk.send(f"/desk/tablets/{device}/lifters", **{"lifter-ent_1": "on", "lifter-ent_2": "on"})
    coach.page.context.set_offline(False)
    expect(coach.part("lifter")).to_have_count(2)
    expect(coach.part("all-lifters")).to_be_hidden()  # whoever was open is gone
    expect(row(coach, CY)).to_have_count(0)
    expect(coach.part("refused")).to_contain_text("1 mark refused, not at the desk.")
    told.declared(CY)
    told.refused(CY)
    told.listen()
    told.over()
    assert declared(desk) == {"asg_1/1/lane": "105", "asg_2/1/lane": "110"}

    coach.touch(row(coach, BO))
    expect(coach.part("entry").last).to_have_text(BO)
    assert faults_at(coach.page, sizes=ALL_SIZES) == {}
    coach.page.set_viewport_size(PHONE)  # type: ignore[arg-type]
    coach.touch(coach.part("all-lifters"))
    opener = next(mark for mark in desk.marks() if mark["sheet"] == "asg_1/1/lane" and mark["kind"] == "declare")
    for number, referee in enumerate(("lane", "second", "third"), 1):
        sheet = Sheet("asg_1", run=1, device=f"dev_{number:016}")
        sheet.sheet = f"asg_1/1/{referee}"
        server.mark([sheet.lift(opener["at"] + 500, "105 kg", good=True, declared=opener["id"], win=0)])
    server.tell("lane:1", {"type": "packet"})
    expect(row(coach, ADA)).to_contain_text(re.compile("106 kg by the rule in|106 kg stands by the rule"))
    expect(row(coach, ADA)).to_contain_text("2 attempts left.")
    desk.send("/desk/lanes/asg_2/call", call="medical")
    expect(row(coach, BO)).to_contain_text("Lifts no more")
    expect(coach.part("lifter").last).to_contain_text(BO)
