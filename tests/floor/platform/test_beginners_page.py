"""A first meet with a beginner's errors at every seat: what the hall, the announcer and the head judge are told is what is so."""

import html
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.watch.warm_up import WarmUpHeat, warm_up
from tests.builders.halls import a_house
from tests.builders.platform_meets import Meet, Size, the_file
from tests.builders.platforms import lifter

PAGE = {"accept": "text/html"}
SIZE = Size(lifters=6, flight=3, attempts=3, lifts_s=(0,))
ADA, BO, CY = (lifter(n) for n in (1, 2, 3))
LIGHTS = {"centre": "lane", "left": "second", "right": "third"}


class Beginners(Meet):
    """The people at the platform, and what stands declared for each lifter."""

    said: dict[int, str]


@pytest.fixture
def meet(tmp_path: Path) -> Iterator[Beginners]:
    """The first of two flights of three, right after GO: 100, 102 and 104 kg are declared. The tablets' clocks are the desk's."""
    with a_house(tmp_path, file=the_file(SIZE, "Back squat")) as house:
        house.desk().post("/desk/heats/heat_1/go", data={"lead": "5"})
        house.clocks.pass_ms(5_000)
        meet = Beginners(house, 1, SIZE)
        meet.said = {who: meet.declare(who, 0, 98 + 2 * who)[1] for who in (1, 2, 3)}
        yield meet


def text(meet: Beginners, path: str) -> str:
    """A page as it is read."""
    page = meet.house.desk() if path.startswith("/review") else meet.house.browser()
    words = re.sub(r"<(script|style|svg).*?</\1>|<[^>]+>", " ", page.get(path, headers=PAGE).text, flags=re.S)
    return re.sub(r"\s+", " ", re.sub("[\u2066-\u2069]", "", html.unescape(words)))


def order(meet: Beginners) -> str:
    """What the board says of the bar."""
    said = re.search(r"(Called|Next): .*?\.(?= Lane| \d)", text(meet, "/board"))
    return said[0] if said else ""


def floor(meet: Beginners) -> WarmUpHeat:
    return warm_up(meet.house.app.state.hall).heats[0]


def loaded(meet: Beginners, who: int, amount: int, unit: str = "kg") -> None:
    load = {"amount": str(amount), "unit": unit}
    meet.mark("loaders", "lane", "loaded", who, 0, load=load, by="loader", declared=meet.said[who])


def light(meet: Beginners, seat: str, who: int, good: bool, begun: str = "") -> str:
    load = {"amount": str(98 + 2 * who), "unit": "kg"}
    named = {"declared": meet.said[who], **({"begun": begun} if begun else {})}
    return meet.mark(seat, LIGHTS[seat], "lift", who, 0, load=load, good=good, **named)


def left_rack(meet: Beginners, who: int) -> str:
    """Called, loaded, and the bar is out."""
    meet.mark("marshal", "lane", "called", who, 0, declared=meet.said[who])
    loaded(meet, who, 98 + 2 * who)
    return meet.mark("centre", "lane", "begun", who, 0, declared=meet.said[who])


def test_a_load_in_the_wrong_unit_is_taken_back_and_a_wrong_call_is_called_again(meet: Beginners) -> None:
    pounds = {"amount": "106", "unit": "lb"}
    meet.mark("marshal", "lane", "strike", 3, None, mark=meet.said[3])
    wrong = meet.mark("marshal", "lane", "declare", 3, 0, load=pounds, by="desk")
    assert order(meet) == f"Next: {CY}, 106 lb (48.1 kg). Then {ADA}, 100 kg; {BO}, 102 kg."
    meet.mark("marshal", "lane", "strike", 3, None, mark=wrong)
    meet.said[3] = meet.declare(3, 0, 104)[1]
    assert order(meet) == f"Next: {ADA}, 100 kg (220.5 lb). Then {BO}, 102 kg; {CY}, 104 kg."
    assert "To be called now" in text(meet, "/announcer") and floor(meet).at == ""
    for who, name in ((3, CY), (1, ADA)):
        meet.mark("marshal", "lane", "called", who, 0, declared=meet.said[who])
        assert order(meet).startswith(f"Called: {name}") and floor(meet).at == name
    assert [row.away for row in floor(meet).rows] == ["called", "1 lift before theirs", "2 lifts before theirs"]


def test_a_bar_typed_in_the_wrong_unit_counts_for_nothing_once_it_is_said_right_and_is_told_where_it_is_not(
    meet: Beginners,
) -> None:
    for who, again in ((1, True), (2, False)):
        meet.mark("marshal", "lane", "called", who, 0, declared=meet.said[who])
        loaded(meet, who, 98 + 2 * who, "lb")
        if again:
            loaded(meet, who, 98 + 2 * who)
        begun = meet.mark("centre", "lane", "begun", who, 0, declared=meet.said[who])
        for seat in LIGHTS:
            light(meet, seat, who, True, begun)
        meet.mark("centre", "lane", "racked", who, 0, declared=meet.said[who])
        assert ("The bar carried another load than declared" in text(meet, "/review")) is not again
    assert text(meet, "/review").count(BO) and not text(meet, "/review").count(ADA)


def test_a_light_before_the_lift_is_told_to_the_head_judge_and_no_further_try(meet: Beginners) -> None:
    meet.mark("marshal", "lane", "called", 1, 0, declared=meet.said[1])
    light(meet, "left", 1, True)
    assert "Nothing to look at." in text(meet, "/review"), "it may be that the bar is out, and nobody has marked it"
    begun = left_rack(meet, 1)
    assert "Decided before the bar was marked as out of its rack. It counts until it is ruled otherwise." in text(meet, "/review")
    light(meet, "centre", 1, True, begun)
    assert floor(meet).at == ADA and "the judges are deciding" in text(meet, "/board")
    light(meet, "right", 1, False, begun)
    tally = meet.house.app.state.hall.projection.counting_tally("asg_1")
    assert [(lift.good, lift.lights) for lift in tally.windows[0].lifts] == [(True, (True, True, False))]
    assert floor(meet).at == "" and floor(meet).silent == (ADA,)


def test_two_who_press_for_one_seat_are_one_voice_and_both_are_seen(meet: Beginners) -> None:
    begun = left_rack(meet, 1)
    light(meet, "left", 1, True, begun)
    meet.by["left"] = meet.house.tablet(1, "left")
    meet.device["left"] = meet.by["left"].get("/lane/packet").json()["device"]["id"]
    light(meet, "left", 1, False, begun)
    for seat in ("centre", "right"):
        light(meet, seat, 1, seat == "centre", begun)
    assert "good lift" in text(meet, "/board") and "100 kg" in text(meet, "/results")
    assert "One judge decided the lift on two tablets, not alike." in text(meet, "/review")


def test_the_jury_overrules_after_the_next_one_was_called_and_the_call_stands(meet: Beginners) -> None:
    begun = left_rack(meet, 1)
    mark = light(meet, "centre", 1, False, begun)
    for seat in ("left", "right"):
        light(meet, seat, 1, seat == "left", begun)
    meet.mark("centre", "lane", "racked", 1, 0, declared=meet.said[1])
    meet.mark("marshal", "lane", "called", 2, 0, declared=meet.said[2])
    before = order(meet)
    assert before.startswith(f"Called: {BO}") and "100 kg, no lift" in text(meet, "/board")
    desk = meet.house.desk()
    shown = desk.get(f"/review/lanes/asg_1?kind=lift&mark={mark}&good=good", headers=PAGE).text
    (option,) = re.findall(r'name="option" value="([^"]+)"', shown)
    made = {"option": html.unescape(option), "by": "Ro", "why": "The depth was there"}
    assert desk.post("/review/lanes/asg_1/rule", data=made, headers=PAGE).status_code == 303
    assert order(meet) == before and "100 kg, good lift" in text(meet, "/board") and "after a ruling" in text(meet, "/results")


def test_after_the_last_attempt_nothing_is_waited_for_and_who_has_no_total_is_behind_nobody(meet: Beginners) -> None:
    for number in range(3):
        for who in (1, 2, 3):
            if number:
                meet.said[who] = meet.declare(who, 0, 98 + 2 * who)[1]
            begun = left_rack(meet, who)
            for seat in LIGHTS:
                light(meet, seat, who, who != 3, begun)
            meet.mark("centre", "lane", "racked", who, 0, declared=meet.said[who])
        assert text(meet, "/board").count("nothing declared") == (3 if number < 2 else 0)
    assert text(meet, "/board").count("No attempts left.") == 3 and floor(meet).silent == ()
    assert "No attempts left." in text(meet, "/announcer") and "Nobody is called" not in text(meet, "/announcer")
    (group,) = meet.house.browser().get("/wall/now").json()["set"]["race"]["groups"]
    assert (group["order"], group["behind"]) == ([["lane-asg_2"], ["lane-asg_1"], ["lane-asg_3"]], ["", "−2 kg", ""])
