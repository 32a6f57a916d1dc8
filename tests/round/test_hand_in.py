"""Hand-ins by command: a gym's lines follow from its marks, receipts are chained, and nothing that was changed or late counts."""

import json
import shutil
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from hashlib import sha256
from pathlib import Path
from types import SimpleNamespace

import pytest

from app.calling import command
from app.cli import main
from app.files import FileRefused
from app.round.checking import chain_faults, read_checked, read_hand_in
from app.round.headquarters import Headquarters
from app.round.signing import GYM_KEY, SigningKey, key_in
from app.rules.records.document import CompetitionFile, Ledger, ledger_id
from app.rules.records.roster import Event
from app.rules.round.again import worked_out_again
from app.rules.round.hand_in import NOT_ITS_LINES, NOT_ITS_WORD, HandIn, Receipt
from app.rules.round.kit import said_in, says_of
from app.rules.round.rule import HOUR
from app.rules.round.short import short_digest
from app.rules.round.state import RoundState
from app.store.database import Database
from app.store.rounds import round_receipts, round_records
from tests.builders.mixed_day import a_mixed_day, an_entry, counted
from tests.round.test_kit import slip_of

EVENT = Event(id="for-1", name="Swings in a minute", format=counted(1))
SECRET = "5a" * 32
NOT_WRITTEN = "Nothing is written down. Say it again with --by NAME if it is to be so.\n"
DECIDED = (
    "Claimed 32, then 24: adjusted. Place 1 becomes place 2. Others whose place changes: 1. "
    "Of the 1 to be invited, these come in: 1001. Of the 1 to be invited, these go out: 2001.\n"
)


def a_day(reps: dict[str, int]) -> CompetitionFile:
    """A gym's day: so many repetitions for each entry of a division of single athletes."""
    entries = [an_entry(key, "solo", 1) for key in ("solo1", "solo2", "solo3")]
    counts = {(EVENT.id, key): count for key, count in reps.items()}
    day = a_mixed_day(entries, [EVENT], {EVENT.id: ["solo1", "solo2", "solo3"]}, counts)
    return day.model_copy(update={"ledger": Ledger(id=ledger_id(SECRET), secret=SECRET)})


@dataclass
class Clock:
    """A clock that a test moves by hand: Unix milliseconds."""

    now: int

    def wall_ms(self) -> int:
        return self.now


@dataclass
class Round:
    """A round at its headquarters, with a place for its files, and what the last command said."""

    place: Path
    capture: pytest.CaptureFixture[str]
    said: str = ""
    word: str = ""

    def run(self, *words: object, data: str = "headquarters") -> int:
        self.capture.readouterr()
        code = main([*map(str, words), "--data", str(self.place / data)])
        told = self.capture.readouterr()
        self.said = told.out + told.err
        return code

    def gym(self, number: int, reps: dict[str, int]) -> str:
        """A gym that has opened the kit, judged its day, and has its key bound: its data folder."""
        name, opened, day = f"gym-{number}", f"opened-{number}", self.place / f"day-{number}.json"
        if not (self.place / opened).exists():
            kit = self.place / "round"
            assert self.run("open-kit", kit / "round.kit", slip_of(kit, number), "--even-if-over", data=opened) == 0, self.said
            assert self.run("bind", self.place / opened / "round" / "binding.json") == 0, self.said
        shutil.rmtree(self.place / name, ignore_errors=True)
        day.write_text(a_day(reps).model_dump_json(), encoding="utf-8")
        assert self.run("import", day, "--even-if-changed", data=name) == 0, self.said
        shutil.copytree(self.place / opened / "round", self.place / name / "round")
        (self.place / name / "round" / "opening.txt").write_text(self.word, encoding="ascii")
        return name

    def hands_in(self, gym: str, name: str, *flags: str) -> Path:
        file = self.place / name
        assert self.run("hand-in", file, *flags, data=gym) == 0, self.said
        return file

    def headquarters(self) -> Headquarters:
        database = Database(f"sqlite:///{(self.place / 'headquarters' / 'lane-ledger.sqlite3').as_posix()}")
        try:
            found = Headquarters(database, self.place / "headquarters")
            self.receipts = found.receipts()
        finally:
            database.close()
        return found

    def claims(self) -> dict[int, list[str]]:
        """What counts, by entry number."""
        return {entry: [str(part) for part in line.claim.parts] for (entry, _), line in self.headquarters().state.lines.items()}


def begun(place: Path, capture: pytest.CaptureFixture[str], deadline: str) -> Round:
    made = Round(place, capture)
    (place / "day.json").write_text(a_day({}).model_dump_json(), encoding="utf-8")
    (place / "gyms.csv").write_text("1,Slate Barn,North\n2,Mill Row,South\n", encoding="utf-8")
    assert made.run("import", place / "day.json", "--even-if-changed") == 0, made.said
    kit = ("kit", place / "round", "--deadline", deadline, "--gyms", place / "gyms.csv", "--places", "Single athletes=1")
    assert made.run(*kit) == 0, made.said
    assert made.run("open-round") == 0, made.said
    made.word = made.said.split()[-1].replace("-", "")
    return made


@pytest.fixture
def game(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Round:
    return begun(tmp_path, capsys, "2999-03-01T20:00+01:00")


def test_two_gyms_hand_in_and_both_count_though_their_marks_are_the_same(game: Round) -> None:
    for number in (1, 2):
        gym = game.gym(number, {"solo1": 30, "solo2": 20 + number})
        file = game.hands_in(gym, f"{number}.hand-in")
        assert "with 2 lines" in game.said and "Lacking: Swings in a minute, Entry solo3: not judged yet." in game.said
        assert game.run("take-in", file, game.place / f"{number}.receipt") == 0, game.said
    assert game.claims() == {1001: ["30"], 1002: ["21"], 2001: ["30"], 2002: ["22"]}
    found = game.headquarters()
    assert chain_faults(game.receipts, found.state.key) == []
    assert [said_in(read_checked(one, "receipt").says, Receipt).number for one in game.receipts] == [1, 2, 3, 4]
    assert (game.place / "2.receipt").read_bytes() == game.receipts[2]
    for book, flags in (("book", ()), ("named", ("--names",))):
        assert game.run("book", game.place / book, *flags) == 0, game.said
        assert main(["recount", str(game.place / book)]) == 0
    whole = b"".join(file.read_bytes() for file in (game.place / "book").rglob("*") if file.is_file())
    assert b"Entry solo1" not in whole
    assert b"Entry solo1" in (game.place / "named" / "people" / "01.jsonl").read_bytes()

    proves_each_line_from_its_marks(game, found.state)


def proves_each_line_from_its_marks(game: Round, state: RoundState) -> None:
    """The book's lines against the hand-ins: one gym's, all, one that was changed, one that is not there."""
    book = game.place / "with"
    assert game.run("book", book, "--hand-ins") == 0, game.said
    for flags in (["--all"], ["--gym", "2", str(game.place / "2.hand-in")]):
        assert main(["recount", str(book), *flags]) == 0
    told = game.capture.readouterr().out
    assert "Worked out again: 4 lines of 2 hand-ins." in told and "Worked out again: 2 lines of 1 hand-in." in told
    assert "2001   Swings in a minute  30 reps         claimed" in told
    for one, said in (
        (("1", "2.hand-in"), "This is a hand-in of gym 2."),
        (("1", "2.receipt"), "The book knows of no such hand-in."),
    ):
        assert main(["recount", str(book), "--gym", one[0], str(game.place / one[1])]) == 1
        assert said in game.capture.readouterr().err
    files = sorted((book / "hand-ins").iterdir())
    files[0].write_bytes(files[1].read_bytes())
    files[1].unlink()
    assert main(["recount", str(book), "--all"]) == 1 and main(["recount", str(book)]) == 0
    told = game.capture.readouterr().out
    assert "This file is not the one whose digest is its name." in told and "Its file is not here." in told
    first = next(iter(state.hand_ins))
    claims = [line.claim for line in state.lines.values() if line.claim.hand_in == first]
    hand_in = read_hand_in((game.place / "1.hand-in").read_bytes(), state)
    assert worked_out_again(state, claims, first, hand_in).differs == ()
    claims[0] = claims[0].model_copy(update={"parts": (31,)})
    (sentence,) = worked_out_again(state, claims, first, hand_in).differs
    assert "the marks give 30 in " in sentence and "the book says 31 in " in sentence
    doubted = state.lines[1001, EVENT.id]
    assert doubted.doubt is not None and doubted.doubt.why == "Window 1: 30 repetitions came more evenly than a hand makes them."
    doubted.doubt = None
    assert "the marks give a doubt, and the book has none." in worked_out_again(state, claims, first, hand_in).differs[0]


def test_a_promise_keeps_the_place_and_a_new_hand_in_replaces_an_older_one(game: Round) -> None:
    first = game.hands_in(game.gym(1, {"solo1": 30}), "first.hand-in")
    digest = sha256(first.read_bytes()).hexdigest()
    letters = short_digest(digest)
    assert digest in game.said and letters in game.said
    misheard = letters[:-6] + ("A" if letters[-6] != "A" else "B") + letters[-5:]
    assert game.run("promise", misheard, 1, game.place / "promise.receipt") == 1 and "Have them read out" in game.said
    assert game.run("promise", letters.lower().replace("-", " "), 1, game.place / "promise.receipt") == 0, game.said
    for again in (digest, letters):
        assert game.run("promise", again, 1, game.place / "again.receipt") == 1
        assert game.said == "This hand-in is here already: it is promised.\n"
    assert game.run("take-in", first, game.place / "first.receipt") == 0, game.said
    second = game.hands_in(game.gym(1, {"solo1": 31, "solo2": 12}), "second.hand-in", "--replaces", digest)
    assert game.run("take-in", second, game.place / "second.receipt") == 0, game.said
    assert game.claims() == {1001: ["31"], 1002: ["12"]}
    found = game.headquarters()
    told_short = digest[:32].ljust(64, "0")
    assert found.state.hand_ins[told_short].state == "replaced" and len(game.receipts) == 5
    assert game.run("book", game.place / "book", "--hand-ins") == 0
    assert main(["recount", str(game.place / "book"), "--gym", "1", str(second)]) == 0
    assert main(["recount", str(game.place / "book"), "--all"]) == 0, game.capture.readouterr().out
    told = [said_in(read_checked(one, "receipt").says, Receipt).what for one in game.receipts]
    assert told == ["promised", "arrived", "checked", "arrived", "checked"]
    assert len(chain_faults([game.receipts[0], game.receipts[2]], found.state.key)) == 1, "one that was left out is missed"


def test_a_hand_in_that_was_made_anew_before_its_file_went_holds_up_nobodys_roll(
    game: Round, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = game.hands_in(game.gym(1, {"solo1": 30}), "first.hand-in")
    digest = sha256(first.read_bytes()).hexdigest()
    assert game.run("promise", digest, 1, game.place / "promise.receipt") == 0, game.said
    second = game.hands_in(game.gym(1, {"solo1": 31}), "second.hand-in", "--replaces", digest)
    assert game.run("take-in", second, game.place / "second.receipt") == 0, game.said
    found = game.headquarters().state
    assert {one.state for one in found.hand_ins.values()} == {"replaced", "sound"}
    clock = Clock(found.deadline_ms + 1)
    monkeypatch.setattr("app.rounds.this_machine", lambda: clock)
    assert game.run("close-roll") == 0, game.said
    assert game.claims() == {1001: ["31"]}


def test_what_was_changed_is_unsound_or_refused(game: Round) -> None:
    gym = game.gym(1, {"solo1": 30, "solo2": 20})
    file = game.hands_in(gym, "honest.hand-in")
    honest, key = file.read_bytes(), key_in(game.place / gym, GYM_KEY, make=False)
    said = said_in(read_checked(honest, "hand-in").says, HandIn)
    more = tuple(line.model_copy(update={"parts": (line.parts[0] + 1,)}) for line in said.lines)
    nobody = tuple(one.model_copy(update={"name": "Somebody Else"}) for one in said.people)
    fewer = said.competition.model_copy(update={"marks": said.competition.marks[1:]})
    forged = {
        NOT_ITS_LINES: said.model_copy(update={"lines": more}),
        NOT_ITS_WORD: said.model_copy(update={"opening": "ABCDEFGHJKLM"}),
        "Who an entry is does not match the commitment in its line.": said.model_copy(update={"people": nobody}),
        "is missing.": said.model_copy(update={"competition": fewer}),
    }
    for number, (sentence, one) in enumerate(forged.items()):
        (game.place / f"{number}").write_bytes(key.sign("hand-in", says_of(one)))
        assert game.run("take-in", game.place / f"{number}", game.place / f"{number}.receipt") == 0, game.said
        assert "Nothing of it counts:" in game.said and sentence in game.said
    assert game.claims() == {}
    (game.place / "other").write_bytes(SigningKey(bytes(32)).sign("hand-in", says_of(said)))
    assert game.run("take-in", game.place / "other", game.place / "o.receipt") == 1
    assert game.said == "This hand-in is of another round, or not signed with its gym's key.\n"
    (game.place / "byte").write_bytes(honest[:-10] + b"7" + honest[-9:])
    assert game.run("take-in", game.place / "byte", game.place / "o.receipt") == 1
    assert not (game.place / "o.receipt").exists() and len(game.headquarters().records) == 4 + 1 + 4 * 3


def test_what_comes_late_is_refused_and_leaves_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    long_ago = int(datetime(2020, 3, 1, tzinfo=UTC).timestamp() * 1000)
    with monkeypatch.context() as before_it:  # a deadline that is past is refused
        before_it.setattr("app.rounds.this_machine", lambda: SimpleNamespace(wall_ms=lambda: long_ago))
        game = begun(tmp_path, capsys, "2020-03-01T20:00+01:00")
    assert game.run("open-kit", tmp_path / "round" / "round.kit", data="gym") == 1
    assert game.said.startswith("The deadline of this kit was 2020-03-01 20:00 UTC+01:00, and this laptop's clock says 2")
    assert not (tmp_path / "gym").exists()
    file = game.hands_in(game.gym(1, {"solo1": 30}), "late.hand-in")
    before = len(game.headquarters().records)
    assert game.run("take-in", file, tmp_path / "late.receipt") == 1
    assert game.said == "That is past the deadline.\n"
    assert (len(game.headquarters().records), game.receipts) == (before, [])


def test_nothing_is_taken_for_a_receipt_that_has_no_place_and_what_is_taken_is_said(
    game: Round, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = game.hands_in(game.gym(1, {"solo1": 30}), "one.hand-in")
    assert game.run("take-in", file, game.place / "no folder" / "receipt") == 1
    assert "can't be written: No such file or directory." in game.said
    game.headquarters()
    assert game.receipts == []

    def full(file: Path, _: bytes) -> None:
        raise FileRefused(f"{file} can't be written: No space left on device.")

    monkeypatch.setattr("app.rounds.write_whole", full)
    assert game.run("take-in", file, game.place / "receipt") == 1
    assert "It was taken all the same, as number 1: the desk's page of the round has the receipt." in game.said
    assert game.said.endswith("Checked. Nothing is amiss.\n")
    game.headquarters()
    assert len(game.receipts) == 2  # that it came, and that it was checked


def test_a_gym_and_a_hall_without_a_round_keep_nothing_of_it(game: Round) -> None:
    gym = game.gym(1, {"solo1": 30})
    game.hands_in(gym, "one.hand-in")
    database = Database(f"sqlite:///{(game.place / gym / 'lane-ledger.sqlite3').as_posix()}")
    try:
        assert database.read(round_records) == [] and database.read(round_receipts) == []
    finally:
        database.close()
    assert game.run("book", game.place / "book", data=gym) == 1
    assert game.said == "There is no round here.\n"
    assert game.run("kit", game.place / "new", "--deadline", "2999-01-01T00:00Z", "--gyms", game.place / "gyms.csv") == 1
    assert game.said == "This data folder is the headquarters of a round already.\n"


def films_show_a_word(game: Round) -> dict[int, str]:
    """The film words of gyms 1 and 2 by entry, which a gym makes by the opening word alone; nothing goes without it."""
    found: dict[int, str] = {}
    for number in (1, 2):
        (game.place / f"gym-{number}" / "round" / "opening.txt").unlink()
        assert game.run("hand-in", game.place / "none", data=f"gym-{number}") == 1
        assert game.said == f"This round has an opening word, and it was not typed in here yet: {command('film-words WORD')}\n"
        assert game.run("film-words", "OH-NO", data=f"gym-{number}") == 1 and "An opening word has 12 letters" in game.said
        assert game.run("film-words", f" {game.word[:5].lower()}-{game.word[5:]}", data=f"gym-{number}") == 0
        found |= {int(line.split()[0]): line.split()[1] for line in game.said.splitlines()[:-1]}
    state = game.headquarters().state
    assert found == {number: state.film_word(number) for number in (1001, 1002, 1003, 2001, 2002, 2003)}
    assert len(set(found.values())) == 6 and {len(one) for one in found.values()} == {6}
    assert game.run("open-round") == 1 and game.said == "The opening word is said once.\n"
    return found


class Reviewers:
    """Reviewers of a round, who are given each film that waits as a sheet: three of no gym, and one of gym 1."""

    def __init__(self, game: Round, words: dict[int, str]) -> None:
        self.game, self.words, self.codes = game, words, dict[str, str]()
        for one, gym in (("first", 1), ("x", 0), ("y", 0), ("z", 0)):
            assert game.run("reviewer", one, f"Reviewer {one}", "--gym", gym) == 0, game.said
            self.codes[one] = game.said.split()[-1]
        self.films = {f"film-{n}": entry for n, entry in enumerate(words)}
        rows = "".join(f"{entry},{EVENT.id},{film}\n" for film, entry in self.films.items())
        (game.place / "films.csv").write_text(f"Entry,Event,Film\n{rows}", encoding="utf-8")

    def look_at_all(self, counts: dict[int, int]) -> None:
        """Looks until no film waits for anybody. counts: by entry."""
        found = True
        while found:
            found = sum(self._looks(reviewer, counts) for reviewer in self.codes) > 0

    def _looks(self, reviewer: str, counts: dict[int, int]) -> bool:
        game, sheet = self.game, self.game.place / "sheet.json"
        sheet.unlink(missing_ok=True)
        if game.run("look", reviewer, game.place / "films.csv", sheet) == 1:
            assert game.said == "No film on the list is waiting for this reviewer.\n"
            return False
        state, told = game.headquarters().state, json.loads(sheet.read_bytes())
        look, entry = state.looks[told["look"]], self.films[told["film"]]
        assert (look.offer.entry, look.offer.reviewer, look.state) == (entry, reviewer, "taken")
        assert reviewer != "first" or entry > 2000, "never a film of the own gym"
        asked = state.rules.events[0].parts[0].model_dump(mode="json")
        part = {"name": "Window 1", "of": "window", "asked": asked, "count": None, "faults": [], "at_ms": None, "reps": []}
        assert told == {  # and so no claim, no other look, no entry and no gym
            "file": "lane-ledger-look",
            "version": 1,
            "round": state.rules.id,
            "look": told["look"],
            "reviewer": reviewer,
            "event": EVENT.name,
            "film": told["film"],
            "film_print": None,
            "until": look.taken_at + 2 * HOUR,
            "parts": [part],
            "faults": [],
            "word": "",
            "gear": [],
            "known": [one.model_dump(mode="json") for one in state.rules.faults],
        }
        until = game.said.rsplit(" by ")[-1]
        assert game.said == f"Written: {sheet}. Send it to the reviewer, who counts, fills it in and sends it back by {until}"
        filled = told | {"parts": [part | {"count": str(counts[entry])}], "word": self.words[entry]}
        if self.codes[reviewer] == self.codes["first"]:
            self._seals_only_what_is_whole(sheet, filled)
        sheet.write_text(json.dumps(filled), encoding="utf-8")
        assert game.run("seal", sheet, self.codes[reviewer].lower()) == 0, game.said
        assert game.said == f"Sealed for ever, under the name of Reviewer {reviewer}.\n"
        return True

    def _seals_only_what_is_whole(self, sheet: Path, filled: dict[str, object]) -> None:
        code, seal = self.codes["first"], partial(self.game.run, "seal", sheet)
        assert seal(code) == 1 and self.game.said.startswith("Count each part of the event: Window 1 has no count.")
        for change in ({"round": "other"}, {"reviewer": "x"}, {"look": "none"}):
            sheet.write_text(json.dumps(filled | change), encoding="utf-8")
            assert seal(code) == 1 and self.game.said == "This sheet is of no look that was given out here.\n"
        sheet.write_text(json.dumps(filled), encoding="utf-8")
        assert seal(code[::-1]) == 1 and self.game.said == "This is not the code of that reviewer.\n"
        films = self.game.place / "films.csv"
        assert self.game.run("look", "first", films, self.game.place / "more") == 1
        assert self.game.said.startswith("This reviewer has a look open.")


def test_a_whole_round_is_played_by_command_from_kit_to_invitation(game: Round, monkeypatch: pytest.MonkeyPatch) -> None:
    for number in (1, 2):
        file = game.hands_in(game.gym(number, {"solo1": 30 + number, "solo2": 20}), f"{number}.hand-in")
        assert game.run("take-in", file, game.place / f"{number}.receipt") == 0, game.said
    words = films_show_a_word(game)
    clock = Clock(game.headquarters().state.deadline_ms + 1)
    monkeypatch.setattr("app.rounds.this_machine", lambda: clock)

    def add(*records: dict[str, object]) -> int:
        (game.place / "add.jsonl").write_text("".join(json.dumps(one) + "\n" for one in records), encoding="utf-8")
        return game.run("add", game.place / "add.jsonl")

    assert game.run("close-roll") == 0 and game.headquarters().state.roll.root in game.said  # type: ignore[union-attr]
    assert game.run("draw", "123456" * 6 + "1237", "--witness", "Perrin Vale") == 1
    assert game.run("draw", "123456" * 6 + "1234", "--witness", "Perrin Vale") == 0, game.said
    asked = {key: line for key, line in game.headquarters().state.lines.items() if line.asks}
    assert game.run("round") == 0 and "Lines with a doubt: 4. Of all looks at most 5 % are for doubts." in game.said
    assert {2001, 1001} <= {entry for entry, _ in asked}, "the best 1.25 places are closed by looks"
    reviewers = Reviewers(game, words)
    while asked := {key: line for key, line in game.headquarters().state.lines.items() if line.state in ("asked", "looked")}:
        reviewers.look_at_all({entry: 24 if entry == 2001 else int(line.claimed) for (entry, _), line in asked.items()})
        for (entry, event), line in game.headquarters().state.lines.items():
            if line.state == "looked" and len(line.asks) > 1:
                told = f"To decide: entry {entry} in {event}. The scale gives: adjusted 24. Claimed: 32. Place 1 becomes place 2."
                assert game.run("round") == 0 and told in game.said
                decide = ("decide", entry, EVENT.name)
                assert game.run(*decide) == 0 and game.said == DECIDED + NOT_WRITTEN
                assert game.run(*decide, "--by", "Reviewer first") == 1 and game.said == "Nobody decides on an own look.\n"
                assert game.run(*decide, "--by", "Quill Amberley") == 0, game.said
                assert game.said == DECIDED + "Written down, by Quill Amberley.\n"
        assert game.run("round", "--go-on") == 0, game.said
    assert add({"kind": "published"}) == 0, game.said
    for told in ("key.txt, receipts.txt, opening.txt, roll.txt, draw.txt, standing-01-001.html,", "Nothing is new in"):
        assert game.run("heads", game.place / "heads") == 0 and told in game.said
    assert add({"kind": "draw", "dice": "1", "witnesses": ["P"]}) == 1 and "a command of its own" in game.said
    assert add({"kind": "signed"}) == 1 and game.said == "Somebody may still appeal.\n"
    answer = ("answer", 2001, EVENT.id, "upheld", "--why", "The film has 32")
    assert game.run(*answer) == 1 and game.said == "An appeal is answered once, when it is filed: it is not here.\n"
    assert add({"kind": "appeal", "entry": 2001, "event": EVENT.id, "why": "Counted wrongly"}) == 0, game.said
    assert game.run(*answer) == 0 and game.said.startswith("Claimed 32, then 32: upheld. Place 2 becomes place 1.")
    partly = ("answer", 2001, EVENT.id, "partly", "--why", "Two more", "--by")
    assert game.run(*partly, "Tansy Roe") == 1 and game.said == "A score is said where an appeal is met in part.\n"
    assert game.run(*partly, "Quill Amberley", "--score", "26") == 1 and game.said.startswith("Another head judge answers")
    assert game.run(*partly, "Tansy Roe", "--score", "26") == 0 and game.said.startswith(
        "Claimed 32, then 26: partly. Place 2 stays."
    )
    clock.now += 73 * HOUR
    assert add({"kind": "signed"}) == 0, game.said
    assert game.run("round", "--go-on") == 0 and "Invitations: 1 offered" in game.said
    clock.now += 49 * HOUR
    assert game.run("round", "--go-on") == 0 and "Invitations: 1 lapsed, 1 offered" in game.said
    found = game.headquarters().state
    assert [(entry, one.state) for entry, one in found.invitations.items()] == [(1001, "lapsed"), (2001, "offered")]
    assert game.run("book", game.place / "whole") == 0 and main(["recount", str(game.place / "whole")]) == 0
