"""The book of a round as a folder: written whole into a new one, read with a bound, and recounted."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from app.results.published_folder import is_new
from app.results.recount import aligned_block
from app.round import redraw
from app.round.checking import chain_faults, chain_head
from app.rules.round import records as r
from app.rules.round.book import (
    MANIFEST,
    RECEIPTS,
    RESULTS,
    ROLL,
    BadBook,
    Book,
    book_files,
    read_book,
    results_faults,
    results_plain,
)
from app.rules.round.codec import roll_line
from app.rules.round.fold import fold
from app.rules.round.people import Person
from app.rules.round.standing import Row, line_state, standing
from app.rules.round.state import RoundState
from app.rules.round.told import shown_score
from app.rules.values.words import say

MOST_BYTES = 1024 * 1024 * 1024  # of all files; a round of 200,000 lines is a tenth of it
HAND_INS = "hand-ins"  # files by their digest, beside the book and under no other: they hold names and marks


@dataclass(frozen=True, slots=True)
class BookRecount:
    """A book and what its records give. faults: what differs, as sentences. receipts: as they were signed, in order."""

    book: Book
    state: RoundState
    faults: tuple[str, ...]
    receipts: tuple[bytes, ...]

    @property
    def holds(self) -> bool:
        """Whether nothing differs."""
        return not self.faults


def write_book(
    folder: Path,
    records: Sequence[r.Record],
    state: RoundState,
    people: Iterable[Person] = (),
    receipts: Sequence[bytes] = (),
    hand_ins: Iterable[tuple[str, bytes]] = (),
) -> str:
    """Writes a round's book into a folder that is new or empty; the root of it. hand_ins: by digest. Raises BadBook, NotOurs."""
    if state.rule is None:
        raise BadBook("There is no round here.")
    if not is_new(folder):
        raise BadBook(f"{folder} is already there. Give a new folder, so that nothing is overwritten.")
    files = book_files(records, state, people, receipts, Path(redraw.__file__).read_bytes())
    try:
        for digest, content in hand_ins:
            _write(folder / HAND_INS / digest, content)
        for name in sorted(files, key=lambda one: one == MANIFEST):  # last: a folder without it is no book
            _write(folder / name, files[name])
    except OSError as wrong:
        raise BadBook(f"{folder} can't be written: {wrong.strerror}.") from None
    return str(json.loads(files[MANIFEST])["root"])


def _write(file: Path, content: bytes) -> None:
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(content)


def recount_book(folder: Path) -> BookRecount:
    """What the records in a book give, and what the book says otherwise. Raises BadBook."""
    files = _read(folder)
    book = read_book(files)
    state = fold(book.records)
    faults = [*book.faults, *(f"Record {number} may not be there: {said}" for number, said in state.faults)]
    if state.rule is None:
        raise BadBook("No round was opened in this book.")
    receipts = _receipts(files.get(RECEIPTS, b""))
    faults += chain_faults(receipts, state.key)
    faults += results_faults(files.get(RESULTS, b""), state)
    if state.roll is not None and files.get(ROLL) != b"".join(roll_line(line.claim) + b"\n" for _, line in state.on_the_roll()):
        faults.append(f"{ROLL} is not what the claims give.")
    return BookRecount(book, state, tuple(faults), tuple(receipts))


def _receipts(data: bytes) -> list[bytes]:
    """The receipts of a book, each two lines."""
    lines = data.splitlines(keepends=True)
    return [b"".join(lines[at : at + 2]) for at in range(0, len(lines), 2)]


def _read(folder: Path) -> dict[str, bytes]:
    """The files of a book's folder by name, but for hand-ins, which are read one at a time. Raises BadBook."""
    found: dict[str, bytes] = {}
    left = MOST_BYTES
    try:
        for file in sorted(one for one in folder.rglob("*") if one.is_file() and folder / HAND_INS not in one.parents):
            left -= file.stat().st_size
            if left < 0:
                raise BadBook(f"{folder} holds more than a book ever does.")
            found[file.relative_to(folder).as_posix()] = file.read_bytes()
    except OSError as wrong:
        raise BadBook(f"{folder} can't be read: {wrong.strerror}.") from None
    return found


def book_json(found: BookRecount) -> str:
    """What a recount gives, as JSON text."""
    told: dict[str, Any] = results_plain(found.state) | {"root": found.book.manifest.root, "differs": list(found.faults)}
    return json.dumps(told, ensure_ascii=False, indent=2) + "\n"


def book_table(found: BookRecount) -> str:
    """What a recount gives, as text: a standing for each division, the draw, the invitations, and what differs."""
    state = found.state
    blocks = []
    for division in state.rules.divisions:
        rows = standing(state, division.id)
        if rows:
            blocks.append(_standing_block(found, division.name, rows))
    blocks += [_draw_block(state), _invitation_block(found)]
    return "\n\n".join(block for block in blocks if block) + f"\n\n{_said_block(found)}"


def _standing_block(found: BookRecount, name: str, rows: Sequence[Row]) -> str:
    events = found.state.rules.events
    lines = [("Place", "Entry", "Name", "Gym", *(event.name for event in events), "State")]
    for row in rows:
        cells = zip(events, row.cells, strict=True)
        scores = ["–" if cell.value is None else shown_score(event, cell.value) for event, cell in cells]
        of = dict.fromkeys(line_state(found.state, row, cell) for cell in row.cells)
        states = ", ".join(one for one in of if one)
        place = "" if row.place is None else f"{row.place}{'=' if row.shared else ''}"
        lines.append((place, str(row.entry), _name(found, row.entry), found.state.gyms[row.gym].name, *scores, states))
    return aligned_block(name, lines)


def _name(found: BookRecount, entry: int) -> str:
    person = found.book.people.get(entry)
    return person.name if person else ""


def _draw_block(state: RoundState) -> str:
    if state.roll is None:
        return ""
    lines = [f"Root of {say('lines', n=state.roll.lines, shown=state.roll.lines)}  {state.roll.root}"]
    if state.seed:
        asked = ", ".join(f"{count} {reason}" for reason, count in sorted(state.asked.items()))
        lines += [f"Seed  {state.seed}", f"Looks asked for: {asked or 'none'}"]
    return "\n".join(["Draw", "----", *lines])


def _invitation_block(found: BookRecount) -> str:
    if not found.state.invitations:
        return ""
    lines = [("Entry", "Name", "Division", "Answer")]
    for entry, one in found.state.invitations.items():
        division = found.state.rules.division(one.division)
        lines.append((str(entry), _name(found, entry), division.name if division else "", one.state))
    return aligned_block("Invitations", lines)


def _said_block(found: BookRecount) -> str:
    said = [
        f"Root  {found.book.manifest.root}",
        f"Head of {say('receipts', n=len(found.receipts))}  {chain_head(found.receipts)}",
    ]
    if found.faults:
        said = ["SOMETHING DIFFERS.", *(f"- {fault}" for fault in found.faults), *said]
    else:
        said.insert(0, "Everything that this book says follows from its records.")
    return "\n".join(said) + "\n"
