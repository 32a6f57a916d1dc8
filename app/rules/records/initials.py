"""Names kept short for the public: a person's initials, and everybody of a competition by them."""

import re
from typing import TypeVar

from app.rules.records.roster import Entry, Roster

R = TypeVar("R", bound=Roster)
WORD = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)*")


def initials(name: str) -> str:
    """A person's name as initials: `Ada Quill-Ferro` is `A. Q.-F.`; one without a letter in it is a dot."""
    parts = ["-".join(f"{word[0].upper()}." for word in WORD.findall(part)) for part in name.split()]
    return " ".join(part for part in parts if part) or "."


def with_initials(whole: R) -> R:
    """The same competition with its athletes by their initials, and no more of them than results need.

    An entry keeps its name unless it is one of its members' own. Bodyweights stay, because they may break ties; sex and age where
    points are made of them; body measures go.
    """
    names = {athlete.id: athlete.name for athlete in whole.athletes}
    rule = whole.overall
    by_body = rule is not None and any(rule.body_formula(event.id) for event in whole.events)
    unsaid: dict[str, object] = {"said_like": ""} | ({} if by_body and rule and rule.ages else {"age": None})
    unsaid |= {} if by_body else {"sex": ""}
    athletes = tuple(one.model_copy(update={"name": initials(one.name), **unsaid}) for one in whole.athletes)
    entries = tuple(_entry(entry, [names[member] for member in entry.members]) for entry in whole.entries)
    return whole.model_copy(update={"athletes": athletes, "entries": entries, "measures": ()})


def _entry(entry: Entry, members: list[str]) -> Entry:
    """An entry that is called by its members' names is called by their initials: `Ada Quill & Bo Farrow` is `A. Q. & B. F.`"""
    name = entry.name
    for member in sorted(members, key=len, reverse=True):
        name = name.replace(member, initials(member))
    return entry if name == entry.name else entry.model_copy(update={"name": name})
