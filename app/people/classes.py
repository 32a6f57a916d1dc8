"""Classes at the desk: the limits of divisions, classes made of a row of bounds, and who must be asked about theirs.

Nobody is moved unasked: the page says who is not weighed in, or stands in a class that does not let them in, and which do.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from pydantic import ValidationError
from sqlmodel import Session

from app.hall.changing import change_roster, look_again, new_id
from app.hall.day_steps import ALL_FIT
from app.hall.forms import BadForm, Problem, Reading, Typed, lower_first, problems_of, refuse, time_of_day
from app.hall.hall import Hall
from app.hall.lists import Choice
from app.hall.organising import found, needed_roster, zone_of
from app.people.organising import SEX_WORDS
from app.rules.records.classes import MOST_AGE, Limits, classes_between
from app.rules.records.roster import Division, Roster
from app.rules.records.weighed import Asked, asked_in_classes
from app.rules.values.units import Load
from app.store.entering import CHECKINS, checkin, checkins, weigh_ins
from app.store.entries import put_entry
from app.store.kinds import DIVISIONS

FIELDS = ("sex", "from_age", "to_age", "over", "up_to", "opens", "closes")
SEXES = {"": "women and men"} | SEX_WORDS
MOST_CLASSES = 20  # of one row of bounds


@dataclass(frozen=True, slots=True)
class ClassLine:
    """A division as a class: the beginning of its fields' names, its name and its limits in words."""

    at: str
    name: str
    words: str


@dataclass(frozen=True, slots=True)
class AskedLine:
    """An entry about which something is open: why, the classes that let it in, the card of its first member, and whether a
    weigh-in outside the window may be let count."""

    id: str
    entry: str
    division: str
    sentences: tuple[str, ...]
    fits: tuple[Choice, ...]
    card: str
    outside: bool


@dataclass(frozen=True, slots=True)
class ClassesPage:
    """The classes, who must be asked, and what is said where nobody must; empty where no class has an entry."""

    lines: tuple[ClassLine, ...]
    asked: tuple[AskedLine, ...]
    settled: str
    sexes: tuple[Choice, ...]


async def classes_page(hall: Hall) -> ClassesPage:
    """The page beside the form's own texts."""
    roster = needed_roster(hall)
    weighed = weigh_ins(await hall.database.aread(checkins), zone_of(roster.day))
    names = {one.id: one.name for one in roster.divisions}
    limited = {one.id for one in roster.divisions if one.limits}
    return ClassesPage(
        tuple(ClassLine(f"{one.id}-", one.name, one.limits.words() if one.limits else "") for one in roster.divisions),
        tuple(_asked(names, one) for one in asked_in_classes(roster, weighed)),
        ALL_FIT if any(entry.division in limited for entry in roster.entries) else "",
        tuple(Choice(value, words) for value, words in SEXES.items()),
    )


def _asked(names: dict[str, str], one: Asked) -> AskedLine:
    return AskedLine(
        one.entry.id,
        one.entry.name,
        names[one.entry.division],
        one.sentences,
        tuple(Choice(key, names[key]) for key in one.fits),
        one.entry.members[0],
        any("outside the window" in text for text in one.sentences),
    )


def classes_typed(hall: Hall) -> Typed:
    """The limits of all divisions as stored."""
    typed: dict[str, str] = {}
    for one in needed_roster(hall).divisions:
        limits = one.limits or Limits()
        typed |= {f"{one.id}-{field}": _text(getattr(limits, field)) for field in FIELDS}
    return typed


def _text(value: object) -> str:
    return "" if value is None else value.text() if isinstance(value, Load) else str(value)


async def save_classes(hall: Hall, typed: Typed) -> None:
    """Stores the limits of the divisions that the form speaks of. Raises BadForm."""
    roster = needed_roster(hall)
    read = Reading(typed)
    there = [one for one in roster.divisions if f"{one.id}-sex" in typed]
    after = [one.model_copy(update={"limits": _limits(read, roster, one)}) for one in there]
    read.done()

    def store(session: Session) -> None:
        for division in after:
            DIVISIONS.put(session, division)

    await change_roster(hall, store)


def _limits(read: Reading, roster: Roster, division: Division) -> Limits | None:
    at, name, unit = f"{division.id}-", division.name, roster.competition.unit
    values = {
        "sex": read.choice(f"{at}sex", f"Whom {name} is for", SEXES),
        "from_age": read.whole(f"{at}from_age", f"The lowest age of {name}", 1, MOST_AGE),
        "to_age": read.whole(f"{at}to_age", f"The highest age of {name}", 1, MOST_AGE),
        "over": read.load(f"{at}over", f"The bodyweight above which {name} begins", unit),
        "up_to": read.load(f"{at}up_to", f"The bodyweight up to which {name} reaches", unit),
        "opens": time_of_day(read, f"{at}opens", f"When the weigh-in of {name} opens"),
        "closes": time_of_day(read, f"{at}closes", f"When the weigh-in of {name} closes"),
    }
    try:
        limits = Limits.model_validate(values)
    except ValidationError as wrong:
        for problem in problems_of(wrong):
            read.wrong(f"{at}sex", f"{name}: {lower_first(problem.sentence)}")
        return None
    return None if limits == Limits() else limits


async def make_classes(hall: Hall, typed: Typed) -> int:
    """Makes a division for each class of a row of bodyweight bounds, and returns how many. Raises BadForm."""
    roster = needed_roster(hall)
    read = Reading(typed)
    sex = read.choice("sex", "Whom the classes are for", SEXES)
    bounds = read.loads("bounds", "The bounds of the classes", roster.competition.unit, MOST_CLASSES)
    opens, closes = time_of_day(read, "opens", "When the weigh-in opens"), time_of_day(read, "closes", "When it closes")
    if not bounds and not read.problems:
        read.wrong("bounds", "Type the bodyweights between the classes from light to heavy, such as 60, 65, 71, 79.")
    read.done()
    try:
        limits = classes_between(sex, bounds, read.ticked("above"))  # type: ignore[arg-type]
        limits = [Limits.model_validate(one.model_dump() | {"opens": opens, "closes": closes}) for one in limits]
    except ValidationError as wrong:
        raise BadForm([Problem("bounds", problem.sentence) for problem in problems_of(wrong)]) from None
    made = [Division(id=new_id(), name=_name(one), limits=one) for one in limits]
    taken = {one.name.casefold() for one in roster.divisions}
    if twice := next((one.name for one in made if one.name.casefold() in taken), ""):
        raise refuse("bounds", f"There is already a division called {twice}.")

    def store(session: Session) -> None:
        for division in made:
            DIVISIONS.put(session, division)

    await change_roster(hall, store)
    return len(made)


def _name(limits: Limits) -> str:
    """`Women 64 kg`, `Men over 110 kg`: a class is called by its upper bound, the last by its lower one."""
    return " ".join(_name_parts(limits))


def _name_parts(limits: Limits) -> Iterator[str]:
    if limits.sex:
        yield SEX_WORDS[limits.sex]
    yield limits.up_to.text() if limits.up_to else f"over {limits.over.text()}" if limits.over else ""


async def move_to_class(hall: Hall, entry: str, division: str) -> str:
    """Moves an entry into another class, and returns that in a sentence. Raises NotThere, BadForm, InUse."""
    roster = needed_roster(hall)
    one, into = found(roster.entries, entry, "entry"), found(roster.divisions, division, "division")
    if any(other.division == into.id and other.name.casefold() == one.name.casefold() for other in roster.entries):
        raise refuse("", f"There is already an entry called {one.name} in {into.name}.")
    await change_roster(hall, lambda session: put_entry(session, one.model_copy(update={"division": into.id})))
    return f"{one.name} is moved to {into.name}."


async def let_count(hall: Hall, entry: str, by: str) -> str:
    """Lets the weigh-ins of an entry count outside the window, and returns the entry's name. Raises NotThere."""
    one = found(needed_roster(hall).entries, entry, "entry")

    def store(session: Session) -> None:
        for member in one.members:
            seen = checkin(session, member)
            if seen.weighed is not None:
                CHECKINS.put(session, replace(seen, weighed_let=by))

    await hall.database.awrite(store)
    look_again(hall)
    return one.name
