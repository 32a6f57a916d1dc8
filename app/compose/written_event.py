"""An event made of a written workout: the page as it stands, and the event once nothing is open."""

import asyncio
from collections.abc import Sequence
from dataclasses import dataclass

from app.compose.composing import free_name, put_new_event
from app.compose.reading import ReadView, read_view
from app.hall.forms import MOST_NAME, BadForm, Problem, Reading, Typed
from app.hall.hall import Hall
from app.hall.organising import needed_roster
from app.rules.reading.reader import understand
from app.rules.records.roster import Roster
from app.rules.values.units import shown
from app.rules.values.words import say
from app.rules.workout.words import listed

ANSWER, OTHER = "answer-", "other-"  # a usual answer, and one that was typed in place of it
OPEN = "Something is still open: answer the questions, and change or leave out what is in red."


@dataclass(frozen=True, slots=True)
class WrittenPage:
    """The page: the text, the name that was typed, the name that it gets without one, what was understood. `strange`: what is
    wrong with the divisions that it names."""

    text: str
    name: str
    usual_name: str
    read: ReadView
    strange: str


def answers_of(typed: Typed) -> dict[str, str]:
    """The answers of a form by the ids of their questions; a typed one stands before a usual one."""
    usual = {name.removeprefix(ANSWER): value for name, value in typed.items() if name.startswith(ANSWER)}
    own = {name.removeprefix(OTHER): value.strip() for name, value in typed.items() if name.startswith(OTHER) and value.strip()}
    return usual | own


def written_page(hall: Hall, typed: Typed) -> WrittenPage:
    """The page as it was typed. Stores nothing."""
    text = _text(typed)
    read = read_view(text, answers_of(typed))
    strange = strange_divisions(needed_roster(hall), read.divisions)
    return WrittenPage(text, typed.get("name", ""), read.title[:MOST_NAME] or free_name(hall), read, strange)


async def make_written_event(hall: Hall, typed: Typed) -> str:
    """Adds the event that a text says; returns its id. Raises BadForm, storing nothing, while anything is open."""
    text = _text(typed)
    read = await asyncio.to_thread(understand, text, answers_of(typed))
    if not read.whole or read.format is None:
        raise BadForm([Problem("text", OPEN)])
    roster = needed_roster(hall)
    if strange := strange_divisions(roster, read.divisions):
        raise BadForm([Problem("text", strange)])
    named = Reading({"name": typed.get("name", "").strip() or read.title[:MOST_NAME] or free_name(hall)})
    name = named.name("name", "The event's name", MOST_NAME)
    if named.problems:
        raise BadForm(named.problems)
    wanted = {one.casefold() for one in read.divisions}
    divisions = [one.id for one in roster.divisions if one.name.casefold() in wanted]
    return await put_new_event(hall, name, read.format, divisions)


def strange_divisions(roster: Roster, names: Sequence[str]) -> str:
    """What is wrong with the divisions that a text names: which of them are not there, and which are; empty when all are."""
    known = {one.name.casefold() for one in roster.divisions}
    strange = [shown(name) for name in names if name.casefold() not in known]
    there = ", ".join(one.name for one in roster.divisions) or "none yet"
    return say("read.strange_divisions", n=len(strange), named=listed(strange), there=there) if strange else ""


def _text(typed: Typed) -> str:
    """A browser sends lines with a return before each line feed."""
    return typed.get("text", "").replace("\r\n", "\n")
