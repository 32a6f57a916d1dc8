"""The book of a round: written and recounted by command, redrawn by its own script, and every change of it is named."""

import json
import shutil
import subprocess
import sys
from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from random import Random

import pytest

from app.cli import main
from app.files import write_in_folder
from app.results.published_folder import PublishedFolder
from app.round.book_folder import recount_book, write_book
from app.round.heads import NotContinued, head_files, publish_heads
from app.rules.round.book import manifest_of
from app.rules.round.films import drawn
from app.rules.round.inviting import invited_by_division
from app.rules.round.people import Person, commitment
from app.rules.round.proving import BadProof, proven
from app.rules.round.standing import standing
from app.rules.round.state import RoundState
from app.rules.round.tree import proof, root, root_of_proof
from tests.builders.rounds import Played, facts_of, play

ROUND = 0
NAME = "Maren Oxley"


@pytest.fixture(scope="module")
def played() -> Played:
    """A round whose entry 1 has a name."""
    facts = facts_of(ROUND)
    person = someone(1)
    claims = [one | {"person": commitment(person)} if one["entry"] == 1 else one for one in facts.claims]
    return play(replace(facts, claims=claims))


def someone(entry: int) -> Person:
    return Person(entry=entry, name=NAME, more={"born": "2009-05-01"}, salt=f"{entry:064x}")


@pytest.fixture(scope="module")
def book(played: Played, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The book of that round with its one name."""
    refused = {record.number for record, _ in played.refused}
    records = [record for record in played.records if record.number not in refused]
    folder = tmp_path_factory.mktemp("round") / "book"
    write_book(folder, records, played.state, [someone(1)])
    return folder


def test_a_recount_gives_standing_draw_and_invitations_from_the_book_alone(
    book: Path, played: Played, capsys: pytest.CaptureFixture[str]
) -> None:
    capsys.readouterr()
    assert main(["recount", str(book)]) == 0
    said = capsys.readouterr().out
    assert "Everything that this book says follows from its records." in said
    assert NAME in said and played.state.seed in said
    assert main(["recount", str(book), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["differs"] == []
    for division, _ in played.facts.divisions:
        rows = [(row["place"], row["entry"], row["gym"]) for row in told["standings"][division]]
        assert rows == [(row.place, row.entry, row.gym) for row in standing(played.state, division)]
    assert told["draw"] == {str(gym): [list(key) for key in drawn(played.state, gym)] for gym in played.state.tickets()}
    invited = {division: [tuple(one) for one in those] for division, those in told["invitations"].items()}
    assert invited == invited_by_division(played.state) and any(invited.values())


def test_a_script_of_thirty_lines_in_the_book_redraws_it(book: Path, played: Played) -> None:
    assert len((book / "redraw.py").read_text(encoding="utf-8").splitlines()) <= 30
    said = subprocess.run([sys.executable, "-I", book / "redraw.py"], capture_output=True, text=True, check=True, timeout=60)
    gyms = played.state.tickets()
    assert said.stdout.splitlines() == [f"{gym} {entry} {event}" for gym in gyms for entry, event in drawn(played.state, gym)]
    assert said.stdout


@pytest.fixture
def copy(book: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(book, tmp_path / "copy"))


def test_a_person_removed_leaves_the_root_as_it_was(book: Path, copy: Path) -> None:
    whole = recount_book(book)
    held = [file for file in copy.rglob("*") if file.is_file() and NAME.encode() in file.read_bytes()]
    assert [file.parent.name for file in held] == ["people"], "a name stands nowhere else"
    held[0].unlink()
    without = recount_book(copy)
    assert without.holds and without.book.people == {}
    assert without.book.manifest.root == whole.book.manifest.root
    held[0].write_text(someone(1).model_copy(update={"name": "Somebody Else"}).model_dump_json() + "\n", encoding="utf-8")
    assert recount_book(copy).faults == ("Entry 1: this is not who its claim was made for.",)


def test_every_change_of_a_byte_is_found(copy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    chance = Random(1)
    for file in sorted(one for one in copy.rglob("*") if one.is_file()):
        whole = file.read_bytes()
        for _ in range(4 if whole else 0):
            at = chance.randrange(len(whole))
            file.write_bytes(whole[:at] + bytes([whole[at] ^ 1 << chance.randrange(7)]) + whole[at + 1 :])
            assert main(["recount", str(copy)]) == 1, (file, at)
        file.unlink()
        expected = 0 if file.parent.name == "people" else 1
        assert main(["recount", str(copy)]) == expected, file
        file.write_bytes(whole)
    assert main(["recount", str(copy)]) == 0
    capsys.readouterr()


def test_a_book_that_says_another_result_under_a_manifest_of_its_own_is_found(copy: Path, played: Played) -> None:
    told = json.loads((copy / "results.json").read_text(encoding="utf-8"))
    division = next(key for key, rows in told["standings"].items() if len(rows) > 1)
    told["standings"][division].reverse()
    (copy / "results.json").write_text(json.dumps(told), encoding="utf-8")
    files = {file.relative_to(copy).as_posix(): file.read_bytes() for file in copy.rglob("*") if file.is_file()}
    (copy / "manifest.json").write_text(manifest_of(files).model_dump_json(), encoding="utf-8")
    faults = recount_book(copy).faults
    assert len(faults) == 1 and f"the standing of {division} is not what the records give" in faults[0]


def test_a_line_is_proven_under_the_published_root_and_every_changed_byte_of_the_proof_is_refused(
    book: Path, tmp_path: Path, played: Played, capsys: pytest.CaptureFixture[str]
) -> None:
    (entry, event), line = next(iter(played.state.lines.items()))
    file, root = tmp_path / "line.proof", played.state.roll.root  # type: ignore[union-attr]
    assert main(["prove", str(book), str(entry), event, str(file)]) == 0 and root in capsys.readouterr().out
    assert main(["recount", "--proof", str(file), root]) == 0
    assert f"Entry {entry} of gym {line.claim.gym} stands on this roll" in capsys.readouterr().out
    assert main(["recount", "--proof", str(file), "0" * 64]) == 1
    assert capsys.readouterr().err.startswith("This proof does not lead to that root")
    assert main(["prove", str(book), "987654", event, str(tmp_path / "none")]) == 1
    assert capsys.readouterr().err == f"The roll holds no line of entry 987654 in {event}.\n"
    whole, chance = file.read_bytes(), Random(3)
    for at in range(len(whole)):
        with pytest.raises(BadProof):
            proven(whole[:at] + bytes([whole[at] ^ chance.randrange(1, 256)]) + whole[at + 1 :], root)


def test_the_tree_proves_each_leaf_of_any_number_and_no_other() -> None:
    for count in range(1, 18):
        leaves = [f"{one:064x}" for one in range(count)]
        for at, leaf in enumerate(leaves):
            path = proof(leaves, at)
            assert root_of_proof(leaf, path) == root(leaves) != root_of_proof("f" * 64, path)
            assert len(path) <= (count - 1).bit_length()


def test_heads_are_only_continued_and_only_what_is_new_is_written(played: Played, tmp_path: Path) -> None:
    folder, receipts = tmp_path / "heads", [b"one", b"two", b"three"]
    open_yet = RoundState(stage="open", rule=played.state.rules, key="e" * 64)

    def publish(state: RoundState, count: int) -> set[str]:
        return set(publish_heads(PublishedFolder(folder, write_in_folder), head_files(state, receipts[:count])))

    assert publish(open_yet, 1) == {"index.html", "key.txt", "receipts.txt"} and publish(open_yet, 1) == set()
    assert publish(open_yet, 2) == {"index.html", "receipts.txt"}
    assert (folder / "receipts.txt").read_text().splitlines()[1] == f"2 {sha256(b'two').hexdigest()}"
    drawn = replace(open_yet, roll=played.state.roll, draw=played.state.draw, seed=played.state.seed)
    assert publish(drawn, 2) == {"index.html", "roll.txt", "draw.txt"}
    assert played.state.seed in (folder / "index.html").read_text(encoding="utf-8")
    receipts[0] = b"another"
    for state, count in ((drawn, 1), (drawn, 3), (open_yet, 0), (replace(drawn, key="f" * 64), 0)):
        before = {file: file.read_bytes() for file in folder.iterdir()}
        with pytest.raises(NotContinued, match=r"Nothing was written\."):
            publish(state, count)
        assert before == {file: file.read_bytes() for file in folder.iterdir()}


def test_what_is_no_book_is_refused_in_a_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["recount", str(tmp_path)]) == 1
    assert capsys.readouterr().err == "There is no manifest.json here, so this is no book of a round.\n"
