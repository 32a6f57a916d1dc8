"""Protests and appeals: filed at the desk or by the entry's own link, answered by the head judge, or by a second instance."""

import hmac
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Literal

from sqlmodel import Session

from app.hall.changing import change_roster, new_id
from app.hall.forms import Reading, Typed, refuse
from app.hall.hall import Hall
from app.hall.hand_clock import later_than_all
from app.hall.organising import needed_roster
from app.results.results_state import event_state, filing_rule, finality_of, moment_text
from app.review import appealing
from app.review.ruling import store, who_and_why
from app.review.what_if import Stands, stands_now
from app.rules.records.in_force import signed_off
from app.rules.records.roster import MOST_LATE_WHY, Entry, Event, Protest, Roster
from app.rules.records.rulings import Ruling
from app.rules.result.protests import decides_twice, decisions, in_time, open_protests, state_text
from app.rules.values.alphabet import by_name
from app.store.devices import get_setting, own_secret
from app.store.kinds import PROTESTS, RULINGS
from app.store.refusals import NotThere

SECRET = "protest-secret"
TOKEN_LENGTH = 24  # hex digits: 96 bits, nobody guesses one
MOST_OPEN = 3  # of one entry at a time, by its link
MOST_TEXT = 1000
OF_ITSELF = {"id", "filed_wall_ms", "late_why"}  # what of a protest says nothing of what it is about
DECISION_CHOICES = {
    "upheld": "Upheld",
    "partly": "Upheld in part",
    "refused": "Refused",
    "withdrawn": "Withdrawn by whoever filed it",
}
NO_LINK = "This link belongs to no entry of this competition. Ask the desk for a new one."


@dataclass(frozen=True, slots=True)
class ProtestLine:
    """A protest as the head judge sees it. `lane` is where its marks are looked at, `answer` what was said to it, `late` why it
    was taken after its time. `appeal`: it is one; `no_appeal`: why nobody can appeal against its answer; `appealed`: somebody
    did; `appeal_until`: while an entry can by its own link."""

    id: str
    entry: str
    event: str
    text: str
    filed: str
    state: str
    open: bool
    late: str
    answer: str
    lane: str
    now: tuple[Stands, ...]
    appeal: bool
    no_appeal: str
    appealed: bool
    appeal_until: str


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
    rule: str
    events: tuple[Standings, ...]
    protests: tuple[ProtestLine, ...]


async def _secret(hall: Hall) -> bytes:
    known = await hall.database.aread(lambda session: get_setting(session, SECRET))
    return (known if known is not None else await hall.database.awrite(lambda session: own_secret(session, SECRET))).encode()


def _token(secret: bytes, entry: str) -> str:
    return hmac.new(secret, entry.encode(), sha256).hexdigest()[:TOKEN_LENGTH]


async def links(hall: Hall) -> tuple[LinkLine, ...]:
    """Every entry's own link, in the order of the divisions."""
    secret, roster = await _secret(hall), needed_roster(hall)
    names = {division.id: (place, division.name) for place, division in enumerate(roster.divisions)}
    ordered = sorted(roster.entries, key=lambda entry: (names[entry.division][0], by_name(entry.name)))
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
    return OwnPage(roster.competition.name, entry.name, filing_rule(roster.competition), events, mine)


def closed(hall: Hall, event: Event) -> str:
    """Why nobody may protest about an event any more, in words; empty while they may."""
    found, now = finality_of(hall, event), hall.time.wall_ms()
    begun, over = found.until_wall_ms is not None, not in_time(now, found.until_wall_ms)
    if found.state == "signed" and (over or not begun):
        return f"{event.name} is signed off. Speak to the head judge."
    if found.until_wall_ms is not None and over:
        return f"Protests about {event.name} could be filed until {moment_text(hall, found.until_wall_ms)}. Speak to the desk."
    return ""


async def file_by_link(hall: Hall, token: str, typed: Typed) -> Protest:
    """Files a protest, or an appeal against an answer, by an entry's own link. Raises BadForm, NotThere."""
    entry, roster = await entry_of(hall, token), needed_roster(hall)
    read = Reading(typed)
    first = _found(hall, typed["against"], entry.id) if "against" in typed else None
    event = _event(read, roster, hall, entry.id) if first is None else None
    text = _text(read)
    read.done()
    if event is not None and (why := closed(hall, event)) != "":
        raise refuse("event", why)
    if first is not None and (why := appealing.never(hall, first) or appealing.too_late(hall, first)) != "":
        raise refuse("text", why)
    about = first.event if first is not None else event.id if event is not None else ""
    return await _file(hall, entry.id, about, text, via="link", against=first.id if first is not None else None)


async def file_at_desk(hall: Hall, typed: Typed) -> Protest:
    """Files a protest that was brought to the desk. After the time limit it is taken only with a reason. Raises BadForm."""
    roster, read = needed_roster(hall), Reading(typed)
    entry = read.choice("entry", "The entry", {one.id: one.name for one in roster.entries})
    event = _event(read, roster, hall, entry)
    by, text, late = read.name("by", "Who brings it"), _text(read), _late(read)
    read.done()
    return await _file(hall, entry, event.id, text, by, late_why=_needed_if(closed(hall, event), late))


async def appeal_at_desk(hall: Hall, protest_id: str, typed: Typed) -> Protest:
    """Files an appeal that was brought to the desk, by the same rule as a protest. Raises BadForm, NotThere."""
    first, read = _found(hall, protest_id), Reading(typed)
    by, text, late = read.name("by", "Who brings it"), _text(read), _late(read)
    if why := appealing.never(hall, first):
        read.wrong("text", why)
    read.done()
    late = _needed_if(appealing.too_late(hall, first), late)
    return await _file(hall, first.entry, first.event, text, by, late_why=late, against=first.id)


def _late(read: Reading) -> str:
    return read.optional("late", "Why it is taken although time is up", MOST_LATE_WHY)


def _needed_if(too_late: str, why: str) -> str:
    """The reason for taking something late: needed where it is, nothing where it is not. Raises BadForm."""
    if too_late and not why:
        raise refuse("late", f"{too_late} To take it all the same, say why.")
    return why if too_late else ""


def _event(read: Reading, roster: Roster, hall: Hall, entry: str) -> Event:
    allowed = {event.id: event.name for event in roster.events if stands_now(hall, event.id, entry)}
    key = read.choice("event", "The event", allowed)
    return next((event for event in roster.events if event.id == key), roster.events[0])


def _text(read: Reading) -> str:
    lines = read.lines("text", "What it is about", len(read.raw("text")))  # all of it together is measured, no line by itself
    text = " ".join(lines)
    if not text and not read.problems_at("text"):
        read.wrong("text", f"Say what the protest is about, in 1 to {MOST_TEXT} characters.")
    if len(text) > MOST_TEXT:
        read.wrong("text", f"What it is about has at most {MOST_TEXT} characters; this has {len(text)}.")
    return text


async def _file(
    hall: Hall,
    entry: str,
    event: str,
    text: str,
    by: str = "",
    via: Literal["desk", "link"] = "desk",
    late_why: str = "",
    against: str | None = None,
) -> Protest:
    about = {"id": new_id(), "entry": entry, "event": event, "text": text, "by": by, "via": via}
    filed = {"filed_wall_ms": hall.time.wall_ms(), "late_why": late_why, "against": against}
    protest = Protest.model_validate(about | filed)
    roster, decided = needed_roster(hall), decisions(hall.projection.rulings)

    def put(session: Session) -> Protest:
        there = _waits(protest, PROTESTS.all(session), RULINGS.all(session))
        if there is None:
            PROTESTS.put(session, protest)
        return there or protest

    if (there := _waits(protest, roster.protests, hall.projection.rulings)) is not None:
        return there
    if via == "link" and sum(one.entry == entry and one.id not in decided for one in roster.protests) >= MOST_OPEN:
        raise refuse("text", f"{MOST_OPEN} protests of yours are open. Wait for an answer, or speak to the desk.")
    return await change_roster(hall, put)


def _waits(protest: Protest, protests: Sequence[Protest], rulings: Sequence[Ruling]) -> Protest | None:
    """The same words about the same that wait already: the same form, sent twice."""
    decided, said = decisions(rulings), protest.model_dump(exclude=OF_ITSELF)
    open_ones = (one for one in protests if one.id not in decided)
    return next((one for one in open_ones if one.model_dump(exclude=OF_ITSELF) == said), None)


async def answer(hall: Hall, protest_id: str, typed: Typed) -> Ruling:
    """Decides a protest; a later decision takes the place of an earlier one, until somebody appeals. Another person decides an
    appeal than gave the first answer. Raises BadForm, NotThere."""
    protest, decided = _found(hall, protest_id), decisions(hall.projection.rulings)
    read = Reading(typed)
    decision = read.choice("decision", "The decision", DECISION_CHOICES)
    by, why = who_and_why(read, "The answer")
    if appealing.was_appealed(hall, protest):
        read.wrong("decision", appealing.HAS_APPEAL)
    if decides_twice(protest, by, decided):
        read.wrong("by", appealing.DECIDED_FIRST.format(by=decided[protest.against or ""].by))
    read.done()
    plain = {"id": new_id(), "kind": "protest", "entry": protest.entry, "event": protest.event, "by": by, "why": why}
    body = {"protest": protest.id, "decision": decision}
    ruling = Ruling.model_validate({**plain, "body": body, "made_wall_ms": later_than_all(hall)})
    await store(hall, (ruling,))
    return ruling


def _found(hall: Hall, protest_id: str, entry: str = "") -> Protest:
    """A protest, of this entry where one is named. Raises NotThere."""
    protest = next((one for one in needed_roster(hall).protests if one.id == protest_id), None)
    if protest is None or entry not in ("", protest.entry):
        raise NotThere("There is no such protest.")
    return protest


def unanswered(hall: Hall) -> tuple[Protest, ...]:
    """The protests and appeals that wait for an answer, as they came. Of an event that is signed off none does."""
    roster, rulings = needed_roster(hall), hall.projection.rulings
    waiting = [one for one in roster.events if roster.protests and signed_off(rulings, one.id) is None]
    return tuple(one for event in waiting for one in open_protests(event.id, rulings, roster.protests))


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
    ruling = decided.get(protest.id)
    lanes = [lane.id for heat in roster.heats if heat.event == event.id for lane in heat.lanes if lane.entry == protest.entry]
    brought = f"by {protest.by} at the desk" if protest.via == "desk" else "by the entry's own link"
    return ProtestLine(
        id=protest.id,
        entry=next(entry.name for entry in roster.entries if entry.id == protest.entry),
        event=event.name,
        text=protest.text,
        filed=f"{moment_text(hall, protest.filed_wall_ms)} {brought}",
        state=state_text(protest, decided),
        open=ruling is None,
        late=_late_words(hall, event, protest),
        answer="" if ruling is None else f"{ruling.by}: {ruling.why}",
        lane=f"/review/lanes/{lanes[-1]}" if lanes else "",
        now=stands_now(hall, event.id, protest.entry),
        appeal=protest.against is not None,
        no_appeal=appealing.never(hall, protest),
        appealed=appealing.was_appealed(hall, protest),
        appeal_until=appealing.can_until(hall, protest),
    )


def _late_words(hall: Hall, event: Event, protest: Protest) -> str:
    """That a protest came after its time, and why the desk took it; nothing for one in time. Older ones were taken without."""
    if protest.late_why:
        return f"after the time limit: {protest.late_why}"
    in_its_time = protest.against is not None or in_time(protest.filed_wall_ms, finality_of(hall, event).until_wall_ms)
    return "" if in_its_time else "after the time limit"
