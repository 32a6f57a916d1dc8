"""Setting the competition up: its name, divisions, clubs and athletes. Everything can be changed later."""

from datetime import date
from typing import Any, cast

from app.hall.changing import change_roster, new_id
from app.hall.forms import Reading, Typed
from app.hall.hall import Hall
from app.hall.organising import found
from app.hall.plain import PlainForm
from app.rules.records.body_formulas import Sex
from app.rules.records.classes import MOST_AGE
from app.rules.records.roster import CLUB_COLOURS, MOST_PROTEST_MINUTES, Athlete, Competition, Roster
from app.rules.values.units import Load, LoadUnit, shown
from app.rules.workout.safety import FACTS, Safety
from app.store.kinds import ATHLETES, CLUBS, DIVISIONS
from app.store.roster import put_competition
from app.wording import languages

UNITS = {"kg": "kg", "lb": "lb"}
MOST_BODY_KG = 400  # beyond it a digit slipped in
FIRST_DAY, LAST_DAY = date(1970, 1, 1), date(2199, 12, 31)  # a year of two digits comes from a browser as 0031
PROTEST_FROM = {"announcement": "the announcement of the result", "bell": "the event's last bell"}


async def save_competition(hall: Hall, typed: Typed) -> None:
    """Names the competition, or changes its name, place, day, unit and safety facts, and the language of its screens."""
    read = Reading(typed)
    named = read_competition(hall, read)
    language = read.choice("language", "The language of the screens", languages()) if "language" in typed else ""
    read.done()
    if language:
        await hall.language.choose(hall.database, language)
    await change_roster(hall, lambda session: put_competition(session, named))


def read_competition(hall: Hall, read: Reading) -> Competition:
    """The competition as a form says it; what is wrong is told to `read`, and then it holds none of what was typed wrongly."""
    roster = hall.projection.roster
    before = roster.competition if roster else new_competition(hall)
    name = read.name("name", "The competition's name")
    place = read.optional("place", "The place", 200)
    day = read.raw("day")
    if day and date_of(day) is None:
        read.wrong("day", f"The day is a date such as 2031-05-17, or empty; not “{shown(day)}”.")
    unit = read.choice("unit", "The unit of loads", UNITS)
    safety = _safety(read, before.safety)
    protests = _protest_times(read, before)
    if read.problems:
        return before
    said = {"name": name, "place": place, "day": day, "unit": unit, "safety": safety, **protests}
    return Competition.model_validate(dict(before) | said)


def new_competition(hall: Hall) -> Competition:
    """A competition that nobody has named yet: its time for protests runs from the announcement of a result."""
    return Competition(id=new_id(), name="-", demo=hall.settings.demo, protest_from="announcement")


def _protest_times(read: Reading, before: Competition) -> dict[str, Any]:
    """How long protests and appeals may be filed, and from when; what the form did not ask for stays."""
    starts = before.protest_from
    if "protest_from" in read.typed:
        starts = cast(Any, read.choice("protest_from", "What the time for protests runs from", PROTEST_FROM))
    most = MOST_PROTEST_MINUTES
    return {
        "protest_minutes": read.whole("protest_minutes", "The minutes for protests", 0, most, before.protest_minutes),
        "protest_from": starts,
        "appeal_minutes": read.whole("appeal_minutes", "The minutes for appeals", 0, most, before.appeal_minutes),
    }


def _safety(read: Reading, before: Safety) -> Safety:
    """The safety facts as typed; what the form did not ask for stays."""
    asked = [(field, label) for field, label, _ in FACTS if field in read.typed]
    return before.model_copy(update={field: read.optional(field, f"“{label}”", 200) for field, label in asked})


def date_of(text: str) -> date | None:
    """The date that is written as 2031-05-17; None for anything else, and for a day on which nobody competes."""
    try:
        found = date.fromisoformat(text)
    except ValueError:
        return None
    return found if found.isoformat() == text and FIRST_DAY <= found <= LAST_DAY else None


def bodyweight(read: Reading, field: str, unit: LoadUnit) -> Load | None:
    """What an athlete weighs, or None for one who was not weighed."""
    weight = read.load(field, "The bodyweight", unit)
    if weight is not None and weight.kg > MOST_BODY_KG:
        read.wrong(field, f"The bodyweight is at most {MOST_BODY_KG} kg; not {weight.text()}.")
    return weight


SEX_WORDS: dict[str, str] = {"women": "Women", "men": "Men"}
NOBODY_SAID = {"": "not said"}


def sex(read: Reading, field: str) -> Sex:
    """In whose classes, and by whose formula, an athlete counts; empty where nobody said."""
    return cast(Sex, read.choice(field, "Women or men", NOBODY_SAID | SEX_WORDS))


def age(read: Reading, field: str) -> int | None:
    """An age in whole years, None where nobody said."""
    return read.whole(field, "The age in years", 1, MOST_AGE)


def _athlete(read: Reading, roster: Roster, key: str) -> dict[str, Any]:
    """A form that does not ask for the bodyweight leaves it as it is. Raises NotThere: athletes come into being in entries."""
    before = found(roster.athletes, key, "athlete")
    name, club = read.name("name", "The athlete's name"), _club_of(read, roster)
    same = (name.casefold(), club)  # a roster of before this was asked may hold two, whose bodyweights are typed all the same
    if same != _told_apart(before) and any(_told_apart(one) == same for one in roster.athletes if one.id != key):
        read.wrong("name", ALREADY_ONE)
    weight = bodyweight(read, "weight", roster.competition.unit) if "weight" in read.typed else before.bodyweight
    kept = {field: getattr(before, field) for field in ("age", "said_like", "sex")}
    return {"name": name, "club": club, "bodyweight": weight, **kept}


def _told_apart(athlete: Athlete) -> tuple[str, str | None]:
    """What tells an athlete from others."""
    return athlete.name.casefold(), athlete.club


def _club_of(read: Reading, roster: Roster) -> str | None:
    club = read.raw("club")
    if club and all(one.id != club for one in roster.clubs):
        read.wrong("club", "The club is one of those on this page, or none.")
    return club or None


ALREADY_ONE = (
    "There is already an athlete with this name and club. If they are one person, open the entry and type name and club there: "
    "then it has that athlete as its member."
)
COLOURS = {"": "no colour"} | {colour: colour for colour in CLUB_COLOURS}


def _club(read: Reading, roster: Roster, key: str) -> dict[str, Any]:
    """A form that does not ask for the colour leaves it as it is."""
    before = next((one.colour for one in roster.clubs if one.id == key), "")
    colour = read.choice("colour", "The colour", COLOURS) if "colour" in read.typed else before
    return {"name": read.name("name", "The club's name"), "colour": colour}


def _division(read: Reading, roster: Roster, key: str) -> dict[str, Any]:
    """The limits stay as they are: they have a page of their own."""
    limits = next((one.limits for one in roster.divisions if one.id == key), None)
    return {"name": read.name("name", "The division's name"), "limits": limits}


DIVISION = PlainForm(
    kind=DIVISIONS,
    read=_division,
    taken="There is already a division called {}. Give this one another name.",
)
CLUB = PlainForm(
    kind=CLUBS,
    read=_club,
    taken="There is already a club called {}.",
)
ATHLETE = PlainForm(kind=ATHLETES, read=_athlete)
