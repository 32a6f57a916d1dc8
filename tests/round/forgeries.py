"""Aimed forgeries of one hand-in, each signed again with the gym's own key: `python -m tests.round.forgeries [HOW MANY]`.

Each must be refused by headquarters or named in what is amiss. A gym that makes up marks and seals them anew is none of these: no
program can tell that, and looks are for it.
"""

import contextlib
import io
import sys
import tempfile
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from random import Random
from types import SimpleNamespace
from typing import Any

from app.round.checking import read_checked, read_hand_in
from app.round.signing import GYM_KEY, SigningKey, key_in
from app.rules.records.marks import Mark
from app.rules.round.hand_in import HandIn, hand_in_faults
from app.rules.round.kit import BadKit, said_in, says_of
from app.rules.round.state import RoundState
from tests.round.test_hand_in import begun

Forge = Callable[[HandIn, Random], HandIn]


def _with(one: Any, **changes: Any) -> Any:
    return one.model_copy(update=changes)


def _line(change: Callable[[Any, Random], Any]) -> Forge:
    """A forgery of one line."""

    def forge(hand_in: HandIn, chance: Random) -> HandIn:
        at, lines = chance.randrange(len(hand_in.lines)), list(hand_in.lines)
        lines[at] = change(lines[at], chance)
        return _with(hand_in, lines=tuple(lines))

    return forge


def _marks(change: Callable[[list[Mark], int, Random], None]) -> Forge:
    """A forgery of the marks that keeps the seal as it was."""

    def forge(hand_in: HandIn, chance: Random) -> HandIn:
        marks = list(hand_in.competition.marks)
        change(marks, chance.randrange(len(marks)), chance)
        return _with(hand_in, competition=_with(hand_in.competition, marks=tuple(marks)))

    return forge


def _person(change: Callable[[Any, Random], Any]) -> Forge:
    """A forgery of who an entry is."""

    def forge(hand_in: HandIn, chance: Random) -> HandIn:
        at, people = chance.randrange(len(hand_in.people)), list(hand_in.people)
        people[at] = change(people[at], chance)
        return _with(hand_in, people=tuple(people))

    return forge


def _longer(hand_in: HandIn, chance: Random) -> HandIn:
    event = hand_in.competition.events[0]
    window = _with(event.format.windows[0], seconds=60 + chance.randint(1, 30))
    events = (_with(event, format=_with(event.format, windows=(window,))),)
    return _with(hand_in, competition=_with(hand_in.competition, events=events))


def _set(marks: list[Mark], place: int, **changes: Any) -> None:
    marks[place] = replace(marks[place], **changes)


FORGERIES: dict[str, Forge] = {
    "a line that says more": _line(lambda one, chance: _with(one, parts=(one.parts[0] + chance.randint(1, 9),))),
    "a line of another division": _line(lambda one, _: _with(one, division="pairs")),
    "a line of an entry that is not there": _line(lambda one, chance: _with(one, entry=one.entry + chance.randint(10, 900))),
    "a line for somebody else": _line(lambda one, chance: _with(one, person=f"{chance.getrandbits(256):064x}")),
    "a line left out": lambda one, chance: _with(one, lines=tuple(chance.sample(one.lines, len(one.lines) - 1))),
    "a line twice": lambda one, chance: _with(one, lines=(*one.lines, chance.choice(one.lines))),
    "a mark left out": _marks(lambda marks, at, _: marks.pop(at) and None),
    "a mark more": _marks(lambda marks, at, chance: marks.append(replace(marks[at], id=f"{chance.getrandbits(128):032x}"))),
    "a mark at another time": _marks(lambda marks, at, chance: _set(marks, at, at=marks[at].at + chance.randint(1, 400))),
    "a no-rep that counts": _marks(lambda marks, at, _: _set(marks, at, kind="norep")),
    "a longer window": _longer,
    "another name": _person(lambda one, _: _with(one, name="Somebody Else")),
    "another salt": _person(lambda one, chance: _with(one, salt=f"{chance.getrandbits(256):064x}")),
    "no opening word": lambda one, _: _with(one, opening=""),
    "another opening word": lambda one, _: _with(one, opening="ABCDEFGHJKLM"),
    "another round": lambda one, _: _with(one, round="another"),
    "another gym's number": lambda one, chance: _with(one, gym=chance.choice([2, 3, 17])),
}  # fmt: skip


def is_named(content: bytes, state: RoundState) -> bool:
    """Whether headquarters refuses a file, or names what is amiss."""
    try:
        found = read_hand_in(content, state)
    except BadKit:
        return True
    return bool(hand_in_faults(state.rules, found, state.opening))


def forge(count: int) -> tuple[int, Counter[str]]:
    """Makes so many forgeries, or some more: how many, and of each kind how many were not named."""
    out = io.StringIO()
    with tempfile.TemporaryDirectory() as folder, contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        capture: Any = SimpleNamespace(readouterr=lambda: SimpleNamespace(out=out.getvalue(), err=""))
        game = begun(Path(folder), capture, "2999-03-01T20:00+01:00")
        gym = game.gym(1, {"solo1": 30, "solo2": 20, "solo3": 25})
        honest, key = game.hands_in(gym, "honest").read_bytes(), key_in(game.place / gym, GYM_KEY, make=False)
        state = game.headquarters().state
    said, chance, missed = said_in(read_checked(honest, "hand-in").says, HandIn), Random(300), Counter[str]()
    assert not is_named(honest, state), "the honest one is sound"
    forged = 0
    while forged < count:
        for name, forge in FORGERIES.items():
            missed[name] += not is_named(key.sign("hand-in", says_of(forge(said, chance))), state)
        missed["another key"] += not is_named(SigningKey(chance.randbytes(32)).sign("hand-in", says_of(said)), state)
        at = chance.randrange(len(honest))
        changed = honest[:at] + bytes([honest[at] ^ chance.randrange(1, 256)]) + honest[at + 1 :]
        missed["another byte"] += not is_named(changed, state)
        forged += len(FORGERIES) + 2
    return forged, missed


def main(count: int = 300) -> int:
    forged, missed = forge(count)
    print(f"{forged} forgeries of {len(missed)} kinds: {forged - missed.total()} named. Missed: {dict(+missed) or 'none'}")
    return 1 if missed.total() else 0


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))
