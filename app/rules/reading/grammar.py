"""The grammar (app/library/workout.lark) as a parser: the classified words of a line become statements, or the line is refused.

Made once, when the first text is read.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from lark import Lark, Token, Tree
from lark.exceptions import UnexpectedInput
from lark.lexer import Lexer

from app.rules.reading.scanning import Tok
from app.rules.values.tables import made_of

GRAMMAR = "workout"


class _Classified(Lexer):
    """The words come as they are: scanning and chunks have classified them."""

    def __init__(self, conf: Any) -> None:
        pass

    def lex(self, data: Any) -> Iterator[Token]:  # type: ignore[override]
        for tok in data:
            yield Token(tok.kind, tok)


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
    try:
        tree = made_of(GRAMMAR, _parser).parse(line)
    except UnexpectedInput:
        return None
    return [_statement(child) for child in tree.children if isinstance(child, Tree)]


def _parser(grammar: str) -> Lark:
    return Lark(grammar, parser="lalr", lexer=_Classified)


def _statement(tree: Tree[Token]) -> Statement:
    toks: list[Tok] = []
    parts: list[Statement] = []
    for child in tree.children:
        if isinstance(child, Tree):
            part = _statement(child)
            parts.append(part)
            toks += part.toks
        else:
            toks.append(child.value)
    return Statement(str(tree.data), tuple(toks), tuple(parts))
