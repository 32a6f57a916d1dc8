"""Everybody asks for every page of headquarters and of a gym: who hears where a film is, who somebody is, what is claimed.

What may be heard, and where, stands in the tables here; all else is a leak.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

import pytest

from app.cli import main
from app.round.film_list import keep_some, kept_films
from app.rules.round import records as r
from app.rules.round.records import LineKey
from app.web.roles import ways
from tests.builders.gym_house import GymHouse, a_gym_house, lay_line, slip_code
from tests.builders.halls import ON_THE_LAN, House
from tests.builders.round_house import DICE, EVENT, HandingIn, Reviewing, RoundHouse, a_round_house, as_heard, told_alone
from tests.round.test_gym_page import handed_in
from tests.web.knocking import Caller, knock
from tests.web.test_roles import address_of

pytestmark = pytest.mark.slow

CLAIMS = {2001: (7390, 8461), 2002: (5173, 6284)}  # numbers that stand nowhere else
A_CLAIM = told_alone([*sum(CLAIMS.values(), ()), *map(sum, CLAIMS.values())])
COUNTED = {"Zofia-Quillfeather": 27, "Ignatz-Underwood": 24}  # who they are, for this name is in no page of headquarters
FILMS: Mapping[LineKey, str] = {(1001, EVENT): "https://films.example/own-1001", (1002, EVENT): "https://films.example/own-1002"}
OF_A_ROUND = r"/(round|look|claim|results|board|wall|desk/done)"  # what of the pages changes while a round goes on
Heard = dict[tuple[str, str], bytes]  # by caller and address


@pytest.fixture
def there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[RoundHouse]:
    """A round before its roll: gym 1 has handed in, two entries of gym 2 claimed by themselves, all films are listed."""
    monkeypatch.setattr("app.server.LOOK_FOR_ROUND_S", 1e6)
    with a_round_house(tmp_path / "headquarters", CLAIMS, drawn=False) as found:
        now = found.house.clocks.wall
        gym = HandingIn(found.headquarters, found.folder / "kit" / "round.kit", tmp_path / "gym", 1, now)
        headquarters, made = found.headquarters, gym.hand_in(COUNTED)
        headquarters.take_in(made.content, now)
        assert headquarters.check_here(made.digest, now) == () and len(headquarters.state.lines) == 4
        keep_some(found.folder, FILMS)
        yield found


def test_a_number_is_found_by_itself_and_with_words_and_not_in_a_digest() -> None:
    found = told_alone([7390, 15851])
    for said in (b"7390", b'"claim_7390":', b"7390reps", b"reps7390", b">7390<", b"claimed 15851, which", b"=7390&"):
        assert found.search(said), said
    for said in (b"c07390e4a1", b"7390deadbeef", b"ab7390", b"a7390b", b"Zm7390x1Q", b"17390", b"73901", b"x1_w7390Q2"):
        assert not found.search(said), said
    assert not found.search(as_heard({"content-length": "7390"}, b"")) and found.search(as_heard({"etag": "7390"}, b""))


def callers(house: House) -> list[Caller]:
    """A browser of each kind of visitor."""
    desk, head = house.desk(), house.browser()
    desk.post("/review/password", data={"password": "four odd words more", "again": "four odd words more"})
    assert head.post("/review/enter", data={"password": "four odd words more"}).status_code == 303
    return [
        Caller("anybody", {}, "reader"),
        Caller("desk", dict(desk.cookies), "desk"),
        Caller("head judge", dict(head.cookies), "head judge"),
        Caller("tablet", dict(house.tablet(1).cookies), "lane"),
    ]


def asked_for(house: House, everybody: Iterable[Caller], more: Iterable[str] = (), of: str = "") -> Heard:
    """What each hears who asks for every address there is that fits a pattern, and for some more."""
    addresses = [address_of(way) for way in ways(house.app) if "GET" in way.methods and re.search(of, way.path)]
    heard: Heard = {}
    for caller in everybody:
        for address in [*addresses, *more]:
            _, headers, body = knock(house, "GET", address, caller, "text/html")
            heard[caller.name, address] = as_heard(headers, body)
    return heard


def places(heard: Heard, told: Iterable[str]) -> set[tuple[str, str, str]]:
    """Who heard which of these where."""
    return {(caller, address, one) for (caller, address), body in heard.items() for one in told if one.encode() in body}


def looks_at(there: RoundHouse, found: Reviewing) -> LineKey:
    """The line whose film a reviewer has open."""
    (look,) = [
        one for one in there.headquarters.state.looks.values() if (one.offer.reviewer, one.state) == (found.reviewer, "taken")
    ]
    return look.offer.line


def test_no_page_of_headquarters_tells_where_a_film_is_or_who_somebody_is(there: RoundHouse, tmp_path: Path) -> None:
    house, everybody, films = there.house, callers(there.house), kept_films(there.folder)
    links = {entry: there.house.desk().post("/desk/round/act", data={}) for entry in ()}
    assert links == {} and len(films) == 4
    proofs = [f"/round/proof/{EVENT}/{entry}.json" for entry, _ in films]
    digest = next(iter(there.headquarters.state.hand_ins))
    more = [*proofs, f"/round/hand-in/{digest}", "/desk/round/receipts/1.receipt", *own_links(there).values()]
    may_hear = {("desk", "/desk/round", film) for film in films.values()}
    told = {*films.values(), *COUNTED}
    before = asked_for(house, everybody, more)
    assert len(before) > 600 and places(before, told) == may_hear

    house.clocks.pass_ms(3_600_001)
    headquarters = there.headquarters
    headquarters.close_roll(house.clocks.wall)
    headquarters.draw(DICE, ["Perrin Vale"], house.clocks.wall)
    headquarters.go_on(house.clocks.wall)
    reviewing = {one: Reviewing(there, one) for one in ("x", "one")}
    for found in reviewing.values():
        assert found.post("next") == 303
    links_of = [found.link for found in reviewing.values()]
    during = asked_for(house, everybody, [*more, *links_of], OF_A_ROUND)
    shown = {
        (caller.name, found.link, films[looks_at(there, found)]) for caller in everybody for found in reviewing.values()
    }  # whoever has a reviewer's link is that reviewer
    assert places(during, told) == may_hear | shown
    claimed = {(caller, at) for (caller, at), body in during.items() if A_CLAIM.search(body)}
    own, at_desk = own_links(there)[2001], ("desk", "/desk/round")
    assert claimed == {at_desk, *((caller.name, own) for caller in everybody)}, "a claim got out, or is not found"
    look_at_all(there, reviewing)
    headquarters = there.headquarters
    headquarters.add([(r.Published, {})], house.clocks.wall)
    after = asked_for(house, everybody, [*more, *links_of], OF_A_ROUND)
    assert places(after, told) == may_hear and told_alone([sum(CLAIMS[2001])]).search(after["anybody", "/round"])
    files_tell_nothing(there, tmp_path, films)


def own_links(there: RoundHouse) -> dict[int, str]:
    """The own links of entries, as headquarters' page shows them."""
    desk, found = there.house.desk(), dict[int, str]()
    for entry in (1001, 2001):
        page = desk.get(f"/desk/round?of={entry}&division=solo", headers={"accept": "text/html"}).text
        link = re.search(rf'href="(/claim/{entry}\.[^"]+)"', page)
        assert link is not None
        found[entry] = link[1]
    return found


def look_at_all(there: RoundHouse, reviewing: Mapping[str, Reviewing]) -> None:
    """Looks that find what was claimed, until no film waits for any of these."""
    while True:
        idle = 0
        for found in reviewing.values():
            if "A look is open" not in found.get() and not re.search(r'name="look" value', found.get()):
                idle += found.post("next") != 303
                continue
            claim = there.headquarters.state.lines[looks_at(there, found)].claim
            counts = {f"count-{n}": str(part) for n, part in enumerate(claim.parts)} | {
                "reps-0": "",
                "at-0": "0:20",
                "at-1": "1:00",
            }
            assert found.post("seal", found.filled(**counts)) == 303, found.said
            there.headquarters.go_on(there.house.clocks.wall)
        if idle == len(reviewing):
            return


def files_tell_nothing(there: RoundHouse, folder: Path, films: Mapping[LineKey, str]) -> None:
    """What headquarters publishes, its book and its backup: no film's address in any, and no name but in the backup."""
    for words in (("heads", folder / "heads"), ("book", folder / "book"), ("backup", folder / "backup")):
        assert main([*map(str, words), "--data", str(there.folder)]) == 0
    written = {
        one: one.read_bytes() for name in ("heads", "book", "backup") for one in (folder / name).rglob("*") if one.is_file()
    }
    assert len(written) >= 20
    assert not [one for one, content in written.items() for film in films.values() if film.encode() in content]
    named = [one for one, content in written.items() for name in COUNTED if name.encode() in content]
    assert named and all(folder / "backup" in one.parents for one in named)


@pytest.fixture
def gym(there: RoundHouse, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[GymHouse]:
    """The laptop of gym 2, which has listed its films and made a hand-in."""
    lay_line(monkeypatch, there)
    with a_gym_house(tmp_path / "gym-2") as found:
        assert found.open((there.folder / "kit" / "round.kit").read_bytes(), slip=slip_code(there, 2)) == 303
        found.judge({"solo1": 27, "solo2": 24})
        films = {f"film-{entry}-{EVENT}": f"https://films.example/two-{entry}" for entry in (2001, 2002)}
        assert found.post("hand-in/films", films) == 303 and found.post("hand-in/make") == 303
        yield found


def test_a_gym_tells_where_its_films_are_to_its_own_desk_alone(gym: GymHouse) -> None:
    films = [f"https://films.example/two-{entry}" for entry in (2001, 2002)]
    own = f"/desk/round/gym/hand-in/{handed_in(gym)}.hand-in"
    heard = asked_for(gym.house, callers(gym.house), [own])
    listed = ("/desk/round/gym/hand-in", "/desk/round/gym/hand-in/films.csv")
    assert places(heard, films) == {("desk", at, film) for at in listed for film in films}
    assert b"solo1" in heard["desk", own] and b"solo1" not in heard["anybody", own]
    assert not [at for _, at, film in places(heard, list(FILMS.values()))], "another gym's film"
    assert ON_THE_LAN
