"""Beginning a round on headquarters' page: what is typed is read into its rule, and shown in words before the kit is made."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from hashlib import sha256
from typing import cast, get_args

from app.hall.forms import Reading, Typed
from app.round.headquarters import Headquarters
from app.round.kits import GymRow, begin_round, gyms_in, round_rule
from app.round.rule_words import rules_of
from app.round.times import both_times, left_words, offset_of, read_time, why_not_then, zone_of
from app.rules.records.document import CompetitionFile
from app.rules.records.roster import Roster
from app.rules.result.start_file import start_of
from app.rules.round.kit import ADDRESS, BadKit
from app.rules.round.rule import MostLooks, Rule
from app.rules.round.words import MOST_LETTERS

USUAL_WORD, USUAL_LOOKS = 6, 7
LOOKS = {str(one): str(one) for one in get_args(MostLooks)}
PLACES = "places-"  # begins the field of a division
MOST_PLACES = 10_000


@dataclass(frozen=True, slots=True)
class KitDraft:
    """A round as it was typed, before it begins."""

    file: CompetitionFile
    rule: Rule
    gyms: tuple[GymRow, ...]
    address: str


@dataclass(frozen=True, slots=True)
class KitShown:
    """The same in words: what a gym is shown, and what stands in it. of: a digest of the competition that it was made of."""

    name: str
    deadline: str
    left: str
    opens: str
    events: tuple[str, ...]
    divisions: tuple[str, ...]
    gyms: tuple[str, ...]
    rules: tuple[str, ...]
    address: str
    of: str


def lacks_for_a_kit(roster: Roster | None) -> str:
    """What a competition still lacks for a round, as a sentence; empty for nothing."""
    if roster is None or not roster.events or not roster.divisions:
        return "A round needs a competition with a division and an event. Enter them first."
    return ""


def usual(roster: Roster) -> Typed:
    """What a form begins with."""
    return {"name": roster.competition.name, "film_word": str(USUAL_WORD), "looks": str(USUAL_LOOKS)}


def kit_draft(file: CompetitionFile, typed: Typed, now_ms: int) -> KitDraft:
    """What was typed. Raises BadForm."""
    read = Reading(typed)
    name = read.name("name", "The round's name")
    opens = _time(read, "opens", "The opening")[0] if read.raw("opens") else now_ms
    deadline = _time(read, "deadline", "The deadline")
    if not read.problems and (why_not := why_not_then(deadline[0], opens, now_ms)):
        read.wrong("deadline", why_not)
    places = {one.id: read.whole(f"{PLACES}{one.id}", f"Places in {one.name}", 0, MOST_PLACES, 0) or 0 for one in file.divisions}
    word = read.whole("film_word", "Letters of the film word", 0, MOST_LETTERS, 0) or 0
    looks = read.choice("looks", "The most looks at a line", LOOKS)
    address = read.raw("address").rstrip("/")
    if not re.fullmatch(ADDRESS, address):
        read.wrong("address", "The address of a server is such as https://round.example, with nothing behind it.")
    gyms: list[GymRow] = []
    try:
        gyms = gyms_in(read.raw("gyms"))
    except BadKit as wrong:
        read.wrong("gyms", str(wrong))
    read.done()
    try:
        rule = round_rule(file, name, deadline, opens, places, word, cast("MostLooks", int(looks)))
    except ValueError:
        read.wrong("name", "A round can't be made of these events and divisions as they are.")
    read.done()
    return KitDraft(file, rule, tuple(gyms), address)


def _time(read: Reading, field: str, what: str) -> tuple[int, str]:
    """A time as Unix milliseconds and its zone: the one that was typed, else this computer's then."""
    zone = read.raw("zone").upper()
    try:
        at = read_time(read.raw(field) + (zone and offset_of(zone)))
        if at.tzinfo is None:
            at = at.astimezone()
        return round(at.timestamp() * 1000), zone_of(at)
    except ValueError:
        read.wrong(field, f"{what} is a day and a time; its zone, if it is another than this computer's, such as +01:00.")
        return 0, "UTC"


def kit_shown(draft: KitDraft, now_ms: int) -> KitShown:
    """A draft in words."""
    rule = draft.rule
    return KitShown(
        name=rule.name,
        deadline=both_times(rule.deadline_ms, rule.zone),
        left=left_words(rule.deadline_ms - now_ms),
        opens=both_times(rule.opens_ms, rule.zone) if rule.opens_ms > now_ms else "",
        events=tuple(one.name for one in rule.events),
        divisions=tuple(_divisions(rule)),
        gyms=tuple(f"{one.number} {one.name}{f', {one.region}' if one.region else ''}" for one in draft.gyms),
        rules=rules_of(rule),
        address=draft.address,
        of=_digest_of(draft.file),
    )


def _digest_of(file: CompetitionFile) -> str:
    """SHA-256 of what a kit has of a competition, whenever it is made."""
    start = start_of(file.model_copy(update={"made_wall_ms": 0}), entries=False)
    return sha256(start.model_dump_json().encode()).hexdigest()


def _divisions(rule: Rule) -> Iterator[str]:
    for one in rule.divisions:
        yield f"{one.name}: {one.places} to be invited" if one.places else f"{one.name}: nobody is invited"


def begin(headquarters: Headquarters, draft: KitDraft, now_ms: int) -> None:
    """Begins the round. Raises BadKit, NoRound."""
    begin_round(headquarters, draft.file, draft.rule, draft.gyms, now_ms, draft.address)
