"""Statements: what the grammar of written workouts (app/library/workout.lark) makes of the classified words of a line."""

from collections.abc import Container
from dataclasses import dataclass

from app.rules.reading.scan.pieces import Tok

GRAMMAR = "workout"
MOST_PASSED = 4


@dataclass(frozen=True, slots=True)
class Statement:
    """One statement of a line: its rule in the grammar, its words in order, and those rules inside it that hold words."""

    rule: str
    toks: tuple[Tok, ...]
    parts: tuple["Statement", ...] = ()

    @property
    def start(self) -> int:
        """Where its first word begins in the text."""
        return min(tok.start for tok in self.toks)

    @property
    def end(self) -> int:
        """Where its last word ends in the text."""
        return max(tok.end for tok in self.toks)

    def tok(self, *kinds: str) -> Tok | None:
        """The first word of one of these kinds."""
        return next((tok for tok in self.toks if tok.kind in kinds), None)

    def part(self, rule: str) -> "Statement | None":
        """The first part by that rule."""
        return next((part for part in self.parts if part.rule == rule), None)


def parsed(line: list[Tok], passable: Container[str]) -> tuple[list[Statement] | None, list[Tok]]:
    """The statements of a line, and the words that the grammar has no place for: at most MOST_PASSED, of these kinds, without a
    number and no movement."""
    from app.rules.reading.parser import parsed_line  # a quarter of a second, which no start of a server pays

    left, passed = list(line), list[Tok]()
    while True:
        said = parsed_line(left)
        if isinstance(said, list):
            return said, passed
        at = len(left) if said is None else next(place for place, tok in enumerate(left) if tok is said)
        odd = next((one for one in (at, at - 1) if 0 <= one < len(left) and _passable(left[one], passable)), None)
        if odd is None or len(passed) == MOST_PASSED:
            return None, []
        passed.append(left.pop(odd))


def _passable(tok: Tok, kinds: Container[str]) -> bool:
    return tok.kind in kinds and not tok.values and not tok.key
