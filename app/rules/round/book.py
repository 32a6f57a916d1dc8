"""The book of a round: headquarters' records as files by name, what it says came of them, and a manifest with the root of them
all.

    manifest.json       each file's SHA-256 and size, and the root of their hash tree in the order of names
    round.jsonl         the round itself: its rule, gyms, reviewers, hand-ins, roll, draw, publishing and signing
    lines/01.jsonl …    claims and films, a file for each division in the rule's order
    looks.jsonl         doubts, what was asked for, looks
    rulings.jsonl       decisions, gyms that were named, appeals and their answers
    invitations.jsonl   who was invited and what they said
    roll.jsonl          after the roll: what it holds of each line, in order; the leaf of a line is the SHA-256 of its text
    results.json        standings, draw and invitations as headquarters says them
    receipts.txt        what gyms were given, as it was signed, each naming the one before it
    redraw.py           draws the films again
    people/01.jsonl …   names, by division. No digest covers them but the commitment in each claim, so that a person can be
    removed

Records stand in the order of their numbers. The root says nothing of who wrote the book; it is what headquarters publishes.
"""

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from pydantic import Field, ValidationError

from app.rules.records.seal import Digest, canonical
from app.rules.round import records as r
from app.rules.round.codec import BadRecord, decode, encode_all, roll_line
from app.rules.round.films import drawn
from app.rules.round.inviting import invited_by_division
from app.rules.round.people import Person, commitment
from app.rules.round.rule import Rule
from app.rules.round.standing import Row, line_state, standing
from app.rules.round.state import RoundState
from app.rules.round.tree import root
from app.rules.values.shapes import Base

MANIFEST, RESULTS, REDRAW, ROLL, PEOPLE = "manifest.json", "results.json", "redraw.py", "roll.jsonl", "people/"
RECEIPTS = "receipts.txt"
FILES: Mapping[str, tuple[type[r.Kept], ...]] = {
    "round.jsonl": (
        *(
            r.Opened,
            r.OpeningWord,
            r.Gym,
            r.Bound,
            r.Reviewer,
            r.Extended,
            r.Promised,
            r.Arrived,
            r.Lapsed,
            r.Checked,
            r.HandInWithdrawn,
        ),
        *(r.Roll, r.Draw, r.Published, r.Signed),
    ),
    "looks.jsonl": (r.Doubt, r.Asked, r.LookOffered, r.LookTaken, r.LookGivenBack, r.LookSealed),
    "rulings.jsonl": (r.Decision, r.Named, r.Appeal, r.Answer, r.Panel),
    "invitations.jsonl": (r.Invited, r.Accepted, r.Declined, r.NoAnswer, r.Uninvited),
}
FILE_OF = {kind: name for name, kinds in FILES.items() for kind in kinds}


class BadBook(Exception):
    """Raised for files that are no book; its text is a sentence."""


class Filed(Base):
    """A file of the book: its SHA-256 and its size in bytes."""

    sha256: Digest
    size: int = Field(ge=0)


class Manifest(Base):
    """What a book holds: its files by name, and the root of their digests in the order of names."""

    book: str = Field(default="lane-ledger-round", pattern="^lane-ledger-round$")
    version: int = Field(default=1, ge=1, le=1)
    files: dict[str, Filed]
    root: Digest


@dataclass(frozen=True, slots=True)
class Book:
    """A book as it was read. faults: what is not as the manifest says, or as people's commitments do, as sentences."""

    manifest: Manifest
    records: tuple[r.Record, ...]
    people: Mapping[int, Person]
    faults: tuple[str, ...]


def book_files(
    records: Iterable[r.Record], state: RoundState, people: Iterable[Person], receipts: Sequence[bytes], redraw: bytes
) -> dict[str, bytes]:
    """The files of a book by name. state: the fold of the records; redraw: the script that draws the films again."""
    files = {RECEIPTS: b"".join(receipts)} | {name: encode_all(those) for name, those in _filed(records, state.rules).items()}
    if state.roll is not None:
        files[ROLL] = b"".join(roll_line(line.claim) + b"\n" for _, line in state.on_the_roll())
    files[RESULTS] = json.dumps(results_plain(state), ensure_ascii=False, sort_keys=True, indent=1).encode() + b"\n"
    files[REDRAW] = redraw
    manifest = manifest_of(files)
    files[MANIFEST] = json.dumps(manifest.model_dump(mode="json"), sort_keys=True, indent=1).encode() + b"\n"
    by_division: dict[str, list[Person]] = defaultdict(list)
    for person in sorted(people, key=lambda one: one.entry):
        if (line := state.line_of(person.entry)) is not None:
            by_division[line.claim.division].append(person)
    for division, those in by_division.items():
        text = b"".join(canonical(one.model_dump(mode="json")) + b"\n" for one in those)
        files[f"{PEOPLE}{_number(state.rules, division)}.jsonl"] = text
    return files


def manifest_of(files: Mapping[str, bytes]) -> Manifest:
    """The manifest of some files; people and the manifest itself have no part in it."""
    covered = {name: data for name, data in files.items() if name != MANIFEST and not name.startswith(PEOPLE)}
    filed = {name: Filed(sha256=sha256(data).hexdigest(), size=len(data)) for name, data in sorted(covered.items())}
    return Manifest(files=filed, root=root_of(filed))


def root_of(files: Mapping[str, Filed]) -> str:
    """The root over a book's files, 64 hex digits: a leaf is the SHA-256 of a file's name and digest as canonical JSON."""
    return root([sha256(canonical([name, one.sha256])).hexdigest() for name, one in sorted(files.items())])


def _filed(records: Iterable[r.Record], rule: Rule) -> dict[str, list[r.Record]]:
    """The records by file, in the order of their numbers."""
    found: dict[str, list[r.Record]] = {name: [] for name in FILES}
    division_of: dict[int, str] = {}
    for record in sorted(records, key=lambda one: one.number):
        if isinstance(record, r.Claim):
            division_of.setdefault(record.entry, record.division)
        if isinstance(record, r.Claim | r.FilmCame):
            name = f"lines/{_number(rule, division_of.get(record.entry, ''))}.jsonl"
            found.setdefault(name, []).append(record)
        else:
            found[FILE_OF[type(record)]].append(record)
    return found


def _number(rule: Rule, division: str) -> str:
    """The number of a division in the rule's order, from 01 (00: none): ids may differ in capitals alone, file names may not."""
    return f"{next((n for n, one in enumerate(rule.divisions, start=1) if one.id == division), 0):02}"


def read_book(files: Mapping[str, bytes]) -> Book:
    """The book in some files. Raises BadBook where there is no manifest, or a record can't be read."""
    if MANIFEST not in files:
        raise BadBook(f"There is no {MANIFEST} here, so this is no book of a round.")
    try:
        manifest = Manifest.model_validate_json(files[MANIFEST], strict=True)
    except ValidationError as wrong:
        raise BadBook(f"{MANIFEST} can't be read: {wrong.errors()[0]['msg']}.") from None
    records = []
    for name in sorted(files):
        if name in FILES or name.startswith("lines/"):
            records += _records(name, files[name])
    people, faults = _people(files, records)
    return Book(manifest, tuple(records), people, (*_manifest_faults(manifest, files), *faults))


def _records(name: str, data: bytes) -> list[r.Record]:
    found = []
    for number, text in enumerate(data.splitlines(), start=1):
        try:
            found.append(decode(text))
        except BadRecord as wrong:
            raise BadBook(f"{name}, line {number}: {wrong}") from None
    return found


def _manifest_faults(manifest: Manifest, files: Mapping[str, bytes]) -> list[str]:
    now = manifest_of(files)
    faults = [f"{name} is missing." for name in sorted(manifest.files.keys() - now.files.keys())]
    faults += [f"{name} was added." for name in sorted(now.files.keys() - manifest.files.keys())]
    both = sorted(manifest.files.keys() & now.files.keys())
    faults += [f"{name} is not as the manifest says." for name in both if manifest.files[name] != now.files[name]]
    if root_of(manifest.files) != manifest.root:
        faults.append("The root is not that of the manifest's own files.")
    return faults


def _people(files: Mapping[str, bytes], records: Iterable[r.Record]) -> tuple[dict[int, Person], list[str]]:
    """The people of a book by entry, and what is not as their commitments say."""
    held = {record.entry: record.person for record in records if isinstance(record, r.Claim)}
    found: dict[int, Person] = {}
    faults = []
    for name in sorted(one for one in files if one.startswith(PEOPLE)):
        for person in read_people(name, files[name]):
            if held.get(person.entry) == commitment(person):
                found[person.entry] = person
            else:
                faults.append(f"Entry {person.entry}: this is not who its claim was made for.")
    return found, faults


def read_people(name: str, data: bytes) -> list[Person]:
    """The people in a file of that name, one a line. Raises BadBook."""
    found = []
    for number, text in enumerate(data.splitlines(), start=1):
        try:
            found.append(Person.model_validate_json(text, strict=True))
        except ValidationError as wrong:
            raise BadBook(f"{name}, line {number}: {wrong.errors()[0]['msg']}.") from None
    return found


def results_plain(state: RoundState) -> dict[str, Any]:
    """What came of a round, as plain values: standings by division, the draw, invitations. Scores are exact, as text."""
    return {
        "stage": state.stage,
        "standings": {one.id: [_row(state, row) for row in standing(state, one.id)] for one in state.rules.divisions},
        "draw": {str(gym): [list(key) for key in drawn(state, gym)] for gym in state.tickets()},
        "seed": state.seed,
        "invitations": {division: [list(one) for one in told] for division, told in sorted(invited_by_division(state).items())},
    }


def _row(state: RoundState, row: Row) -> dict[str, Any]:
    cells = {
        one.event: {"score": None if one.value is None else str(one.value), "state": line_state(state, row, one)}
        for one in row.cells
    }
    total = {} if row.total is None else {"total": str(row.total)}
    return {"place": row.place, "shared": row.shared, "entry": row.entry, "gym": row.gym, "events": cells} | total


def results_faults(said: bytes, state: RoundState) -> list[str]:
    """Where what a book says came of it is not what its records give, as sentences."""
    try:
        told = json.loads(said)
    except ValueError:
        return [f"{RESULTS} can't be read."]
    now = json.loads(json.dumps(results_plain(state)))
    if not isinstance(told, dict):
        return [f"{RESULTS} holds no results."]
    faults = []
    for name in [one for one in now if one != "standings" and told.get(one) != now[one]]:
        faults.append(f"In {RESULTS} the {name} is not what the records give.")
    before = told.get("standings")
    for division, rows in now["standings"].items():
        given = before.get(division) if isinstance(before, dict) else None
        if given != rows:
            faults.append(_first_apart(division, given if isinstance(given, list) else [], rows))
    return faults


def _first_apart(division: str, given: list[Any], rows: list[Any]) -> str:
    """The first row of a standing that differs, as a sentence."""
    at = next((n for n, (one, other) in enumerate(zip(given, rows, strict=False)) if one != other), min(len(given), len(rows)))
    if at >= len(rows):
        return f"In {RESULTS} the standing of {division} has rows that the records do not give."
    return f"In {RESULTS} the standing of {division} is not what the records give, from entry {rows[at]['entry']} on."
