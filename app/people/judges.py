"""Who judges: adding, pasting, changing, removing with a way back, and what the desk's page of judges shows."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from sqlmodel import Session

from app.hall.changing import change_roster, new_id
from app.hall.forms import BadForm, Problem, Reading, Typed
from app.hall.hall import Hall
from app.hall.organising import found, needed_roster
from app.hall.plain import PlainForm, keep, save
from app.hall.views import State
from app.people.entering import People
from app.rules.records.judges import BadHours, Judge, hours_text, parse_hours
from app.rules.records.roster import Roster
from app.rules.values.alphabet import in_order
from app.rules.values.words import say
from app.store.kinds import JUDGES

MOST_LINES = 500
EXAMPLE = "Ines Varga; North Hall; second year; 9:00-13:00"
TAKEN = "There is already a judge called {}. Add something that tells them apart."
COLUMNS = ("name", "club", "level", "hours", "notes")


@dataclass(frozen=True, slots=True)
class JudgeLine:
    """A judge in the list. `words`: club and level, `hours`: when they can, `lanes`: how many lanes they have."""

    id: str
    name: str
    words: str
    hours: str
    lanes: str
    state: State
    away: bool


@dataclass(frozen=True, slots=True)
class PastedJudge:
    """A pasted line as understood, and what is wrong with it."""

    number: int
    typed: Typed
    problems: tuple[str, ...]


def judge_lines(hall: Hall) -> tuple[JudgeLine, ...]:
    """The judges by name."""
    roster = needed_roster(hall)
    clubs = {club.id: club.name for club in roster.clubs}
    lanes: dict[str, int] = {}
    for lane in (lane for heat in roster.heats for lane in heat.lanes if lane.judge_id):
        lanes[lane.judge_id or ""] = lanes.get(lane.judge_id or "", 0) + 1
    return tuple(_line(judge, clubs, lanes.get(judge.id, 0)) for judge in in_order(roster.judges))


def _line(judge: Judge, clubs: dict[str, str], lanes: int) -> JudgeLine:
    return JudgeLine(
        id=judge.id,
        name=judge.name,
        words=" · ".join(part for part in (clubs.get(judge.club or "", "no club"), judge.level, judge.notes) if part),
        hours=hours_text(judge.hours) or "all day",
        lanes=say("list.lanes", n=lanes),
        state=State("stopped", "Away") if judge.away else State("safe", "Here"),
        away=judge.away,
    )


def judge_names(roster: Roster) -> tuple[str, ...]:
    """The names of all judges who are not away, to be offered while typing."""
    return tuple(judge.name for judge in in_order(roster.judges) if not judge.away)


def judge_named(roster: Roster, name: str) -> Judge | None:
    """The judge of this name, however it is capitalised; None for somebody who is not on the roster."""
    return next((judge for judge in roster.judges if judge.name.casefold() == name.casefold()), None)


def judge_typed(hall: Hall, key: str) -> Typed:
    """A judge's form as stored. Raises NotThere."""
    roster = needed_roster(hall)
    return typed_of(roster, found(roster.judges, key, "judge"))


def typed_of(roster: Roster, judge: Judge) -> dict[str, str]:
    """A judge as the fields of the form."""
    club = next((club.name for club in roster.clubs if club.id == judge.club), "")
    return {
        "name": judge.name,
        "club": club,
        "level": judge.level,
        "hours": hours_text(judge.hours),
        "notes": judge.notes,
        "away": "on" if judge.away else "",
    }


async def save_judge(hall: Hall, typed: Typed, key: str = "") -> str:
    """Adds a judge or changes one; returns the id."""
    people = People.of(needed_roster(hall))
    return await save(hall, judge_form(people), typed, key, first=people.store)


async def set_away(hall: Hall, key: str, away: bool) -> None:
    """Says that a judge can't judge after all, or is here again. The lanes stay as they are until they are planned anew."""
    judge = found(needed_roster(hall).judges, key, "judge").model_copy(update={"away": away})
    await keep(hall, JUDGES, judge)


def judge_form(people: People) -> PlainForm[Judge]:
    """A judge's form; a club that is new is one of the people's. Two can't have one name: a name on a lane must say who it is."""
    return PlainForm(kind=JUDGES, read=lambda read, roster, key: _fields(read, people), taken=TAKEN)


def read_judges(text: str, roster: Roster) -> list[PastedJudge]:
    """Every pasted line that is not empty, with its problems. Columns are split by tabs or semicolons."""
    return [line for line, _ in _read_lines(text, roster, People.of(roster))]


async def store_judges(hall: Hall, text: str) -> int:
    """Stores all pasted judges and returns how many. Raises BadForm, storing nothing, if any line has a problem."""
    roster = needed_roster(hall)
    people = People.of(roster)
    lines = _read_lines(text, roster, people)
    problems = [Problem("lines", f"Line {line.number}: {sentence}") for line, _ in lines for sentence in line.problems]
    if not lines:
        problems = [Problem("lines", f"Nothing was pasted. Type lines such as “{EXAMPLE}”.")]
    if len(lines) > MOST_LINES:
        problems = [Problem("lines", f"These are {len(lines)} lines; at most {MOST_LINES} can be saved at once.")]
    if problems:
        raise BadForm(problems)
    await change_roster(hall, lambda session: _store(session, people, [judge for _, judge in lines]))
    return len(lines)


def _read_lines(text: str, roster: Roster, people: People) -> list[tuple[PastedJudge, Judge]]:
    taken = [judge.name for judge in roster.judges]
    read_so_far = []
    for number, raw in enumerate(text.splitlines(), 1):
        if not raw.strip():
            continue
        parts = [part.strip() for part in raw.split("\t" if "\t" in raw else ";")]
        read = Reading(dict(zip(COLUMNS, parts, strict=False)))
        if len([part for part in parts if part]) > len(COLUMNS):
            read.wrong("", f"A line has at most {len(COLUMNS)} parts: {', '.join(COLUMNS)}.")
        judge = _read_judge(read, people, taken, new_id())
        taken.append(judge.name)
        said = tuple(problem.sentence for problem in read.problems)
        read_so_far.append((PastedJudge(number, read.typed, said), judge))
    return read_so_far


def _read_judge(read: Reading, people: People, others: Iterable[str], key: str) -> Judge:
    """A judge from the parts of a line."""
    fields = _fields(read, people)
    if any(fields["name"].casefold() == other.casefold() for other in others):
        read.wrong("name", TAKEN.format(fields["name"]))
    return Judge(id=key, name="?") if read.problems else Judge(id=key, **fields)


def _fields(read: Reading, people: People) -> dict[str, Any]:
    fields: dict[str, Any] = {
        "name": read.name("name", "The judge's name"),
        "club": read.optional("club", "The club"),
        "level": read.optional("level", "The level", 60),
        "notes": read.optional("notes", "The notes", 300),
        "away": read.ticked("away"),
    }
    try:
        fields["hours"] = parse_hours(read.raw("hours"))
    except BadHours as wrong:
        read.wrong("hours", str(wrong))
    return fields if read.problems else fields | {"club": people.club(fields["club"])}


def _store(session: Session, people: People, judges: Sequence[Judge]) -> None:
    people.store(session)
    for judge in judges:
        JUDGES.put(session, judge)
