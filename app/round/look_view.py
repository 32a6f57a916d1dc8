"""A reviewer's page as frozen values: the look that is open, or whether a film waits. No line is told of in them."""

import json
from dataclasses import dataclass

from app.round.film_list import kept_films
from app.round.headquarters import Headquarters
from app.round.kits import kit_here
from app.round.looks import next_film, open_look, sheet_of
from app.round.rule_words import in_hours
from app.round.times import shown_time
from app.rules.round.look_guide import Guide, guide
from app.rules.round.look_sheet import LookSheet
from app.rules.round.rule import FaultRule

MORE_GEAR = 12  # lines that a page has room for beyond those that the kit asks for


@dataclass(frozen=True, slots=True)
class PartRow:
    """A part to count. number: in the form. words: its windows. taps: it is counted repetition by repetition; asks: what is
    written down of it."""

    number: int
    name: str
    words: tuple[str, ...]
    taps: bool
    asks: str
    faults: tuple[FaultRule, ...]


@dataclass(frozen=True, slots=True)
class GearRow:
    """A thing to identify or measure: its number in the form, its kind, in words what."""

    number: int
    what: str
    words: str


@dataclass(frozen=True, slots=True)
class OpenLook:
    """A look that is under way. until: in words. film: its address; link: whether that leads to a page elsewhere. plays: it is of
    this server, so the page itself can play it. spare: numbers of lines for more that is identified. asks_word: films show a
    word. plain: what the page's script needs, as JSON."""

    id: str
    event: str
    until: str
    film: str
    link: bool
    plays: bool
    parts: tuple[PartRow, ...]
    faults: tuple[FaultRule, ...]
    standards: tuple[tuple[str, tuple[str, ...]], ...]
    gear: tuple[GearRow, ...]
    spare: tuple[int, ...]
    asks_word: bool
    plain: str


@dataclass(frozen=True, slots=True)
class ReviewerPage:
    """The page of a reviewer. waits: whether a film waits for them, where none is open. sealed: how many looks they sealed."""

    round: str
    name: str
    look: OpenLook | None
    waits: bool
    sealed: int
    lease: str


def reviewer_page(headquarters: Headquarters, reviewer: str, now_ms: int) -> ReviewerPage:
    """A reviewer's page as it is now."""
    state, films = headquarters.state, kept_films(headquarters.data)
    look = open_look(state, reviewer)
    mine = [one for one in state.looks.values() if one.offer.reviewer == reviewer]
    return ReviewerPage(
        round=state.rules.name,
        name=state.reviewers[reviewer].name,
        look=_open(headquarters, sheet_of(state, look, films), look.offer.event) if look else None,
        waits=look is None and next_film(state, reviewer, films, now_ms) is not None,
        sealed=sum(one.state == "sealed" for one in mine),
        lease=in_hours(state.rules.lease_ms),
    )


def _open(headquarters: Headquarters, sheet: LookSheet, event: str) -> OpenLook:
    rule = headquarters.state.rules
    of_event = rule.event(event)
    assert of_event is not None, "a look is at an event of the round"
    found = guide(of_event, kit_here(headquarters.data))
    return OpenLook(
        id=sheet.look,
        event=sheet.event,
        until=shown_time(sheet.until, rule.zone),
        film=sheet.film,
        link=sheet.film.startswith(("https://", "http://")),
        plays=sheet.film.startswith("/") and not sheet.film.startswith("//"),
        parts=_parts(sheet, found),
        faults=_faults(sheet, "line"),
        standards=found.standards,
        gear=tuple(GearRow(number, what, words) for number, (what, words) in enumerate(found.gear)),
        spare=tuple(range(len(found.gear), len(found.gear) + MORE_GEAR)),
        asks_word=bool(rule.film_word),
        plain=_plain(sheet, found),
    )


def _parts(sheet: LookSheet, found: Guide) -> tuple[PartRow, ...]:
    rows = []
    for number, (one, part) in enumerate(zip(found.parts, sheet.parts, strict=True)):
        asks = "Repetitions that count" if one.taps else (part.asked and part.asked.asks) or "Count"
        rows.append(PartRow(number, one.name, one.words, one.taps, asks, _faults(sheet, one.of)))
    return tuple(rows)


def _faults(sheet: LookSheet, of: str) -> tuple[FaultRule, ...]:
    return tuple(one for one in sheet.known if one.of == of)


def _plain(sheet: LookSheet, found: Guide) -> str:
    parts = [{"name": one.name, "start": one.start_ms, "end": one.end_ms, "taps": one.taps} for one in found.parts]
    return json.dumps({"look": sheet.look, "film": sheet.film, "print": sheet.film_print, "parts": parts}, ensure_ascii=False)
