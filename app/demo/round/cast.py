"""Who takes part in the demo's round, what they did, and what their gym counted. Everybody and everything here is invented."""

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from app.rules.records.document import CompetitionFile
from app.rules.records.markings import Markings
from app.rules.records.roster import Competition, Division, Event
from app.rules.values.lengths import Length
from app.rules.workout.formats import CountTask, Format, Part, ScoreRule, Window
from app.rules.workout.movements import library

EVENT, SQUAT = "evt_squats", "front_squat"
WOMEN, MEN = "div_women", "div_men"
DIVISIONS = ((WOMEN, "Women"), (MEN, "Men"))
WINDOWS = ((0, 30), (45, 30))  # start and length, in seconds from GO
GYMS: tuple[tuple[str, str], ...] = (
    ("Slate Barn", "North"),
    ("Mill Row", "South"),
    ("Tin Roof", "North"),
    ("Lower Ferry", "South"),
    ("Quarry Six", "North"),
    ("Old Tannery", "South"),
)


@dataclass(frozen=True, slots=True)
class Squatter:
    """An entry: its gym, its division, what it did well in each window, and how many that were too high its gym counted too."""

    gym: int
    division: str
    name: str
    good: tuple[int, int]
    high: tuple[int, int] = (0, 0)

    @property
    def id(self) -> str:
        """Its id in its gym's list."""
        return f"ent_{self.gym}_{self.name.split()[0].lower()}"


# The best of the women is one whose gym counted five that were too high; Quarry Six is as generous to a man in the middle.
ENTRIES: tuple[Squatter, ...] = (
    Squatter(1, WOMEN, "Orla Penhallick", (13, 12)),
    Squatter(1, WOMEN, "Tess Underbarrow", (9, 8)),
    Squatter(1, MEN, "Corin Wetherlam", (14, 12)),
    Squatter(1, MEN, "Ib Strandmark", (10, 9)),
    Squatter(2, WOMEN, "Maud Ellerker", (11, 11)),
    Squatter(2, WOMEN, "Vesna Koritar", (10, 8)),
    Squatter(2, MEN, "Jonty Fairlamb", (15, 14)),
    Squatter(2, MEN, "Anders Blåvik", (11, 10)),
    Squatter(3, WOMEN, "Sunniva Roke", (11, 10), (3, 2)),
    Squatter(3, WOMEN, "Pim Aldercott", (8, 8)),
    Squatter(3, MEN, "Rafe Thistlewood", (12, 11)),
    Squatter(3, MEN, "Milo Garrowby", (9, 9)),
    Squatter(4, WOMEN, "Hedda Loftsgård", (12, 12)),
    Squatter(4, WOMEN, "Una Brockwell", (9, 9)),
    Squatter(4, MEN, "Osric Vane", (13, 13)),
    Squatter(4, MEN, "Teun Waterhoek", (10, 8)),
    Squatter(5, WOMEN, "Linnea Marsk", (10, 10)),
    Squatter(5, WOMEN, "Dot Hawkridge", (7, 7)),
    Squatter(5, MEN, "Gil Ravensworth", (12, 10), (2, 2)),
    Squatter(5, MEN, "Piet Oudeland", (11, 9)),
    Squatter(6, WOMEN, "Bryony Catterall", (11, 9)),
    Squatter(6, WOMEN, "Signe Holmvang", (9, 7)),
    Squatter(6, MEN, "Fenn Aykroyd", (14, 13)),
    Squatter(6, MEN, "Luc Hautrive", (8, 8)),
)

# The gym that a visitor may be. One of its entries has a lane and was not judged.
YOUR_GYM, YOUR_NAME, YOUR_REGION, UNJUDGED = 7, "Canal Yard", "South", "Casper Hythe"
YOURS: tuple[Squatter, ...] = (
    Squatter(YOUR_GYM, WOMEN, "Nell Ashgrove", (12, 11)),
    Squatter(YOUR_GYM, WOMEN, "Ida Kverndal", (9, 9)),
    Squatter(YOUR_GYM, MEN, "Wil Tarrowby", (13, 12)),
    Squatter(YOUR_GYM, MEN, UNJUDGED, (0, 0)),
)
FILMED = (*ENTRIES, *YOURS[:-1])


def the_event() -> CompetitionFile:
    """The competition that headquarters makes its kit of: one event, its two divisions, what is marked on the floor."""
    windows = tuple(Window(start=start, seconds=seconds, task="squats") for start, seconds in WINDOWS)
    format = Format(
        movements={SQUAT: library().described[SQUAT].movement.model_copy(update={"library": SQUAT})},
        tasks={"squats": CountTask(movement=SQUAT)},
        windows=windows,
        scores=(ScoreRule(unit="reps", parts=(Part(take="sum", tasks=("squats",)),)),),
    )
    space = Markings(bar=True, bar_width=Length("260", "cm"), bar_depth=Length("190", "cm"))
    return CompetitionFile(
        competition=Competition(id="cmp_round", name="Squats in six gyms"),
        divisions=tuple(Division(id=key, name=name) for key, name in DIVISIONS),
        events=(Event(id=EVENT, name="Front squats, twice half a minute", format=format),),
        markings={EVENT: space},
    )


@dataclass(frozen=True, slots=True)
class Squat:
    """A repetition: when it begins and ends on the heat clock (ms), in which window, and whether it was deep enough."""

    window: int
    start: int
    end: int
    deep: bool


def squats_of(one: Squatter) -> list[Squat]:
    """What an entry did, repetition by repetition, each time the same. Those that are too high come late, as legs tire."""
    chance, found = Random(one.id), list[Squat]()
    for window, (start, seconds) in enumerate(WINDOWS):
        good, high = one.good[window], one.high[window]
        lengths = [1 + 0.25 * chance.random() for _ in range(good + high)]
        scale, at = (seconds * 1000 - 800) / (sum(lengths) or 1), start * 1000 + 300.0
        shallow = set(range(good + high - 2 * high, good + high, 2))
        for number, length in enumerate(lengths):
            found.append(Squat(window, round(at), round(at + length * scale), number not in shallow))
            at += length * scale
    return found


def entries_of(gym: int) -> Sequence[Squatter]:
    """The entries of a gym, in the order of its list."""
    return [one for one in (*ENTRIES, *YOURS) if one.gym == gym]


def number_of(one: Squatter, most_of_a_gym: int) -> int:
    """An entry's number in the round."""
    return one.gym * most_of_a_gym + 1 + list(entries_of(one.gym)).index(one)
