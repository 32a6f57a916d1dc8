"""Hand-ins checked by a process of its own, which stands behind everything else on the computer: a gym of 40 takes a second.

Each is asked for by one line of JSON and then the file's bytes, and answered by one line of JSON, until nothing more is asked.
The process has no store and no key: it is told the rule and the word, and says what the marks give.
"""

import gc
import os
import sys
from collections.abc import Callable
from contextlib import suppress

from app.round.checking import read_checked, usable_hand_in
from app.rules.round.doubting import doubts_of
from app.rules.round.hand_in import HandInLine, hand_in_faults
from app.rules.round.kit import BadKit
from app.rules.round.rule import Rule
from app.rules.values.shapes import Base
from app.rules.values.texts import NEVER_IN_A_LINE

NICENESS = 10  # who hands in, and a hall's judges, come first
MOST_LETTERS = 300  # of a fault, as in a record


class Asked(Base):
    """What a hand-in is checked by: the round's rule, its opening word. bytes: how long the file is that follows."""

    rule: Rule
    opening: str
    bytes: int


class Found(Base):
    """What a hand-in gives. faults: what is amiss with it, as sentences; then it has no lines. doubts: entry, event, why."""

    faults: tuple[str, ...] = ()
    lines: tuple[HandInLine, ...] = ()
    doubts: tuple[tuple[int, str, str], ...] = ()


def found_in(rule: Rule, opening: str, content: bytes) -> Found:
    """What a hand-in gives, worked out from its marks."""
    try:
        hand_in = usable_hand_in(read_checked(content, "hand-in"))
    except BadKit as wrong:
        return Found(faults=(NEVER_IN_A_LINE.sub(" ", str(wrong))[:MOST_LETTERS],))
    if faults := hand_in_faults(rule, hand_in, opening):
        return Found(faults=tuple(NEVER_IN_A_LINE.sub(" ", one)[:MOST_LETTERS] for one in faults))
    doubts = doubts_of(rule.doubts, hand_in.competition, hand_in.gym) if rule.doubts else {}
    lines = [(one.entry, one.event) for one in hand_in.lines]
    return Found(lines=hand_in.lines, doubts=tuple((*key, doubts[key]) for key in lines if key in doubts))


def answer(read_line: Callable[[], bytes], read: Callable[[int], bytes], say: Callable[[bytes], object]) -> None:
    """Answers until nothing more is asked."""
    while line := read_line():
        asked = Asked.model_validate_json(line)
        say(found_in(asked.rule, asked.opening, read(asked.bytes)).model_dump_json().encode() + b"\n")


def main() -> None:
    """Checks what is asked for."""
    if sys.platform != "win32":  # which has nothing of the kind
        with suppress(OSError):
            os.nice(NICENESS)

    # A check makes a hundred thousand values and hardly a ring among them: looking for rings meanwhile was a tenth of its time.
    gc.disable()

    def say(answered: bytes) -> None:
        sys.stdout.buffer.write(answered)
        sys.stdout.buffer.flush()
        gc.collect()
        gc.freeze()  # what is left is the program, which is not looked through again

    answer(sys.stdin.buffer.readline, sys.stdin.buffer.read, say)


if __name__ == "__main__":
    main()
