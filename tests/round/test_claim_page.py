"""An entry's own link: a claim is shown complete or lacking before it goes, and a later one replaces it until the deadline."""

import html
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.round.checking import chain_faults, read_checked
from app.round.film_list import kept_films
from app.rules.round import records as r
from app.rules.round.codec import leaf
from app.rules.round.hand_in import Receipt
from app.rules.round.kit import BadKit, said_in
from app.rules.round.rule import HOUR
from app.rules.workout.formats import ListTask
from tests.builders.halls import ON_THE_LAN, STORE
from tests.builders.played import PLAYED
from tests.builders.round_house import DICE, EVENT, PAGE, Reviewing, RoundHouse, a_round_house
from tests.faults.hearing import Said
from tests.faults.rounds import entry_ground
from tests.faults.teller import Teller, Untrue

FILM = "https://films.example/one"


@pytest.fixture
def there(tmp_path: Path) -> Iterator[RoundHouse]:
    with a_round_house(tmp_path, {1001: (14, 12), 2001: (9, 8)}, drawn=False) as found:
        yield found


def link(there: RoundHouse, entry: int) -> str:
    """The own link of an entry, as headquarters' page shows it."""
    page = there.house.desk().get(f"/desk/round?of={entry}&division=solo", headers=PAGE).text
    found = re.search(r'href="(/claim/[^"]+)"', page)
    assert found is not None, page
    return found[1]


def says_truly(there: RoundHouse, page: str, entry: int) -> None:
    """Holds what an entry's page says that headquarters has against what lies there."""
    said = [re.sub(r"<[^>]+>", "", one) for one in re.findall(r'<p [^>]*data-role="said">(.*?)</p>', page)]
    leaves = {leaf(one) for one in there.headquarters.records if isinstance(one, r.Claim) and one.entry == entry}
    ground = entry_ground(there.folder / STORE, entry, leaves)
    assert said, "it says nothing"
    Teller("a claim", ground).listen(lambda: [Said("round", 0, words, 0) for words in said])
    with pytest.raises(Untrue):
        Teller("another's", entry_ground(there.folder / STORE, 0, ())).listen(lambda: [Said("round", 0, said[0], 0)])


def test_a_claim_is_shown_before_it_goes_and_a_later_one_replaces_it(there: RoundHouse) -> None:
    own, browser = link(there, 1002), there.house.browser(ON_THE_LAN)
    assert "Nothing is claimed yet." in browser.get(own, headers=PAGE).text
    typed = {"event": EVENT, "count-0": "11", "count-1": "9", "film": ""}
    before = len(there.headquarters.records)
    for change, said in (
        ({"count-1": ""}, "Window 2 has no number."),
        ({"film": "javascript:alert(1)"}, "The film's address begins with https://."),
        ({"event": "other"}, "The round has no such event."),
        ({"film": f"{FILM} 2"}, "has no blanks"),
    ):
        assert said in html.unescape(browser.post(f"{own}/look", data=typed | change, headers=PAGE).text)
    assert "There is no address of your film yet." in browser.post(f"{own}/look", data=typed, headers=PAGE).text
    shown = browser.post(f"{own}/look", data=typed | {"film": FILM}, headers=PAGE).text
    ticks = dict.fromkeys(re.findall(r'name="(check-\w+)"', shown), "on")
    assert len(ticks) == 5 and shown.count("Not ticked off: ") == 5 and "It is complete." not in shown
    typed |= ticks
    shown = browser.post(f"{own}/look", data=typed | {"film": FILM}, headers=PAGE).text
    assert "11 reps, 9 reps. Score: 20" in shown and "It is complete." in shown and len(there.headquarters.records) == before
    for count in ("9", "10"):
        sent = browser.post(f"{own}/send", data=typed | {"count-1": count, "film": FILM}, headers=PAGE)
        assert sent.status_code == 303
    says_truly(there, browser.get(sent.headers["location"], headers=PAGE).text, 1002)
    for others in (f"{own}?receipt=1", f"{own}?receipt=3", f"{link(there, 1001)}?receipt=2", f"{own}?filed=yes"):
        told = browser.get(others, headers=PAGE).text
        assert "Headquarters has it" not in told and "is filed" not in told, "nothing is said to be there by an address alone"
    found = there.headquarters
    assert [str(n) for n in found.state.lines[1002, EVENT].claim.parts] == ["11", "10"], "the later one counts"
    assert {f"check-{one}" for one in found.state.lines[1002, EVENT].claim.film_checks} == set(ticks)
    assert sum(isinstance(one, r.Claim) and one.entry == 1002 for one in found.records) == 2, "both are kept"
    assert kept_films(there.folder)[1002, EVENT] == FILM and b"films.example" not in b"".join(found.receipts())
    assert chain_faults(found.receipts(), found.state.key) == []
    told = said_in(read_checked(found.receipts()[1], "receipt").says, Receipt)
    assert (told.what, told.hand_in) == ("claimed", found.state.lines[1002, EVENT].leaf)
    there.house.clocks.pass_ms(2 * HOUR)
    assert "That is past the deadline." in browser.post(f"{own}/send", data=typed, headers=PAGE).text
    assert "Show what it says" not in browser.get(own, headers=PAGE).text


def test_a_full_disk_that_keeps_the_claim_and_not_where_its_film_is_is_told(
    there: RoundHouse, monkeypatch: pytest.MonkeyPatch
) -> None:
    own, browser = link(there, 1002), there.house.browser(ON_THE_LAN)
    typed = {"event": EVENT, "count-0": "11", "count-1": "9", "film": FILM}

    def full(*_: object) -> None:
        raise BadKit("The folder of the round can't be written: No space left on device.")

    with monkeypatch.context() as no_room:
        no_room.setattr("app.round.film_list.add_in_room", full)
        said = browser.post(f"{own}/send", data=typed, headers=PAGE)
    assert said.status_code == 409 and "Your claim is taken. Its receipt is 1." in said.text and "No space left" in said.text
    assert (1002, EVENT) in there.headquarters.state.lines and (1002, EVENT) not in kept_films(there.folder)
    assert browser.post(f"{own}/send", data=typed, headers=PAGE).status_code == 303
    assert kept_films(there.folder)[1002, EVENT] == FILM


def test_a_link_is_of_one_entry_alone(there: RoundHouse) -> None:
    own, browser = link(there, 1002), there.house.browser(ON_THE_LAN)
    for wrong in (own.replace("1002", "1001"), own.replace("solo", "pairs"), own[:-1], "/claim/x", "/claim/1002.solo."):
        assert browser.get(wrong, headers=PAGE).status_code == 404
        assert browser.post(f"{wrong}/send", data={"event": EVENT, "count-0": "1", "count-1": "1"}).status_code == 404
    desk = there.house.desk()
    for asked, said in (("of=9001&division=solo", "No gym has an entry"), ("of=1001&division=pairs", "another division")):
        assert said in desk.get(f"/desk/round?{asked}", headers=PAGE).text
    assert own.split("/")[-1] not in desk.get("/desk/done", headers=PAGE).text


def test_a_capped_time_is_claimed_and_looked_at_in_the_words_of_the_halls_paper(tmp_path: Path) -> None:
    format = PLAYED["shared work"].format
    (task,) = format.tasks.values()
    assert isinstance(task, ListTask)
    work = task.work_in_round * (task.rounds or 1)
    with a_round_house(tmp_path, {1001: (300,), 1002: (400,)}, drawn=False, format=format) as there:
        own, browser = link(there, 2001), there.house.browser(ON_THE_LAN)
        assert "Finish (m:ss), or repetitions done at the bell" in browser.get(own, headers=PAGE).text
        typed = {"event": EVENT, "film": FILM}
        assert "is a time such as 4:05" in browser.post(f"{own}/look", data=typed | {"count-0": str(work)}, headers=PAGE).text
        shown = browser.post(f"{own}/look", data=typed | {"count-0": str(work - 10)}, headers=PAGE).text
        assert f"{work - 10} of {work} repetitions. Score: capped, 10 left" in shown
        assert browser.post(f"{own}/send", data=typed | {"count-0": "4:50"}).status_code == 303
        assert "Claimed: 4:50." in browser.get(own, headers=PAGE).text
        there.house.clocks.pass_ms(HOUR + 1)
        found = there.headquarters
        found.close_roll(there.house.clocks.wall)
        found.draw(DICE, ["Perrin Vale"], there.house.clocks.wall)
        found.go_on(there.house.clocks.wall)
        looking = Reviewing(there, "one")
        assert looking.post("next") == 303 and "Finish (m:ss), or repetitions done at the bell" in looking.get()
        assert looking.post("seal", looking.filled(**{"count-0": "4:5", "reps-0": "", "count-1": ""})) == 422
        assert looking.post("seal", looking.filled(**{"count-0": "4:52", "reps-0": ""})) == 303, looking.said
        (line,) = (one for one in there.headquarters.state.lines.values() if one.sealed)
        assert line.sealed == [292] and line.claim.entry == 2001
