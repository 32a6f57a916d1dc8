"""One bar, its referees on tablets of their own: every screen follows whoever is called, also without the network."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect
from sqlmodel import Session

from app.floor import timing
from app.hall.changing import change_roster
from app.rules.records.document import CompetitionFile
from app.store.kinds import OPENERS
from tests.browser.hall_server import HallServer, served
from tests.browser.looking import found_on
from tests.browser.people import PHONE, Desk, Hall, Person, a_hall
from tests.builders.cast import Sheet
from tests.builders.platforms import a_meet, a_platform_file, lifter

pytestmark = [pytest.mark.browser, pytest.mark.paced, pytest.mark.slow, pytest.mark.timeout(180)]

ADA, BO, CY = (lifter(n) for n in (1, 2, 3))
NEAR_S = 3  # from the first screen that is read to the last, on a busy machine
SEATS = ("centre referee", "left referee", "right referee", "marshal", "loaders")


@dataclass
class Platform:
    """The server, the desk, and whoever has which seat at the platform from lane 1."""

    server: HallServer
    hall: Hall
    desk: Desk
    at: dict[str, Person] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for seat in SEATS:
            self.sit(seat)

    def sit(self, seat: str) -> None:
        """Somebody takes a seat, with a device that has never been here."""
        self.at[seat] = self.hall.tablet(self.desk, 1, seat)

    @property
    def referees(self) -> list[Person]:
        return [self.at[seat] for seat in SEATS[:3]]

    def call(self, name: str, load: str) -> None:
        """The marshal calls whoever is next; the loaders load."""
        marshal, loaders = self.at["marshal"], self.at["loaders"]
        expect(marshal.part("call-next")).to_have_text(f"Call {name}, {load}")
        marshal.touch(marshal.part("call-next"))
        expect(loaders.part("entry")).to_have_text(name)
        loaders.touch(loaders.part("bar-loaded"))

    def decide(self, *good: bool, of: str = "clr") -> None:
        """Those named by their letters decide, in order."""
        for letter, one in zip(of, good, strict=True):
            person = self.referees["clr".index(letter)]
            person.touch(person.part("good-lift" if one else "no-lift"))
            if not one:
                person.touch(person.page.locator('[data-fault="depth"]'))


@pytest.fixture(scope="module")
def platform(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Platform]:
    file = a_platform_file(a_meet(), lifters=3)
    with served(tmp_path_factory.mktemp("data"), file) as server, a_hall(browser, server.url) as hall:
        platform = Platform(server, hall, hall.desk())
        centre = platform.at["centre referee"]
        centre.touch(centre.part("gear-line").first)
        centre.part("gear-name").fill("Mo Tran")
        centre.touch(centre.part("gear-sign"))
        expect(centre.part("gear-says")).to_contain_text("Checked by Mo Tran.")
        server.go_was(60_000, lanes=(1, 2, 3))
        yield platform


def test_all_screens_follow_the_lifter_who_is_called_and_the_lights_come_on_together(platform: Platform) -> None:
    centre, left, right = platform.referees
    marshal = platform.at["marshal"]
    marshal.touch(marshal.part("put-in-openers"))
    platform.call(ADA, "105 kg")
    for seat in SEATS:
        expect(platform.at[seat].part("attempt-clock")).to_contain_text("until the bar must leave the rack")
    hall_clock = platform.hall.watch()
    hall_clock.goto(f"{platform.server.url}/clock")
    expect(hall_clock.locator("#hall-label")).to_have_text(ADA)
    expect(hall_clock.locator("#hall-now")).to_have_text("until the bar must leave the rack")
    shown = [hall_clock.locator("#hall-minutes").inner_text()]
    shown += [platform.at[seat].part("attempt-clock").inner_text().split()[0] for seat in SEATS]
    seconds = [60 * int(minutes) + int(rest) for minutes, rest in (one.split(":") for one in shown)]
    assert max(seconds) - min(seconds) <= NEAR_S, shown
    for person in platform.referees:
        expect(person.part("at-the-bar")).to_have_text(f"At the bar: {ADA}")
        expect(person.part("load")).to_have_text("105 kg")
    for person in (centre, marshal, platform.at["loaders"]):
        assert found_on(person.page, light=False) == []
    centre.touch(centre.part("begun"))
    platform.decide(True, False, of="cl")
    expect(left.part("lights")).to_contain_text("2 of 3 judges have decided")
    platform.call(BO, "110 kg")
    expect(centre.part("entry")).to_have_text(BO)
    expect(right.part("at-the-bar")).to_have_text(f"At the bar: {BO}")
    expect(right.part("entry")).to_have_text(ADA)  # a lift that is still to be decided is not taken from under the finger
    platform.decide(True, of="r")
    for person in (left, right):
        expect(person.part("entry")).to_have_text(BO)
    expect(marshal.part("row").filter(has_text=ADA)).to_contain_text("attempt 2")


def test_a_referee_without_the_network_judges_on_and_all_agree_when_it_is_back(platform: Platform) -> None:
    centre, left, right = platform.referees
    right.cut_off()
    centre.touch(centre.part("begun"))
    platform.decide(True, True, True)
    platform.call(CY, "115 kg")
    expect(right.part("entry")).to_have_text(BO)
    right.touch(right.part("turn-to").filter(has_text=CY))
    expect(right.part("load")).to_have_text("115 kg")
    centre.touch(centre.part("begun"))
    platform.decide(True, False, False)
    expect(left.part("lights")).to_contain_text("2 of 3 judges have decided")
    expect(right.part("turn-to").filter(has_text=CY)).to_have_count(0)  # decided here: it leaves room for those who come
    right.page.context.set_offline(False)
    for person in (centre, left):
        expect(person.part("lights")).to_contain_text("No lift: 1 white, 2 red")
    expect(right.part("at-the-bar")).to_have_text(f"At the bar: {CY}")
    expect(right.part("kept")).to_have_text("0 waiting on this tablet")
    expect(platform.at["marshal"].part("row").filter(has_text=CY)).to_contain_text("attempt 2")  # a miss ends an attempt too


def test_a_referees_tablet_that_is_replaced_goes_on(platform: Platform) -> None:
    centre, marshal = platform.at["centre referee"], platform.at["marshal"]
    platform.sit("left referee")
    left = platform.at["left referee"]
    expect(left.part("entry")).to_have_text(CY)
    expect(left.part("counter")).to_have_text("Left referee")
    marshal.touch(marshal.part("row").filter(has_text=ADA))
    expect(marshal.part("chosen")).to_have_text(ADA)
    marshal.touch(marshal.part("declare"))
    platform.call(ADA, "106 kg")
    expect(left.part("entry")).to_have_text(ADA)
    centre.touch(centre.part("begun"))
    platform.decide(True, True, False, of="rlc")  # also who decides last, when two have said what it is, decides
    expect(left.part("lights")).to_contain_text("Good lift: 2 white, 1 red")
    tablets = platform.desk.open("/desk/tablets").locator("section", has_text="Platform, lanes 1 to 3")
    assert tablets.locator(".device").count() == len(SEATS) + 1  # the tablet that was replaced is still welcome
    sheets = {mark["sheet"].split("/")[2] for mark in platform.desk.marks() if mark["kind"] == "lift"}
    assert sheets == {"lane", "second", "third"}


def test_who_is_ticked_off_in_the_warm_up_area_stays_so_on_that_device(platform: Platform) -> None:
    marshal, page = platform.at["marshal"], platform.hall.watch()
    for name in (BO, CY):
        marshal.touch(marshal.part("row").filter(has_text=name))
        expect(marshal.part("chosen")).to_have_text(name)
        marshal.touch(marshal.part("declare"))
        if name == BO:
            page.goto(f"{platform.server.url}/warm-up")
            page.get_by_label(BO).check()
    expect(page.get_by_label(CY)).not_to_be_checked()
    expect(page.get_by_label(BO)).to_be_checked()
    page.reload()
    expect(page.get_by_label(BO)).to_be_checked()


def test_the_bar_is_checked_once_and_after_the_bell_all_sheets_are_signed_from_one_list(platform: Platform) -> None:
    centre = platform.at["centre referee"]
    platform.server.go_was(20_000_000, lanes=(1, 2, 3))
    expect(centre.part("all-sheets").locator("li")).to_have_count(3)
    expect(centre.part("all-sheets").locator("li", has_text=ADA)).to_contain_text("not signed yet")
    expect(centre.part("sign-all")).to_be_disabled()
    centre.part("all-sheets-name").fill("Mo Tran")
    centre.touch(centre.part("sign-all").filter(has_text="Sign 3 sheets"))
    expect(centre.part("sign-all")).to_be_hidden()
    expect(centre.part("all-sheets").locator("li", has_text="signed by Mo Tran")).to_have_count(3)
    centre.page.wait_for_timeout(1_500)  # till they are sent
    by_kind = {
        kind: sorted(mark["sheet"] for mark in platform.desk.marks() if mark["kind"] == kind) for kind in ("check", "sign")
    }
    assert by_kind == {kind: [f"asg_{n}/1/lane" for n in (1, 2, 3)] for kind in ("check", "sign")}
    assert found_on(centre.page) == []


def test_a_load_below_a_bar_that_only_rises_and_an_opener_after_its_time_are_refused_and_a_heat_run_again_knows_its_openers(
    browser: Browser, tmp_path: Path
) -> None:
    now = datetime.now().astimezone().replace(second=0)
    planned, until = ((now + timedelta(minutes=minutes)).strftime("%H:%M") for minutes in (30, -30))
    plain = a_platform_file(a_meet("rising_bar", movements="Power snatch"), lifters=2).model_dump(mode="json")
    plain["events"][0]["format"]["tasks"]["lift_1"] |= {"opener_seconds": 3_600, "declare_seconds": None}
    plain["heats"][0]["planned"], plain["competition"]["day"] = planned, now.date().isoformat()
    with served(tmp_path, CompetitionFile.model_validate(plain)) as server, a_hall(browser, server.url) as hall:
        desk = hall.desk()
        marshal, phone = hall.tablet(desk, 1, "marshal"), hall.tablet(desk, 2, "call screen", PHONE)
        phone.touch(phone.part("declare"))
        expect(phone.part("declare-says")).to_contain_text(f"Openers could be changed until {until}.")
        phone.touch(phone.part("load-up"))
        expect(phone.part("declare-says")).to_contain_text("Too late to change the opener. 110 kg stands")
        expect(phone.part("declare")).to_be_disabled()
        server.go_was(60_000, lanes=(1, 2))
        marshal.touch(marshal.part("put-in-openers"))
        ada_next = marshal.part("call-next").filter(has_text=f"Call {ADA}, 105 kg")
        marshal.touch(ada_next)
        expect(ada_next).to_have_count(0)  # only then do the rows stand where a finger finds them
        marshal.touch(marshal.part("row").filter(has_text=BO))
        expect(marshal.part("chosen")).to_have_text(BO)
        for person in (marshal, phone):
            person.page.keyboard.type("104")
            expect(person.part("declare-says")).to_have_text(
                "The bar does not go down: it was called with 105 kg. Declare 105 kg or more."
            )
            expect(person.part("declare")).to_be_disabled()
            assert found_on(person.page, light=False) == []
        bo = Sheet("asg_2")
        said = bo.declare(61_000, "110 kg", 0)
        bad = [bo.lift(61_600 + n, "110 kg", False, declared=said["id"], win=0) for n in (1, 2)]
        late = Sheet("asg_1", device="tab-c").declare(62_000, "108 kg", 0)  # which the rule does not let stand
        server.mark([said, bad[0], bad[1] | {"sheet": "asg_2/1/second", "device": "tab-b"}, late])
        phone.page.reload()
        expect(phone.part("declare")).to_have_text("Declare 110 kg")  # after a miss the same load is the next attempt
        expect(phone.part("declare")).to_be_enabled()
        phone.page.keyboard.type("104")
        phone.cut_off()
        expect(phone.part("declare-says")).not_to_contain_text("The bar does not go down")
        phone.page.context.set_offline(False)
        server.run(_said_no_openers(server))  # what the screens offer now was declared on the floor
        server.run(timing.restart(server.hall, "heat_1", {"why": "The wrong plates"}))
        expect(phone.part("declared")).to_have_text("The heat is run again: declare your opener anew. It was 110 kg.")
        expect(phone.part("declare")).to_have_text("Declare 110 kg")
        expect(marshal.part("put-in-openers")).to_have_text("Put in 2 openers")
        assert found_on(phone.page, light=False) == []
        desk.open("/desk")
        expect(desk.page.locator("#undeclared")).to_contain_text("Still to be declared anew: lanes 1, 2.")
        marshal.touch(marshal.part("put-in-openers"))
        expect(marshal.part("row").filter(has_text=ADA)).to_contain_text("105 kg")


async def _said_no_openers(server: HallServer) -> None:
    def forget(session: Session) -> None:
        for one in OPENERS.all(session):
            OPENERS.forget(session, one.key)

    await change_roster(server.hall, forget)
