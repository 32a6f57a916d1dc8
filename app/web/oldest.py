"""The oldest browsers that the screens are made for. The tests hold every page to them by public compatibility data."""

from collections.abc import Mapping
from typing import Final

OLDEST: Final[Mapping[str, tuple[int, ...]]] = {"iPadOS": (15, 6), "Chrome": (106,), "Firefox": (102,)}
"""Name -> version. An iPad of 2014 with its last system, an Android tablet of 2014 with its last Chrome (from memory, no source)."""


def oldest_words() -> str:
    """`iPadOS 15.6, Chrome 106 or Firefox 102`, as the screens and the guide say it."""
    *before, last = (f"{name} {'.'.join(map(str, version))}" for name, version in OLDEST.items())
    return f"{', '.join(before)} or {last}"
