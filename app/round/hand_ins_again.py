"""Hand-ins worked out again beside a round's book: one that a gym has, or all that lie in the book's folder."""

import json
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

from app.results.recount import aligned_block
from app.round.book_folder import HAND_INS, BookRecount, book_json, book_table, recount_book
from app.round.checking import read_hand_in
from app.rules.round import records as r
from app.rules.round.again import CAME, Again, worked_out_again
from app.rules.round.book import BadBook
from app.rules.round.kit import MOST_BYTES, BadKit
from app.rules.round.rule import EventRule
from app.rules.round.short import is_digest_of, known_as
from app.rules.round.told import shown_parts, shown_score
from app.rules.values.words import say


@dataclass(frozen=True, slots=True)
class HandInsAgain:
    """Hand-ins worked out again. amiss: files that are not what the book names, or not there, as sentences."""

    again: tuple[Again, ...]
    amiss: tuple[str, ...] = ()

    @property
    def faults(self) -> list[str]:
        """All that differs, as sentences."""
        return [*self.amiss, *(f"Gym {one.gym}: {said}" for one in self.again for said in one.differs)]


def round_recount(folder: Path, gym: Sequence[str] | None, all_: bool, as_json: bool) -> tuple[str, bool]:
    """What a book gives, as text, and whether nothing differs: the book alone, with one gym's hand-in (its number, the file), or
    with all that lie in its folder. Raises BadBook, BadKit."""
    if gym and (all_ or not gym[0].isdecimal()):
        raise BadBook("Say --all, or --gym with the gym's number and its hand-in.")
    found = recount_book(folder)
    if not gym and not all_:
        return book_json(found) if as_json else book_table(found), found.holds
    worked = one_again(found, int(gym[0]), Path(gym[1])) if gym else all_again(found, folder)
    told = again_json(found, worked) if as_json else again_table(found, worked, whole=all_)
    return told, found.holds and not worked.faults


def one_again(found: BookRecount, gym: int, file: Path) -> HandInsAgain:
    """A gym's hand-in worked out again. Raises BadBook, BadKit."""
    if gym not in found.state.gyms:
        raise BadBook("No gym has this number.")
    content = _read(file)
    again = _again(found, content, _claims(found))
    if again.gym != gym:
        raise BadBook(f"This is a hand-in of gym {again.gym}.")
    return HandInsAgain((again,))


def all_again(found: BookRecount, folder: Path) -> HandInsAgain:
    """Every hand-in that the book says came, from the files in its folder, one file at a time. One that is not there is amiss."""
    claims, again, amiss = _claims(found), list[Again](), list[str]()
    files = folder / HAND_INS
    for digest, one in found.state.hand_ins.items():
        if one.state not in CAME:
            continue
        try:
            content = _read(files / digest)
            if not is_digest_of(digest, sha256(content).hexdigest()):
                raise BadBook("This file is not the one whose digest is its name.")
            again.append(_again(found, content, claims))
        except (BadBook, BadKit) as wrong:
            amiss.append(f"Gym {one.promise.gym}, hand-in {digest}: {wrong}")
    return HandInsAgain(tuple(again), tuple(amiss))


def _claims(found: BookRecount) -> dict[str, list[r.Claim]]:
    """The claims of a book by the hand-in that they came with."""
    claims: dict[str, list[r.Claim]] = defaultdict(list)
    for record in found.book.records:
        if isinstance(record, r.Claim) and record.hand_in is not None:
            claims[record.hand_in].append(record)
    return claims


def _again(found: BookRecount, content: bytes, claims: dict[str, list[r.Claim]]) -> Again:
    digest = known_as(sha256(content).hexdigest(), found.state.hand_ins)
    if digest not in found.state.hand_ins:
        raise BadBook("The book knows of no such hand-in.")
    here = found.state.hand_ins[digest]
    if here.state not in CAME:
        raise BadBook(f"In the book this hand-in is {here.state}, so none of its lines is there.")
    try:
        hand_in = read_hand_in(content, found.state)
    except BadKit:
        if here.faults:  # it says nothing that can be read, and the book has no line of it
            return Again(digest, here.promise.gym, here.state, {}, ())
        raise
    return worked_out_again(found.state, claims.get(digest, ()), digest, hand_in, _claimed_before(found, digest))


def _claimed_before(found: BookRecount, digest: str) -> frozenset[int]:
    """The entries that something else than a hand-in had claimed when that was checked."""
    records = found.book.records
    checked = next((one.number for one in records if isinstance(one, r.Checked) and one.hand_in == digest), 0)
    others = (one for one in records if isinstance(one, r.Claim) and one.hand_in != digest)
    return frozenset(one.entry for one in others if one.number < checked)


def _read(file: Path) -> bytes:
    try:
        if file.stat().st_size > MOST_BYTES["hand-in"]:
            raise BadBook(f"{file} is larger than a hand-in ever is.")
        return file.read_bytes()
    except FileNotFoundError:
        raise BadBook("Its file is not here.") from None
    except OSError as wrong:
        raise BadBook(f"{file} can't be read: {wrong.strerror}.") from None


def again_json(found: BookRecount, worked: HandInsAgain) -> str:
    """What hand-ins give, as JSON text."""
    told = [
        {
            "hand_in": one.digest,
            "gym": one.gym,
            "state": one.state,
            "lines": [
                {"entry": entry, "event": event, "parts": list(map(str, said[2]))} for (entry, event), said in one.lines.items()
            ],
        }
        for one in worked.again
    ]
    whole: dict[str, Any] = {"hand_ins": told, "differs": [*found.faults, *worked.faults]}
    return json.dumps(whole, ensure_ascii=False, indent=2) + "\n"


def again_table(found: BookRecount, worked: HandInsAgain, whole: bool) -> str:
    """What hand-ins give, as text: of one each line beside what became of it, of all (`whole`) what the whole book gives."""
    blocks = [book_table(found).rstrip("\n")] if whole else [_lines_block(found, one) for one in worked.again]
    return "\n\n".join([*blocks, "\n".join(_words(worked, () if whole else found.faults))]) + "\n"


def _lines_block(found: BookRecount, one: Again) -> str:
    rows: list[Sequence[str]] = [("Entry", "Event", "From the marks", "In the book")]
    for (entry, event), said in one.lines.items():
        rule = found.state.rules.event(event)
        if rule is not None:
            rows.append((str(entry), rule.name, shown_parts(rule, said[2]), _state(found, one, rule, entry)))
    return aligned_block(f"Gym {one.gym}, {found.state.gyms[one.gym].name}: a {one.state} hand-in", rows)


def _state(found: BookRecount, one: Again, rule: EventRule, entry: int) -> str:
    """What the book says of a line now: its state, and its score where that is another than was claimed."""
    line = found.state.lines.get((entry, rule.id))
    if line is None or line.claim.hand_in != one.digest:
        return "does not count"
    changed = line.value is not None and line.value != line.claimed
    return f"{line.state}, {shown_score(rule, line.value)}" if changed else line.state


def _words(worked: HandInsAgain, book: Sequence[str]) -> Iterator[str]:
    """How many hand-ins were worked out again, and what differs; book: what differs in the book itself."""
    lines = sum(len(one.lines) for one in worked.again)
    if faults := [*book, *worked.faults]:
        yield "SOMETHING DIFFERS."
        yield from (f"- {fault}" for fault in faults)
    else:
        yield "What the book says of these lines follows from their marks."
    yield f"Worked out again: {say('lines', n=lines, shown=lines)} of {say('hand_ins', n=len(worked.again))}."
