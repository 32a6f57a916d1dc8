"""Sentences that are told in one of the ways that need nothing told before."""

from app.rules.reading.scan.frames.blocks_said import told_of_blocks
from app.rules.reading.scan.frames.clock_said import told_by_the_clock
from app.rules.reading.scan.frames.rising_bar import rising_bar
from app.rules.reading.scan.pieces import Tok
from app.rules.reading.scan.told_shortly import (
    all_again,
    asked_for,
    scores_by_letters,
    scores_of_parts,
    time_or_repetitions,
    unit_alone,
)


def framed_alone(text: str, plain: list[Tok]) -> list[Tok] | None:
    """A sentence in the grammar's words where it is told in one of the ways that need nothing told before."""
    return (
        rising_bar(text, plain)
        or scores_of_parts(text, plain)
        or scores_by_letters(text, plain)
        or time_or_repetitions(text, plain)
        or asked_for(text, plain)
        or unit_alone(plain)
        or all_again(text, plain)
        or told_of_blocks(text, plain)
        or told_by_the_clock(text, plain)
    )
