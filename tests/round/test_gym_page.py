"""A gym's pages of a round: the kit is shown before it opens, nothing of a bad one stays, and what was handed in is proven."""

import html
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.round.checking import read_checked
from app.round.gym.film_notes import NOTES
from app.round.signing import GYM_KEY, SigningKey, key_in
from app.round.taking.arriving import MOST_A_DAY
from app.round.taking.check_apart import Found
from app.rules.round import records as r
from app.rules.round.kit import Kit, Promise, said_in, says_of
from app.rules.round.rule import HOUR
from app.store.rounds import ROOM
from app.web.limits import USUAL_BYTES
from tests.builders.gym_house import ADDRESS, GymHouse, Line, a_gym_house, lay_line, slip_code
from tests.builders.halls import STORE
from tests.builders.round_house import EVENT, RoundHouse, a_round_house
from tests.faults.ground import Ground, Held
from tests.faults.hearing import Said
from tests.faults.rounds import ground_of
from tests.faults.teller import Teller, Untrue
from tests.postgres import needed_cluster

REPS = {"solo1": 27, "solo2": 24}


@pytest.fixture
def there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[RoundHouse]:
    monkeypatch.setattr("app.server.LOOK_FOR_ROUND_S", 1e6)  # what comes is checked when a test says so
    with a_round_house(tmp_path / "headquarters", {2001: (9, 8)}, drawn=False) as found:
        yield found


@pytest.fixture
def gym(tmp_path: Path) -> Iterator[GymHouse]:
    with a_gym_house(tmp_path / "gym") as found:
        yield found


@pytest.fixture
def kit(there: RoundHouse) -> bytes:
    return (there.folder / "kit" / "round.kit").read_bytes()


@pytest.fixture
def line(monkeypatch: pytest.MonkeyPatch, there: RoundHouse) -> Line:
    return lay_line(monkeypatch, there)


def print_in(there: RoundHouse) -> str:
    return slip_code(there, 1).rpartition("-")[2]


def test_a_kit_is_shown_before_it_is_opened_and_then_the_event_is_in_the_hall(
    there: RoundHouse, gym: GymHouse, kit: bytes
) -> None:
    assert "Open the round's kit" in gym.desk.get("/desk/competition", headers={"accept": "text/html"}).text
    assert gym.post("look", file=kit) == 200
    for words in (
        "Two gyms",
        "Front squats twice",
        print_in(there),
        "1 event and 3 divisions come in",
        "in 1 h 0 min",
        "1 to be",
    ):
        assert words in gym.said, words
    assert gym.kept() == [] and gym.roster is None, "nothing is kept by looking"
    assert gym.open(kit, slip=slip_code(there, 1).lower()) == 303
    roster = gym.roster
    assert roster is not None and [event.id for event in roster.events] == [EVENT] and roster.entries == ()
    page = gym.page()
    assert "This is gym <strong>1</strong>" in page and "data:image/svg" in page
    assert "is typed in" in gym.desk.get("/desk/setup").text
    assert gym.open(kit) == 303, "opened again it changes nothing"
    assert "This is gym <strong>1</strong>" in gym.page()


def test_what_is_no_kit_of_the_slips_headquarters_is_told_and_nothing_stays(there: RoundHouse, gym: GymHouse, kit: bytes) -> None:
    says = read_checked(kit, "kit").says
    other = said_in(says, Kit)
    bad = {
        b"": "Choose the kit's file.",
        kit[:-10] + b"7" + kit[-9:]: "changed since it was signed",
        kit[: len(kit) // 2]: "This is not a kit file as it was written.",
        b"x" * (2 * 1024 * 1024 + 1): "larger than 2 MB",
        b"nothing": "This is not a kit file as it was written.",
        SigningKey(bytes(32)).sign("kit", says_of(other)[:-1] + b',"more":1}'): "This is not a kit file as it was written.",
    }
    for content, sentence in bad.items():
        assert gym.post("look", file=content) in (409, 422)
        assert sentence in gym.said, sentence
    forged = SigningKey(bytes(32)).sign("kit", says)
    assert gym.open(forged, slip=slip_code(there, 1)) == 409
    assert "This slip is not of the kit's headquarters" in gym.said
    assert gym.open(kit, slip="G1-ABC") == 409 and "A slip's code has three parts" in gym.said
    assert gym.kept() == [] and gym.roster is None


def test_a_kit_whose_deadline_is_over_opens_only_where_somebody_says_so(there: RoundHouse, kit: bytes, tmp_path: Path) -> None:
    with a_gym_house(tmp_path / "late", late_ms=HOUR + 1) as late:
        assert late.post("look", file=kit) == 200 and "The deadline of this kit was" in late.said
        assert late.open(kit) == 409 and "Nothing was opened." in late.said
        assert late.kept() == [] and late.roster is None
        assert late.open(kit, over="on") == 303 and late.roster is not None


def test_a_hall_with_another_competition_keeps_it_and_takes_no_kit(there: RoundHouse, kit: bytes, tmp_path: Path) -> None:
    with a_gym_house(tmp_path / "busy", competition=True) as busy:
        before = busy.roster
        assert before is not None
        assert busy.post("look", file=kit) == 409
        assert "All of it stays as it is" in busy.said and "serve --data FOLDER" in busy.said
        assert before.competition.name in busy.said and busy.roster == before
        assert busy.kept() == []


def test_a_kit_opens_without_its_slip_and_hands_nothing_in_before_it(there: RoundHouse, gym: GymHouse, kit: bytes) -> None:
    assert gym.open(kit) == 303
    assert print_in(there) in gym.page() and "Film words" not in gym.page()
    assert 'name="slip"' in gym.page("/hand-in"), "the slip comes before the hand-in"
    assert "Type in the code of your slip." in gym.desk.get("/desk/setup").text
    assert gym.post("slip", {"slip": slip_code(there, 2)}) == 303 and "This is gym <strong>2</strong>" in gym.said
    assert gym.post("slip", {"slip": slip_code(there, 1)}) == 303 and "This is gym <strong>1</strong>" in gym.said
    text = re.search(r"<textarea[^>]*name=\"scanned\"", there.house.desk().get("/desk/round").text)
    assert text is not None
    scanned = (gym.folder / "round" / "binding.json").read_text().replace("\n", "\r\n")
    office = there.house.desk()
    assert office.post("/desk/round/hand-in", data={"scanned": scanned}, files={"file": ("", b"")}).status_code == 303
    assert 1 in there.headquarters.state.keys


def hears(there: RoundHouse, gym: GymHouse, digest: str, ground: Ground | None = None) -> set[str]:
    """Holds all that the gym's pages say of receipts against what lies at headquarters and here; the sentences that were said."""
    pages = gym.page() + gym.page("/hand-in") + there.house.desk().get("/desk/round").text
    said = re.findall(r'<p[^>]*data-role="(?:said|unchecked)"[^>]*>(.*?)</p>', pages, re.DOTALL)
    said += re.findall(r"<strong>Hand in</strong>.*?</span> <span[^>]*>(.*?)</span></a>", gym.desk.get("/desk/setup").text)
    words = [" ".join(html.unescape(re.sub(r"<[^>]+>", "", one)).split()) for one in said]
    teller = Teller("a round", ground or ground_of(there.folder / STORE, gym.folder, digest))
    teller.listen(lambda: [Said("round", 0, one, 0) for one in words])
    return set(teller.heard)


def handed_in(gym: GymHouse) -> str:
    """The digest of the newest hand-in, as the page has it."""
    found = re.search(r'name="digest" value="(\w+)"', gym.page("/hand-in"))
    assert found is not None, gym.page("/hand-in")
    return found[1]


def test_what_lacks_is_shown_before_it_goes_and_receipts_prove_what_was_sent(
    there: RoundHouse, gym: GymHouse, kit: bytes, line: Line
) -> None:
    assert gym.open(kit, slip=slip_code(there, 1)) == 303
    assert "There is no line to hand in yet." in gym.page("/hand-in")
    gym.judge(REPS | {"solo3": 0})
    assert len(hears(there, gym, "")) == 1
    page = gym.page("/hand-in")
    assert "27 reps, 0 reps. Score: 27" in page and "Not judged yet." in page and "Without a line: 1." in page
    assert "Lines without a film's address: 2." in page
    assert gym.post("hand-in/films", {f"film-1001-{EVENT}": "https://films.example/1", f"film-1002-{EVENT}": ""}) == 303
    assert "Lines without a film's address: 1." in gym.said and "Lines without the print of a film: 2." in gym.said
    assert "Lines without a whole film checklist: 2." in gym.said and "5 of 5 not ticked off" in gym.said
    checks = re.findall(rf'name="(check-\w+-1001-{EVENT})"', gym.said)
    filmed = {f"film-1001-{EVENT}": "https://films.example/1", f"print-1001-{EVENT}": "AB" * 32} | dict.fromkeys(checks, "on")
    assert (
        len(checks) == 5 and gym.post("hand-in/films", filmed | {f"print-1001-{EVENT}": "ab"}) == 409 and "64 digits" in gym.said
    )
    unfit = filmed | {f"film-1002-{EVENT}": "my film.mp4"}
    assert gym.post("hand-in/films", unfit) == 409 and "no blanks" in gym.said
    assert "Lines without a whole film checklist: 2." in gym.page("/hand-in"), "nothing of a refused form is kept"
    assert gym.post("hand-in/films", filmed) == 303 and "Lines without a whole film checklist: 1." in gym.said
    notes = gym.folder / ROOM / NOTES
    aside = notes.rename(notes.with_suffix(".aside"))
    notes.mkdir()  # what stands for a file that the system does not let us read
    assert "The notes of films (" in gym.page("/hand-in") and gym.post("hand-in/make") == 409 and "can't be read: " in gym.said
    assert "or move it elsewhere and note the films again." in gym.said
    notes.rmdir()
    aside.rename(notes)
    assert gym.post("hand-in/make") == 303
    digest = handed_in(gym)
    assert "No receipt of headquarters is here for it." in gym.said
    send = {"digest": digest, "address": ADDRESS}
    line.holds = False
    assert gym.post("hand-in/send", send | {"do": "all"}) == 409 and "can't be reached: no route" in gym.said
    assert len(hears(there, gym, digest)) == 2
    line.holds = True
    assert gym.post("hand-in/send", send | {"do": "digest"}) == 303
    assert "Headquarters has its digest: receipt 1," in gym.said and "The file must reach it by" in gym.said
    assert len(hears(there, gym, digest)) == 3
    with pytest.raises(Untrue, match="Headquarters has its digest"):
        hears(there, gym, digest, Ground(lambda: Held([])))
    line.change = lambda answer: re.sub(rb',"wanted":(true|false)', b"", answer)  # as a headquarters that says less answers
    assert gym.post("hand-in/send", send | {"do": "all"}) == 303
    line.change = lambda answer: answer
    assert "Headquarters has its file: receipt 2," in gym.said and "checked is not known" in gym.said
    assert "round: Files that wait to be checked: …. No line in them counts yet." in hears(there, gym, digest)
    headquarters = there.headquarters
    assert [one.gym for one in headquarters.records if isinstance(one, r.Promised)] == [1], "what is sent twice is taken once"
    headquarters.check_here(digest, there.house.clocks.wall)
    assert gym.post("hand-in/send", send | {"do": "ask"}) == 303
    assert "Headquarters has checked it: receipt 3," in gym.said and "Nothing was amiss." in gym.said
    claim = there.headquarters.state.lines[1001, EVENT].claim
    assert claim.film_print == "ab" * 32 and set(claim.film_checks) == {one.split("-")[1] for one in checks} and not claim.film
    assert b"films.example" not in there.headquarters.hand_in(digest), "where a film is goes beside the hand-in"
    assert there.headquarters.state.lines[1001, EVENT].claimed == 27 and len(hears(there, gym, digest)) == 3
    assert "films.example/1" in there.house.desk().get("/desk/round").text
    gym.judge(REPS | {"solo3": 0, "solo4": 12})
    assert gym.post("hand-in/make") == 303 and "It replaces an earlier one." in gym.said
    assert gym.post("hand-in/send", {"digest": handed_in(gym), "address": ADDRESS, "do": "all"}) == 303
    newer = handed_in(gym)
    there.headquarters.note_check(newer, Found(faults=("Something is amiss.",)), there.house.clocks.wall)
    assert gym.post("hand-in/send", {"digest": newer, "address": ADDRESS, "do": "ask"}) == 303
    assert "Nothing of it counts: Something is amiss." in " ".join(re.sub(r"<[^>]+>", "", gym.said).split())
    hears(there, gym, newer)
    assert gym.post("hand-in/make") == 303, "what counts is replaced, and not what was found amiss"
    assert gym.post("hand-in/send", {"digest": handed_in(gym), "address": ADDRESS, "do": "all"}) == 303
    there.headquarters.check_here(handed_in(gym), there.house.clocks.wall)
    assert there.headquarters.state.hand_ins[digest].state == "replaced"


def test_a_file_that_is_larger_than_a_form_goes_by_the_line(there: RoundHouse, gym: GymHouse, kit: bytes, line: Line) -> None:
    assert gym.open(kit, slip=slip_code(there, 1)) == 303
    gym.judge({"solo1": 1100, "solo2": 900})
    assert gym.post("hand-in/make") == 303
    assert next(gym.folder.glob("round/handed-in/*")).stat().st_size > USUAL_BYTES
    assert gym.post("hand-in/send", {"digest": handed_in(gym), "address": ADDRESS, "do": "all"}) == 303, gym.said
    assert "Headquarters has its file: receipt 2," in gym.said


def test_two_who_fill_in_the_page_at_once_each_keep_what_the_other_noted(there: RoundHouse, gym: GymHouse, kit: bytes) -> None:
    assert gym.open(kit, slip=slip_code(there, 1)) == 303
    gym.judge(REPS)
    shown = dict(re.findall(r'name="((?:film|print|was)-\d+-\w+)" value="([^"]*)"', gym.page("/hand-in")))
    assert len(shown) == 6
    first = {f"film-1001-{EVENT}": "one.mp4", f"print-1001-{EVENT}": "ab" * 32}
    second = {f"film-1002-{EVENT}": "two.mp4", f"print-1002-{EVENT}": "cd" * 32}
    for form in (first, second):  # both are sent of the page as it was shown before either
        assert gym.post("hand-in/films", shown | form) == 303
    page = gym.page("/hand-in")
    assert all(f'name="{name}" value="{value}"' in page for name, value in (first | second).items())
    again = dict(re.findall(r'name="((?:film|print|was)-\d+-\w+)" value="([^"]*)"', page))
    assert gym.post("hand-in/films", again | {f"film-1001-{EVENT}": "", f"print-1001-{EVENT}": ""}) == 303
    assert "Lines without a film's address: 1. Lines without the print of a film: 1." in gym.said, "what is emptied goes"


def test_what_was_emptied_or_ticked_on_a_refused_page_stands_there_still(there: RoundHouse, gym: GymHouse, kit: bytes) -> None:
    assert gym.open(kit, slip=slip_code(there, 1)) == 303
    gym.judge(REPS)
    film, print, tick = f"film-1001-{EVENT}", f"print-1001-{EVENT}", f"check-\\w+-1001-{EVENT}"
    shown = r'name="((?:film|print|was)-\d+-\w+)" value="([^"]*)"'
    begun = dict(re.findall(shown, gym.page("/hand-in")))
    assert gym.post("hand-in/films", begun | {film: "one.mp4", print: "ab" * 32}) == 303
    page = gym.page("/hand-in")
    ticked = re.findall(rf'name="({tick})"', page)[0]
    form = dict(re.findall(shown, page)) | {film: "", print: "too short", ticked: "on"}
    assert gym.post("hand-in/films", form) == 409 and "64 digits" in gym.said
    again = dict(re.findall(shown, gym.said))
    assert (again[film], again[print]) == ("", "too short") and f'name="{ticked}" value="on" checked' in gym.said
    assert gym.post("hand-in/films", again | {print: "", ticked: "on"}) == 303
    assert f'name="{ticked}" value="on" checked' in gym.said and f'name="{film}" value=""' in gym.said


def test_a_gym_over_a_postgresql_hands_in_as_one_over_a_file_does(
    there: RoundHouse, kit: bytes, line: Line, tmp_path: Path
) -> None:
    with a_gym_house(tmp_path / "gym", url=needed_cluster().ready_store()) as gym:
        assert gym.open(kit, slip=slip_code(there, 1)) == 303
        gym.judge(REPS | {"solo3": 0})
        assert "Lines that can be handed in: 2. Without a line: 1." in gym.page("/hand-in")
        assert gym.post("hand-in/make") == 303
        digest = handed_in(gym)
        assert gym.post("hand-in/send", {"digest": digest, "address": ADDRESS, "do": "all"}) == 303, gym.said
        hears(there, gym, digest)
        headquarters = there.headquarters
        headquarters.check_here(digest, there.house.clocks.wall)
        assert {key[0]: line.claimed for key, line in headquarters.state.lines.items()} == {1001: 27, 1002: 24, 2001: 17}


def test_what_is_no_receipt_of_this_headquarters_is_kept_nowhere(
    there: RoundHouse, gym: GymHouse, kit: bytes, line: Line, tmp_path: Path
) -> None:
    assert gym.open(kit, slip=slip_code(there, 1)) == 303
    gym.judge(REPS)
    assert gym.post("hand-in/make") == 303
    send = {"digest": handed_in(gym), "address": ADDRESS, "do": "digest"}
    for address in ("headquarters.example", "https://one.example/path", "ftp://one.example", "https://me@one.example"):
        assert gym.post("hand-in/send", send | {"address": address}) == 409 and "begins with https://" in gym.said
    line.change = lambda answer: answer.replace(b'what\\":\\"promised', b'what\\":\\"checked')
    assert gym.post("hand-in/send", send) == 409 and "changed since it was signed" in gym.said
    line.change = lambda _: b"<html>Welcome to the hotel</html>"
    assert gym.post("hand-in/send", send) == 409 and "is not headquarters' server." in gym.said
    assert not [one for one in gym.kept() if "receipts" in one] and "No receipt of headquarters" in gym.page("/hand-in")
    (own,) = there.headquarters.receipts()
    (gym.folder / "round" / "other.receipt").write_bytes(own)
    says = read_checked(own, "receipt").says
    forged = SigningKey(bytes(32)).sign("receipt", says)
    for content, said in (
        (forged, "not signed by the headquarters of this kit"),
        (own[:-9], "not a receipt file"),
        (b"", "Choose"),
    ):
        assert gym.post("hand-in/receipt", file=content) == 409 and said in gym.said
    assert gym.post("hand-in/receipt", file=own) == 303 and "Headquarters has its digest: receipt 1," in gym.said


def test_a_door_of_headquarters_takes_nothing_that_is_not_signed_by_a_bound_key(
    there: RoundHouse, gym: GymHouse, kit: bytes, line: Line
) -> None:
    assert gym.open(kit, slip=slip_code(there, 1)) == 303
    gym.judge(REPS)
    assert gym.post("hand-in/make") == 303
    digest, before = handed_in(gym), len(there.headquarters.records)
    anybody = there.house.browser()
    file = next(gym.folder.glob("round/handed-in/*")).read_bytes()
    assert anybody.post(f"/round/hand-in/{digest}", content=file).status_code == 404, "no digest, no file"
    assert anybody.get(f"/round/hand-in/{digest}").status_code == 404
    assert anybody.post(f"/round/hand-in/{digest}/films", content=file[:1000]).status_code == 404
    for path in ("binding", "promise"):
        for content in (b"", b"nothing", file[:1000]):
            assert anybody.post(f"/round/{path}", content=content).status_code == 409
    assert anybody.post("/round/promise", content=b"x" * 5000).status_code == 413
    assert len(there.headquarters.records) == before
    assert gym.post("hand-in/send", {"digest": digest, "address": ADDRESS, "do": "digest"}) == 303
    assert anybody.post(f"/round/hand-in/{digest}/films", content=file[:1000]).status_code == 409, "no signed list of films"
    assert anybody.post(f"/round/hand-in/{digest}", content=file + b"\n").json() == {
        "sentence": "What tells the pieces of the file, signed with its gym's key, does not stand before it."
    }
    assert there.headquarters.state.hand_ins[digest].state == "promised"
    key, rule = key_in(gym.folder, GYM_KEY, make=False), there.headquarters.state.rules
    said = [Promise(round=rule.id, gym=1, hand_in=f"{n:02x}" * 32) for n in range(MOST_A_DAY)]
    taken = [anybody.post("/round/promise", content=key.sign("promise", says_of(one))).status_code for one in said]
    assert taken == [200] * (MOST_A_DAY - 1) + [409], "no gym holds the roll of all others for ever"
    other = Promise(round=rule.id, gym=2, hand_in="f" * 64)
    assert anybody.post("/round/promise", content=key.sign("promise", says_of(other))).status_code == 409
