"""One athlete's card at the door: bodyweight, sex, age, height, reach and openers, read as people say them.

Odd ones are asked about once.

Only a field that was changed is stored, so that two volunteers at two tables can fill one card.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from sqlmodel import Session

from app.hall.changing import change_roster
from app.hall.forms import BadForm, Reading, Typed
from app.hall.hall import Hall
from app.hall.lists import Choice
from app.hall.organising import found, needed_roster, zone_of
from app.people.checkin import HowMeasured, Needs, how_measured, is_weighed, needs_of, wall_lines
from app.people.entry_facts import HEAVY_KG, LIGHT_KG
from app.people.openers import Lifter, lifters_of, read_opener, store_openers, stored_opener
from app.people.organising import SEX_WORDS, age, bodyweight, sex
from app.rules.records.markings import HEIGHT, REACH, BodyMeasure, measured, odd_height, odd_reach
from app.rules.records.roster import Athlete, Roster
from app.rules.values.lengths import Length, LengthUnit, Span, both_lengths, parse_body_length, tape_text
from app.rules.values.units import BadMeasure, Load, both_units
from app.rules.workout.openers import Opener, OpenerKey
from app.store.entering import CHECKINS, MEASURES, Checkin, checkin
from app.store.kinds import ATHLETES

AGAIN = "Save again to keep it as it is."


@dataclass(frozen=True, slots=True)
class OpenerField:
    """A field for an opener: its name in the form and what it is for."""

    name: str
    words: str


@dataclass(frozen=True, slots=True)
class Card:
    """An athlete's card: what is asked, what is made of it. `stored` is the form as it stands in the store."""

    id: str
    name: str
    club: str
    needed: frozenset[str]
    scale: bool
    sexes: tuple[Choice, ...]
    reach_needed: bool
    measuring: tuple[HowMeasured, ...]
    openers: tuple[OpenerField, ...]
    lines: tuple[tuple[str, str], ...]
    said: tuple[str, ...]
    stored: Mapping[str, str]


async def card(hall: Hall, athlete: str) -> Card:
    """An athlete's card. Raises NotThere."""
    roster = needed_roster(hall)
    person = found(roster.athletes, athlete, "athlete")
    seen = await hall.database.aread(lambda session: checkin(session, athlete))
    needs = needs_of(roster)
    lifters = _lifters(roster, athlete)
    reach = measured(roster.measures).get(athlete)
    club = next((one.name for one in roster.clubs if one.id == person.club), "")
    said = [f"Bodyweight {both_units(person.bodyweight)}{_weighed(roster, person, seen)}"] if person.bodyweight else []
    said += [SEX_WORDS[person.sex]] if person.sex else []
    said += [f"Age {person.age}"] if person.age else []
    said += [f"Height {both_lengths(seen.height.mm, 'cm')}"] if seen.height else []
    said += [f"Wrists at {tape_text(reach.mm, _tape(needs))}"] if reach else []
    return Card(
        id=athlete,
        name=person.name,
        club=club,
        needed=needs.body,
        scale=athlete in needs.scale,
        sexes=tuple(Choice(value, words) for value, words in SEX_WORDS.items()),
        reach_needed=bool(needs.walls),
        measuring=how_measured(roster),
        openers=tuple(OpenerField(f"opener-{one.field}", _opener_words(one)) for one in lifters),
        lines=wall_lines(roster, athlete),
        said=tuple(said),
        stored=_stored(roster, person, seen.height, lifters),
    )


def _weighed(roster: Roster, person: Athlete, seen: Checkin) -> str:
    """Where the bodyweight comes from, as the end of a line."""
    found = seen.weigh_in(zone_of(roster.day))
    if found is None:
        return ", not weighed in"
    other = "" if is_weighed(person, seen) else f" with {found.load.text()}"
    return f", weighed in{other} at {found.at} by {seen.weighed_by}"


def _tape(needs: Needs) -> LengthUnit:
    return needs.walls[0][1].unit if needs.walls else "cm"


def _lifters(roster: Roster, athlete: str) -> list[Lifter]:
    found = [lifter for event in roster.events for lifter in lifters_of(roster, event)]
    return [one for one in found if one.entry.members[one.member - 1] == athlete]


def _opener_words(lifter: Lifter) -> str:
    movement = lifter.format.movements[lifter.lift.movement].name
    return f"Opener, {movement} ({lifter.event.name}, {lifter.entry.name})"


def _stored(roster: Roster, person: Athlete, height: Length | None, lifters: list[Lifter]) -> dict[str, str]:
    reach = measured(roster.measures).get(person.id)
    form = {
        "weight": person.bodyweight.text() if person.bodyweight else "",
        "sex": person.sex,
        "age": str(person.age or ""),
        "height": height.text() if height else "",
        "reach": reach.text() if reach else "",
    }
    for one in lifters:
        opener = stored_opener(roster, one)
        form[f"opener-{one.field}"] = opener.load.text() if opener else ""
    return form


async def save_card(hall: Hall, athlete: str, typed: Typed, by: str = "") -> dict[str, str]:
    """Stores the fields that were changed, and returns them as they stood, so that they can be put back.

    With `do=weigh` the weight that is typed is what the scale shows now, seen by `by`. Raises BadForm: for what can't be read,
    once for what is odd, and where somebody else stored another value meanwhile.
    """
    roster = needed_roster(hall)
    person = found(roster.athletes, athlete, "athlete")
    seen = await hall.database.aread(lambda session: checkin(session, athlete))
    lifters = _lifters(roster, athlete)
    stored = _stored(roster, person, seen.height, lifters)
    changed = [name for name in stored if name in typed and typed[name].strip() != typed.get(f"was-{name}", stored[name]).strip()]
    read = Reading(typed)
    _met_meanwhile(read, stored, changed)
    weight = _weight(read, roster, person, "weight" in changed)
    body: dict[str, object] = {"bodyweight": weight} if "weight" in changed else {}
    body |= {"sex": sex(read, "sex")} if "sex" in changed else {}
    body |= {"age": age(read, "age")} if "age" in changed else {}
    height = _length(read, "height", HEIGHT, seen.height, changed)
    reach = _length(read, "reach", REACH, measured(roster.measures).get(athlete), changed)
    _ask(read, "height", odd_height(height) if height is not None and "height" in changed else "")
    asked_reach = reach is not None and ("reach" in changed or "height" in changed) and not read.problems_at("reach")
    _ask(read, "reach", odd_reach(reach, height) if asked_reach and reach is not None else "")
    openers = _openers(read, roster, lifters, changed)
    weighing = typed.get("do") == "weigh"
    if weighing and weight is None and not read.problems_at("weight"):
        read.wrong("weight", "Type what the scale shows.")
    read.done()
    now = hall.time.wall_ms()

    def store(session: Session) -> None:
        if body:
            ATHLETES.put(session, (ATHLETES.get(session, athlete) or person).model_copy(update=body))
        if weighing:
            seen_now = checkin(session, athlete)
            CHECKINS.put(session, replace(seen_now, weighed=weight, weighed_ms=now, weighed_by=by, weighed_let=""))
        if "height" in changed:
            CHECKINS.put(session, replace(checkin(session, athlete), height=height))
        if "reach" in changed:
            MEASURES.forget(session, athlete)
        if "reach" in changed and reach is not None:
            MEASURES.put(session, BodyMeasure(athlete=athlete, reach=reach))
        if openers:
            store_openers(session, openers)

    if changed or weighing:
        await change_roster(hall, store)
    return {name: stored[name] for name in changed}


def _met_meanwhile(read: Reading, stored: Mapping[str, str], changed: list[str]) -> None:
    """A field that somebody else filled otherwise since this page was opened is not overwritten unasked."""
    for name in changed:
        was, typed = read.raw(f"was-{name}"), read.raw(name)
        if f"was-{name}" in read.typed and stored[name] not in (was, typed) and not _sure(read, name):
            now = stored[name] or "nothing"
            read.wrong(name, f"Somebody else has saved {now} here in the meantime. {AGAIN}")


def _sure(read: Reading, name: str) -> bool:
    """Whether this very value was asked about already."""
    return bool(read.raw(name)) and read.raw(f"sure-{name}") == read.raw(name)


def _ask(read: Reading, name: str, question: str) -> None:
    if question and not _sure(read, name):
        read.wrong(name, f"{question} {AGAIN}")


def _weight(read: Reading, roster: Roster, person: Athlete, changed: bool) -> Load | None:
    if not changed:
        return person.bodyweight
    weight = bodyweight(read, "weight", roster.competition.unit)
    if weight is not None and not read.problems_at("weight") and not LIGHT_KG <= weight.kg <= HEAVY_KG:
        other = Load(weight.amount, "lb" if weight.unit == "kg" else "kg")
        meant = f" Or is it {other.text()}?" if LIGHT_KG <= other.kg <= HEAVY_KG else ""
        _ask(read, "weight", f"{both_units(weight)} is an unusual bodyweight.{meant}")
    return weight


def _length(read: Reading, name: str, span: Span, stored: Length | None, changed: list[str]) -> Length | None:
    if name not in changed:
        return stored
    if not read.raw(name):
        return None
    try:
        return parse_body_length(read.raw(name), span)
    except BadMeasure as wrong:
        read.wrong(name, str(wrong))
        return None


def _openers(read: Reading, roster: Roster, lifters: list[Lifter], changed: list[str]) -> dict[OpenerKey, Opener | None]:
    openers: dict[OpenerKey, Opener | None] = {}
    for one in lifters:
        name = f"opener-{one.field}"
        if name not in changed:
            continue
        before = stored_opener(roster, one)
        then = " ".join(load.text() for load in before.then) if before and read.raw(name) else ""
        sure = ("load", "then") if _sure(read, name) else ("then",)
        try:
            openers[one.key] = read_opener(one, read.raw(name), then, ("load", "then"), sure)
        except BadForm as wrong:
            for problem in wrong.problems:
                read.wrong(name, problem.sentence)
    return openers
