"""A lifting meet on one platform, invented: lifters in flights, one on each lane, all with one bar."""

from collections.abc import Sequence

from app.rules.records.document import CompetitionFile
from app.rules.records.roster import Assignment, Athlete, Competition, Division, Entry, Event, Heat
from app.rules.values.units import Load
from app.rules.workout.formats import Format, Part, TieStep
from app.rules.workout.openers import Opener
from app.rules.workout.plate_sets import offered
from app.rules.workout.plates import LanePlates
from app.rules.workout.presets import PRESETS
from tests.builders.cast import Sheet, a_competition, a_format, a_lift_task

GIVEN = ("Ada", "Bo", "Cy", "Dot", "Edda", "Finn", "Gil", "Hale", "Ines", "Jory", "Kit", "Lund")
LEVEL = ("Ana", "Bo", "Cy")  # who make one total in three flights
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


def two_platforms(flight: int) -> CompetitionFile:
    """Two flights of so many on one platform's lanes from 1 on, and one beside them from lane 9 on."""
    first = a_platform_file(a_meet(), lifters=3 * flight, flight=flight)
    moved = [lane.model_copy(update={"lane": lane.lane + 8}) for lane in first.heats[2].lanes]
    heats = (*first.heats[:2], first.heats[2].model_copy(update={"lanes": tuple(moved)}))
    return first.model_copy(update={"heats": heats})


def level_flights(last_s: Sequence[int], held_ms: int = 0) -> CompetitionFile:
    """Three flights of one lifter each, who all make 220 kg in two lifts of a minute: the last so many seconds after 1:45 on the
    heat's clock, which in the first flight had stood for held_ms by then. Who made it first stands before. No heat has a
    GO."""
    marks = []
    for lane, seconds in enumerate(last_s, 1):
        sheet = Sheet(f"asg_{lane}")
        last = sheet.lift(105_000 + 1_000 * seconds, "120 kg", True)
        last["body"] |= {"held": held_ms} if held_ms and lane == 1 else {}
        marks += [sheet.lift(5_000, "100 kg", True), last]
    parts = [Part(take="best", windows=(n,)) for n in range(2)]
    format = a_format(a_lift_task(), *parts, windows=2, unit="kg", ties=(TieStep(kind="total_first"),))
    file = a_competition(format, {"Open": LEVEL}, marks, runs=[])
    lanes = enumerate(file.heats[0].lanes, 1)
    flights = tuple(Heat(id=f"heat_{n}", event="evt", number=n, lanes=(lane,)) for n, lane in lanes)
    return file.model_copy(update={"heats": flights})
