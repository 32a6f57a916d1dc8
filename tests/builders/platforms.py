"""A lifting meet on one platform, invented: lifters in flights, one on each lane, all with one bar."""

from app.rules.records.document import CompetitionFile
from app.rules.records.roster import Assignment, Athlete, Competition, Division, Entry, Event, Heat
from app.rules.values.units import Load
from app.rules.workout.formats import Format
from app.rules.workout.openers import Opener
from app.rules.workout.plate_sets import offered
from app.rules.workout.plates import LanePlates
from app.rules.workout.presets import PRESETS

GIVEN = ("Ada", "Bo", "Cy", "Dot", "Edda", "Finn", "Gil", "Hale", "Ines", "Jory", "Kit", "Lund")
FAMILY = ("Quill", "Farrow", "Marlow", "Penhale")


def a_meet(preset: str = "lifts_in_rounds", **knobs: str) -> Format:
    """A meet by one of the sport's two ways, as its preset makes it."""
    return PRESETS[preset].make(knobs)


def lifter(number: int) -> str:
    """The name of the lifter of a number from 1 on."""
    return f"{GIVEN[(number - 1) % len(GIVEN)]} {FAMILY[(number - 1) // len(GIVEN) % len(FAMILY)]}"


def a_platform_file(format: Format, lifters: int = 4, flight: int = 12, from_lane: int = 1) -> CompetitionFile:
    """So many lifters in flights of one platform, from a lane on; each means to begin with 100 kg and some steps."""
    numbers = range(1, lifters + 1)
    heats = [
        Heat(
            id=f"heat_{h + 1}",
            event="evt",
            number=h + 1,
            lanes=tuple(
                Assignment(id=f"asg_{n}", lane=from_lane + (n - 1) % flight, entry=f"ent_{n}")
                for n in numbers
                if (n - 1) // flight == h
            ),
        )
        for h in range((lifters + flight - 1) // flight)
    ]
    plates = next(one.plates for one in offered() if one.plates.bars[0].unit == format.unit)
    tasks = list(format.tasks)
    return CompetitionFile(
        competition=Competition(id="cmp", name="Quayside Open", place="The boat shed", day="2031-05-17", unit=format.unit),
        divisions=(Division(id="div", name="Open"),),
        athletes=tuple(Athlete(id=f"ath_{n}", name=lifter(n)) for n in numbers),
        entries=tuple(Entry(id=f"ent_{n}", division="div", name=lifter(n), members=(f"ath_{n}",)) for n in numbers),
        events=(Event(id="evt", name="The meet", format=format),),
        heats=tuple(heats),
        plate_sets=(plates,),
        lane_plates=tuple(LanePlates(lane=from_lane + n, plates=plates.id) for n in range(min(flight, lifters))),
        openers=tuple(
            Opener(event="evt", entry=f"ent_{n}", task=tasks[0], member=1, load=Load(str(100 + 5 * (n % 4)), format.unit))
            for n in numbers
        ),
    )
