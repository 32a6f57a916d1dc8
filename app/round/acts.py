"""What else somebody at headquarters says of a round: acts as rows with their fields, offered while the table of authority lets
them.

Beside these stand what the page has a place of its own for (the kit, the next step, decisions and appeals, films, reviewers,
hand-ins), and what is a command: book and heads, which are written for a web space; and a list of records at once.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from app.hall.forms import Reading
from app.round.headquarters import Headquarters
from app.round.kept_records import NoRound
from app.round.times import read_time
from app.rules.round import records as r
from app.rules.round.authority import Role, cell
from app.rules.round.due import Said
from app.rules.round.moves import MOVES, states_of
from app.rules.round.short import NotADigest, read_digest
from app.rules.round.state import RoundState
from app.rules.round.told import NotTold, read_number
from app.rules.values.words import say

HEAD_JUDGE = "The head judge's name"
MOST_ENTRY, MOST_GYM = 10**9 - 1, 10**6
WHEN = "The time with its zone, such as 2027-03-01T20:00+01:00"


@dataclass(frozen=True, slots=True)
class ActField:
    """A field of an act. name: in the form; kind: how it is drawn."""

    name: str
    label: str
    kind: str = "text"
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Act:
    """An act: its name in the form, the kind of record, in which role it is said, its words, what it does, its button and
    fields."""

    key: str
    kind: str
    role: Role
    words: str
    does: str
    button: str
    fields: tuple[ActField, ...]
    read: Callable[[RoundState, Reading], Said]


def open_acts(state: RoundState) -> list[Act]:
    """The acts that the stage of the round lets somebody do, whatever it is about."""
    found = []
    for act in ACTS:
        states = states_of(MOVES[act.kind].thing)
        if any(cell(act.role, act.kind, state.stage, one) == "taken" for one in states):
            found.append(act)
    return found


def do_act(headquarters: Headquarters, form: Mapping[str, str], now_ms: int) -> None:
    """Does what a form says. Raises BadForm, NoRound."""
    act = next((one for one in ACTS if one.key == form.get("do")), None)
    if act is None:
        raise NoRound("There is no such act.")
    read = Reading(form)
    said = act.read(headquarters.state, read)
    read.done()
    if said[0] is r.Promised:
        headquarters.promise(said[1]["hand_in"], said[1]["gym"], said[1]["replaces"], now_ms)
    else:
        headquarters.add([said], now_ms)


def _line(read: Reading) -> dict[str, object]:
    return {"entry": read.needed_whole("entry", "The entry's number", 1, MOST_ENTRY), "event": read.raw("event")}


def _why(read: Reading) -> str:
    return read.name("why", "Why", 300)


def _by(read: Reading) -> str:
    return read.name("by", HEAD_JUDGE)


def _gym(_: RoundState, read: Reading) -> Said:
    number = read.needed_whole("gym", "The gym's number", 1, MOST_GYM)
    return r.Gym, {
        "gym": number,
        "name": read.name("name", "The gym's name"),
        "region": read.optional("region", "The region", 60),
    }


def _extended(_: RoundState, read: Reading) -> Said:
    until, text = 0, read.raw("until")
    try:
        at = read_time(text)
        if at.tzinfo is None:
            raise ValueError
        until = int(at.timestamp() * 1000)
    except ValueError:
        read.wrong("until", f"{WHEN}.")
    return r.Extended, {"until": until, "why": _why(read)}


def _promised(_: RoundState, read: Reading) -> Said:
    found: dict[str, str | None] = {}
    for name in ("hand_in", "replaces"):
        try:
            found[name] = read_digest(read.raw(name)) if read.raw(name) or name == "hand_in" else None
        except NotADigest as wrong:
            read.wrong(name, str(wrong))
            found[name] = None
    gym = read.needed_whole("gym", "The gym's number", 1, MOST_GYM)
    return r.Promised, {"hand_in": found["hand_in"], "gym": gym, "replaces": found["replaces"]}


def _withdrawn(state: RoundState, read: Reading) -> Said:
    gym = read.needed_whole("gym", "The gym's number", 1, MOST_GYM)
    sound = [key for key, one in state.hand_ins.items() if one.promise.gym == gym and one.state == "sound"]
    if not sound:
        read.wrong("gym", "This gym has no sound hand-in.")
    return r.HandInWithdrawn, {"hand_in": sound[-1] if sound else "0" * 64, "why": _why(read)}


def _late(state: RoundState, read: Reading) -> Said:
    line, event = _line(read), state.rules.event(read.raw("event"))
    typed = read.raw("parts").split(";")
    parts: list[Fraction] = []
    if event is None or len(typed) != len(event.parts):
        read.wrong("parts", say("round.late_numbers", n=len(event.parts)) if event else "Choose an event.")
    else:
        try:
            parts = [read_number(part, one) for part, one in zip(event.parts, typed, strict=True)]
        except NotTold as wrong:
            read.wrong("parts", str(wrong))
    gym = read.needed_whole("gym", "The gym's number", 1, MOST_GYM)
    said = {"division": read.raw("division"), "gym": gym, "parts": tuple(parts), "why": _why(read), "by": _by(read)}
    return r.Claim, line | said


def _doubt(_: RoundState, read: Reading) -> Said:
    return r.Doubt, _line(read) | {"why": _why(read)}


def _asked(_: RoundState, read: Reading) -> Said:
    return r.Asked, _line(read) | {"reason": "ruling", "why": _why(read), "by": _by(read)}


def _named(_: RoundState, read: Reading) -> Said:
    return r.Named, {"gym": read.needed_whole("gym", "The gym's number", 1, MOST_GYM), "why": _why(read), "by": _by(read)}


def _uninvited(_: RoundState, read: Reading) -> Said:
    return r.Uninvited, {"entry": _line(read)["entry"], "why": _why(read), "by": _by(read)}


GYM = ActField("gym", "Number of the gym", "short")
ENTRY, EVENT = ActField("entry", "Number of the entry", "short"), ActField("event", "Event", "event")
WHY, BY = ActField("why", "Why"), ActField("by", HEAD_JUDGE)

ACTS: Sequence[Act] = (
    Act(
        "gym",
        "gym",
        "headquarters",
        "Let another gym in",
        "It then has a slip of its own among the slips to print.",
        "Add the gym",
        (GYM, ActField("name", "Its name"), ActField("region", "Its region")),
        _gym,
    ),
    Act(
        "promise",
        "promised",
        "headquarters",
        "A digest was told",
        "By telephone or mail before the deadline: the file may follow. There is a receipt for it.",
        "Take the digest",
        (
            GYM,
            ActField("hand_in", "The digest", hint="Eight groups of four letters, or all its 64 digits and letters."),
            ActField("replaces", "The digest of the earlier one", hint="Empty for none."),
        ),
        _promised,
    ),
    Act(
        "withdraw",
        "withdrawn",
        "headquarters",
        "A gym takes its hand-in back",
        "Its lines no longer count; what it handed in is kept.",
        "Take it back",
        (GYM, WHY),
        _withdrawn,
    ),
    Act(
        "extend",
        "extended",
        "headquarters",
        "Move the deadline, for all",
        "To a later time, never to an earlier one.",
        "Move the deadline",
        (ActField("until", WHEN), WHY),
        _extended,
    ),
    Act(
        "late",
        "claim",
        "head",
        "Admit a claim",
        "One that comes after the roll is in no draw: it is looked at in any case.",
        "Admit the claim",
        (
            ENTRY,
            EVENT,
            ActField("division", "Division", "division"),
            GYM,
            ActField("parts", "Its numbers, with ; between", hint="As on the scoresheet, such as 12; 11 or 4:05."),
            WHY,
            BY,
        ),
        _late,
    ),
    Act(
        "doubt",
        "doubt",
        "headquarters",
        "Doubt a line",
        "It changes no score. Few looks are for doubts.",
        "Write the doubt down",
        (ENTRY, EVENT, WHY),
        _doubt,
    ),
    Act(
        "ask",
        "asked",
        "head",
        "Ask for a look at a line",
        "By name and with a reason, which stand in the book: nobody else picks a film.",
        "Ask for the look",
        (ENTRY, EVENT, WHY, BY),
        _asked,
    ),
    Act(
        "name",
        "named",
        "head",
        "Name a gym",
        "One with corrections: none of its entries is invited with a line that nobody looked at.",
        "Name the gym",
        (GYM, WHY, BY),
        _named,
    ),
    Act(
        "uninvite",
        "uninvited",
        "head",
        "Take back an invitation that was accepted",
        "It goes to the next.",
        "Take it back",
        (ENTRY, WHY, BY),
        _uninvited,
    ),
)
