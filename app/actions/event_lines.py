"""The lines of the event form: a line of a work list and a fault of a movement, written and read back.

A work list reads as people say it: `21 Kettlebell swings @ 24 kg`. Before it may stand who does it (`A:`, `A+B:`, `any:`), behind it
what one tap is worth (`1 Row = 20`) and a note (`; each side`). A name that holds one of those signs stands in quotes.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from app.rules.tasks import MOST_MEMBERS, Fault, Who, WorkItem
from app.rules.words import member_letter

LETTERS = "".join(member_letter(member) for member in range(1, MOST_MEMBERS + 1))
SIGNS = set('=@;"')
ITEM = re.compile(
    rf"(?:(?P<who>all|any|[{LETTERS}](?:\+[{LETTERS}])*)\s*:\s*)?(?P<reps>\d{{1,6}})\s*[x×]?\s+"
    r'(?P<name>"(?:[^"]|"")+"|[^=@;"]+?)\s*(?:=\s*(?P<worth>\d{1,6})\s*)?'
    r"(?:@\s*(?P<load>[^;]+?)\s*)?(?:;\s*(?P<note>.+))?",
    re.IGNORECASE,
)
LOAD_AT_END = re.compile(r"(?P<name>.*\S)\s+(?P<load>\d[\d.,]*\s*(?:kgs?|lbs?))", re.IGNORECASE)
ONE_BAR = re.compile(r"(?<!\|)\|(?!\|)")  # two bars are a bar in a name


@dataclass(frozen=True, slots=True)
class ItemText:
    """A line of a work list taken apart; `load` is as typed."""

    who: Who | None
    reps: int
    name: str
    worth: int
    load: str
    note: str


def item_line(item: WorkItem, names: Mapping[str, str]) -> str:
    """A line of a work list as text; `names` are the movements' names by key."""
    name = names[item.movement]
    quoted = '"' + name.replace('"', '""') + '"' if SIGNS & set(name) else name
    who = f"{_who_text(item.who)}: " if item.who is not None else ""
    worth = f" = {item.worth}" if item.worth != 1 else ""
    load = f" @ {item.load.text()}" if item.load else ""
    note = f" ; {item.note}" if item.note else ""
    return f"{who}{item.reps} {quoted}{worth}{load}{note}"


def read_item(line: str) -> ItemText | None:
    """A line of a work list taken apart, or None if it is not one."""
    found = ITEM.fullmatch(line)
    if found is None:
        return None
    name = found["name"]
    if name.startswith('"'):
        name = name[1:-1].replace('""', '"').strip()
    worth, load, note = int(found["worth"] or 1), found["load"] or "", (found["note"] or "").strip()
    return ItemText(_who(found["who"]), int(found["reps"]), name, worth, load, note)


def load_at_end(name: str) -> tuple[str, str] | None:
    """`swings 24 kg` as a name and a load, or None if no load stands at its end."""
    found = LOAD_AT_END.fullmatch(name)
    return (found["name"], found["load"]) if found else None


def _who_text(who: Who) -> str:
    return who if isinstance(who, str) else "+".join(member_letter(member) for member in who)


def _who(text: str | None) -> Who | None:
    if text is None:
        return None
    match text.lower():
        case "all":
            return "all"
        case "any":
            return "any"
        case _:
            return tuple(sorted({LETTERS.index(letter) + 1 for letter in text.upper().split("+")}))


def fault_line(fault: Fault) -> str:
    """A fault as text: its name and, after a bar, what the judge says."""
    name = fault.name.replace("|", "||")
    return f"{name} | {fault.say.replace('|', '||')}" if fault.say else name


def read_fault(line: str) -> tuple[str, str]:
    """A fault's name and what the judge says, which may be nothing."""
    name, *say = ONE_BAR.split(line, maxsplit=1)
    return name.replace("||", "|").strip(), (say[0] if say else "").replace("||", "|").strip()
