"""The Slate Day: the competition that most tests of the pages stand on. Everybody and everything in it is invented."""

import random
from collections.abc import Sequence
from fractions import Fraction

from app.rehearsal.turns import MARKINGS, turn_about
from app.rules.records.document import CompetitionFile, Run
from app.rules.records.markings import BodyMeasure
from app.rules.records.roster import Assignment, Athlete, Club, Competition, Division, Entry, Event, Heat
from app.rules.values.lengths import Length
from app.rules.values.units import decimal_text
from app.rules.workout.plate_sets import set_to_begin
from app.rules.workout.plates import LanePlates, PlateSet
from app.rules.workout.safety import Safety

LANES = 4
CLUBS = ("Copper Yard", "Tidewall", "Northlight Barn", "Old Rope Works")

# Division, pair, and its two members with the number of their club.
PAIRS = (
    ("Open pairs", "Lanterns", ("Ada Quill", 0), ("Bo Farrow", 0)),
    ("Open pairs", "Chalk & Cheese", ("Cy Marlow", 1), ("Dot Penhale", 1)),
    ("Veteran pairs", "The Unhurried", ("Edda Thorne", 2), ("Finn Oakley-Marsh", 3)),
    ("Veteran pairs", "Slow Barometers", ("Gil Haverstock", 0), ("Hanne Prior", 1)),
    ("Open pairs", "Two Left Hooks", ("Ivo Castellane", 2), ("June Abara", 2)),
    ("Open pairs", "Saturday Morning Irregulars of the Barn", ("Kit Northcote-Villanueva", 2), ("Lena Østby", 2)),
    ("Veteran pairs", "Gravel", ("Moss Adeyemi", 3), ("Nell Tregarth", 3)),
    ("Veteran pairs", "Second Breakfast", ("Orla Finch", 1), ("Pim de Witte", 1)),
    ("Open pairs", "Tin Roof", ("Quin Sorrel", 3), ("Rui Cabral", 3)),
    ("Open pairs", "Nine Lives", ("Saga Lindqvist", 1), ("Teo Marchetti", 0)),
    ("Veteran pairs", "Half Past Squat", ("Una Blackwood", 0), ("Vik Sanderson", 0)),
    ("Veteran pairs", "Rust Never Reps", ("Wren Calloway", 2), ("Yann Le Goff", 3)),
)
HEATS = 3
MEASURED = range(2, 11)  # the pairs whose reach was taken; the others come late to the door
JUDGES = ("Imre", "Joss", "Kaya", "Lotte")


# Invented like the rest, the number too: no telephone network has it.
SAFETY = Safety(
    aed="On the wall between the two hall doors, white box, green sign",
    aed_route="From any lane along the back wall to the doors, twenty steps; the aisle stays clear",
    emergency="000 (invented: a real hall puts its own here)",
    medic="Noor Fennick, green vest by lane 1, radio channel 3",
    first_aid="Table beside the desk",
)


def the_slate_day(planned: Sequence[str]) -> CompetitionFile:
    """The competition before its first GO: two divisions of pairs, one event, four lanes, a heat for each time (HH:MM)."""
    clubs = tuple(Club(id=f"clb_{n}", name=name) for n, name in enumerate(CLUBS, start=1))
    divisions = (Division(id="div_open", name="Open pairs"), Division(id="div_veteran", name="Veteran pairs"))
    athletes: list[Athlete] = []
    entries: list[Entry] = []
    for number, (division, name, *members) in enumerate(PAIRS, start=1):
        ids = []
        for letter, (person, club) in zip("ab", members, strict=True):
            athletes.append(Athlete(id=f"ath_{number}{letter}", name=person, club=clubs[club].id))
            ids.append(f"ath_{number}{letter}")
        entries.append(Entry(id=f"ent_{number}", division=_division_id(divisions, division), name=name, members=tuple(ids)))
    return CompetitionFile(
        competition=Competition(
            id="cmp_demo", name="The Slate Day", place="Rope Street Hall", unit="kg", demo=True, safety=SAFETY
        ),
        divisions=divisions,
        clubs=clubs,
        athletes=tuple(athletes),
        entries=tuple(entries),
        measures=tuple(_measure(athlete.id) for athlete in athletes if int(athlete.id[4:-1]) in MEASURED),
        events=(Event(id="evt_turns", name="Turn about", format=turn_about()),),
        markings={"evt_turns": MARKINGS},
        heats=tuple(_heat(number, time, entries) for number, time in enumerate(planned, start=1)),
        plate_sets=(_yard_plates(),),
        lane_plates=tuple(LanePlates(lane=lane, plates=_yard_plates().id) for lane in range(1, LANES + 1)),
    )


def _yard_plates() -> PlateSet:
    plates = set_to_begin("gym-kg", "pls_yard", "Yard plates")
    assert plates is not None  # the key is one of those offered
    return plates


def _division_id(divisions: tuple[Division, ...], name: str) -> str:
    return next(division.id for division in divisions if division.name == name)


def _measure(athlete: str) -> BodyMeasure:
    """An invented reach to the wrists, 188 to 213 cm in halves, the same at every start."""
    halves = random.Random(athlete).randint(188 * 2, 213 * 2)
    return BodyMeasure(athlete=athlete, reach=Length(decimal_text(Fraction(halves, 2)), "cm"))


def _heat(number: int, planned: str, entries: list[Entry]) -> Heat:
    on_floor = entries[(number - 1) * LANES : number * LANES]
    lanes = tuple(
        Assignment(id=f"asg_{number}_{lane}", lane=lane, entry=entry.id, judge=JUDGES[lane - 1])
        for lane, entry in enumerate(on_floor, start=1)
    )
    return Heat(id=f"het_{number}", event="evt_turns", number=number, planned=planned, lanes=lanes)


def run_of(heat: Heat, number: int, go_server_ms: int, go_wall_ms: int, boot: str) -> Run:
    """A GO of a heat."""
    return Run(heat=heat.id, number=number, go_server_ms=go_server_ms, go_wall_ms=go_wall_ms, boot=boot)


def strength_of(assignment: Assignment) -> float:
    """How strong an entry is here, 0.8 to 1.2, the same at every start."""
    return 0.8 + 0.4 * random.Random(assignment.entry).random()
