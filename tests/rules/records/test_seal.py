"""The seal: whatever is changed in a competition file is found."""

import json
import random
from collections.abc import Callable
from dataclasses import replace
from hashlib import sha256

import pytest

from app.results.competition_file import read_file, write_file
from app.rules.records.document import CompetitionFile
from app.rules.records.marks import Mark
from app.rules.records.receipts import Receipt
from app.rules.records.seal import chain_faults, chains_of, fingerprints
from app.rules.result import sealing
from app.rules.result.sealing import NO_SEAL, digest_text, names_digest, seal_faults, seal_of, sealed
from tests.builders.pairs import a_file

DONE = ((6, 30, 30), (5, 20, 25), (6, 30, 30), (10, 12, 0))
FILE = sealed(a_file((("Chalk Lines", "Iron Larks", "Two Left"), ("Slow Burn", "Low Tide")), done=DONE, heat_of=3))
TAMPERS = 300

Marks = list[Mark]


def changed(marks: Marks, at: int, die: random.Random) -> None:
    mark = marks[at]
    marks[at] = die.choice(
        [
            replace(mark, at=mark.at + die.choice((-1, 1, 40_000))),
            replace(mark, err=mark.err + 1),
            replace(mark, kind="norep" if mark.kind == "rep" else "rep", body={}),
            replace(mark, body={**mark.body, "hand": True}),
            replace(mark, win=None if mark.win is not None else 0),
        ]
    )


def missing(marks: Marks, at: int, die: random.Random) -> None:
    del marks[at]


def moved_to_another_sheet(marks: Marks, at: int, die: random.Random) -> None:
    others = sorted({mark.sheet for mark in marks} - {marks[at].sheet})
    marks[at] = replace(marks[at], sheet=die.choice(others))


def moved_in_its_order(marks: Marks, at: int, die: random.Random) -> None:
    other = die.choice([i for i in range(len(marks)) if i != at and marks[i].device == marks[at].device])
    marks[at], marks[other] = replace(marks[at], seq=marks[other].seq), replace(marks[other], seq=marks[at].seq)


def moved_to_another_tablet(marks: Marks, at: int, die: random.Random) -> None:
    others = sorted({mark.device for mark in marks} - {marks[at].device})
    marks[at] = replace(marks[at], device=die.choice(others))


def doubled(marks: Marks, at: int, die: random.Random) -> None:
    marks.append(marks[at])


def doubled_under_a_new_id(marks: Marks, at: int, die: random.Random) -> None:
    marks.append(replace(marks[at], id=f"{die.getrandbits(128):032x}", seq=max(m.seq for m in marks) + 1))


WAYS = (changed, missing, moved_to_another_sheet, moved_in_its_order, moved_to_another_tablet, doubled, doubled_under_a_new_id)


def test_of_three_hundred_tampered_marks_every_one_is_found_and_its_tablet_named() -> None:
    die, found = random.Random(300), 0
    for number in range(TAMPERS):
        way: Callable[[Marks, int, random.Random], None] = WAYS[number % len(WAYS)]
        marks = list(FILE.marks)
        at = die.randrange(len(marks))
        tablet = marks[at].device
        way(marks, at, die)
        assert FILE.seal is not None
        faults = chain_faults(FILE.seal.chains, fingerprints(marks))
        assert seal_faults(FILE.model_copy(update={"marks": tuple(marks)})), way.__name__
        found += any(tablet in fault for fault in faults)
    assert found == TAMPERS


def test_a_file_that_nobody_touched_holds_through_writing_and_reading() -> None:
    assert seal_faults(read_file(write_file(FILE))) == []


def test_the_order_in_which_marks_stand_in_the_file_says_nothing() -> None:
    assert seal_faults(FILE.model_copy(update={"marks": tuple(reversed(FILE.marks))})) == []
    assert chains_of(fingerprints(reversed(FILE.marks))) == chains_of(fingerprints(FILE.marks))


def test_writing_it_again_later_gives_the_same_seal() -> None:
    assert seal_of(FILE.model_copy(update={"made_wall_ms": 9})) == FILE.seal


@pytest.mark.parametrize(
    ("way", "sentence"),
    [
        (changed, "Tablet {}: mark {} ({} on sheet {}) was changed."),
        (doubled, "Tablet {}: mark {} ({} on sheet {}) is there more often than it was sealed."),
    ],
)
def test_the_sentence_names_the_mark(way: Callable[[Marks, int, random.Random], None], sentence: str) -> None:
    marks = list(FILE.marks)
    mark = marks[7]
    way(marks, 7, random.Random(1))
    seal = FILE.seal
    assert seal is not None
    kind = marks[7].kind
    assert chain_faults(seal.chains, fingerprints(marks)) == [sentence.format(mark.device, mark.seq, kind, mark.sheet)]


def test_what_is_not_a_mark_is_sealed_too() -> None:
    plain = json.loads(write_file(FILE))
    plain["entries"][0]["name"] = "Another Name"
    faults = seal_faults(CompetitionFile.model_validate(plain))
    assert any("depends on is not what was sealed" in fault for fault in faults)
    plain = json.loads(write_file(FILE))
    plain["clubs"].append({"id": "late", "name": "A club that came later"})
    assert seal_faults(CompetitionFile.model_validate(plain)) == ["The setup, notes or entries are not what was sealed."]


def test_a_file_of_an_earlier_version_says_that_it_has_no_seal() -> None:
    assert seal_faults(FILE.model_copy(update={"seal": None})) == [NO_SEAL]


def test_a_printed_digest_names_what_it_is_of() -> None:
    seal = FILE.seal
    assert seal is not None
    (event, digest), *_ = seal.events.items()
    assert names_digest(FILE, digest_text(seal.digest)) == ""
    assert names_digest(FILE, digest_text(digest)[:24].upper()) == event
    assert names_digest(FILE, "0" * 64) is None
    with pytest.raises(ValueError, match="at least its first 16"):
        names_digest(FILE, "12ab")


def test_of_two_marks_under_one_id_it_is_sealed_which_receipt_is_whose() -> None:
    one, *rest = FILE.marks
    other, seats = replace(one, at=one.at + 500), (Receipt(1, "lane"), Receipt(2, "lifter"))
    there = [
        FILE.model_copy(update={"marks": (replace(one, receipt=a), replace(other, receipt=b), *rest)})
        for a, b in (seats, seats[::-1], (seats[0], None), (None, seats[0]))
    ]
    assert len({seal_of(file).digest for file in there}) == len({seal_of(file).events["evt"] for file in there}) == 4
    back = there[0].model_copy(update={"marks": there[0].marks[::-1]})
    assert seal_of(back).events == seal_of(there[0]).events


def test_a_digest_is_taken_over_one_text_in_canonical_json() -> None:
    """Whoever checks one by other means writes what it is over as one object; here it is hashed piece by piece."""
    marks = [replace(mark, receipt=Receipt(n, "lane", n * 7 - 3)) for n, mark in enumerate(FILE.marks[:5], 1)]
    for some in (marks, marks[:1], []):
        printed, told = fingerprints(some), {"zone": [1, {"é": None}], "digest": 2, "told": {}}
        receipts = sorted([mark.id, {"number": n, "seat": "lane", "clock": n * 7 - 3}] for n, mark in enumerate(some, 1))
        whole = json.dumps(told | {"receipts": receipts}, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
        assert sealing._hashed(told, printed) == sha256(whole.encode()).hexdigest()
