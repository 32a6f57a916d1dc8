"""A reviewer's page: one film at a time behind a link of their own, blind in all that comes over the network, sealed for ever."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.round.kept_records import NoRound
from app.rules.round import records as r
from app.rules.round.authority import HEADQUARTERS, Speaker
from tests.builders.round_house import Reviewing, RoundHouse, a_round_house, told_alone

CLAIMS = {1001: (7391, 8462), 1002: (5173, 6284), 2001: (7390, 8461), 2002: (2957, 4638)}


@pytest.fixture
def there(tmp_path: Path) -> Iterator[RoundHouse]:
    with a_round_house(tmp_path, CLAIMS) as found:
        yield found


def looked_at(there: RoundHouse, reviewer: str) -> r.LookOffered:
    (look,) = (one for one in there.headquarters.state.looks.values() if one.offer.reviewer == reviewer and one.state == "taken")
    return look.offer


def test_a_look_is_taken_filled_in_and_sealed_without_a_claim_in_the_traffic(there: RoundHouse) -> None:
    found = Reviewing(there, "one")
    assert "A film is waiting for you." in found.get() and found.post("next") == 303
    assert looked_at(there, "one").entry > 2000, "never a film of the own gym"
    page = found.get()
    film = f"film-{list(CLAIMS).index(looked_at(there, 'one').entry)}.mp4"
    for words in (film, "Window 1: Front squat, 0:00 to 0:30", "Hips below the knees.", "In the kit: 260 cm", "A plate: its"):
        assert words in page
    assert found.post("seal", found.filled(sure="")) == 422 and "never changed" in found.said
    assert found.post("seal", found.filled(**{"count-1": ""})) == 422 and "has no count" in found.said
    assert 'value="20 kg, grey sleeves"' in found.said, "what was typed is kept"
    assert found.post("seal", found.filled(**{"gear-0-at": ""})) == 422 and "Say when in the film" in found.said
    assert found.post("seal", found.filled(**{"fault-1-cut": "on"})) == 303, found.said
    (sealed,) = (one for one in there.headquarters.records if isinstance(one, r.LookSealed))
    assert sealed.by == "Bram Sedge" and sealed.gear == (r.Gear(what="bar", says="20 kg, grey sleeves", at_ms=4250),)
    first, second = sealed.seen
    assert (first.value, first.reps, second.value, second.at_ms, second.faults) == (3, (1500, 2500, 3500), 4, 52_500, ("cut",))
    assert found.post("seal", {"look": "none"}) == 409 and "was not sealed" in found.said
    assert "Sealed by you so far: 1." in found.get()
    for path in ("/", "/board", "/results", "/results.json", "/desk/round", "/look/NOBODY"):
        found.get(path)
    claimed = (*sum(CLAIMS.values(), ()), *map(sum, CLAIMS.values()))
    assert not told_alone(claimed).search(found.heard), "a claim came over the network"
    assert not told_alone(CLAIMS).search(found.heard), "an entry's number did"


def test_a_look_is_one_reviewers_for_a_time_and_then_goes_to_another(there: RoundHouse) -> None:
    first, other = Reviewing(there, "x"), Reviewing(there, "y")
    assert first.post("next") == 303 and first.post("next") == 409 and "has a look open" in first.said
    mine = looked_at(there, "x")
    form = first.filled()
    assert other.post("seal", form) == 409, "a look is sealed by whom it was given to"
    there.house.clocks.pass_ms(there.headquarters.state.rules.lease_ms + 1)
    assert first.post("seal", form) == 409 and "The time for this look is over" in first.said
    assert other.post("next") == 303 and looked_at(there, "y").line == mine.line, "it goes to the next who asks"
    assert there.headquarters.state.looks[mine.look].state == "given back"
    assert other.post("back") == 303 and "A film is waiting for you." in other.get(), "another film: nobody looks at a line twice"
    assert Reviewing(there, "y").browser.get("/look/AAAABBBBCCCCDDDD").status_code == 404
    log = there.house.desk().get("/desk/done").text
    assert "Take a look at a film" in log and not any(code in log for code in there.codes.values()), "no link stands in the log"


def test_headquarters_asks_the_table_of_authority_before_it_writes(there: RoundHouse) -> None:
    reviewing = Reviewing(there, "x")
    assert reviewing.post("next") == 303
    key, headquarters, now = looked_at(there, "x").look, there.headquarters, there.house.clocks.wall
    before = len(headquarters.records)
    for by, kind, fields in (
        (Speaker("reviewer", "y"), r.LookGivenBack, {"look": key}),
        (Speaker("reviewer", "x"), r.Published, {}),
        (Speaker("entry", entry=1002), r.Appeal, {"entry": 1001, "event": "sq", "why": "No"}),
        (HEADQUARTERS, r.Named, {"gym": 1, "why": "Odd"}),
    ):
        with pytest.raises(NoRound, match=r"another|all else|A person says that"):
            headquarters.add([(kind, fields)], now, by=by)
    headquarters.catch_up()
    assert len(headquarters.records) == before
