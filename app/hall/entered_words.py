"""Who does not fit an event, in one sentence for each kind, with what to do about it: asked before GO."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from app.rules.records.entered import Entered, entered, named_divisions
from app.rules.records.roster import Entry, Event, Heat, Roster
from app.rules.values.words import say
from app.rules.workout.words import listed

MOST_NAMED = 3


@dataclass(frozen=True, slots=True)
class Asked:
    """What must be said of an event's entries before its GO, and where. stray: of those who stand on its lanes and are not
    ranked."""

    sentence: str
    link: str
    stray: bool = False


def asked_of(roster: Roster, event: Event) -> tuple[Asked, ...]:
    """What is asked of an event's entries; nothing where all of them fit."""
    who = entered(roster, event)
    found = [*_strays(roster, event, who.strays), *_unfit(roster, event, who.unfit)]
    if not found and not who.fit and roster.entries:
        words = say("entered.nobody", n=event.format.members, event=event.name, whose=_whose(who))
        found.append(Asked(words, divisions_link(event)))
    return tuple(found)


def asked_of_all(roster: Roster) -> tuple[Asked, ...]:
    """What is asked of the entries of all events, in the order run."""
    return tuple(one for event in roster.events for one in asked_of(roster, event))


def asked_of_heat(roster: Roster, event: Event, heat: Heat) -> str:
    """What is asked of the entries on a heat's lanes; empty where all of them fit."""
    who, here = entered(roster, event), {lane.entry for lane in heat.lanes}
    found = [*_strays(roster, event, _of(who.strays, here)), *_unfit(roster, event, _of(who.unfit, here))]
    return " ".join(one.sentence for one in found)


def for_words(roster: Roster, event: Event) -> str:
    """The divisions that an event is for: `For Men and Women`; nothing where it names none."""
    named = named_divisions(roster, event.divisions)
    return f"For {listed([one.name for one in named])}" if named else ""


def unnamed_words(roster: Roster, event: Event) -> str:
    """Whom an event is for while it names no division: `all whose entries have 2 members, now Pairs`."""
    fitting = entered(roster, event.model_copy(update={"divisions": ()})).divisions
    size = say("members", n=event.format.members)
    return f"all whose entries have {size}, now {listed([one.name for one in fitting]) or 'none'}"


def divisions_link(event: Event) -> str:
    """The page where an event's divisions are named."""
    return f"/desk/events/{event.id}/variants"


def _whose(who: Entered) -> str:
    return f" of {listed([one.name for one in who.divisions])}" if who.event.divisions else ""


def _of(entries: Sequence[Entry], ids: Collection[str]) -> list[Entry]:
    return [entry for entry in entries if entry.id in ids]


def _strays(roster: Roster, event: Event, strays: Sequence[Entry]) -> list[Asked]:
    if not strays:
        return []
    theirs = listed([one.name for one in named_divisions(roster, {entry.division for entry in strays})])
    words = say("entered.strays", n=len(strays), named=_named(strays), event=event.name, division=theirs)
    return [Asked(words, divisions_link(event), stray=True)]


def _unfit(roster: Roster, event: Event, unfit: Sequence[Entry]) -> list[Asked]:
    if not unfit:
        return []
    size = say("members", n=event.format.members)
    has = say("members", n=len(unfit[0].members))
    words = say("entered.unfit", n=len(unfit), named=_named(unfit), event=event.name, size=size, has=has)
    alone = f"/desk/entries/{unfit[0].id}" if len(unfit) == 1 else divisions_link(event)
    return [Asked(words, alone)]


def _named(entries: Sequence[Entry]) -> str:
    """The first few by name, and how many more there are."""
    names = [entry.name for entry in entries[:MOST_NAMED]]
    return listed([*names, *([say("entered.more", n=len(entries) - MOST_NAMED)] if len(entries) > MOST_NAMED else [])])
