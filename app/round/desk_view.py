"""Headquarters' page of a round as frozen values: next step, hand-ins and what lacks, films, decisions, standing, invitations."""

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from hashlib import sha256

from app.hall.lists import Choice
from app.round.acts import Act, open_acts
from app.round.film_list import kept_films, kept_list
from app.round.headquarters import Headquarters
from app.round.kits import kit_file
from app.round.looks import code_of
from app.round.next_step import NextStep, is_without_film, next_step
from app.round.times import shown_time
from app.round.where_it_stands import MOST_LISTED, counted, given_words
from app.rules.round.effect import effect_of, effect_words
from app.rules.round.guards import appeal_until
from app.rules.round.inviting import invited_by_division
from app.rules.round.kit import print_text
from app.rules.round.moves import STAGES
from app.rules.round.records import LineKey
from app.rules.round.scale import Score
from app.rules.round.standing import Row, line_state, standing
from app.rules.round.state import HandIn, LineState, RoundState
from app.rules.round.told import shown_score
from app.rules.round.words import shown
from app.rules.values.units import decimal_text
from app.rules.values.words import say

SHOWN = {"arrived": "not checked yet"}  # states of a hand-in that are said in other words
MOST_RECEIPTS = 20  # links to them
WHY_LOOKED = {
    "top": "among the best",
    "draw": "drawn",
    "opened": "a correction in its gym",
    "doubt": "a doubt",
    "again": "looks that differ",
    "late": "came after the roll",
    "ruling": "a ruling",
}  # why a film is looked at, by the reason of the asking


@dataclass(frozen=True, slots=True)
class GymLine:
    """A gym and what it handed in. state: as pages draw it. lacks: what it lacks or what is amiss, as sentences."""

    number: int
    name: str
    state: str
    words: str
    lines: int
    lacks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FilmLine:
    """A film that waits for looks: whose, why, how many are sealed; lacks: what keeps reviewers from it, empty for nothing."""

    entry: int
    event: str
    gym: str
    why: str
    looks: str
    lacks: str


@dataclass(frozen=True, slots=True)
class ToDecide:
    """A line that waits for a decision, or for an answer to its appeal. words: what the scale gives and what that does, or what
    each answer would do. appeal: what it says, empty for none."""

    entry: int
    event: str
    event_name: str
    words: str
    appeal: str


@dataclass(frozen=True, slots=True)
class Placed:
    """An entry in the standing. cells: what it has in each event, and how far that was looked at."""

    place: str
    entry: int
    gym: str
    cells: tuple[str, ...]
    total: str


@dataclass(frozen=True, slots=True)
class Table:
    """The standing of a division. more: how many further entries it has. invited: who was, with the state of it."""

    name: str
    places: int
    events: tuple[str, ...]
    rows: tuple[Placed, ...]
    more: int
    invited: tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True)
class ReviewerLine:
    """A reviewer, their own link, and how many looks they sealed."""

    name: str
    gym: str
    link: str
    sealed: int


@dataclass(frozen=True, slots=True)
class KitLine:
    """The kit as it was made: its size in words, the SHA-256 of its bytes."""

    size: str
    digest: str


@dataclass(frozen=True, slots=True)
class DeskPage:
    """The page. kit: None where it lies elsewhere; print: headquarters' key as the letters that end a slip. counted: lines by
    their state, in words. films_more, decide_more: how many are not listed. receipts: how many; last_receipts: the newest.
    unchecked: of hand-ins that nobody has checked yet, as sentences, empty for none. appealable: the corrected lines, against
    which an appeal may come; to_panel: those whose answer a panel may still hear. acts: what else may be said now."""

    name: str
    stage: str
    deadline: str
    opening: str
    root: str
    next: NextStep
    kit: KitLine | None
    print: str
    gyms: tuple[GymLine, ...]
    gyms_more: int
    counted: str
    unchecked: str
    films: tuple[FilmLine, ...]
    films_more: int
    film_list: str
    decide: tuple[ToDecide, ...]
    decide_more: int
    tables: tuple[Table, ...]
    reviewers: tuple[ReviewerLine, ...]
    receipts: int
    last_receipts: tuple[int, ...]
    appealable: tuple[Choice, ...]
    to_panel: tuple[Choice, ...]
    acts: tuple[Act, ...]
    events: tuple[Choice, ...]
    divisions: tuple[Choice, ...]


def desk_page(headquarters: Headquarters, now_ms: int) -> DeskPage:
    """The page as it is now."""
    state, rule = headquarters.state, headquarters.state.rules
    lines = sorted(state.lines.items())
    films = [one for one in lines if one[1].state == "asked"]
    decide = [one for one in lines if _is_to_decide(state, one[1], now_ms)]
    known = kept_films(headquarters.data)
    gyms, receipts = _gyms(state), headquarters.receipts_given()
    return DeskPage(
        name=rule.name,
        stage=STAGES[state.stage],
        deadline=shown_time(state.deadline_ms, rule.zone),
        opening=shown(state.opening),
        root=state.roll.root if state.roll else "",
        next=next_step(state, now_ms),
        kit=_kit(headquarters),
        print=print_text(state.key) if state.key else "",
        gyms=gyms[:MOST_LISTED],
        gyms_more=max(0, len(gyms) - MOST_LISTED),
        counted=counted(line.state for _, line in lines),
        unchecked=_unchecked(headquarters),
        films=tuple(_film(state, key, line, key in known) for key, line in films[:MOST_LISTED]),
        films_more=max(0, len(films) - MOST_LISTED),
        film_list=kept_list(headquarters.data),
        decide=tuple(_to_decide(state, key, line) for key, line in decide[:MOST_LISTED]),
        decide_more=max(0, len(decide) - MOST_LISTED),
        tables=tuple(tables(state)),
        reviewers=tuple(_reviewers(headquarters)),
        receipts=receipts,
        to_panel=tuple(_appealable(state, key, line) for key, line in lines if line.appeal in ("partly", "refused")),
        acts=tuple(open_acts(state)),
        events=tuple(Choice(one.id, one.name) for one in rule.events),
        divisions=tuple(Choice(one.id, one.name) for one in rule.divisions),
        last_receipts=tuple(range(receipts, max(0, receipts - MOST_RECEIPTS), -1)),
        appealable=tuple(_appealable(state, key, line) for key, line in lines if _may_appeal(state, line, now_ms)),
    )


def _kit(headquarters: Headquarters) -> KitLine | None:
    made = kit_file(headquarters.data)
    return None if made is None else KitLine(f"{max(1, round(len(made) / 1000))} kB", sha256(made).hexdigest())


def _unchecked(headquarters: Headquarters) -> str:
    waits, given_up = len(headquarters.unchecked()), len(headquarters.given_up)
    told = []
    if waits:
        told.append(f"Files that wait to be checked: {waits}. No line in them counts yet.")
    if given_up:
        told.append(f"Files that could not be checked here: {given_up}. Start the server anew, or look into its log.")
    return " ".join(told)


def _is_to_decide(state: RoundState, line: LineState, now_ms: int) -> bool:
    return line.state == "looked" or line.appeal == "filed" or is_without_film(state, line, now_ms)


def _gyms(state: RoundState) -> tuple[GymLine, ...]:
    """The gyms, those that lack something first."""
    by_gym = defaultdict[int, list[HandIn]](list)
    for one in state.hand_ins.values():
        by_gym[one.promise.gym].append(one)
    claims = Counter(line.claim.gym for line in state.lines.values())
    found = [_gym(state, number, by_gym[number], claims[number]) for number in sorted(state.gyms)]
    return tuple(sorted(found, key=lambda one: not one.lacks))


def _gym(state: RoundState, number: int, hand_ins: list[HandIn], lines: int) -> GymLine:
    told = Counter(one.state for one in hand_ins)
    lacks = list[str]()
    if number not in state.keys and not lines:
        lacks.append("It has not bound its key.")
    if not lines and "arrived" not in told:
        lacks.append("No line of it counts yet.")
    lacks += [fault for one in hand_ins if one.state == "unsound" and not lines for fault in one.faults]
    lacks += _entries_without(state, number) if lines else []
    listed = [f"{count} {SHOWN.get(what, what)}" for what, count in sorted(told.items())]
    words = ", ".join(listed) or ("by its entries" if lines else "nothing")
    return GymLine(number, state.gyms[number].name, "look" if lacks else "safe", words, lines, tuple(lacks))


def _entries_without(state: RoundState, number: int) -> list[str]:
    """For each event, how many of a gym's entries have no line in it."""
    events = state.once("entries by gym", lambda: _by_gym(state))[number]
    most = len({entry for told in events.values() for entry in told})
    few = [(event.name, most - len(events[event.id])) for event in state.rules.events if len(events[event.id]) < most]
    return [f"{name}: no line yet for {count} of {say('list.entries', n=most)}." for name, count in few]


def _by_gym(state: RoundState) -> dict[int, dict[str, set[int]]]:
    """The entries that have a line, by gym and event."""
    found: dict[int, dict[str, set[int]]] = defaultdict(lambda: defaultdict(set))
    for (entry, event), line in state.lines.items():
        found[line.claim.gym][event].add(entry)
    return found


def _film(state: RoundState, key: LineKey, line: LineState, known: bool) -> FilmLine:
    why = ", ".join(dict.fromkeys(WHY_LOOKED[one.reason] for one in line.asks))
    doubt = f" ({line.doubt.why})" if line.doubt is not None and any(one.reason == "doubt" for one in line.asks) else ""
    opened = f", {line.open_looks} under way" if line.open_looks else ""
    looks = f"{len(line.sealed)} of {len(line.asks)} sealed{opened}"
    lacks = "" if known else "No address is on the list of films."
    if not lacks and len(line.sealed) + line.open_looks < len(line.asks) and not _may_anybody_look(state, line):
        lacks = "Everybody who may look at it has: add a reviewer."
    return FilmLine(key[0], _event_name(state, key[1]), state.gyms[line.claim.gym].name, why + doubt, looks, lacks)


def _may_anybody_look(state: RoundState, line: LineState) -> bool:
    """Whether there is a reviewer who is not of a line's gym and had no look at it yet."""
    had = set(line.reviewers())
    return any(one.gym != line.claim.gym and key not in had for key, one in state.reviewers.items())


def _to_decide(state: RoundState, key: LineKey, line: LineState) -> ToDecide:
    if line.appeal == "filed":
        words = f"If it is upheld: {effect_words(effect_of(state, key, line.claimed))} If it is refused, all stays."
    elif line.state == "looked":
        words = given_words(state, key, line)
    else:
        words = f"No film came in its time, so the line is refused. {effect_words(effect_of(state, key, None))}"
    appeal = line.appeal_why if line.appeal == "filed" else ""
    return ToDecide(key[0], key[1], _event_name(state, key[1]), words, appeal)


def _may_appeal(state: RoundState, line: LineState, now_ms: int) -> bool:
    """Whether an appeal against a line's correction is still in time."""
    in_time = not state.published_at or now_ms <= appeal_until(state, line)
    return line.state in ("adjusted", "refused") and not line.appeal and in_time


def _appealable(state: RoundState, key: LineKey, line: LineState) -> Choice:
    claimed, counts = (_score(state, key[1], one) for one in (line.claimed, line.value))
    words = f"Entry {key[0]}, {_event_name(state, key[1])}: claimed {claimed}, {counts} now"
    return Choice(f"{key[0]} {key[1]}", words)


def tables(state: RoundState) -> Iterator[Table]:
    """The standing of each division that has places or entries, its best first."""
    invited = invited_by_division(state)
    names = tuple(event.name for event in state.rules.events)
    for division in state.rules.divisions:
        rows = standing(state, division.id)
        if rows or division.places:
            listed = tuple(placed_row(state, row) for row in rows[:MOST_LISTED])
            more, told = max(0, len(rows) - MOST_LISTED), tuple(invited.get(division.id, ()))
            yield Table(division.name, division.places, names, listed, more, told)


def placed_row(state: RoundState, row: Row) -> Placed:
    """An entry in the standing as it is shown."""
    states = [line_state(state, row, cell) for cell in row.cells]
    cells = tuple(
        f"{_score(state, cell.event, cell.value)} {of}" if of else "–" for cell, of in zip(row.cells, states, strict=True)
    )
    place = "–" if row.place is None else f"{'=' if row.shared else ''}{row.place}"
    return Placed(place, row.entry, state.gyms[row.gym].name, cells, "" if row.total is None else decimal_text(row.total))


def _score(state: RoundState, event: str, value: Score) -> str:
    rule = state.rules.event(event)
    assert rule is not None, "a line is of an event of the round"
    return shown_score(rule, value)


def _reviewers(headquarters: Headquarters) -> Iterator[ReviewerLine]:
    state = headquarters.state
    sealed = Counter(look.offer.reviewer for look in state.looks.values() if look.state == "sealed")
    for key, one in state.reviewers.items():
        gym = state.gyms[one.gym].name if one.gym else ""
        yield ReviewerLine(one.name, gym, f"/look/{code_of(headquarters, key)}", sealed[key])


def _event_name(state: RoundState, key: str) -> str:
    event = state.rules.event(key)
    return event.name if event else key
