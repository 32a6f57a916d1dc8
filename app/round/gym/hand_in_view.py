"""A gym's handing in as frozen values: what is complete and what lacks, the hand-ins that were made, what headquarters said."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from app.hall.hall import Hall
from app.round.film_list import GYM_FILMS, kept_films
from app.round.gym.film_notes import NOTHING, FilmNote, check_field, kept_notes, print_field, shown_as, was_field
from app.round.gym.kept import Kept, chain_breaks, made_here, made_said, receipts_here
from app.round.gym.opened import Opened
from app.round.gym.sending import kept_address
from app.round.times import both_times, left_words, shown_time, zone_here
from app.rules.round.hand_in import Lines, Receipt, lines_from
from app.rules.round.look_guide import film_checks
from app.rules.round.records import LineKey
from app.rules.round.rule import EventRule, Rule
from app.rules.round.short import is_digest_of, short_digest
from app.rules.round.told import shown_parts, shown_score
from app.rules.values.words import say

FILM = "film"
NO_RECEIPT = "No receipt of headquarters is here for it."
RECEIPT_FOR = {
    "promised": "Headquarters has its digest",
    "arrived": "Headquarters has its file",
    "checked": "Headquarters has checked it",
}


@dataclass(frozen=True, slots=True)
class FilmTick:
    """Something that a film must show: the name of its field, in words what, whether it was ticked off."""

    field: str
    words: str
    done: bool


@dataclass(frozen=True, slots=True)
class LineCell:
    """A line of an entry: its event, what it claims, or why there is none. field: the name of that for its film; film: where it
    is; print_field, print: the same of its print; ticks: what it must show; film_lacks: what is not there yet, in words;
    was_field, was: how it is shown now."""

    event: str
    says: str
    lacks: str
    field: str
    film: str
    print_field: str
    print: str
    ticks: tuple[FilmTick, ...]
    film_lacks: str
    was_field: str
    was: str


@dataclass(frozen=True, slots=True)
class EntryLine:
    """An entry: its number in the round, its lines."""

    number: int
    name: str
    division: str
    cells: tuple[LineCell, ...]


@dataclass(frozen=True, slots=True)
class MadeOne:
    """A hand-in that was made: its whole digest and that to be read out, when, how much is in it; what headquarters' receipts say
    of it (state as pages draw it)."""

    digest: str
    letters: str
    made: str
    holds: str
    replaces: bool
    state: str
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ReceiptLine:
    """A receipt that is kept: its number, what it is for, when it was given, its head."""

    number: int
    what: str
    at: str
    head: str


@dataclass(frozen=True, slots=True)
class HandInPage:
    """The page. complete: in words; lacking: what has no line, beside entries. gym: 0 before the slip. newest: the last that was
    made; older: the ones before. earlier: the digest that the next one would replace, empty for none. amiss: of receipts."""

    name: str
    gym: int
    deadline: str
    left: str
    late: bool
    complete: str
    is_complete: bool
    lines: int
    films: str
    lacking: tuple[str, ...]
    entries: tuple[EntryLine, ...]
    newest: MadeOne | None
    older: tuple[MadeOne, ...]
    earlier: str
    receipts: tuple[ReceiptLine, ...]
    amiss: tuple[str, ...]
    address: str
    needs_word: bool


def hand_in_page(hall: Hall, opened: Opened, needs_word: bool) -> HandInPage:
    """The page as it is now. Raises BadKit."""
    data, rule, now = hall.settings.data, opened.kit.rule, hall.time.wall_ms()
    roster = hall.projection.roster
    assert roster is not None, "a kit is open in a hall with its competition"
    found = lines_from(rule, roster, {one.id: hall.projection.event_results(one.id) for one in roster.events}, opened.gym)
    films, receipts = kept_films(data, GYM_FILMS), receipts_here(data, opened.key, rule.id, opened.gym)
    digests = made_here(data)
    made = [_made(hall, rule, digest, receipts) for digest in digests]
    entries = tuple(_entries(hall, opened, found, films))
    return HandInPage(
        name=rule.name,
        gym=opened.gym,
        deadline=both_times(rule.deadline_ms, rule.zone),
        left=left_words(rule.deadline_ms - now),
        late=now > rule.deadline_ms,
        complete=_complete(found),
        is_complete=bool(found.lines) and not found.lacking,
        lines=len(found.lines),
        films=_films_lack(entries, len(found.lines)),
        lacking=found.beside,
        entries=entries,
        newest=made[-1] if made else None,
        older=tuple(reversed(made[:-1])),
        earlier=earlier_of(digests, receipts),
        receipts=tuple(_receipt(rule, one) for one in receipts),
        amiss=tuple(chain_breaks(receipts)),
        address=kept_address(data),
        needs_word=needs_word,
    )


def earlier_of(digests: Sequence[str], receipts: Sequence[Kept]) -> str:
    """The hand-in that a new one is to stand for: the last that headquarters gave a receipt for and found nothing amiss with, for
    only what still counts is replaced; empty for none."""
    last = {one: own[-1].says for one in digests if (own := _receipts_of(one, receipts))}
    return next((one for one in reversed(digests) if one in last and not last[one].faults), "")


def _complete(found: Lines) -> str:
    if not found.lines:
        return "There is no line to hand in yet."
    whole = f"Lines that can be handed in: {len(found.lines)}."
    return f"{whole} Without a line: {len(found.lacking)}." if found.lacking else f"{whole} None lacks."


def _films_lack(entries: Sequence[EntryLine], lines: int) -> str:
    """What lacks of the films of all lines, as sentences; empty for nothing."""
    cells = [cell for one in entries for cell in one.cells if not cell.lacks]
    lack = {
        "a film's address": sum(not cell.film for cell in cells),
        "the print of a film": sum(not cell.print for cell in cells),
        "a whole film checklist": sum(not all(one.done for one in cell.ticks) for cell in cells),
    }
    return " ".join(f"Lines without {what}: {count}." for what, count in lack.items() if count and lines)


def _entries(hall: Hall, opened: Opened, found: Lines, films: Mapping[LineKey, str]) -> Iterator[EntryLine]:
    """The entries, those that lack something first."""
    roster, rule = hall.projection.roster, opened.kit.rule
    assert roster is not None, "a kit is open in a hall with its competition"
    entries, divisions = {one.id: one for one in roster.entries}, {one.id: one.name for one in roster.divisions}
    notes, lines = kept_notes(hall.settings.data), []
    for number, key in found.entries.items():
        cells = tuple(
            _cell(opened, event, number, found, films, notes) for event in rule.events if _is_there(found, number, event)
        )
        entry = entries[key]
        lines.append(EntryLine(number, entry.name, divisions[entry.division], cells))
    yield from sorted(lines, key=lambda one: all(not cell.lacks for cell in one.cells))


def _is_there(found: Lines, number: int, event: EventRule) -> bool:
    """Whether an entry stands in an event."""
    return (number, event.id) in found.lines or (number, event.id) in found.without


def _cell(
    opened: Opened, event: EventRule, number: int, found: Lines, films: Mapping[LineKey, str], notes: Mapping[LineKey, FilmNote]
) -> LineCell:
    key, film, note = (number, event.id), films.get((number, event.id), ""), notes.get((number, event.id), NOTHING)
    says, lacks = "", found.without.get(key, "")
    if key in found.lines:
        parts = found.lines[key][1]
        says = f"{shown_parts(event, parts)}. Score: {shown_score(event, event.score(parts))}"
    checks = film_checks(opened.kit.rule, event, opened.kit.start)
    ticks = tuple(FilmTick(check_field(key, check), words, check in note.checks) for check, words in checks)
    lack = [] if note.print else ["no print"]
    if undone := sum(not one.done for one in ticks):
        lack.append(f"{undone} of {len(ticks)} not ticked off")
    return LineCell(
        event=event.name,
        says=says,
        lacks=lacks,
        field=film_field(key),
        film=film,
        print_field=print_field(key),
        print=note.print or "",
        ticks=ticks,
        film_lacks=", ".join(lack),
        was_field=was_field(key),
        was=shown_as(film, note),
    )


def film_field(key: LineKey) -> str:
    """What the field for a line's film is called."""
    return f"{FILM}-{key[0]}-{key[1]}"


def film_key(field: str) -> LineKey | None:
    """The line whose film a field says; None for another field."""
    of, _, rest = field.partition("-")
    entry, _, event = rest.partition("-")
    return (int(entry), event) if of == FILM and entry.isascii() and entry.isdecimal() and event else None


def _receipts_of(digest: str, receipts: Sequence[Kept]) -> list[Kept]:
    return [one for one in receipts if is_digest_of(one.says.hand_in, digest)]


def _made(hall: Hall, rule: Rule, digest: str, receipts: Sequence[Kept]) -> MadeOne:
    said, own = made_said(hall.settings.data, digest), _receipts_of(digest, receipts)
    made, counts = said.competition.made_wall_ms, (say("marks", n=len(said.competition.marks)), len(said.lines))
    last = own[-1].says if own else None
    faulty = last is not None and bool(last.faults)
    return MadeOne(
        digest=digest,
        letters=short_digest(digest),
        made=shown_time(made, zone_here(made)),
        holds=f"Lines: {counts[1]}, worked out of {counts[0]}, which are sealed in it.",
        replaces=said.replaces is not None,
        state="look" if faulty or last is None else "kept" if last.what == "promised" else "safe",
        words=tuple(_said_of(rule, last)) if last else (NO_RECEIPT,),
    )


def _said_of(rule: Rule, last: Receipt) -> Iterator[str]:
    """What the last receipt of a hand-in says, as sentences."""
    at = both_times(last.at, rule.zone)
    yield f"{RECEIPT_FOR[last.what]}: receipt {last.number}, {at}."
    if last.what == "promised":
        yield f"The file must reach it by {both_times(last.at + rule.grace_ms, rule.zone)}."
    if last.what == "arrived":
        yield "Whether it was checked is not known here yet."
    if last.what == "checked":
        yield "Nothing of it counts:" if last.faults else "Nothing was amiss."
    yield from last.faults


def _receipt(rule: Rule, one: Kept) -> ReceiptLine:
    return ReceiptLine(one.says.number, one.says.what, shown_time(one.says.at, rule.zone), one.head)
