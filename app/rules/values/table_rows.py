"""Rows of a table that was handed in, checked one by one, so that a row that can't be one is told by its key."""

from collections.abc import Iterable
from typing import Any, TypeVar

from pydantic import ValidationError

from app.rules.values.shapes import Base

Row = TypeVar("Row", bound=Base)


class BadTable(Exception):
    """Raised for a table with something in it that can't be: a sentence that names the table, the row and what is wrong."""


def read_row(table: str, model: type[Row], plain: Any) -> Row:
    """A row of a table. Raises BadTable."""
    try:
        return model.model_validate(plain)
    except ValidationError as wrong:
        first = wrong.errors(include_url=False)[0]
        where = " ".join(str(part) for part in first["loc"]) or "the whole row"
        raise BadTable(f"{table}, {_called(plain)}: {where}: {first['msg'].removeprefix('Value error, ')}") from None


def unlike(table: str, keys: Iterable[str]) -> None:
    """Refuses keys of which two are the same. Raises BadTable."""
    seen: set[str] = set()
    for key in keys:
        if key in seen:
            raise BadTable(f"{table} has the row “{key}” twice.")
        seen.add(key)


def _called(plain: Any) -> str:
    key = (plain.get("key") or plain.get("id")) if isinstance(plain, dict) else None
    return f"row “{key}”" if key else "a row without a key"
