"""What may follow what: hand-ins, lines, looks, appeals, invitations and the round itself, as one table. All else is refused.

An empty state is that of a thing which is not there yet. What else must be so before a move stands in guards.py.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

Thing = Literal["round", "hand-in", "line", "look", "appeal", "invitation"]

# The round itself: it is open until its roll is closed, then drawn, published and signed.
BEFORE, OPEN, ROLLED, DRAWN, PUBLISHED, SIGNED = "", "open", "rolled", "drawn", "published", "signed"
UNSIGNED = (OPEN, ROLLED, DRAWN, PUBLISHED)
AFTER_DRAW = (DRAWN, PUBLISHED)


@dataclass(frozen=True, slots=True)
class Move:
    """A move of a thing by a record: from which states, into which (the same, where it says none), in which stages of the round,
    and the sentence for every other state; {state} is the one that it is in."""

    thing: Thing
    states: tuple[str, ...]
    to: str
    stages: tuple[str, ...]
    refused: str


NOT_HERE = "not here"
MOVES: Mapping[str, Move] = {
    "opened": Move("round", (BEFORE,), OPEN, (BEFORE,), "The round was opened already."),
    "opening": Move("round", (OPEN,), "", (OPEN,), "The opening word is said while the round is open: it is {state}."),
    "gym": Move("round", UNSIGNED, "", UNSIGNED, "A gym joins before the round is signed: it is {state}."),
    "bound": Move("round", UNSIGNED, "", UNSIGNED, "A key is bound before the round is signed: it is {state}."),
    "reviewer": Move("round", UNSIGNED, "", UNSIGNED, "A reviewer joins before the round is signed: it is {state}."),
    "extended": Move("round", (OPEN,), "", (OPEN,), "The deadline moves only while the round is open: it is {state}."),
    "roll": Move("round", (OPEN,), ROLLED, (OPEN,), "The roll is closed once, while the round is open: it is {state}."),
    "draw": Move(
        "round", (ROLLED,), DRAWN, (ROLLED,), "Dice are rolled once, after the roll's root is published: the round is {state}."
    ),
    "named": Move("round", AFTER_DRAW, "", AFTER_DRAW, "A gym is named between draw and signing: the round is {state}."),
    "published": Move(
        "round", (DRAWN,), PUBLISHED, (DRAWN,), "The standing is published once, after the draw: the round is {state}."
    ),
    "signed": Move("round", (PUBLISHED,), SIGNED, (PUBLISHED,), "What is published is signed, once: the round is {state}."),
    "promised": Move("hand-in", ("",), "promised", (OPEN,), "This hand-in is here already: it is {state}."),
    "arrived": Move("hand-in", ("promised",), "arrived", (OPEN,), "Only a promised hand-in can arrive: this one is {state}."),
    "lapsed": Move("hand-in", ("promised",), "lapsed", (OPEN,), "Only a promise can lapse: this hand-in is {state}."),
    "checked": Move(
        "hand-in", ("arrived",), "sound", (OPEN,), "A hand-in is checked once, when it has arrived: this one is {state}."
    ),
    "withdrawn": Move("hand-in", ("sound",), "withdrawn", (OPEN,), "Only a sound hand-in can be withdrawn: this one is {state}."),
    "claim": Move(
        "line", ("", "claimed"), "claimed", UNSIGNED, "A claim is replaced only until its film is asked for: the line is {state}."
    ),
    "film": Move(
        "line",
        ("claimed", "asked", "looked", "stands", "unlooked"),
        "",
        UNSIGNED,
        "A film comes before a decision: the line is {state}.",
    ),
    "doubt": Move(
        "line", ("claimed", "unlooked"), "", UNSIGNED, "A doubt is of a line that nobody has looked at: this one is {state}."
    ),
    "asked": Move(
        "line",
        ("claimed", "asked", "looked", "stands", "unlooked"),
        "asked",
        AFTER_DRAW,
        "A look is asked for after the draw and before a decision: the line is {state}.",
    ),
    "decision": Move(
        "line", ("asked", "looked"), "", AFTER_DRAW, "Only a line that was asked for is decided: this one is {state}."
    ),
    "appeal": Move("appeal", ("",), "filed", AFTER_DRAW, "A decision is appealed against once: the appeal is {state}."),
    "answer": Move("appeal", ("filed",), "", AFTER_DRAW, "An appeal is answered once, when it is filed: it is {state}."),
    "panel": Move(
        "appeal",
        ("partly", "refused"),
        "closed",
        AFTER_DRAW,
        "A panel hears what was refused, or met in part: the appeal is {state}.",
    ),
    "look-offered": Move("look", ("",), "offered", AFTER_DRAW, "This look was offered already: it is {state}."),
    "look-taken": Move("look", ("offered",), "taken", AFTER_DRAW, "Only an offered look can be taken: this one is {state}."),
    "look-given-back": Move(
        "look", ("offered", "taken"), "given back", AFTER_DRAW, "Only an open look can be given back: this one is {state}."
    ),
    "look-sealed": Move(
        "look", ("taken",), "sealed", AFTER_DRAW, "A look is sealed once, when it was taken: this one is {state}."
    ),
    "invited": Move(
        "invitation", ("",), "offered", (SIGNED,), "An entry is invited once, after the signing: the invitation is {state}."
    ),
    "accepted": Move(
        "invitation", ("offered",), "accepted", (SIGNED,), "Only an open invitation is accepted: this one is {state}."
    ),
    "declined": Move(
        "invitation", ("offered",), "declined", (SIGNED,), "Only an open invitation is declined: this one is {state}."
    ),
    "no-answer": Move("invitation", ("offered",), "lapsed", (SIGNED,), "Only an open invitation lapses: this one is {state}."),
    "uninvited": Move(
        "invitation", ("accepted",), "withdrawn", (SIGNED,), "Only an accepted invitation is withdrawn: this one is {state}."
    ),
}
STAGES: Mapping[str, str] = {
    BEFORE: "not open yet", OPEN: "open", ROLLED: "waiting for its draw", DRAWN: "drawn", PUBLISHED: "published", SIGNED: "signed"
}  # fmt: skip


def states_of(thing: Thing) -> tuple[str, ...]:
    """The states from which a thing can move."""
    return tuple(dict.fromkeys(state for move in MOVES.values() if move.thing == thing for state in move.states))


def refused_by_table(kind: str, stage: str, state: str) -> str:
    """Why a record may not follow, as a sentence; empty where it may. state: that of the thing it is about."""
    move = MOVES[kind]
    if state not in move.states:
        shown = STAGES[state] if move.thing == "round" else state or NOT_HERE
        return move.refused.format(state=shown)
    if stage not in move.stages:
        return f"That is too early or too late: the round is {STAGES[stage]}."
    return ""


def next_state(kind: str, state: str) -> str:
    """The state of the thing after a record."""
    return MOVES[kind].to or state
