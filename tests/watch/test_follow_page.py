"""Following one entry: what its page says before, in and after its heat, and that it is not sent twice."""

import re
from dataclasses import replace
from fractions import Fraction

import pytest

from app.hall.going_past import ahead_of, apart_text, takes_text
from app.rules.result.results import results
from app.rules.result.scoring import Score
from app.watch.follow import Followed, followed, offered
from tests.builders.halls import House, a_mark, sent
from tests.builders.meets import a_meet


@pytest.fixture
def live(house: House) -> House:
    """A house whose desk has given the first heat its GO, twenty seconds ago."""
    desk = house.marking = house.desk()  # type: ignore[attr-defined]
    heat = house.app.state.hall.projection.roster.heats[0]
    assert desk.post(f"/desk/heats/{heat.id}/go", data={"seconds": "10"}).status_code < 400
    house.clocks.pass_ms(20_000)
    return house


def mark(house: House, seq: int, lane: int) -> None:
    """A repetition on a lane of the first heat."""
    heat = house.app.state.hall.projection.roster.heats[0]
    content = sent(a_mark(seq, f"{heat.lanes[lane].id}/1/lane"))
    house.marking.post("/marks", content=content, headers={"content-type": "application/json"})  # type: ignore[attr-defined]


def of(house: House, entry: str = "ent_1") -> Followed:
    return followed(house.app.state.hall, entry)


def test_everybody_can_be_followed_and_nobody_else(house: House) -> None:
    assert sum(len(group.entries) for group in offered(house.app.state.hall)) == 12
    visitor = house.browser("192.0.2.9")
    page = visitor.get("/follow").text
    assert 'href="/follow/ent_1"' in page and "Lanterns" in page
    assert visitor.get("/follow/ent_1").status_code == 200
    assert visitor.get("/follow/nobody").status_code == 404


def test_before_its_heat_it_says_when_and_on_which_lane(house: House) -> None:
    view = of(house)
    assert [(heat.title, heat.lane, heat.planned, heat.to_come) for heat in view.heats] == [
        ("Turn about, heat 1", 1, "10:00", True)
    ]
    assert view.about == "Open pairs · Copper Yard" and [one.place for one in view.standings] == [""]


def test_on_the_floor_it_says_what_the_entry_holds_and_what_it_takes_to_go_past(live: House) -> None:
    for seq in range(1, 6):
        mark(live, seq, 1)
    mark(live, 6, 0)
    view = of(live)
    assert [(heat.on_floor, heat.holds) for heat in view.heats] == [(True, "1")]
    (standing,) = view.standings
    assert (standing.place, standing.score) == ("2", "1 point")
    assert standing.ahead is not None
    assert (standing.ahead.entry, standing.ahead.takes, standing.ahead.away) == ("Chalk & Cheese", "more than 5 points", "4")
    assert of(live, "ent_2").standings[0].ahead is None, "whoever leads has nobody before them"


def test_once_its_heats_are_over_nothing_can_be_gone_past(live: House) -> None:
    for seq in range(1, 6):
        mark(live, seq, seq % 2)
    live.clocks.pass_ms(3_600_000)
    (standing,) = of(live).standings
    assert standing.place and standing.ahead is None


def test_a_page_that_shows_the_newest_is_not_sent_it_again(live: House) -> None:
    visitor = live.browser("192.0.2.9")
    first = visitor.get("/follow/ent_1/now")
    assert visitor.get("/follow/ent_1/now", headers={"if-none-match": first.headers["etag"]}).status_code == 304
    mark(live, 1, 0)
    live.clocks.pass_ms(1_000)
    second = visitor.get("/follow/ent_1/now", headers={"if-none-match": first.headers["etag"]})
    assert second.status_code == 200 and re.search(r'follow-count">1<', second.text)


def test_whom_to_follow_is_listed_as_an_alphabet_has_it(house: House) -> None:
    hall = house.app.state.hall
    roster = hall.projection.roster
    one = [entry for entry in roster.entries if entry.division == roster.entries[0].division][:5]
    named = dict(zip((entry.id for entry in one), ("Zora", "Łucja", "Éva", "åke", "Lukas"), strict=True))
    entries = tuple(entry.model_copy(update={"name": named.get(entry.id, entry.name)}) for entry in roster.entries)
    hall.projection.roster_changed(roster.model_copy(update={"entries": entries}), hall.projection.runs, ())
    shown = re.findall("|".join(named.values()), house.browser().get("/follow", headers={"accept": "text/html"}).text)
    assert list(dict.fromkeys(shown)) == ["åke", "Éva", "Łucja", "Lukas", "Zora"]


def test_names_are_text_and_nothing_else(house: House) -> None:
    hall = house.app.state.hall
    roster = hall.projection.roster
    entry = roster.entries[0].model_copy(update={"name": '"><img src=x onerror=alert(1)>'})
    hall.projection.roster_changed(roster.model_copy(update={"entries": (entry, *roster.entries[1:])}), hall.projection.runs, ())
    for page in ("/follow", "/follow/ent_1", "/follow/ent_1/now"):
        assert "<img src=x" not in house.browser().get(page).text


def test_what_it_takes_is_surely_better_than_the_score_ahead() -> None:
    """Whoever makes what is said stands before, in every standing of a meet: told from the scores, tried on their order."""
    tried = 0
    for found in results(a_meet()):
        for table in found.tables:
            for row in table.rows:
                ahead = ahead_of(table, row.entry.id)
                if ahead is None:
                    continue
                before = next(one for one in table.rows if one.entry.name == ahead.entry)
                assert before.score is not None and ahead.takes == takes_text(table.rule.better, before.score)
                if row.place is not None and row.score is not None:
                    assert (before.place or 0) <= row.place and before.score.key <= row.score.key
                    assert (ahead.away == "") == (apart_text(row.score, before.score) == "")
                tried += 1
    assert tried > 5


def test_it_is_said_as_scores_of_its_kind_are() -> None:
    made = Score(Fraction(582), "s", None, (Fraction(0), Fraction(582)), "9:42", (), Fraction(582))
    assert takes_text("less", made) == "faster than 9:42"
    assert takes_text("less", replace(made, left=13)) == "finishing, or fewer than 13 left"
    assert takes_text("more", replace(made, unit="kg", text="105")) == "more than 105 kg"
    assert takes_text("less", replace(made, unit="m", text="20")) == "less than 20 m"
