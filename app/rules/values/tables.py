"""Tables that the rule book works by and does not read itself: handed in when the app is loaded, as plain values out of JSON."""

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

Made = TypeVar("Made")


class NotHandedIn(Exception):
    """Raised where the rule book needs a table that nobody has handed in."""


_tables: dict[str, Mapping[str, Any]] = {}  # of each name the tables that hold it: it may be read when it is asked for
_made: dict[str, Any] = {}


def hand_in_tables(tables: Mapping[str, Any]) -> None:
    """Puts tables in force for this process, by name; one that is there already is replaced."""
    _tables.update(dict.fromkeys(tables, tables))
    _made.clear()


def made_of(name: str, make: Callable[[Any], Made]) -> Made:
    """What `make` makes of a table, made when it is first asked for. Raises NotHandedIn, and what `make` raises."""
    if name not in _tables:
        raise NotHandedIn(f"The rule book has no table “{name}”. app/library is read and handed in when `app` is loaded.")
    if name not in _made:
        _made[name] = make(_tables[name][name])
    made: Made = _made[name]
    return made
