"""The plan at the desk: rules, a search in its own process, choices kept, published, changed late, taken back."""

import html
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.hall.plain import keep
from app.plan import planning
from app.plan.day_problem import problem_of, published_heats
from app.plan.day_times import rules_of
from app.planning.planner import Planner
from app.rules.day.plan_check import broken_rules
from app.rules.records.judges import Hours
from app.rules.records.roster import Heat, Roster
from app.store import kinds
from tests.builders.halls import House, TestClient, a_house

PAGE = {"accept": "text/html"}
JUDGES = "\n".join(f"Judge {name}; Copper Yard" if name == "Ash" else f"Judge {name}" for name in ("Ash", "Birk", "Cole"))
JUDGES += "\nJudge Dara\nJudge Enno\nJudge Fia"


@pytest.fixture(scope="module")
def desk_and_house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[TestClient, House]]:
    """One hall for the whole story: the demo's twelve pairs on four lanes, and six judges."""
    with a_house(Path(tmp_path_factory.mktemp("plan"))) as house:
        house.clocks.wall -= 5 * 3_600_000 + 25 * 60_000  # to twenty to ten in the morning, in the hall's time
        desk = house.desk()
        post(desk, "/desk/judges/paste", 303, lines=JUDGES, do="store")
        yield desk, house


def post(desk: TestClient, path: str, status: int, **typed: str) -> str:
    answer = desk.post(path, data=typed, headers=PAGE)
    text = html.unescape(answer.text)
    assert answer.status_code == status, re.findall(r"problem|notice.*?</div>", text, re.S)[:3] or text[:1500]
    return text


def get(desk: TestClient, path: str) -> str:
    answer = desk.get(path, headers=PAGE)
    assert answer.status_code == 200
    return html.unescape(answer.text)


def put_back(text: str, action: str) -> dict[str, str]:
    """The hidden fields of the form that offers to put something back."""
    form = text[text.index(f'action="{action}"') :].partition("</form>")[0]
    return dict(re.findall(r'name="([^"]*)" value="(.*?)">', form))


def typed_rules(desk: TestClient, **changed: str) -> dict[str, str]:
    """The form of the day's rules as the page shows it, with some fields changed."""
    text = desk.get("/desk/plan/rules").text
    fields = dict(re.findall(r'<input id="[^"]*" name="([^"]*)" type="text" value="([^"]*)"', text))
    fields |= dict.fromkeys(re.findall(r'type="checkbox" name="([^"]*)" value="on" checked', text), "on")
    for name, options in re.findall(r'<select id="[^"]*" name="([^"]*)"[^>]*>(.*?)</select>', text, re.S):
        chosen = re.search(r'value="([^"]*)" selected', options) or re.search(r'value="([^"]*)"', options)
        fields[name] = chosen[1] if chosen else ""
    return {html.unescape(k): html.unescape(v) for k, v in {**fields, **changed}.items()}


def roster(house: House) -> Roster:
    found = house.app.state.hall.projection.roster
    assert isinstance(found, Roster)
    return found


def heats(house: House) -> dict[str, Heat]:
    return {heat.id: heat for heat in roster(house).heats}


def make(house: House, desk: TestClient) -> None:
    """Makes a plan and waits for it."""
    post(desk, "/desk/plan", 303, seconds="4")
    planner: Planner = house.app.state.hall.planner
    house.inside.portal.call(planner.settled)  # type: ignore[union-attr]
    assert planner.why == "", planner.why


def test_the_whole_story_of_a_plan(desk_and_house: tuple[TestClient, House]) -> None:
    desk, house = desk_and_house
    before = heats(house)
    rules = typed_rules(desk, start="09:30", end="15:00", changeover="5", step="5")
    rules |= {"break-0-name": "Lunch", "break-0-start": "10:15", "break-0-end": "11:00", "break-0-least": "30"}
    rules |= {"event-evt_turns-last": "4", "zone": "Etc/UTC"}
    post(desk, "/desk/plan/rules", 303, **rules)

    make(house, desk)
    text = get(desk, "/desk/plan")
    assert "Every rule is kept" in text and "Lunch" in text and "Publish as the heats" in text
    assert re.search(r"No plan by these rules can end before \d\d:\d\d; this (one ends then|day is \d+\.\d % longer)\.", text)
    assert heats(house) == before  # nothing is stored before it is published

    post(desk, "/desk/plan/heats/evt_turns/div_open.1", 303, **{"start": "09:40", "keep-start": "on"})
    kept = rules_of(roster(house)).locks
    text = post(desk, "/desk/plan/let-go", 200)
    assert rules_of(roster(house)).locks == () and "1 choice is released." in text
    post(desk, "/desk/plan/let-go/back", 303, **put_back(text, "/desk/plan/let-go/back"))
    post(desk, "/desk/plan/let-go/back", 422, locks="[{}]")
    assert rules_of(roster(house)).locks == kept != ()
    make(house, desk)
    assert "time kept" in get(desk, "/desk/plan")

    dropped = planning.draft_of(house.app.state.hall)
    assert "The plan is discarded." in post(desk, "/desk/plan/drop", 200)
    assert planning.draft_of(house.app.state.hall) is None
    post(desk, "/desk/plan/drop", 303)  # there is none to drop, and what was dropped stays where it is
    post(desk, "/desk/plan/drop/back", 303)
    assert planning.draft_of(house.app.state.hall) == dropped
    assert "no discarded plan" in post(desk, "/desk/plan/drop/back", 422)
    post(desk, "/desk/plan/publish", 303)
    after = heats(house)
    problem = problem_of(house.app.state.hall, rules_of(roster(house)))
    assert broken_rules(problem, published_heats(house.app.state.hall, problem.rules), late=True) == []
    assert "09:40" in {heat.planned for heat in after.values()}
    assert all(lane.judge_id and lane.judge.startswith("Judge ") for heat in after.values() for lane in heat.lanes)
    # An entry keeps its lane assignment, and with it whatever is stored about it.
    own = {lane.entry: lane.id for heat in before.values() for lane in heat.lanes}
    assert {lane.entry: lane.id for heat in after.values() for lane in heat.lanes} == own

    post(desk, "/desk/plan/back", 303)
    assert heats(house) == before
    assert "There is nothing to undo." in post(desk, "/desk/plan/back", 422)


def test_how_soon_a_day_could_end_is_told_of_the_rules_that_it_was_found_for_alone(
    desk_and_house: tuple[TestClient, House],
) -> None:
    desk, house = desk_and_house
    make(house, desk)
    assert "No plan by these rules can end before" in get(desk, "/desk/plan")
    before = typed_rules(desk)
    post(desk, "/desk/plan/rules", 303, **typed_rules(desk, rest="0"))
    assert "No plan by these rules can end before" not in get(desk, "/desk/plan")
    post(desk, "/desk/plan/rules", 303, **before)
    assert "No plan by these rules can end before" in get(desk, "/desk/plan")


def test_a_late_change_is_looked_at_and_then_made_and_taken_back(desk_and_house: tuple[TestClient, House]) -> None:
    desk, house = desk_and_house
    make(house, desk)
    post(desk, "/desk/plan/publish", 303)
    published = heats(house)
    first = min(published.values(), key=lambda heat: heat.planned)
    gone, absent = first.lanes[0], first.lanes[1].judge_id
    post(desk, f"/desk/judges/{absent}/away", 303, away="on")
    form = {f"out-{gone.entry}": "on", "not_before": "09:47", "do": "look"}
    refused = post(desk, "/desk/plan/late", 422, **{**form, "not_before": "a quarter to ten"})
    assert "The earliest start is a time of day such as 09:30" in refused and 'value="a quarter to ten"' in refused

    text = post(desk, "/desk/plan/late", 200, **form)
    moves = re.findall(r'<li><span class="soft">Turn about</span> (.*?)</li>', text)
    assert any("leaves heat" in move for move in moves) and any(f"Heat {first.number} from" in move for move in moves)
    assert heats(house) == published  # only looked at
    stamp = re.search(r'name="stamp" value="([0-9a-f]+)"', text)
    assert stamp
    changed = {**form, "not_before": "09:50", "do": "make", "stamp": stamp[1]}
    assert "has changed since these moves were shown" in post(desk, "/desk/plan/late", 422, **changed)

    text = post(desk, "/desk/plan/late", 200, **form)
    post(desk, "/desk/plan/late", 303, **{**form, "do": "make", "stamp": stamp[1]})
    now = heats(house)
    assert now[first.id].planned == "09:47"
    assert not any(lane.entry == gone.entry or lane.judge_id == absent for heat in now.values() for lane in heat.lanes)
    assert "Every rule is kept" in get(desk, "/desk/plan")
    post(desk, "/desk/plan/back", 303)
    assert heats(house) == published and roster(house).day.withdrawn == ()  # type: ignore[union-attr]
    post(desk, f"/desk/judges/{absent}/away", 303, away="")


def test_a_heat_that_has_run_is_never_moved(desk_and_house: tuple[TestClient, House]) -> None:
    desk, house = desk_and_house
    order = sorted(heats(house).values(), key=lambda heat: heat.planned)
    post(desk, f"/desk/heats/{order[0].id}/go", 303)
    make(house, desk)
    post(desk, "/desk/plan/publish", 303)
    assert heats(house)[order[0].id] == order[0]
    assert "started since" not in get(desk, "/desk/plan")
    entries = sorted(lane.entry for heat in heats(house).values() for lane in heat.lanes)
    assert entries == sorted(entry.id for entry in roster(house).entries)


def test_what_can_not_fit_is_said_before_any_search(desk_and_house: tuple[TestClient, House]) -> None:
    desk, house = desk_and_house
    post(desk, "/desk/plan/rules", 303, **typed_rules(desk, judge_work="1", judge_of="4"))
    text = post(desk, "/desk/plan", 422, seconds="5")
    said = r"(\d) lanes and 3 heats of rest in 4 need at least (\d+) judges; (\d+) are here. Find (\d+) more judge"
    found = re.search(said, text)
    run = {one.heat for one in house.app.state.hall.projection.runs}
    waiting = sum(len(heat.lanes) for heat in heats(house).values() if heat.id not in run)
    assert found and int(found[2]) == int(found[3]) + int(found[4]) == waiting, "nobody may work twice"
    assert not house.app.state.hall.planner.busy
    post(desk, "/desk/plan/rules", 303, **typed_rules(desk, judge_work="3", judge_of="4"))


def test_a_failed_plan_names_its_cause_and_the_one_from_before_is_marked(desk_and_house: tuple[TestClient, House]) -> None:
    desk, house = desk_and_house
    hall, before = house.app.state.hall, roster(house).judges
    make(house, desk)
    assert "Earlier plan" not in get(desk, "/desk/plan")
    made = planning.draft_of(hall)
    stretches = tuple(Hours(start=f"{hour:02d}:00", end=f"{hour:02d}:10") for hour in range(9, 15))  # a heat takes longer
    for judge in before:
        house.inside.portal.call(keep, hall, kinds.JUDGES, judge.model_copy(update={"hours": stretches}))
    post(desk, "/desk/plan", 303, seconds="4")
    house.inside.portal.call(hall.planner.settled)
    text = get(desk, "/desk/plan")
    assert "A plan works without the hours of the judges: change that." in text
    assert "Earlier plan" in text and "the latest search found none" in text and planning.draft_of(hall) == made
    for judge in before:
        house.inside.portal.call(keep, hall, kinds.JUDGES, judge)


def test_a_judge_of_an_athletes_name_is_said_to_compete_and_judges_no_heat_of_their_own(
    desk_and_house: tuple[TestClient, House],
) -> None:
    desk, house = desk_and_house
    hall, judge = house.app.state.hall, roster(house).judges[0]
    coming = [heat for heat in heats(house).values() if heat.id not in {run.heat for run in hall.projection.runs}]
    entry = next(one for one in roster(house).entries if one.id == coming[0].lanes[0].entry)
    athlete = next(one for one in roster(house).athletes if one.id == entry.members[0])
    house.inside.portal.call(keep, hall, kinds.JUDGES, judge.model_copy(update={"name": f" {athlete.name.upper()}"}))
    make(house, desk)
    assert f"judges who also compete, and never do both at once: {athlete.name.upper()}" in get(desk, "/desk/plan")
    found = planning.draft_of(hall)
    assert found is not None
    own = [heat for heat in found.heats if any(spot.entry == entry.id for spot in heat.spots)]
    assert own and all(spot.judge != judge.id for heat in own for spot in heat.spots)
    house.inside.portal.call(keep, hall, kinds.JUDGES, judge)
    post(desk, "/desk/plan/drop", 200)


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("start", "9 o'clock", "The start of the day is a time of day such as 09:30"),
        ("end", "", "The end of the day is missing"),
        ("end", "09:00", "The day ends after it starts."),
        ("rest", "-5", "The rest for an athlete is a whole number from 0 to 600"),
        ("judge_work", "9", "A judge can't work more heats than there are"),
        ("zone", "Atlantis/Deep", "The time zone is a name such as Europe/Lisbon"),
        ("break-0-end", "10:00", "Lunch ends after it begins; 10:15 to 10:00 does not."),
        ("event-evt_turns-last", "0", "Turn about: the last lane is a whole number from 1 to 60"),
    ],
)
def test_bad_rules_are_refused_with_a_sentence_and_what_was_typed_is_kept(
    desk_and_house: tuple[TestClient, House], field: str, value: str, sentence: str
) -> None:
    desk, house = desk_and_house
    before = roster(house).day
    text = post(desk, "/desk/plan/rules", 422, **{**typed_rules(desk), "start": "09:30", field: value})
    assert sentence in text and f'value="{value}"' in text
    assert roster(house).day == before


def test_nothing_of_a_plan_is_open_to_the_public(desk_and_house: tuple[TestClient, House]) -> None:
    _, house = desk_and_house
    visitor = house.browser()
    for path in ("/desk/plan", "/desk/plan/rules", "/desk/plan/late", "/desk/plan/progress"):
        assert visitor.get(path, headers=PAGE).status_code in (303, 401, 403)
    for path in ("/desk/plan", "/desk/plan/publish", "/desk/plan/back", "/desk/plan/late"):
        assert visitor.post(path, data={"x": "y"}, headers=PAGE).status_code in (303, 401, 403)
    assert planning.draft_of(house.app.state.hall) is None
