"""An entry's own page as frozen values: what it claimed, what became of it, and, of a correction, when in the film and why."""

from collections.abc import Iterator
from dataclasses import dataclass

from app.round.checking import read_checked
from app.round.entries import CHECK, Claimant
from app.round.film_list import has_film
from app.round.headquarters import Headquarters
from app.round.kits import kit_here
from app.round.times import shown_time
from app.rules.records.document import CompetitionFile
from app.rules.round.guards import appeal_until
from app.rules.round.hand_in import Receipt
from app.rules.round.inviting import is_over
from app.rules.round.kit import said_in
from app.rules.round.look_guide import film_checks
from app.rules.round.moves import OPEN, PUBLISHED, SIGNED, STAGES
from app.rules.round.rule import EventRule
from app.rules.round.state import Invitation, LineState, Look, RoundState
from app.rules.round.told import shown_number, shown_score
from app.rules.values.clock_times import clock_text


@dataclass(frozen=True, slots=True)
class Tick:
    """How far a line has come: a step, and its state as pages draw it (safe: it is so; none: not yet; look: it lacks)."""

    words: str
    state: str


@dataclass(frozen=True, slots=True)
class OwnLine:
    """A line in an event. parts: what a claim gives numbers of, each as the hall's paper asks for it, and of what. words: what
    was claimed and what became of it; ticks: how far it has come. told: of a correction, what looks saw and when in the film.
    checks: what the film must show, each as its field and in words. may_claim: a claim can still be sent; appeal_until: empty for
    no appeal."""

    event: str
    name: str
    parts: tuple[tuple[str, str], ...]
    words: str
    told: tuple[str, ...]
    ticks: tuple[Tick, ...]
    checks: tuple[tuple[str, str], ...]
    may_claim: bool
    appeal_until: str


@dataclass(frozen=True, slots=True)
class EntryPage:
    """The page of an entry. word: its film word, empty for none. invitation: its state, empty for none; may_answer: until when
    it may be answered, empty for not. receipt: the number of
    the one that is shown, 0 for none; appeals: an appeal of it waits for its answer."""

    round: str
    stage: str
    entry: int
    division: str
    gym: str
    deadline: str
    word: str
    lines: tuple[OwnLine, ...]
    invitation: str
    may_answer: str
    receipt: int
    appeals: bool


def entry_page(headquarters: Headquarters, who: Claimant, now_ms: int, receipt: int = 0) -> EntryPage:
    """An entry's page as it is now; `receipt`: the number of one that it is to show, if it is of a claim that stands."""
    state, rule, data = headquarters.state, headquarters.state.rules, headquarters.data
    kit = kit_here(data)
    division, invited = rule.division(who.division), state.invitations.get(who.entry)
    return EntryPage(
        round=rule.name,
        stage=STAGES[state.stage],
        entry=who.entry,
        division=division.name if division else "",
        gym=state.gyms[who.gym].name if who.gym in state.gyms else "",
        deadline=shown_time(state.deadline_ms, rule.zone),
        word=state.film_word(who.entry),
        lines=tuple(_line(state, event, who, now_ms, has_film(data, (who.entry, event.id)), kit) for event in rule.events),
        invitation=invited.state if invited else "",
        may_answer=_may_answer(state, invited, now_ms),
        receipt=receipt if _is_of(headquarters, who, receipt) else 0,
        appeals=any(line.appeal and line.answer is None for line in _lines(state, who)),
    )


def _may_answer(state: RoundState, invited: Invitation | None, now_ms: int) -> str:
    if invited is None or invited.state != "offered" or is_over(state, invited, now_ms):
        return ""
    return shown_time(invited.at + state.rules.invitation_ms, state.rules.zone)


def _lines(state: RoundState, who: Claimant) -> list[LineState]:
    """The lines that an entry has."""
    return [line for event in state.rules.events if (line := state.lines.get((who.entry, event.id))) is not None]


def _is_of(headquarters: Headquarters, who: Claimant, number: int) -> bool:
    """Whether a receipt is of what an entry claims now."""
    receipt = headquarters.receipt(number)
    if receipt is None:
        return False
    told = said_in(read_checked(receipt, "receipt").says, Receipt)
    return told.hand_in in {line.leaf for line in _lines(headquarters.state, who)}


def _line(state: RoundState, event: EventRule, who: Claimant, now_ms: int, listed: bool, kit: CompetitionFile | None) -> OwnLine:
    """An entry's line; listed: the address of its film is on headquarters' list."""
    line = state.lines.get((who.entry, event.id))
    in_time = state.stage == OPEN and now_ms <= state.deadline_ms and not state.waits_for_its_word
    return OwnLine(
        event=event.id,
        name=event.name,
        parts=tuple((f"{part.name}: {part.asks}".removesuffix(": "), part.does) for part in event.parts),
        words=_words(event, line),
        told=tuple(_told(state, event, line)) if line else (),
        ticks=tuple(_ticks(state, line, listed or line.film)) if line else (),
        checks=tuple((f"{CHECK}{key}", words) for key, words in film_checks(state.rules, event, kit)),
        may_claim=in_time and (line is None or line.claim.hand_in is None),
        appeal_until=_appeal_until(state, line, now_ms),
    )


def _words(event: EventRule, line: LineState | None) -> str:
    """What was claimed and what became of it; of looks nothing before the decision."""
    if line is None:
        return "Nothing is claimed yet."
    words = f"Claimed: {shown_score(event, line.claimed)}."
    if line.decision is not None:
        words += " It is refused." if line.value is None else f" It counts {shown_score(event, line.value)}."
    if line.appeal:
        answered = f": {line.answer.why}" if line.answer else ""
        words += f" Appeal: {line.appeal}{answered}."
    return words


def _ticks(state: RoundState, line: LineState, film: bool) -> Iterator[Tick]:
    """How far a line has come; film: its address is known. Whether somebody looked is told once that is decided or published:
    before, nobody knows it."""
    published = state.stage in (PUBLISHED, SIGNED)
    asked = bool(line.asks) and (published or line.decision is not None)
    yield Tick("Claimed, with a film" if film else "Claimed; no film yet", "safe" if film else "look")
    yield Tick("Checked against your gym's marks" if line.claim.hand_in else "Sent by your own link: no marks to check", "safe")
    if line.late:
        yield Tick("Admitted after the roll", "safe")
    else:
        yield _so("On the closed roll", state.roll is not None)
    if published and not line.asks:
        yield Tick("No look was asked for: the claim stands as it is", "safe")
    else:
        yield _so(f"Looked at {len(line.sealed)} times" if asked and len(line.sealed) > 1 else "Looked at", asked)
        yield _so("Decided", line.decision is not None or (published and line.state != "asked"))
    yield _so("Published", published)
    yield _so("Final", state.stage == SIGNED)


def _so(words: str, done: bool) -> Tick:
    return Tick(words, "safe" if done else "none")


def _told(state: RoundState, event: EventRule, line: LineState) -> Iterator[str]:
    """Of a correction, look by look, what was seen of each part, with the moment on the film."""
    if line.decision is None or line.decision.outcome == "stands":
        return
    if line.decision.why == "no-film":
        yield "No film came in its time."
    sealed = (look for look in line.looks if look.state == "sealed")
    for number, look in enumerate(sealed, start=1):
        yield from (f"Look {number}: {words}" for words in _seen(state, event, look, state.film_word(line.claim.entry)))


def _seen(state: RoundState, event: EventRule, look: Look, word: str) -> Iterator[str]:
    faults = {one.key: one.words for one in state.rules.faults}
    if look.sealed is None:
        return
    for part, seen in zip(event.parts, look.sealed.seen, strict=True):
        why = "".join(f", {faults[key]}" for key in seen.faults)
        at = [seen.at_ms] if seen.at_ms is not None else []
        moments = ", ".join(clock_text(ms, 1) for ms in at or seen.reps)
        yield f"{part.name}: {shown_number(part, seen.value)}{why}{f' (in the film {moments})' if moments else ''}."
    yield from (f"{faults[key]}." for key in look.sealed.faults)
    if word and look.sealed.word != word:
        yield "The film word was not seen, or was another."


def _appeal_until(state: RoundState, line: LineState | None, now_ms: int) -> str:
    if line is None or line.appeal or line.state not in ("adjusted", "refused"):
        return ""
    until = appeal_until(state, line)
    return shown_time(until, state.rules.zone) if now_ms <= until else ""
