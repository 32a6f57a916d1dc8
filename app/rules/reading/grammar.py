"""Statements: what the grammar of written workouts (app/library/workout.lark) makes of the classified words of a line."""

from dataclasses import dataclass

from app.rules.reading.scan.pieces import Tok

GRAMMAR = "workout"


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


def parsed(line: list[Tok]) -> list[Statement] | None:
    """The statements of a line; None if the grammar has no such line."""
    from app.rules.reading.parser import parsed_line  # a quarter of a second, which no start of a server pays

    return parsed_line(line)
