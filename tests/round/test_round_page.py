"""Headquarters' page of a round: the next thing to do as one button, each effect shown before, from draw to invitations."""

import html
import re
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from pathlib import Path
from urllib.parse import urlencode

import pytest

from app.round.kept_records import NoRound
from app.rules.round import records as r
from app.rules.round.fold import fold
from app.rules.round.rule import HOUR
from tests.builders.halls import TestClient, a_house
from tests.builders.round_house import EVENT, PAGE, Reviewing, RoundHouse, a_round_house
from tests.round.test_claim_page import says_truly

CLAIMS = {1001: (14, 12), 1002: (5, 4), 2001: (18, 17), 2002: (6, 5)}
COUNTS = CLAIMS | {2001: (12, 12)}  # what the films show


@pytest.fixture
def there(tmp_path: Path) -> Iterator[RoundHouse]:
    with a_round_house(tmp_path, CLAIMS) as found:
        yield found


class Office:
    """Headquarters' own browser."""

    def __init__(self, there: RoundHouse) -> None:
        self.there, self.desk = there, there.house.desk()

    def page(self, query: str = "") -> str:
        answer = self.desk.get(f"/desk/round{query}", headers=PAGE)
        self.status = answer.status_code
        return answer.text

    def next(self, **form: str) -> str:
        """Presses the one button; what the page then says comes next."""
        button = re.search(r'name="do" value="([\w-]+)"', self.page())
        assert button is not None, self.page()
        self.post("step", {"do": button[1], **form})
        assert self.status == 303, self.said
        return self.what_next()

    def what_next(self) -> str:
        found = re.search(r'id="next-title">Next</h2>\s*<p>(.*?)</p>', self.page())
        assert found is not None
        return found[1]

    def later(self, hours: int) -> None:
        """Lets days pass, after which the desk logs in again."""
        self.there.house.clocks.pass_ms(hours * HOUR)
        self.desk = self.there.house.desk()

    def post(self, act: str, form: dict[str, str]) -> None:
        answer = self.desk.post(f"/desk/round/{act}", data=form, headers=PAGE)
        self.status, self.said = answer.status_code, html.unescape(answer.text)


def everybody_looks(there: RoundHouse) -> None:
    """Reviewers look until no film waits for any of them."""
    found = True
    while found:
        found = False
        for reviewer in there.codes:
            one = Reviewing(there, reviewer)
            if one.post("next") == 303:
                open_now = (look for look in there.headquarters.state.looks.values() if look.state == "taken")
                counts = COUNTS[next(look.offer.entry for look in open_now)]
                form = one.filled(**{f"count-{n}": str(count) for n, count in enumerate(counts)}, **{"reps-0": ""})
                assert one.post("seal", form) == 303, one.said
                found = True


def test_a_round_is_played_on_the_pages_from_the_draw_to_the_invitations(there: RoundHouse) -> None:
    office, line = Office(there), {"entry": "2001", "event": EVENT}
    page = office.page()
    assert "among the best" in page and "drawn" in page and "0 of 1 sealed" in page and "1001" in page
    assert "Films that wait for a look: 3." in office.what_next(), "nothing to press: reviewers are awaited"
    everybody_looks(there)
    assert office.what_next() == "To decide: 1."
    assert "adjusted 24. Claimed: 35. Place 1 becomes place 2." in office.page()
    office.post("rule", line)
    assert office.status == 422 and "The head judge's name is missing" in office.said.replace("Head", "head")
    state = there.headquarters.state
    who_looked = state.reviewers[state.lines[2001, EVENT].looks[0].offer.reviewer].name
    office.post("rule", line | {"by": who_looked})
    assert office.status == 409 and "Nobody decides on an own look." in office.said
    office.post("rule", line | {"by": "Quill Amberley"})
    assert office.status == 303 and there.headquarters.state.lines[2001, EVENT].value == 24
    everybody_looks(there)
    assert office.what_next() == "All looks are done and decided."
    assert office.next().startswith("Somebody may still appeal. Until ")
    ticked = ["Claimed, with a film", "On the closed roll", "Looked at 2 times", "Decided", "Published"]
    assert ticks(there, own_link(office, 2001)) == ticked
    appeals(office)
    office.later(73)
    assert office.what_next() == "No appeal is open, and none may come any more."
    assert office.next() == "Invitations without an answer yet: 1. One that runs out moves on to the next."
    assert "Entry 1001: invitation offered" in office.page()
    own, anybody = own_link(office, 1001), there.house.browser()
    shown = anybody.get(own, headers=PAGE).text
    assert "invitation: <strong>offered" in shown and "I don't come" in shown
    assert anybody.post(f"{own}/answer", data={"answer": "perhaps"}, headers=PAGE).status_code == 422
    assert anybody.post(f"{own_link(office, 1002)}/answer", data={"answer": "accepted"}, headers=PAGE).status_code == 409
    assert anybody.post(f"{own}/answer", data={"answer": "declined"}).status_code == 303
    assert "Entry 1001: invitation declined" in office.page() and "Entry 2001: invitation offered" in office.page()
    office.later(49)
    assert office.what_next() == "Due by itself, and not written down yet: 2."
    assert "invitation lapsed" in (office.next() and office.page())


def own_link(office: Office, entry: int) -> str:
    """The own link of an entry, as the page shows it."""
    found = re.search(r'href="(/claim/[^"]+)"', office.page(f"?of={entry}&division=solo"))
    assert found is not None
    return found[1]


def ticks(there: RoundHouse, link: str) -> list[str]:
    """What an entry's page ticks, but for what came by its own link."""
    shown = re.findall(r'data-state="safe">([^<]+)</span></li>', there.house.browser().get(link, headers=PAGE).text)
    return [one for one in shown if not one.startswith("Sent by")]


def appeals(office: Office) -> None:
    """An appeal whose answer is shown before it is made, and is no answer of whoever decided."""
    said = {"line": f"2001 {EVENT}", "why": "The camera hides three"}
    with ThreadPoolExecutor(2) as pool:  # pressed twice at one instant
        sent = [pool.submit(office.desk.post, "/desk/round/appeal", data=said, headers=PAGE) for _ in range(2)]
        assert sorted(one.result().status_code for one in sent) == [303, 409]
    office.post("appeal", said)
    assert office.status == 409 and "A decision is appealed against once: the appeal is filed." in office.said
    own = office.there.house.browser().post(f"{own_link(office, 2001)}/appeal", data=said | {"event": EVENT}, headers=PAGE)
    assert own.status_code == 409 and "the appeal is filed." in own.text
    assert sum(isinstance(one, r.Appeal) for one in office.there.headquarters.records) == 1
    says_truly(office.there, office.there.house.browser().get(own_link(office, 2001), headers=PAGE).text, 2001)
    page, asked = office.page(), f"?entry=2001&event={EVENT}&outcome=partly&why=Seen+again"
    assert office.status == 200 and "The camera hides three" in page and "If it is upheld: Place 2 becomes place 1." in page
    assert "A score is said where an appeal is met in part." in office.page(asked) and office.status == 409
    before = len(office.there.headquarters.records)
    assert "Claimed 35, then 27: partly. Place 2 becomes place 1." in office.page(f"{asked}&score=27")
    assert len(office.there.headquarters.records) == before, "what is shown is not done"
    form = {"entry": "2001", "event": EVENT, "outcome": "refused", "why": "Seen again"}
    office.post("rule", form | {"by": "Quill Amberley"})
    assert office.status == 409 and "Another head judge answers than who decided." in office.said
    office.post("rule", form | {"by": "Tansy Roe"})
    assert office.status == 303 and office.there.headquarters.state.lines[2001, EVENT].appeal == "refused"
    panel = {"of_line": f"2001 {EVENT}", "outcome": "partly", "score": "25", "why": "Seen by three"}
    shown = office.page("?" + urlencode(panel | {"judges": "Ivo Marsh, Wren Hollis"}))
    assert office.status == 409 and "A panel is 3 judges." in shown
    panel |= {"judges": "Ivo Marsh, Wren Hollis, Odo Pell"}
    assert "Claimed 35, then 25: partly." in office.page("?" + urlencode(panel))
    office.post("rule", panel | {"by": "Tansy Roe"})
    assert office.status == 303 and office.there.headquarters.state.lines[2001, EVENT].value == 25


def test_lists_and_files_are_taken_in_and_what_is_wrong_is_said(there: RoundHouse) -> None:
    office = Office(there)
    office.post("films", {"films": "7777,sq,https://example.invalid/one"})
    assert office.status == 409 and "There is no line of entry 7777 in sq." in office.said
    office.post("films", {"films": ""})
    assert office.status == 303 and "No address is on the list of films." in office.page()
    assert "No film is waiting for you now." in Reviewing(there, "x").get()
    office.post("reviewer", {"name": "Tansy Roe", "gym": "9"})
    assert office.status == 409 and "No gym has this number." in office.said
    office.post("reviewer", {"name": "Tansy Roe", "gym": "2"})
    assert there.headquarters.state.reviewers["tansy-roe"] == r.Reviewer(
        number=len(there.headquarters.records), at=there.house.clocks.wall, reviewer="tansy-roe", name="Tansy Roe", gym=2
    )
    link = re.search(r'href="(/look/\w+)">Own link<span class="visually-hidden"> of Tansy Roe', office.page())
    assert link is not None and "Tansy Roe looks at films." in there.house.browser().get(link[1], headers=PAGE).text
    for data, said in ((b"", "Choose the file"), (b"nothing", "This is not a hand-in file as it was written.")):
        answer = office.desk.post("/desk/round/hand-in", files={"file": ("one", data)}, headers=PAGE)
        assert said in answer.text and answer.status_code in (409, 422)
    assert office.desk.get("/desk/round/receipts/1.receipt").status_code == 404


def test_what_a_command_adds_is_on_the_page_and_of_a_refused_lot_nothing_stays(there: RoundHouse) -> None:
    office, now = Office(there), there.house.clocks.wall
    assert "Tin Roof" not in office.page()
    command = there.headquarters
    command.add([(r.Gym, {"gym": 3, "name": "Tin Roof"})], now)
    assert "3 Tin Roof" in office.page(), "the server reads what came since"
    lot = [(r.Gym, {"gym": 4, "name": "Lower Ferry"}), (r.Gym, {"gym": 3, "name": "Another"})]
    with pytest.raises(NoRound, match="Another gym has this number"):
        command.add(lot, now)
    assert 4 not in command.state.gyms and command.state == fold(command.records)


def test_a_film_that_nobody_is_left_to_look_at_says_so(there: RoundHouse) -> None:
    office, said = Office(there), "Everybody who may look at it has: add a reviewer."
    assert said not in office.page()
    for reviewer in there.codes:
        while Reviewing(there, reviewer).post("next") == 303:
            assert Reviewing(there, reviewer).post("back") == 303
    assert office.page().count(said) == 3
    office.post("reviewer", {"name": "Wren Hollis"})
    assert office.status == 303 and said not in office.page()


def acts_of(office: Office) -> set[str]:
    """The other acts that the page offers."""
    return set(re.findall(r'name="do" value="([a-z]+)">', office.page().partition('id="acts"')[2]))


def test_what_the_page_has_no_place_of_its_own_for_is_said_by_an_act(tmp_path: Path) -> None:
    with a_round_house(tmp_path, CLAIMS, drawn=False) as there:
        office, now = Office(there), there.house.clocks.wall
        assert acts_of(office) == {"gym", "promise", "withdraw", "extend", "late", "doubt"}
        office.post("act", {"do": "gym", "gym": "3", "name": "Tin Roof"})
        assert office.status == 303 and there.headquarters.state.gyms[3].name == "Tin Roof"
        slips = office.desk.get("/desk/round/slips.html").text
        assert office.desk.get("/desk/round/round.kit").content == (there.folder / "kit" / "round.kit").read_bytes()
        assert re.findall(r"<p>G(\d)-", slips) == ["1", "2", "3"]
        office.post("act", {"do": "promise", "gym": "3", "hand_in": "AB " * 20})
        assert (
            office.status == 422
            and "A digest is 64 digits and letters from a to f, or eight groups of four letters." in office.said
        )
        office.post("act", {"do": "promise", "gym": "3", "hand_in": "AB " * 32, "replaces": ""})
        assert office.status == 303 and there.headquarters.state.hand_ins["ab" * 32].state == "promised"
        assert len(there.headquarters.receipts()) == 1
        office.post("act", {"do": "withdraw", "gym": "3", "why": "Another day"})
        assert office.status == 422 and "This gym has no sound hand-in." in office.said
        unsaid = ("tomorrow", "2999-01-01T20:00", "9999-12-31T23:59-12:00", "0001-01-01T00:00+12:00")
        for typed, code in (*((one, 422) for one in unsaid), ("1999-01-01T20:00+01:00", 409)):
            office.post("act", {"do": "extend", "until": typed, "why": "Rain"})
            assert office.status == code, office.said
        until = datetime.fromtimestamp(now / 1000 + 7200, UTC).isoformat(timespec="seconds")
        office.post("act", {"do": "extend", "until": until, "why": "Rain"})
        assert office.status == 303 and there.headquarters.state.deadline_ms == (now // 1000 + 7200) * 1000


def test_rulings_beside_the_scale_are_said_by_name_on_the_page(there: RoundHouse) -> None:
    office, line = Office(there), {"entry": "1002", "event": EVENT}
    assert acts_of(office) == {"gym", "late", "doubt", "ask", "name"}
    office.post("act", {"do": "ask", **line, "why": "Seen in the hall"})
    assert office.status == 422 and "The head judge's name is missing" in office.said
    office.post("act", {"do": "ask", **line, "why": "Seen in the hall", "by": "Quill Amberley"})
    assert office.status == 303 and there.headquarters.state.lines[1002, EVENT].asks[-1].reason == "ruling"
    late = {"do": "late", "entry": "2003", "event": EVENT, "division": "solo", "gym": "2", "why": "Post", "by": "Quill Amberley"}
    office.post("act", late | {"parts": "7"})
    assert office.status == 422 and "Say 2 numbers, with ; between." in office.said
    office.post("act", late | {"parts": "7; 6"})
    state = there.headquarters.state
    assert office.status == 303 and state.lines[2003, EVENT].late and state.lines[2003, EVENT].claimed == 13
    office.post("act", {"do": "name", "gym": "1", "why": "Odd", "by": "Quill Amberley"})
    assert office.status == 409 and "A gym is named after 2 corrections." in office.said
    assert there.house.desk().post("/desk/round/act", data={"do": "none"}).status_code == 409


def test_a_hall_without_a_round_says_how_one_begins(tmp_path: Path) -> None:
    with a_house(tmp_path) as house:
        desk: TestClient = house.desk()
        assert "No round was begun here" in desk.get("/desk/round", headers=PAGE).text
        assert desk.post("/desk/round/step", data={"do": "roll"}).status_code == 404
