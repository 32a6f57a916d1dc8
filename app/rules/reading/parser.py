"""The parser that lark makes of the grammar (app/library/workout.lark). Imported when the first text is read: lark takes a
quarter of a second."""

from collections.abc import Iterator
from typing import Any

from lark import Lark, Token
from lark.exceptions import UnexpectedInput, UnexpectedToken
from lark.lexer import Lexer

from app.rules.reading.grammar import GRAMMAR, Statement
from app.rules.reading.scan.pieces import Tok
from app.rules.values.tables import made_of


class _Classified(Lexer):
    """The words come as they are: scanning and chunks have classified them."""

    def __init__(self, conf: Any) -> None:
        pass

    def lex(self, data: Any) -> Iterator[Token]:  # type: ignore[override]
        for tok in data:
            yield Token(tok.kind, tok)


def parsed_line(line: list[Tok]) -> list[Statement] | Tok | None:
    """The statements of a line; the word at which the grammar has no such line, None where that is its end."""
    try:
        tree = made_of(GRAMMAR, _parser).parse(line)
    except UnexpectedToken as wrong:
        return wrong.token.value if isinstance(wrong.token.value, Tok) else None
    except UnexpectedInput:
        return None
    return [_statement(child) for child in tree.children if not isinstance(child, Token)]


def _parser(grammar: str) -> Lark:
    return Lark(grammar, parser="lalr", lexer=_Classified)


def _statement(tree: Any) -> Statement:
    toks: list[Tok] = []
    parts: list[Statement] = []
    for child in tree.children:
        if isinstance(child, Token):
            toks.append(child.value)
        else:
            part = _statement(child)
            parts.append(part)
            toks += part.toks
    return Statement(str(tree.data), tuple(toks), tuple(parts))
