"""The lines of the event form: a work list and the faults of a movement, written and read back.

A work list reads as people say it (app.rules.workout.written_work). A line that could be misread so, such as one whose movement
is called `Clean (hang)`, is written strictly: who, repetitions, the name in quotes, worth, load, note:
`A: 10 "Clean (hang)" = 2 @ 20 kg (each side)`.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from pydantic import ValidationError

from app.hall.forms import load_or_nothing
from app.rules.reading.work_box import list_in_box
from app.rules.values.units import BadMeasure, LoadUnit
from app.rules.workout.formats import MOST_MEMBERS, Fault, Movement, Who, WorkItem
from app.rules.workout.movements import Called
from app.rules.workout.words import member_letter
from app.rules.workout.written_work import BadWork, WrittenWork, read_work, work_text

LETTERS = "".join(member_letter(member) for member in range(1, MOST_MEMBERS + 1))
SIGNS = set('=@;"()')
STRICT = re.compile(
    rf"(?:(?P<who>all|any|[{LETTERS}](?:\+[{LETTERS}])*)\s*:\s*)?(?P<reps>\d{{1,6}})\s+"
    r'(?P<name>"(?:[^"]|"")+"|[^=@;"()]+?)\s*(?:=\s*(?P<worth>\d{1,6})\s*)?'
    r"(?:@\s*(?P<load>[^;()]+?)\s*)?(?:\((?P<note>.+)\))?"
)
ONE_BAR = re.compile(r"(?<!\|)\|(?!\|)")  # two bars are a bar in a name


@dataclass(frozen=True, slots=True)
class Listed:
    """Movements by key that a work list may name, how many members an entry has, and the unit of a load without one."""

    names: Mapping[str, str]
    members: int
    unit: LoadUnit


def list_text(items: tuple[WorkItem, ...], listed: Listed) -> str:
    """A work list as text: as people say it if it is read back as it is, else strictly."""
    said = work_text(items, {key: Movement(name=name) for key, name in listed.names.items()})
    try:
        made = read_list(said, listed)
    except BadWork:
        made = WrittenWork((), {})
    return said if (made.items, made.rounds) == (items, 1) else strict_text(items, listed.names)


def strict_text(items: tuple[WorkItem, ...], names: Mapping[str, str]) -> str:
    """A work list as text that can't be misread. Words that would mean another movement are left for its name."""
    called = Called(names)
    return "\n".join(_strict_line(item, _said(item, names, called)) for item in items)


def _said(item: WorkItem, names: Mapping[str, str], called: Called) -> str:
    return item.words if item.words and called.meant(item.words) == item.movement else names[item.movement]


def read_list(text: str, listed: Listed) -> WrittenWork:
    """A work list as typed, with the movements that it names and nobody has described yet. Raises BadWork."""
    lines = [line.strip() for line in re.split(r"[\r\n]+", text) if line.strip()]
    called = Called(listed.names)
    strict = [_strict_item(line, listed, called) for line in lines]
    items = tuple(item for item in strict if item is not None)
    if lines and len(items) == len(lines):
        return WrittenWork(items, {})
    known = {key: Movement(name=name) for key, name in listed.names.items() if name}
    made = _read(text, listed, known)
    return WrittenWork(made.items, {key: one for key, one in made.movements.items() if known.get(key) != one}, made.rounds)


def _read(text: str, listed: Listed, known: Mapping[str, Movement]) -> WrittenWork:
    """The list as a box for work reads it; what it can't read, as a whole workout's list is read. Raises BadWork."""
    try:
        return read_work(text, listed.unit, listed.members, known)
    except BadWork as wrong:
        said = list_in_box(text, listed.unit, listed.members)
        if said is None:
            raise wrong from None
        return read_work(said, listed.unit, listed.members, known)


def _strict_line(item: WorkItem, name: str) -> str:
    quoted = '"' + name.replace('"', '""') + '"' if SIGNS & set(name) else name
    who = f"{_who_text(item.who)}: " if item.who is not None else ""
    worth = f" = {item.worth}" if item.worth != 1 else ""
    load = f" @ {item.load.text()}" if item.load else ""
    note = f" ({item.note})" if item.note else ""
    return f"{who}{item.reps} {quoted}{worth}{load}{note}"


def _strict_item(line: str, listed: Listed, called: Called) -> WorkItem | None:
    """A line written strictly with a movement that is there, or None."""
    found = STRICT.fullmatch(line)
    if found is None:
        return None
    quoted = found["name"].startswith('"')
    name = (found["name"][1:-1].replace('""', '"') if quoted else " ".join(found["name"].split())).strip()
    key = called.meant(name)
    who = _who(found["who"])
    if key is None or (isinstance(who, tuple) and who[-1] > listed.members):
        return None
    try:
        load = load_or_nothing(found["load"], listed.unit) if found["load"] else None
        worth, note = int(found["worth"] or 1), (found["note"] or "").strip() or None
        words = None if name == listed.names[key] else name
        return WorkItem(movement=key, words=words, reps=int(found["reps"]), worth=worth, load=load, who=who, note=note)
    except (BadMeasure, ValidationError):
        return None


def _who_text(who: Who) -> str:
    return who if isinstance(who, str) else "+".join(member_letter(member) for member in who)


def _who(text: str | None) -> Who | None:
    match text:
        case None:
            return None
        case "all":
            return "all"
        case "any":
            return "any"
        case _:
            return tuple(sorted({LETTERS.index(letter) + 1 for letter in text.split("+")}))


def fault_line(fault: Fault) -> str:
    """A fault as text: its name and, after a bar, what the judge says."""
    name = fault.name.replace("|", "||")
    return f"{name} | {fault.say.replace('|', '||')}" if fault.say else name


def read_fault(line: str) -> tuple[str, str]:
    """A fault's name and what the judge says, which may be nothing."""
    name, *say = ONE_BAR.split(line, maxsplit=1)
    return name.replace("||", "|").strip(), (say[0] if say else "").replace("||", "|").strip()
