"""Protests: filed at the desk or by the entry's own link, answered by the head judge."""

import hmac
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256

from sqlmodel import Session

from app.hall.changing import change_roster, new_id
from app.hall.forms import Reading, Typed, refuse
from app.hall.hall import Hall
from app.hall.hand_clock import later_than_all
from app.hall.organising import needed_roster
from app.results.results_state import event_state, finality_of, time_of_day
from app.review.ruling import store, who_and_why
from app.review.what_if import Stands, stands_now
from app.rules.records.roster import Entry, Event, Protest, Roster
from app.rules.records.rulings import Ruling
from app.rules.result.protests import decisions, over_at, protest_open_until, state_text
from app.store.devices import get_setting, put_setting_once
from app.store.kinds import PROTESTS
from app.store.refusals import NotThere

SECRET = "protest-secret"
TOKEN_LENGTH = 24  # hex digits: 96 bits, nobody guesses one
MOST_OPEN = 3  # of one entry at a time, by its link
MOST_TEXT = 1000
DECISION_CHOICES = {
    "upheld": "Upheld",
    "partly": "Upheld in part",
    "refused": "Refused",
    "withdrawn": "Withdrawn by whoever filed it",
}
NO_LINK = "This link belongs to no entry of this competition. Ask the desk for a new one."


@dataclass(frozen=True, slots=True)
class ProtestLine:
    """A protest as the head judge sees it. `lane` is where its marks are looked at, `answer` what was said to it."""

    id: str
    entry: str
    event: str
    text: str
    filed: str
    state: str
    open: bool
    late: bool
    answer: str
    lane: str
    now: tuple[Stands, ...]


@dataclass(frozen=True, slots=True)
class LinkLine:
    """An entry's own way to protest, for a slip of paper."""

    entry: str
    division: str
    path: str


@dataclass(frozen=True, slots=True)
class Standings:
    """How an entry stands in one event, and whether it may protest there: `closed` says why not, or is empty."""

    event: str
    name: str
    stands: tuple[Stands, ...]
    state: str
    closed: str


@dataclass(frozen=True, slots=True)
class OwnPage:
    """What an entry sees behind its link."""

    competition: str
    entry: str
    minutes: int
    events: tuple[Standings, ...]
    protests: tuple[ProtestLine, ...]


async def _secret(hall: Hall) -> bytes:
    def work(session: Session) -> str:
        put_setting_once(session, SECRET, secrets.token_hex(32))
        return get_setting(session, SECRET) or ""

    known = await hall.database.aread(lambda session: get_setting(session, SECRET))
    return (known if known is not None else await hall.database.awrite(work)).encode()


def _token(secret: bytes, entry: str) -> str:
    return hmac.new(secret, entry.encode(), sha256).hexdigest()[:TOKEN_LENGTH]


async def links(hall: Hall) -> tuple[LinkLine, ...]:
    """Every entry's own link, in the order of the divisions."""
    secret, roster = await _secret(hall), needed_roster(hall)
    names = {division.id: (place, division.name) for place, division in enumerate(roster.divisions)}
    ordered = sorted(roster.entries, key=lambda entry: (names[entry.division][0], entry.name.casefold()))
    return tuple(LinkLine(one.name, names[one.division][1], f"/protest/{_token(secret, one.id)}") for one in ordered)


async def entry_of(hall: Hall, token: str) -> Entry:
    """The entry whose link this is. Raises NotThere."""
    secret, given = await _secret(hall), token.encode("utf-8", "replace")
    found = [e for e in needed_roster(hall).entries if hmac.compare_digest(_token(secret, e.id).encode(), given)]
    if not found:
        raise NotThere(NO_LINK)
    return found[0]


async def own_page(hall: Hall, token: str) -> OwnPage:
    """What an entry sees behind its link. Raises NotThere."""
    entry, roster = await entry_of(hall, token), needed_roster(hall)
    events = tuple(
        Standings(event.id, event.name, stands, event_state(hall, event), closed(hall, event))
        for event in roster.events
        if (stands := stands_now(hall, event.id, entry.id))
    )
    mine = tuple(line for line, protest in _lines(hall, roster) if protest.entry == entry.id)
    return OwnPage(roster.competition.name, entry.name, roster.competition.protest_minutes, events, mine)


def closed(hall: Hall, event: Event) -> str:
    """Why nobody may protest about an event any more, in words; empty while they may."""
    found = finality_of(hall, event)
    if found.state == "signed":
        return f"{event.name} is signed off. Speak to the head judge."
    if found.until_wall_ms is not None and hall.time.wall_ms() >= found.until_wall_ms:
        return f"Protests about {event.name} could be filed until {time_of_day(found.until_wall_ms)}. Speak to the desk."
    return ""


async def file_by_link(hall: Hall, token: str, typed: Typed) -> Protest:
    """Files a protest by an entry's own link. Raises BadForm, NotThere."""
    entry, roster = await entry_of(hall, token), needed_roster(hall)
    read = Reading(typed)
    event = _event(read, roster, hall, entry.id)
    text = _text(read)
    read.done()
    if (why := closed(hall, event)) != "":
        raise refuse("event", why)
    decided = decisions(hall.projection.rulings)
    if sum(one.entry == entry.id and one.id not in decided for one in roster.protests) >= MOST_OPEN:
        raise refuse("text", f"{MOST_OPEN} protests of yours are open. Wait for an answer, or speak to the desk.")
    return await _file(hall, entry.id, event.id, text, "", "link")


async def file_at_desk(hall: Hall, typed: Typed) -> Protest:
    """Files a protest that was brought to the desk. After the time limit it is taken only if that is ticked. Raises BadForm."""
    roster, read = needed_roster(hall), Reading(typed)
    entry = read.choice("entry", "The entry", {one.id: one.name for one in roster.entries})
    event = _event(read, roster, hall, entry)
    by, text = read.name("by", "Who brings it"), _text(read)
    read.done()
    why = closed(hall, event)
    if why and not read.raw("late"):
        raise refuse("late", f"{why} Tick here to accept it anyway.")
    return await _file(hall, entry, event.id, text, by, "desk")


def _event(read: Reading, roster: Roster, hall: Hall, entry: str) -> Event:
    allowed = {event.id: event.name for event in roster.events if stands_now(hall, event.id, entry)}
    key = read.choice("event", "The event", allowed)
    return next((event for event in roster.events if event.id == key), roster.events[0])


def _text(read: Reading) -> str:
    lines = read.lines("text", "What it is about", MOST_TEXT)
    text = " ".join(lines)
    if not text and not read.problems_at("text"):
        read.wrong("text", f"Say what the protest is about, in 1 to {MOST_TEXT} characters.")
    if len(text) > MOST_TEXT:
        read.wrong("text", f"What it is about has at most {MOST_TEXT} characters; this has {len(text)}.")
    return text


async def _file(hall: Hall, entry: str, event: str, text: str, by: str, via: str) -> Protest:
    plain = {"id": new_id(), "entry": entry, "event": event, "text": text, "by": by, "via": via}
    protest = Protest.model_validate({**plain, "filed_wall_ms": hall.time.wall_ms()})
    await change_roster(hall, lambda session: PROTESTS.put(session, protest))
    return protest


async def answer(hall: Hall, protest_id: str, typed: Typed) -> Ruling:
    """Decides a protest; a later decision takes the place of an earlier one. Raises BadForm, NotThere."""
    protest = _found(hall, protest_id)
    read = Reading(typed)
    decision = read.choice("decision", "The decision", DECISION_CHOICES)
    by, why = who_and_why(read)
    read.done()
    plain = {"id": new_id(), "kind": "protest", "entry": protest.entry, "event": protest.event, "by": by, "why": why}
    body = {"protest": protest.id, "decision": decision}
    ruling = Ruling.model_validate({**plain, "body": body, "made_wall_ms": later_than_all(hall)})
    await store(hall, (ruling,))
    return ruling


def _found(hall: Hall, protest_id: str) -> Protest:
    protest = next((one for one in needed_roster(hall).protests if one.id == protest_id), None)
    if protest is None:
        raise NotThere("There is no such protest.")
    return protest


def protest_lines(hall: Hall) -> tuple[ProtestLine, ...]:
    """Every protest, the open ones first, then the newest."""
    return tuple(line for line, _ in sorted(_lines(hall, needed_roster(hall)), key=lambda pair: not pair[0].open))


def protest_line(hall: Hall, protest_id: str) -> ProtestLine:
    """One protest. Raises NotThere."""
    wanted = _found(hall, protest_id)
    return next(line for line, one in _lines(hall, needed_roster(hall)) if one.id == wanted.id)


def _lines(hall: Hall, roster: Roster) -> list[tuple[ProtestLine, Protest]]:
    decided = decisions(hall.projection.rulings)
    return [(_line(hall, roster, protest, decided), protest) for protest in reversed(roster.protests)]


def _line(hall: Hall, roster: Roster, protest: Protest, decided: Mapping[str, Ruling]) -> ProtestLine:
    event = next(event for event in roster.events if event.id == protest.event)
    heats = [heat for heat in roster.heats if heat.event == event.id]
    until = protest_open_until(over_at(heats, hall.projection.runs, event.format.length_ms), roster.competition.protest_minutes)
    ruling = decided.get(protest.id)
    lanes = [lane.id for heat in heats for lane in heat.lanes if lane.entry == protest.entry]
    brought = f"by {protest.by} at the desk" if protest.via == "desk" else "by the entry's own link"
    return ProtestLine(
        id=protest.id,
        entry=next(entry.name for entry in roster.entries if entry.id == protest.entry),
        event=event.name,
        text=protest.text,
        filed=f"{time_of_day(protest.filed_wall_ms)} {brought}",
        state=state_text(protest, decided),
        open=ruling is None,
        late=until is not None and protest.filed_wall_ms >= until,
        answer="" if ruling is None else f"{ruling.by}: {ruling.why}",
        lane=f"/review/lanes/{lanes[-1]}" if lanes else "",
        now=stands_now(hall, event.id, protest.entry),
    )
