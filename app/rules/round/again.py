"""A hand-in worked out again beside what the book says of it: whether it was sound, and each of its lines."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from app.rules.round import records as r
from app.rules.round.doubting import doubts_of
from app.rules.round.guards import ANOTHER_DIVISION, CLAIMED_OTHERWISE
from app.rules.round.hand_in import HandIn, hand_in_faults
from app.rules.round.records import LineKey
from app.rules.round.rule import Parts
from app.rules.round.short import known_as
from app.rules.round.state import RoundState

CAME = ("sound", "unsound", "replaced", "withdrawn")  # the states of a hand-in whose file was checked
Said = tuple[str, int, Parts, str | None]  # of a line: division, gym, parts, the commitment to who it is


@dataclass(frozen=True, slots=True)
class Again:
    """A hand-in worked out again. lines: what its marks give; differs: where the book says otherwise, as sentences."""

    digest: str
    gym: int
    state: str
    lines: Mapping[LineKey, Said]
    differs: tuple[str, ...]


def worked_out_again(
    state: RoundState, claims: Iterable[r.Claim], digest: str, hand_in: HandIn, before: frozenset[int] = frozenset()
) -> Again:
    """What a hand-in gives. claims: those that the book says came with it; before: the entries that something else had claimed
    when it was checked. It is one that the book knows."""
    here = state.hand_ins[digest]
    faults = hand_in_faults(state.rules, hand_in, state.opening)
    those = () if faults or here.faults else hand_in.lines
    lines = {(one.entry, one.event): (one.division, hand_in.gym, one.parts, one.person) for one in those}
    said: dict[LineKey, Said] = {one.line: (one.division, one.gym, one.parts, one.person) for one in claims}
    differs = []
    replaces = hand_in.replaces and known_as(hand_in.replaces, state.hand_ins)
    if (here.promise.gym, here.promise.replaces) != (hand_in.gym, replaces):
        differs.append("The book says another gym of it, or that it replaces another.")
    unfit = here.faults in ((CLAIMED_OTHERWISE,), (ANOTHER_DIVISION,)) and any(one.entry in before for one in hand_in.lines)
    if bool(faults) != bool(here.faults) and not unfit:
        differs.append(f"The book says that it is {'unsound' if here.faults else 'sound'}.")
        differs += [f"Amiss: {one}" for one in faults]
    if state.rules.doubts is not None and lines:
        differs += _undoubted(state, digest, doubts_of(state.rules.doubts, hand_in.competition, hand_in.gym))
    return Again(digest, hand_in.gym, here.state, lines, (*differs, *_apart(lines, said)))


def _undoubted(state: RoundState, digest: str, doubts: Mapping[LineKey, str]) -> Iterator[str]:
    """The counting lines whose marks give a doubt, and the book tells of none, as sentences."""
    for key in sorted(doubts):
        line = state.lines.get(key)
        if line is not None and line.claim.hand_in == digest and line.doubt is None:
            yield f"Entry {key[0]} in {key[1]}: the marks give a doubt, and the book has none. {doubts[key]}"


def _apart(lines: Mapping[LineKey, Said], said: Mapping[LineKey, Said]) -> Iterator[str]:
    """The lines that the marks and the book tell differently, as sentences."""
    for key in sorted(lines.keys() | said.keys()):
        if lines.get(key) != said.get(key):
            yield f"Entry {key[0]} in {key[1]}: the marks give {_parts(lines.get(key))}, the book says {_parts(said.get(key))}."


def _parts(said: Said | None) -> str:
    """A line in short; two that differ in who or where alone differ here too."""
    if said is None:
        return "no line"
    division, gym, parts, person = said
    return f"{' + '.join(map(str, parts))} in {division}, gym {gym}{f', of {person[:12]}…' if person else ''}"
