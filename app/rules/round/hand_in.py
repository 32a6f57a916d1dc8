"""What a gym hands in: its competition for everybody, and the lines that its marks give, each with the commitment to who it is.

An entry's number in the round is made of the gym's and of its place in the gym's list, so that a gym without a network gives it
too. Headquarters works the lines out again from the marks: a hand-in that says something else is unsound, and so is one of an
event that does not run and score as the kit's.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from hashlib import sha256
from typing import Literal

from pydantic import Field

from app.rules.records.document import VERSION, CompetitionFile
from app.rules.records.roster import Event, Roster
from app.rules.records.seal import Digest, canonical, named_at_most
from app.rules.result.results import EventResults, Row, results
from app.rules.result.scoring import score_words
from app.rules.result.sealing import seal_faults
from app.rules.round.people import Person, commitment
from app.rules.round.records import EntryNumber
from app.rules.round.rule import EventRule, Parts, Rule
from app.rules.round.told import parts_of
from app.rules.values.shapes import Base, Id, Key

MOST_OF_A_GYM = 1000  # entries; the numbers of gym 7 are 7001 and on
NOT_ITS_LINES = "The lines are not what the marks in it give."
BY_OLDER = (
    "An older version of Lane Ledger worked them out, perhaps by other rules. Make the hand-in again with one as new as "
    "headquarters'."
)
NOT_ITS_WORD = "It was sealed without the round's opening word, or with another."


class HandInLine(Base):
    """A line as a gym hands it in. film: where its film is, without its address: kept by the gym, or elsewhere. film_print,
    film_checks: as a claim has them."""

    entry: EntryNumber
    event: Id
    division: Id
    parts: Parts
    person: Digest
    film: Literal["", "here", "elsewhere"] = ""
    film_print: Digest | None = None
    film_checks: tuple[Key, ...] = Field(default=(), max_length=20)


class HandIn(Base):
    """A gym's hand-in. replaces: the digest of the earlier one that it is to stand for. opening: the round's opening word, which
    the seal is over: so it was sealed after the opening."""

    file: Literal["lane-ledger-hand-in"] = "lane-ledger-hand-in"
    version: Literal[1] = 1
    round: Id
    gym: int = Field(ge=1)
    replaces: Digest | None = None
    opening: str = Field(default="", max_length=40)
    lines: tuple[HandInLine, ...]
    people: tuple[Person, ...]
    competition: CompetitionFile


class Receipt(Base):
    """What headquarters took from a gym: the digest of its hand-in, promised or arrived, when (Unix milliseconds); and once more
    when that was checked, with what is amiss. Of what an entry claimed by its own link the digest is the line's leaf. before: the
    SHA-256 of the receipt before it, so that none can be left out later."""

    file: Literal["lane-ledger-receipt"] = "lane-ledger-receipt"
    version: Literal[1] = 1
    round: Id
    number: int = Field(ge=1)
    gym: int = Field(ge=1)
    hand_in: Digest
    what: Literal["promised", "arrived", "checked", "claimed"]
    at: int = Field(ge=0)
    faults: tuple[str, ...] = ()
    before: Digest


@dataclass(frozen=True, slots=True)
class Lines:
    """The lines that a competition gives for a round, without who they are: by entry number and event. without: why there is no
    line, as the end of a sentence, by the same. beside: what lacks that is of no entry, as sentences; lacking: all that lacks.
    entries: the ids of the competition's entries by number."""

    lines: Mapping[tuple[int, str], tuple[str, Parts]]
    without: Mapping[tuple[int, str], str]
    beside: tuple[str, ...]
    lacking: tuple[str, ...]
    entries: Mapping[int, str]


def claimed_in(line: HandInLine) -> dict[str, object]:
    """What a line of a hand-in claims, by the fields of a claim. That its film is somewhere is told by nobody's address yet."""
    return {name: value for name, value in line if name != "film"}


def runs_as(event: Event) -> str:
    """What an event's running and scoring rests on, as a digest of 64 hex digits: the same in the kit and in a gym."""
    plain = event.model_dump(mode="json", include={"format", "variants"})
    return sha256(canonical(plain)).hexdigest()


def entry_numbers(file: Roster, gym: int) -> dict[str, int]:
    """The numbers in the round of a gym's entries, by their id: by the place in its list."""
    return {entry.id: gym * MOST_OF_A_GYM + place for place, entry in enumerate(file.entries, start=1)}


def lines_of(rule: Rule, file: CompetitionFile, gym: int) -> Lines:
    """The lines of a gym's competition, worked out from its marks."""
    return lines_from(rule, file, {one.event.id: one for one in results(file)}, gym)


def lines_from(rule: Rule, roster: Roster, found: Mapping[str, EventResults], gym: int) -> Lines:
    """The same of results that were worked out before, by the event's id."""
    numbers = entry_numbers(roster, gym)
    lines: dict[tuple[int, str], tuple[str, Parts]] = {}
    without: dict[tuple[int, str], str] = {}
    beside = ["A gym hands in fewer than a thousand entries."] if len(roster.entries) >= MOST_OF_A_GYM else []
    beside += [f"The event {event.name} is not there." for event in rule.events if event.id not in found]
    lacking = list(beside)
    for event in (one for one in rule.events if one.id in found):
        for table in found[event.id].tables:
            for row in table.rows if table.rule == found[event.id].event.format.scores[0] else ():
                parts, key = _parts(event, found[event.id].event, row), (numbers[row.entry.id], event.id)
                if isinstance(parts, str):
                    without[key] = parts
                    lacking.append(f"{event.name}, {row.entry.name}: {parts}")
                else:
                    lines[key] = (row.entry.division, parts)
    return Lines(lines, without, tuple(beside), tuple(lacking), {number: key for key, number in numbers.items()})


def _parts(rule: EventRule, event: Event, row: Row) -> Parts | str:
    """The parts that a row is claimed by, or why there are none, as the end of a sentence."""
    if row.score is None or row.place is None:
        return f"{row.status or 'no score'}."
    if row.twice:
        return "judged on several lanes, and nobody has ruled which counts."
    if row.variant is not None and row.variant.ranked != "with":
        return f"{row.variant.name} does not stand among the others, and a round can't tell that yet."
    parts = None if row.penalty and rule.parts[0].cap else parts_of(rule, event.format, row.score)
    if parts is not None:
        return parts
    if row.score.left is not None:
        return "the time cap came first, and this event is claimed by one number, which can't tell that."
    return f"its score, {score_words(row.score)}, is not what its windows add up to, for a ruling changed it."


def hand_in_faults(rule: Rule, hand_in: HandIn, opening: str) -> tuple[str, ...]:
    """What is amiss with a hand-in, as sentences; empty where it is sound. opening: the round's word, empty in one without."""
    return tuple(named_at_most(list(_faults(rule, hand_in, opening))))


def _faults(rule: Rule, hand_in: HandIn, opening: str) -> Iterator[str]:
    if hand_in.opening != opening:
        yield NOT_ITS_WORD
    yield from seal_faults(hand_in.competition)
    runs = {event.id: runs_as(event) for event in hand_in.competition.events}
    for event in rule.events:
        if event.id in runs and event.runs_as not in (None, runs[event.id]):
            yield f"{event.name} does not run and score as in the kit."
    known = {one.id for one in rule.divisions}
    yield from (
        f"The division of entry {line.entry} is not of the round." for line in hand_in.lines if line.division not in known
    )
    given = {(line.entry, line.event): (line.division, line.parts) for line in hand_in.lines}
    if given != lines_of(rule, hand_in.competition, hand_in.gym).lines or len(given) != len(hand_in.lines):
        yield NOT_ITS_LINES
        if hand_in.competition.version < VERSION:
            yield BY_OLDER
    people = {one.entry: commitment(one) for one in hand_in.people}
    if any(people.get(line.entry) != line.person for line in hand_in.lines):
        yield "Who an entry is does not match the commitment in its line."
