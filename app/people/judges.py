"""Who judges: adding, pasting, changing, removing with a way back, and what the desk's page of judges shows."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sqlmodel import Session

from app.hall.changing import change_roster, id_or_new, new_id
from app.hall.forms import BadForm, Problem, Reading, Typed
from app.hall.hall import Hall
from app.hall.organising import found, needed_roster
from app.hall.views import State
from app.people.entering import People
from app.rules.records.judges import BadHours, Hours, Judge, hours_text, parse_hours
from app.rules.records.roster import Roster
from app.rules.values.words import say
from app.store.kinds import JUDGES

MOST_LINES = 500
EXAMPLE = "Ines Varga; North Hall; second year; 9:00-13:00"
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
    return tuple(_line(judge, clubs, lanes.get(judge.id, 0)) for judge in roster.judges)


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
    return tuple(judge.name for judge in roster.judges if not judge.away)


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
    """Adds a judge, puts a removed one back, or changes one; returns the id."""
    roster = needed_roster(hall)
    people = People.of(roster)
    read = Reading(typed)
    others = [judge.name for judge in roster.judges if judge.id != key]
    judge = _read_judge(read, people, others, id_or_new(key))
    read.done()
    await change_roster(hall, lambda session: _store(session, people, [judge]))
    return judge.id


async def set_away(hall: Hall, key: str, away: bool) -> None:
    """Says that a judge can't judge after all, or is here again. The lanes stay as they are until they are planned anew."""
    judge = found(needed_roster(hall).judges, key, "judge").model_copy(update={"away": away})
    await change_roster(hall, lambda session: JUDGES.put(session, judge))


async def delete_judge(hall: Hall, key: str) -> dict[str, str]:
    """Removes a judge who stands on no lane; returns the form that puts the judge back. Raises InUse, NotThere."""
    roster = needed_roster(hall)
    gone = found(roster.judges, key, "judge")
    await change_roster(hall, lambda session: JUDGES.delete(session, key))
    return {"id": key, **typed_of(roster, gone)}


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
        problems = [Problem("lines", f"These are {len(lines)} lines; at most {MOST_LINES} can be stored at once.")]
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
    """A judge from a form's fields. Two judges can't have one name: a name on a lane must say who it is."""
    name = read.name("name", "The judge's name")
    if any(name.casefold() == other.casefold() for other in others):
        read.wrong("name", f"There is already a judge called {name}. Add something that tells them apart.")
    club = read.optional("club", "The club")
    level = read.optional("level", "The level", 60)
    notes = read.optional("notes", "The notes", 300)
    hours: tuple[Hours, ...] = ()
    try:
        hours = parse_hours(read.raw("hours"))
    except BadHours as wrong:
        read.wrong("hours", str(wrong))
    if read.problems:
        return Judge(id=key, name="?")
    return Judge(id=key, name=name, club=people.club(club), level=level, hours=hours, away=read.ticked("away"), notes=notes)


def _store(session: Session, people: People, judges: Sequence[Judge]) -> None:
    people.store(session)
    for judge in judges:
        JUDGES.put(session, judge)
