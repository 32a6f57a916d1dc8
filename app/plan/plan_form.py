"""The form of the day's rules: from what is stored to fields, and from what was typed to rules."""

from dataclasses import dataclass
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pydantic import ValidationError
from sqlmodel import Session

from app.hall.changing import change_roster
from app.hall.forms import BadForm, Reading, Typed, problems_of, row_numbers, time_of_day
from app.hall.hall import Hall
from app.hall.lists import Choice
from app.hall.organising import needed_roster
from app.plan.cutting import sources_of
from app.plan.day_times import length_of, rules_of
from app.rules.records.day import Break, DayRules, EventDay
from app.rules.records.roster import MOST_LANES, Event, Roster
from app.rules.values.units import shown
from app.store.day import put_day

MOST_BREAKS = 12
LONGEST = 24 * 60
STANDING = "standing:"
NUMBERS = (
    # field, what it is, least, most
    ("changeover", "The minutes between heats", 0, 240),
    ("reset", "The minutes between events", 0, 600),
    ("rest", "The rest for an athlete", 0, 600),
    ("step", "What start times are rounded to", 1, 30),
    ("judge_work", "The heats a judge works", 1, 20),
    ("judge_of", "The run of heats that limit counts in", 1, 20),
    ("seed", "The number of the random draw", 0, 999_999),
)
TICKS = ("own_club", "with_judges", "take_turns")


@dataclass(frozen=True, slots=True)
class EventFields:
    """An event in the form: its field names begin with `event-<id>-`."""

    id: str
    name: str
    minutes: str


@dataclass(frozen=True, slots=True)
class RulesPage:
    """What can be chosen in the form."""

    events: tuple[EventFields, ...]
    seedings: tuple[Choice, ...]
    breaks: tuple[int, ...]


def rules_page(hall: Hall, typed: Typed) -> RulesPage:
    """The choices of the page; one more row for a break than are filled."""
    roster = needed_roster(hall)
    rules = rules_of(roster)
    filled = [n for n in row_numbers(typed, "break") if typed.get(f"break-{n}-start") or typed.get(f"break-{n}-name")]
    return RulesPage(
        events=tuple(
            EventFields(event.id, event.name, str(length_of(event, rules.of(event.id).model_copy(update={"minutes": None}))))
            for event in roster.events
        ),
        seedings=(
            Choice("entered", "as entered"),
            Choice("drawn", "drawn at random"),
            *(Choice(f"{STANDING}{key}", f"by {words}") for key, words in sources_of(roster).items()),
        ),
        breaks=tuple(range(min(MOST_BREAKS, max(filled, default=-1) + 2))),
    )


def rules_typed(hall: Hall) -> dict[str, str]:
    """The form as stored."""
    roster = needed_roster(hall)
    rules = rules_of(roster)
    typed = {"start": rules.start, "end": rules.end, "zone": rules.zone}
    typed |= {field: str(getattr(rules, field)) for field, *_ in NUMBERS}
    typed |= {field: "on" if getattr(rules, field) else "" for field in TICKS}
    for n, one in enumerate(rules.breaks):
        least = "" if one.least is None else str(one.least)
        typed |= {
            f"break-{n}-name": one.name,
            f"break-{n}-start": one.start,
            f"break-{n}-end": one.end,
            f"break-{n}-least": least,
        }
    planned = {how.event for how in rules.events}
    for event in roster.events:
        typed |= _event_typed(event, rules.of(event.id), event.id in planned)
    return typed


def _event_typed(event: Event, how: EventDay, planned: bool) -> dict[str, str]:
    at = f"event-{event.id}-"
    return {
        f"{at}planned": "on" if planned else "",
        f"{at}first": str(how.first_lane),
        f"{at}last": str(how.last_lane),
        f"{at}most": str(how.most or ""),
        f"{at}minutes": str(how.minutes or ""),
        f"{at}seeding": f"{STANDING}{how.source}" if how.seeding == "standing" else how.seeding,
        f"{at}best": "last" if how.best_last else "first",
        f"{at}lanes": "middle" if how.from_middle else "first",
        f"{at}apart": "on" if how.apart else "",
        f"{at}even": "on" if how.even else "",
    }


async def save_rules(hall: Hall, typed: Typed) -> None:
    """Stores how the day is to be planned. Raises BadForm."""
    roster = needed_roster(hall)
    rules = read_rules(typed, roster)

    def store(session: Session) -> None:
        put_day(session, rules)

    await change_roster(hall, store)


def read_rules(typed: Typed, roster: Roster) -> DayRules:
    """The rules that a form asks for; choices to keep and withdrawals stay as they are. Raises BadForm."""
    before = rules_of(roster)
    read = Reading(typed)
    plain: dict[str, object] = {}
    for field, words in (("start", "The start of the day"), ("end", "The end of the day")):
        plain[field] = time_of_day(read, field, words)
        if not read.raw(field):
            read.wrong(field, f"{words} is missing. Type a time of day such as 09:00.")
    for field, what, low, high in NUMBERS:
        plain[field] = read.needed_whole(field, what, low, high)
    plain |= {field: read.ticked(field) for field in TICKS}
    plain["zone"] = _zone(read)
    plain["breaks"] = _breaks(read)
    plain["events"] = [how for event in roster.events if (how := _event(read, roster, event)) is not None]
    read.done()
    kept = {"locks": before.locks, "withdrawn": before.withdrawn}
    try:
        return DayRules.model_validate({**plain, **kept})
    except ValidationError as wrong:
        raise BadForm(problems_of(wrong)) from None


def _zone(read: Reading) -> str:
    name = read.optional("zone", "The time zone", 60)
    try:
        if name:
            ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        read.wrong("zone", f"The time zone is a name such as Europe/Lisbon, or empty for this computer's; not “{shown(name)}”.")
    return name


def _breaks(read: Reading) -> list[Break]:
    made = []
    for n in row_numbers(read.typed, "break"):
        at = f"break-{n}-"
        if not any(read.raw(f"{at}{part}") for part in ("name", "start", "end")):
            continue
        name = read.raw(f"{at}name") or "Break"
        start, end = time_of_day(read, f"{at}start", "Its start"), time_of_day(read, f"{at}end", "Its end")
        least = read.whole(f"{at}least", "The fewest minutes of a break", 0, LONGEST)
        if not (start and end):
            if not read.problems_at(f"{at}start") and not read.problems_at(f"{at}end"):
                read.wrong(f"{at}start", f"{name} needs a start and an end, such as 12:30 and 13:15.")
        elif end <= start:
            read.wrong(f"{at}end", f"{name} ends after it begins; {start} to {end} does not.")
        else:
            made.append(Break(name=name[:120], start=start, end=end, least=least))
    return sorted(made, key=lambda one: one.start)


def _event(read: Reading, roster: Roster, event: Event) -> EventDay | None:
    at = f"event-{event.id}-"
    if not read.ticked(f"{at}planned"):
        return None
    first = read.needed_whole(f"{at}first", f"{event.name}: the first lane", 1, MOST_LANES)
    last = read.needed_whole(f"{at}last", f"{event.name}: the last lane", 1, MOST_LANES)
    if last < first:
        read.wrong(f"{at}last", f"{event.name}: the last lane is {first} or more; not {last}.")
    most = read.whole(f"{at}most", f"{event.name}: the most entries at once", 1, MOST_LANES)
    minutes = read.whole(f"{at}minutes", f"{event.name}: the minutes of a heat", 1, 600)
    seeding = read.raw(f"{at}seeding") or "entered"
    source = seeding.removeprefix(STANDING) if seeding.startswith(STANDING) else ""
    if seeding not in ("entered", "drawn") and source not in sources_of(roster):
        read.wrong(f"{at}seeding", f"{event.name}: the standing it was seeded by is gone. Choose another.")
    if read.problems:
        return None
    return EventDay.model_validate(
        {
            "event": event.id,
            "first_lane": first,
            "last_lane": last,
            "most": most,
            "minutes": minutes,
            "seeding": "standing" if source else seeding,
            "source": source,
            "best_last": read.raw(f"{at}best") != "first",
            "from_middle": read.raw(f"{at}lanes") != "first",
            "apart": read.ticked(f"{at}apart"),
            "even": read.ticked(f"{at}even"),
        }
    )
