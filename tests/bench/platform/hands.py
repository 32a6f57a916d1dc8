"""The people at a platform, each before a real browser: what they touch, and what their screens say."""

import re
import time
from dataclasses import dataclass, field

from playwright.sync_api import Locator, expect

from tests.browser.hall_server import HallServer
from tests.browser.people import PATIENCE_MS, PHONE, Desk, Hall, Person
from tests.builders.platforms import lifter

REFEREES = ("centre referee", "left referee", "right referee")
SEATS = (*REFEREES, "marshal", "loaders")
PHONES_LANE = 1  # whose lifter's coach has a phone
ATTEMPT_S = 60  # to begin
ON_ITS_WAY_MS = 3_000
CLOCK = re.compile(r"(\d+):(\d\d)")


@dataclass
class Hands:
    """Everybody at the platform. `off`: by how many seconds each screen's clock was off at least, whenever between its beginning
    and its end a touch or a look happened; `looked`: how many seconds that between came to."""

    server: HallServer
    hall: Hall
    desk: Desk
    at: dict[str, Person] = field(default_factory=dict)
    off: list[float] = field(default_factory=list)
    looked: list[float] = field(default_factory=list)

    def __post_init__(self) -> None:
        for seat in SEATS:
            self.sit(seat)
        self.phone = self.hall.tablet(self.desk, PHONES_LANE, "call screen", PHONE)
        self.board = self.hall.watch()
        self.warm_up = self.hall.watch()
        self.warm_up.goto(f"{self.server.url}/warm-up")

    def sit(self, seat: str) -> None:
        """Somebody takes a seat, with a device that has never been here; whoever sat there goes, and the tablet with them."""
        if seat in self.at:
            self.at[seat].page.context.close()
        self.at[seat] = self.hall.tablet(self.desk, 1, seat)

    def checks_the_bar(self) -> None:
        """The bar and its plates are looked at before the first lift."""
        centre = self.at["centre referee"]
        _tap(centre.part("gear-line").first)
        centre.part("gear-name").fill("Mo Tran")
        _tap(centre.part("gear-sign"))
        expect(centre.part("gear-says")).to_contain_text("Checked by Mo Tran.")

    def puts_in_openers(self) -> None:
        """The marshal has all openers of a lift declared with one touch."""
        marshal = self.at["marshal"]
        _tap(marshal.part("put-in-openers"))
        expect(marshal.part("put-in-openers")).to_be_hidden()

    def turns_by_hand(self, seat: str, who: int) -> None:
        """A referee without the network hears a name, and turns the screen to it."""
        person = self.at[seat]
        if person.part("entry").inner_text() != lifter(who):
            _tap(person.part("turn-to").filter(has_text=lifter(who)))
        expect(person.part("entry")).to_have_text(lifter(who))

    def is_cut_off(self, seat: str) -> None:
        """The network is gone for one seat, once what was declared a moment ago is there."""
        self.at[seat].page.wait_for_timeout(ON_ITS_WAY_MS)
        self.at[seat].cut_off()

    def comes_back(self, seat: str) -> None:
        """The network is there again; all that was decided without it goes to the desk."""
        person = self.at[seat]
        person.page.context.set_offline(False)
        expect(person.part("kept")).to_have_text("0 waiting on this tablet")

    def signs_all(self, lifters: int, more: bool) -> None:
        """After the last bell each referee signs the sheets of the flight together; where another comes they turn to it."""
        for seat in REFEREES:
            person = self.at[seat]
            expect(person.part("all-sheets").locator("li")).to_have_count(lifters)
            person.part("all-sheets-name").fill("Mo Tran")
            _tap(person.part("sign-all").filter(has_text=f"Sign {lifters} sheets"))
            expect(person.part("sign-all")).to_be_hidden()
            if more:
                _tap(person.part("next-heat"))

    def call(self, who: int, kg: int, by_rule: bool) -> None:
        """The marshal calls whoever the screen says is next, the loaders load; all screens turn to that lifter."""
        marshal, loaders = self.at["marshal"], self.at["loaders"]
        words = f"Call {lifter(who)}, {kg} kg{' by the rule' if by_rule else ''}"
        expect(marshal.part("call-next")).to_have_text(words)
        _tap(marshal.part("call-next"))
        expect(loaders.part("load-says")).to_have_text(f"{lifter(who)}: declared")
        expect(loaders.part("load-next")).to_have_text(f"{kg} kg")
        begun = time.monotonic()
        _tap(loaders.part("bar-loaded"))
        self.loaded = begun, time.monotonic()

    def turned_to(self, who: int, kg: int, seats: tuple[str, ...] = REFEREES) -> None:
        """Each of these referees has this lifter on the screen, with this load."""
        for person in (self.at[seat] for seat in seats):
            expect(person.part("at-the-bar")).to_have_text(f"At the bar: {lifter(who)}")
            expect(person.part("entry")).to_have_text(lifter(who))
            expect(person.part("load")).to_have_text(f"{kg} kg")

    def read_clocks(self) -> None:
        """How far the attempt's clock on each screen that has one is from a minute since the bar was loaded; it shows a second
        that has begun as a whole one. On a busy machine a touch or a look takes seconds: what is within those is not the
        clock's."""
        for seat in ("centre referee", "marshal"):
            expect(self.at[seat].part("attempt-clock")).to_contain_text("until the bar must leave")
            begun = time.monotonic()
            found = CLOCK.search(self.at[seat].part("attempt-clock").inner_text())
            ended = time.monotonic()
            assert found
            shown = int(found[1]) * 60 + int(found[2])
            least, most = ATTEMPT_S - (ended - self.loaded[0]), ATTEMPT_S + 1 - (begun - self.loaded[1])
            self.off.append(max(0.0, least - shown, shown - most))
            self.looked.append(most - least - 1)

    def begins(self) -> None:
        """The centre referee sees the bar leave."""
        _tap(self.at["centre referee"].part("begun"))

    def decides(self, seat: str, good: bool) -> None:
        """A referee says what it was, and of what is no lift the first fault that the screen offers."""
        person = self.at[seat]
        _tap(person.part("good-lift" if good else "no-lift"))
        if not good:
            _tap(person.page.locator("[data-fault]").first)

    def lit(self, lights: list[bool], seats: tuple[str, ...] = REFEREES) -> None:
        """The lights of each of these referees' screens say this."""
        white, red = lights.count(True), lights.count(False)
        words = f"{'Good lift' if white > red else 'No lift'}: {white} white, {red} red"
        for seat in seats:
            expect(self.at[seat].part("lights")).to_contain_text(words)

    def board_shows(self, who: int, tries: list[tuple[int, bool]], lights: list[bool]) -> None:
        """The board has the lifter's attempts of the lift that is done now, and the lights of the last."""
        lane = self.board.locator(f"#lane-asg_{who} .lane-lifts:not([hidden])")
        for good, count in ((True, lights.count(True)), (False, lights.count(False))):
            expect(lane.locator(f'.lifts-light[data-light="{"good" if good else "no"}"]')).to_have_count(count)
        expect(lane.locator(".lifts-attempt")).to_have_count(len(tries))
        for n, (kg, good) in enumerate(tries):
            expect(lane.locator(".lifts-attempt").nth(n)).to_have_attribute("data-good", str(good).lower())
            expect(lane.locator(".lifts-attempt").nth(n)).to_contain_text(str(kg))

    def first_standing(self) -> dict[str, tuple[str, str]]:
        """Place and total of each lifter in the first of the board's standings."""
        self.board.reload()
        rows = self.board.locator("tbody").first.locator("tr")
        expect(rows.first).to_be_attached()
        told = "rows => rows.map((row) => [row.querySelector('.entry').textContent.trim(), row.dataset.place, row.dataset.score])"
        return {name: (place, score) for name, place, score in rows.evaluate_all(told)}

    def marshal_declares(self, who: int, kg: int, attempt: int) -> None:
        """The marshal, whose list has what became of the attempt before, writes a lifter's next load down."""
        marshal = self.at["marshal"]
        row = marshal.part("row").filter(has_text=lifter(who))
        expect(row).to_contain_text(f"attempt {attempt}")
        _tap(row)
        expect(marshal.part("chosen")).to_have_text(lifter(who))
        _declare(marshal, kg)

    def phone_declares(self, kg: int) -> None:
        """The coach declares for the lifter of the phone's lane; the marshal's list has it before anybody goes on."""
        _declare(self.phone, kg)
        row = self.at["marshal"].page.locator(f'[data-role="row"][data-lot="{PHONES_LANE}"]')
        expect(row).to_contain_text(f"{kg} kg")

    def waits_for_the_rule(self, who: int, kg: int) -> None:
        """The warm-up page has the rule's load for a lifter for whom nobody has said a word, once the minute is over."""
        row = self.warm_up.locator(".warm-row").filter(has_text=lifter(who))
        expect(row.locator(".warm-load")).to_contain_text(f"{kg} kg", timeout=80_000)
        expect(row.locator(".warm-load")).to_contain_text("by the rule", timeout=80_000)


def _tap(target: Locator) -> None:
    """One finger, down and up in one go: a machine that is busy between the two would make a long press of it."""
    target.tap(timeout=PATIENCE_MS)


def _declare(person: Person, kg: int) -> None:
    """Types a load and declares it; the step keys where it is put in already."""
    person.page.keyboard.type(str(kg))
    expect(person.part("declare-load")).to_have_text(f"{kg} kg")
    _tap(person.part("declare"))
