"""Views that are kept while what they show is the very same: of forty lanes most have not changed since the last look."""

from collections.abc import Callable
from operator import is_not
from typing import Any, TypeVar

T = TypeVar("T")

_Held = tuple[tuple[object, ...], object, Any]  # what it was made of, what else was said, the view


class KeptViews:
    """The newest view of each key."""

    def __init__(self) -> None:
        self._before: dict[str, _Held] = {}
        self._now: dict[str, _Held] = {}

    def turn(self) -> None:
        """Begins a new look: what was not asked for in the last one is forgotten."""
        self._before, self._now = self._now, {}

    def view(self, key: str, of: tuple[object, ...], said: object, make: Callable[[], T]) -> T:
        """The view of this key; made anew unless it was made of the same things (the very same, not equal ones), and what else is
        said of it is equal."""
        held = self._now.get(key) or self._before.get(key)
        if held is None or held[1] != said or len(held[0]) != len(of) or any(map(is_not, held[0], of)):
            held = (of, said, make())
        self._now[key] = held
        made: T = held[2]
        return made
