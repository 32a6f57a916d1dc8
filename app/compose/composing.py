"""Composing an event from a preset: the cards, a preset's knobs as somebody turned them, and the event that they make."""

import asyncio
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from app.compose.event_form import format_form
from app.compose.event_look import Note, notes
from app.compose.event_plain import Told, told
from app.compose.event_strip import Strip, strip_of
from app.compose.events import check_name
from app.hall.changing import change_roster, new_id
from app.hall.forms import MOST_NAME, BadForm, Problem, Reading, Typed
from app.hall.hall import Hall
from app.hall.lists import Choice
from app.hall.organising import needed_roster
from app.rules.reading.work_box import list_in_box
from app.rules.records.roster import Event, Roster
from app.rules.values.alphabet import by_name
from app.rules.values.units import LoadUnit
from app.rules.workout.formats import Format
from app.rules.workout.movements import library
from app.rules.workout.plate_sets import offered
from app.rules.workout.plates import PlateSet
from app.rules.workout.presets import PRESETS, BadKnob, Knob, Preset
from app.rules.workout.presets.counting import COUNTING
from app.rules.workout.presets.knobs import Sets
from app.rules.workout.presets.lifting import LIFTING
from app.rules.workout.presets.listed import LISTED
from app.rules.workout.presets.measuring import MEASURING
from app.rules.workout.presets.meets import MEETS
from app.store.kinds import EVENTS
from app.store.refusals import NotThere

NO_PRESET = "There is no such kind of event."
FIELD = "knob-"
OFFERED = "offered-"  # begins the keys of sets that nobody has put in this hall yet
UNITS: tuple[LoadUnit, ...] = ("kg", "lb")
GROUPS = (
    ("Count repetitions", COUNTING),
    ("For time, and lists of work", LISTED),
    ("Lift and measure", (*LIFTING, *MEETS, *MEASURING)),
)
CALLED = {  # what else people in halls call them, for finding them
    "most_reps": "amrap max reps",
    "stations": "circuit",
    "every_minute": "emom every minute on the minute elimination",
    "one_more": "death by ladder elimination",
    "rounds": "amrap as many rounds",
    "for_time": "couplet triplet scheme cap",
    "for_time_list": "chipper rounds for time rft cap",
    "load_ladder": "clean ladder",
    "max_load": "1 rm 1rm one rep max heavy single",
    "growing_load": "ladder until failure last one standing death by increasing rising bar stone yoke out",
    "lifts_summed": "total powerlifting weightlifting",
    "rising_bar": "weightlifting meet platform snatch jerk total",
    "lifts_in_rounds": "powerlifting meet platform squat bench deadlift total flights",
    "measured": "row bike run calories distance hold time held jump throw",
    "relay": "team",
    "turns": "igyg alternating",
    "shared": "split as you like partner",
    "together": "synchro synchronised",
    "holding": "hold plank partner",
    "mirrored_pair": "pair mirror in reverse",
}


@dataclass(frozen=True, slots=True)
class Card:
    """A preset in the gallery."""

    key: str
    name: str
    summary: str
    called: str
    strip: Strip


@dataclass(frozen=True, slots=True)
class Cards:
    """Presets under a heading that says what is done."""

    title: str
    cards: tuple[Card, ...]


@dataclass(frozen=True, slots=True)
class KnobField:
    """A knob on the screen. `stands`: what an empty field stands for, as the others are turned."""

    name: str
    label: str
    kind: str
    value: str
    help: str
    choices: tuple[Choice, ...]
    stands: str
    wrong: str


@dataclass(frozen=True, slots=True)
class PresetPage:
    """A preset with its knobs as they are turned, and what they make. `ready`: nothing stands in the way of making it."""

    key: str
    name: str
    summary: str
    event: str
    event_wrong: str
    knobs: tuple[KnobField, ...]
    whole_wrong: str
    strip: Strip
    told: Told
    notes: tuple[Note, ...]
    movements: tuple[str, ...]
    ready: bool


@lru_cache(maxsize=1)
def gallery() -> tuple[Cards, ...]:
    """The presets, grouped by what is done."""
    shown = {preset.key for _, presets in GROUPS for preset in presets}
    rest = tuple(preset for preset in PRESETS.values() if preset.key not in shown)
    groups = (*GROUPS, ("Pairs and teams", rest))
    return tuple(Cards(title, tuple(_card(preset) for preset in presets)) for title, presets in groups)


def _card(preset: Preset) -> Card:
    form = format_form(preset.name, preset.make({}))
    return Card(preset.key, preset.name, preset.summary, CALLED.get(preset.key, ""), strip_of(form, drawn="sketch"))


def preset_page(hall: Hall, key: str, typed: Typed | None = None) -> PresetPage:
    """A preset's page, as typed or with its defaults. Raises NotThere."""
    preset = _preset(key)
    turned = _turned(preset, typed or {"knob-unit": needed_roster(hall).competition.unit})
    sets = plates_to_choose(needed_roster(hall))
    values, format, wrong = _made(preset, turned, sets)
    stands = preset.stands(values, sets)
    event = free_name(hall) if typed is None else typed.get("name", "").strip()
    bad_name = "" if typed is None else _name_problem(hall, typed)
    return PresetPage(
        key=key,
        name=preset.name,
        summary=preset.summary,
        event=event,
        event_wrong=bad_name,
        knobs=tuple(_field(knob, turned, stands[knob.key], wrong.get(knob.key, ""), sets) for knob in preset.knobs),
        whole_wrong=wrong.get("", ""),
        strip=strip_of(format_form(event, format)),
        told=told(format),
        notes=notes(format),
        movements=tuple(sorted((movement.name for movement in library().movements.values()), key=by_name)),
        ready=not wrong and not bad_name,
    )


async def make_event(hall: Hall, key: str, typed: Typed) -> str:
    """Adds the event that the knobs make; returns its id. Raises NotThere, BadForm with every problem."""
    preset = _preset(key)
    sets = plates_to_choose(needed_roster(hall))
    _, format, wrong = await asyncio.to_thread(_made, preset, _turned(preset, typed), sets)
    problems = [Problem(f"{FIELD}{knob}" if knob else "", sentence) for knob, sentence in wrong.items()]
    read = Reading(typed)
    name = read.name("name", "The event's name", MOST_NAME)
    if read.problems or problems:
        raise BadForm([*read.problems, *problems])
    return await put_new_event(hall, name, format)


async def put_new_event(hall: Hall, name: str, format: Format, divisions: Sequence[str] = ()) -> str:
    """Adds an event for these divisions; returns its id. A division does the variant that is called like it. Raises BadForm if
    another event is called so."""
    check_name(hall, name, "")
    its = {one.name.casefold(): one.id for one in needed_roster(hall).divisions if not divisions or one.id in divisions}
    variants = {its[one.name.casefold()]: one.id for one in format.variants if one.name.casefold() in its}
    event = Event(id=new_id(), name=name, format=format, divisions=tuple(divisions), variants=variants)
    await change_roster(hall, lambda session: EVENTS.put(session, event))
    return event.id


def preset_format(hall: Hall, key: str, typed: Typed) -> Format:
    """The format that the knobs make, those that can't be read left at their defaults. Raises NotThere."""
    preset = _preset(key)
    return _made(preset, _turned(preset, typed), plates_to_choose(needed_roster(hall)))[1]


def plates_to_choose(roster: Roster) -> dict[str, PlateSet]:
    """The sets of plates that a preset can take its bar and steps from: the hall's own, those on lanes first, then the others
    that are offered."""
    on_lanes = {one.plates for one in roster.lane_plates}
    own = sorted(roster.plate_sets, key=lambda plates: plates.id not in on_lanes)
    return {plates.id: plates for plates in own} | {f"{OFFERED}{one.key}": one.plates for one in offered()}


def _preset(key: str) -> Preset:
    if key not in PRESETS:
        raise NotThere(NO_PRESET)
    return PRESETS[key]


def _turned(preset: Preset, typed: Typed) -> dict[str, str]:
    return {knob.key: typed.get(f"{FIELD}{knob.key}", knob.default) for knob in preset.knobs}


def _made(preset: Preset, turned: Mapping[str, str], sets: Sets) -> tuple[dict[str, str], Format, dict[str, str]]:
    """The knobs as they were taken, the format, and what is wrong by knob. A knob that can't be read is taken at its default, so
    that there is a format to see."""
    wrong: dict[str, str] = {}
    values = dict(turned)
    for _ in range(len(preset.knobs) + 1):
        try:
            return values, preset.make(values, sets), wrong
        except BadKnob as bad:
            knob = next((knob for knob in preset.knobs if knob.key == bad.knob), None)
            if knob is not None and (listed := _listed(knob, values)):
                values[knob.key] = listed
                continue
            wrong.setdefault(bad.knob, bad.sentence)
            if knob is None or values[knob.key] == knob.default:
                break
            values[knob.key] = knob.default
    fresh = {"unit": values.get("unit", "kg")}
    return fresh, preset.make(fresh, sets), wrong


def _listed(knob: Knob, values: Mapping[str, str]) -> str:
    """What a box for work says, read as a whole workout is; empty where that reads no other list either."""
    if knob.kind != "work":
        return ""
    members = values.get("members", "1")
    text = list_in_box(values[knob.key], "lb" if values.get("unit") == "lb" else "kg", int(members) if members.isdigit() else 1)
    return text if text and text != values[knob.key] else ""


def _field(knob: Knob, turned: Mapping[str, str], stands: str, wrong: str, sets: Sets) -> KnobField:
    return KnobField(
        name=f"{FIELD}{knob.key}",
        label=knob.label,
        kind=knob.kind,
        value=turned[knob.key],
        help=knob.help,
        choices=_sets(sets) if knob.kind == "plates" else tuple(Choice(value, words) for value, words in knob.choices.items()),
        stands=stands,
        wrong=wrong,
    )


def _sets(sets: Sets) -> tuple[Choice, ...]:
    """The sets by name, those of this hall told apart from those to begin from."""
    first = {unit: next(one.name for one in sets.values() if one.bars[0].unit == unit) for unit in UNITS}
    usual = f"As the unit says: {first['kg']}, or {first['lb']}"
    named = (Choice(key, one.name if key.startswith(OFFERED) else f"{one.name}, here") for key, one in sets.items())
    return (Choice("", usual), *named)


def _name_problem(hall: Hall, typed: Typed) -> str:
    read = Reading(typed)
    name = read.name("name", "The event's name", MOST_NAME)
    if not read.problems:
        try:
            check_name(hall, name, "")
        except BadForm as bad:
            return str(bad)
    return " ".join(problem.sentence for problem in read.problems)


def free_name(hall: Hall) -> str:
    """`Event 3`, or the next number that no event has."""
    taken = {event.name.casefold() for event in needed_roster(hall).events}
    number = len(taken) + 1
    while f"event {number}" in taken:
        number += 1
    return f"Event {number}"
