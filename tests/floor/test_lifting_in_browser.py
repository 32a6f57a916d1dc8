"""Lifts judged on real screens: the load locks, a wrong load is told, three judges decide, a set's repetitions are counted."""

from collections.abc import Iterator
from dataclasses import dataclass

import pytest
from playwright.sync_api import Browser, expect

from app.rules.records.document import CompetitionFile
from app.rules.records.roster import Event
from app.rules.values.units import Load
from app.rules.workout.formats import Format, LiftTask, Part, ScoreRule, Window
from app.rules.workout.misload import POWERLIFTING
from app.rules.workout.movements import movement
from tests.browser.hall_server import HallServer, served
from tests.browser.looking import ALL_SIZES, faults_at
from tests.browser.moments import LONG_MEMBERS, LONG_TEAM
from tests.browser.people import TABLET, Hall, Person, a_hall
from tests.builders.pairs import a_file

pytestmark = [pytest.mark.browser, pytest.mark.paced, pytest.mark.slow, pytest.mark.timeout(180)]

ONE, THREE, SETS, CALLED = 60, 300, 600, 700  # seconds after GO at which each window is under way


def lifts() -> Format:
    """A lift that one judge decides, one that three decide, and one of load times repetitions."""
    bar = {"movement": "squat", "bar": Load("35", "lb"), "step": Load("1", "lb"), "least_plate": Load("0.25", "lb")}
    tasks = {
        "one": LiftTask.model_validate({**bar, "misload": POWERLIFTING, "attempt_seconds": 3600, "warn_seconds": 30}),
        "three": LiftTask.model_validate({**bar, "judges": 3}),
        "sets": LiftTask.model_validate({**bar, "times_reps": True, "rack": False}),
        "called": LiftTask.model_validate({**bar, "attempt_seconds": 600, "follow_seconds": 1200, "order": "lightest"}),
    }
    windows = tuple(Window(start=200 * n, seconds=200, task=key, who=(1,)) for n, key in enumerate(tasks))
    rule = ScoreRule(unit="lb", parts=(Part(take="sum", tasks=tuple(tasks)),))
    return Format(
        members=2,
        unit="lb",
        movements={"squat": movement("front_squat", "lb", lifted=True)},
        tasks=tasks,
        windows=windows,
        scores=(rule,),
    )


def a_heat_of_lifts() -> CompetitionFile:
    """One pair with long names on one lane."""
    file = a_file([[LONG_TEAM]], heat_of=1, runs=0)
    athletes = [
        athlete.model_copy(update={"name": LONG_MEMBERS[n]}) if n < len(LONG_MEMBERS) else athlete
        for n, athlete in enumerate(file.athletes)
    ]
    return file.model_copy(
        update={
            "athletes": tuple(athletes),
            "events": (Event(id="evt", name="Lifts all afternoon", format=lifts()),),
            "marks": (),
        }
    )


DRAWN = "new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn)))"


@dataclass(frozen=True)
class Floor:
    """The server, and whoever is at the lane."""

    server: HallServer
    lane: Person
    second: Person
    third: Person

    def at(self, second: int) -> None:
        """Moves the heat's clock, by way of the wait before GO, so that nobody is still looking at the window before."""
        for person in (self.lane, self.second, self.third):  # a mark that comes once the clock was moved is of a time not yet
            person.page.evaluate(DRAWN)
            expect(person.part("kept")).to_have_text("0 waiting on this tablet")
        for moment, view in ((-20, "set"), (second, "lift")):
            self.server.go_was(moment * 1000)
            for person in (self.lane, self.second, self.third):
                person.shows(view)


@pytest.fixture(scope="module")
def floor(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Floor]:
    with served(tmp_path_factory.mktemp("data"), a_heat_of_lifts()) as server, a_hall(browser, server.url) as hall:
        yield _everybody(server, hall)


def _everybody(server: HallServer, hall: Hall) -> Floor:
    desk = hall.desk()
    return Floor(server, hall.tablet(desk, 1), hall.tablet(desk, 1, "second counter"), hall.tablet(desk, 1, "third counter"))


def declare(person: Person, steps: int = 1) -> str:
    """Declares some steps above what is offered; returns the load."""
    for _ in range(steps):
        person.touch(person.part("load-up"))
    load = person.part("declare-load").inner_text()
    person.touch(person.part("declare"))
    expect(person.part("load")).to_have_text(load)
    return load


def attempts(person: Person) -> list[str]:
    return [text.strip() for text in person.page.locator('[data-role="attempts"] li .visually-hidden').all_text_contents()]


def test_the_load_is_read_back_locked_and_judged(floor: Floor) -> None:
    floor.at(ONE)
    lane = floor.lane
    declare(lane)
    expect(lane.part("load")).to_have_text("36 lb")
    expect(lane.part("load-other")).to_have_text("16.3 kg")
    expect(lane.part("declared-by")).to_contain_text("declared by the judge 1:")
    expect(lane.part("attempt-clock")).to_contain_text("until the bar must leave the rack")
    expect(lane.part("change-load")).to_have_text("Change the load")
    assert faults_at(lane.page) == {}
    lane.touch(lane.part("begun"))
    expect(lane.part("begun")).to_be_hidden()
    expect(lane.part("change-load")).to_have_text("Wrong load on the bar")
    expect(lane.page.get_by_text("The bar is out: the load is locked.")).to_be_visible()
    assert faults_at(lane.page) == {}
    lane.touch(lane.part("good-lift"))
    lane.touch(lane.part("racked"))
    expect(lane.part("declare")).to_be_visible()
    assert attempts(lane) == ["36 lb, good lift"]


def test_after_a_miss_the_bar_may_leave_the_rack_again(floor: Floor) -> None:
    floor.at(ONE + 20)
    lane = floor.lane
    load = declare(lane)
    lane.touch(lane.part("begun"))
    lane.touch(lane.part("no-lift"))
    lane.touch(lane.page.locator('[data-fault="depth"]'))
    expect(lane.part("begun")).to_be_visible()
    lane.touch(lane.part("begun"))
    lane.touch(lane.part("good-lift"))
    lane.touch(lane.part("racked"))
    assert attempts(lane)[1:] == [f"{load}, no lift: Not deep enough", f"{load}, good lift"]


def test_a_bar_that_was_too_light_is_the_lifters_choice(floor: Floor) -> None:
    floor.at(ONE + 40)
    lane = floor.lane
    load = declare(lane, 3)
    lane.touch(lane.part("begun"))
    lane.touch(lane.part("good-lift"))
    lane.touch(lane.part("change-load"))
    expect(lane.part("wrong-load")).to_contain_text(f"{load} was declared. What was really on the bar?")
    assert faults_at(lane.page) == {}
    asked = lane.part("wrong-load")
    for _ in range(4):
        lane.touch(asked.locator('[data-role="load-down"]'))
    light = asked.locator('[data-role="declare-load"]').inner_text()
    lane.touch(asked.locator('[data-role="declare"]'))
    expect(lane.part("lifter-chooses")).to_contain_text(f"not {load}. The lifter chooses:")
    assert faults_at(lane.page) == {}
    lane.touch(lane.part("lift-again"))
    expect(lane.part("lifter-chooses")).to_be_hidden()
    assert attempts(lane)[-1].endswith("loaded wrong, to be lifted again")
    lane.touch(lane.part("racked"))
    expect(lane.part("declare-load")).to_have_text(load)
    assert light != load


def test_one_try_has_one_verdict(floor: Floor) -> None:
    floor.at(ONE + 100)
    lane = floor.lane
    before = attempts(lane)
    load = declare(lane)
    lane.touch(lane.part("begun"))
    middle = lane.part("good-lift").bounding_box()
    assert middle
    for _ in range(3):
        lane.touch_at(middle["x"] + middle["width"] / 2, middle["y"] + middle["height"] / 2)
    expect(lane.part("decided")).to_have_text(f"Good lift{load}")
    assert attempts(lane) == [*before, f"{load}, good lift"], "a finger that comes down again judges and racks nothing"
    for verdict in ("good-lift", "no-lift"):
        expect(lane.part(verdict)).to_be_hidden()
    lane.touch(lane.part("take-back").locator("visible=true"))
    expect(lane.part("good-lift")).to_be_visible()
    lane.touch(lane.part("no-lift"))
    expect(lane.part("no-lift")).to_be_disabled()
    lane.touch(lane.page.locator('[data-fault="depth"]'))
    expect(lane.part("decided")).to_contain_text("Not deep enough")
    lane.touch(lane.part("take-back").locator("visible=true"))
    lane.touch(lane.part("racked"))
    assert attempts(lane) == before


def test_at_a_bar_that_lanes_share_the_time_runs_once_the_lifter_is_called(floor: Floor) -> None:
    floor.at(CALLED)
    lane = floor.lane
    for key, least in (("call-lifter", 9), ("call-follows", 19)):
        declare(lane)
        expect(lane.part("attempt-clock")).to_be_hidden()
        assert faults_at(lane.page, sizes=ALL_SIZES) == {}, "the keys to call with"
        lane.page.set_viewport_size(TABLET)  # type: ignore[arg-type]
        lane.touch(lane.part(key))
        expect(lane.part("attempt-clock")).to_contain_text(f"{least}:5")
        expect(lane.part("call-lifter")).to_be_hidden()
        lane.touch(lane.part("begun"))
        lane.touch(lane.part("good-lift"))
        lane.touch(lane.part("racked"))


def test_three_judges_decide_and_the_lights_come_on_together(floor: Floor) -> None:
    floor.at(THREE)
    lane, second, third = floor.lane, floor.second, floor.third
    expect(second.part("decide-says")).to_have_text("Wait for the load.")
    load = declare(lane)
    expect(second.part("load")).to_have_text(load)
    lane.touch(lane.part("begun"))
    lane.touch(lane.part("good-lift"))
    expect(lane.part("lights")).to_contain_text("1 of 3 judges have decided")
    assert lane.page.locator('[data-light="good"]:visible').count() == 0
    expect(second.part("what-counts").locator("visible=true")).to_contain_text("The bar rests on the front of the shoulders")
    second.touch(second.part("no-lift"))
    expect(second.page.locator('[data-fault="depth"]')).to_be_visible()
    assert faults_at(second.page, sizes=ALL_SIZES) == {}, "the faults to choose from"
    second.touch(second.page.locator('[data-fault="depth"]'))
    expect(second.part("lights")).to_contain_text("2 of 3 judges have decided")
    expect(lane.part("lights")).to_contain_text("2 of 3 judges have decided")
    for person in (lane, second):
        assert faults_at(person.page, sizes=ALL_SIZES) == {}, "lights that are not on yet"
        expect(person.page.get_by_text("missed under this load")).to_have_count(0)
        person.page.set_viewport_size(TABLET)  # type: ignore[arg-type]
    third.touch(third.part("no-lift"))
    for person in (lane, second):
        expect(person.part("lights")).to_contain_text("No lift: 1 white, 2 red")
        assert person.page.locator('[data-light="no"]:visible').count() == 2
        assert faults_at(person.page, sizes=ALL_SIZES) == {}
        person.page.set_viewport_size(TABLET)  # type: ignore[arg-type]
    lane.touch(lane.part("racked"))
    assert attempts(lane) == [f"{load}, no lift"]


def test_a_judge_offline_is_not_waited_for_when_the_bar_is_racked(floor: Floor) -> None:
    floor.at(THREE + 30)
    lane = floor.lane
    load = declare(lane)
    lane.touch(lane.part("begun"))
    lane.touch(lane.part("good-lift"))
    expect(lane.part("lights")).to_contain_text("1 of 3 judges have decided")
    lane.touch(lane.part("racked"))
    expect(lane.part("declare")).to_be_visible()
    assert attempts(lane)[-1] == f"{load}, good lift"


def test_repetitions_of_a_set_are_counted_before_it_is_good(floor: Floor) -> None:
    floor.at(SETS - 150)
    lane = floor.lane
    declare(lane)
    expect(lane.part("begun")).to_have_text("Bar leaves the floor")
    lane.touch(lane.part("begun"))
    assert lane.part("good-lift").is_disabled()
    for _ in range(5):
        lane.touch(lane.part("rep-more"))
    lane.touch(lane.part("rep-less"))
    expect(lane.part("good-lift")).to_have_text("Good lift, 4")
    assert faults_at(lane.page, sizes=ALL_SIZES) == {}
    lane.page.set_viewport_size(TABLET)  # type: ignore[arg-type]
    lane.touch(lane.part("good-lift"))
    expect(lane.part("take-back").locator("visible=true")).to_contain_text("good lift")
    assert lane.errors == []


def test_a_record_attempt_has_a_step_of_its_own_and_says_so(floor: Floor) -> None:
    page = floor.lane.page
    module = page.evaluate(
        "() => document.querySelector('script[type=module][src*=\"/js/\"]').src.replace(/\\/js\\/.*/, '/js/parts/declare.js')"
    )
    said = page.evaluate(
        """async (module) => {
          const { Declare } = await import(module);
          const said = [];
          const declare = new Declare((load, more) => said.push([load.amount, more]));
          const kg = (amount) => ({ amount, unit: "kg" });
          const task = { bar: kg("20"), step: kg("2.5"), least_plate: kg("0.25"), record_step: kg("0.5") };
          const about = { unit: "kg", last: null, from: kg("100"), stands: null, attemptsLeft: null };
          declare.begin({ task, ...about });
          const press = (...roles) => roles.forEach((role) => declare.node.querySelector(`[data-role="${role}"]`).click());
          press("load-up", "declare", "record", "load-up", "declare", "record", "declare");
          declare.begin({ task: { ...task, record_step: null }, ...about });
          return [said, declare.record.hidden];
        }""",
        module,
    )
    # Off the step and no record any more: it is asked about, not declared.
    assert said == [[["102.5", {}], ["103", {"record": True}]], True]
