"""Every cell of a round's table of authority that rounds of chance come to: who says what, when, and what becomes of it."""

from collections.abc import Iterator
from typing import Any

from app.rules.round import records as r
from app.rules.round.authority import (
    ALL,
    AUTHORITY,
    BY_NAME,
    HEADQUARTERS,
    ROLES,
    Role,
    Speaker,
    authority_plain,
    cell,
    not_theirs,
    role_of,
)
from app.rules.round.fold import state_of, take, why_not
from app.rules.round.moves import MOVES, OPEN, STAGES
from app.rules.round.state import RoundState
from tests.builders.rounds import facts_of, play

Cell = tuple[Role, str, str, str]  # role, kind of record, stage, state of the thing
NAMES = {"headquarters": r.HEADQUARTERS, "head": "Sorrel Quince", "entry": r.HEADQUARTERS}
NOBODY = 10**8  # an entry that is not there
# Cells that no round of chance comes to: it admits no line after the roll and moves no deadline.
NOT_PLAYED = {"extended"}


def spoken(state: RoundState, role: Role, record: Any) -> tuple[Speaker, Any]:
    """Who says a record in a role, of their own, and the record under the name that it then has."""
    if role == "reviewer":
        look = state.looks.get(getattr(record, "look", ""))
        who = look.offer.reviewer if look else next(iter(state.reviewers), "")
        named = record.kind == "look-sealed" and who
        return Speaker("reviewer", who), record.model_copy(update={"by": state.reviewers[who].name if named else r.HEADQUARTERS})
    said = record.model_copy(update={"by": NAMES[role]})
    return (Speaker("entry", entry=getattr(record, "entry", 0)) if role == "entry" else HEADQUARTERS), said


def refused(state: RoundState, by: Speaker, record: Any) -> str:
    """What headquarters' door says of a record."""
    return not_theirs(state, by, record) or why_not(state, record)


def things(state: RoundState, kind: str) -> Iterator[tuple[str, dict[str, Any]]]:
    """Of what a kind of record may be about, one in each state that there is, and one that is not there."""
    match MOVES[kind].thing:
        case "round":
            yield state.stage, {}
        case "hand-in":
            yield from {one.state: {"hand_in": key} for key, one in state.hand_ins.items()}.items()
            yield "", {"hand_in": "e" * 64}
        case "look":
            yield from {one.state: {"look": key} for key, one in state.looks.items()}.items()
            yield "", {"look": "none"}
        case "line" | "appeal" as thing:
            lines = state.lines.items()
            found = {line.appeal if thing == "appeal" else line.state: key for key, line in lines}
            yield from ((of, {"entry": key[0], "event": key[1]}) for of, key in found.items())
            yield "", {"entry": NOBODY, "event": "e0"}
        case _:
            yield from {one.state: {"entry": entry} for entry, one in state.invitations.items()}.items()
            yield "", {"entry": NOBODY}


def walk(seeds: range) -> tuple[set[Cell], set[Cell], list[str]]:
    """The cells in which something was taken, those in which all was refused, and where the door and the table part."""
    samples = {record.kind: record for seed in seeds for record in play(facts_of(seed)).records}
    taken, tried, parted = set[Cell](), set[Cell](), list[str]()
    for seed in seeds:
        state = RoundState()
        for record in play(facts_of(seed)).records:
            for kind, sample in samples.items() if state.rule else ():
                for of, update in things(state, kind):
                    for role in ROLES:
                        at: Cell = (role, kind, state.stage, of)
                        if at not in tried and cell(*at) == "refused":
                            tried.add(at)
                            by, said = spoken(state, role, sample.model_copy(update=update | {"at": record.at}))
                            if not refused(state, by, said):
                                parted.append(f"taken against the table: {at}")
            moment = (record.kind, state.stage, state_of(state, record))
            if why_not(state, record):
                continue
            if cell(role_of(state, record), *moment) == "refused":
                parted.append(f"played against the table: {moment}")
            for role in ROLES:
                by, said = spoken(state, role, record)
                if cell(role, *moment) == "taken" and not (told := refused(state, by, said)):
                    taken.add((role, *moment))
                elif cell(role, *moment) == "taken" and role in ("reviewer", "entry"):
                    parted.append(f"{role}, {moment}: {told}")
                other = Speaker(by.role, "somebody", NOBODY)
                if by.role != "headquarters" and not refused(state, other, said):
                    parted.append(f"taken of another's: {(role, *moment)}")
            take(state, record)
    return taken, tried, parted


def test_the_door_takes_what_the_table_says_and_nothing_else() -> None:
    taken, tried, parted = walk(range(8))
    assert parted == []
    played = {(role, kind) for role, kind, *_ in taken}
    granted = {(role, kind) for role in ROLES for kind in AUTHORITY[role].kinds if kind not in NOT_PLAYED}
    assert granted - played <= {(role, "opened") for role in ROLES}, "each that is granted was taken at some moment"
    assert len(tried) > 1_000


def test_who_may_say_what_is_told_as_the_plan_has_it() -> None:
    assert set(AUTHORITY["headquarters"].kinds) == ALL - BY_NAME - {"look-sealed"}, "a judgement is said by name"
    assert set(AUTHORITY["reviewer"].kinds) == {"look-taken", "look-given-back", "look-sealed"}
    assert set(AUTHORITY["entry"].kinds) == {"claim", "appeal", "accepted", "declined"}
    told = authority_plain()
    for role in ROLES:
        assert told[role].keys() == AUTHORITY[role].kinds.keys()
        for kind, row in told[role].items():
            for stage in STAGES:
                for of in ("", *row["taken"]):
                    assert (stage in row["taken"].get(of, ())) == (cell(role, kind, stage, of) == "taken")
    assert told["entry"]["claim"] == {"of": "line", "own": True, "taken": {"": [OPEN], "claimed": [OPEN]}}
