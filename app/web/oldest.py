"""The oldest browsers that the screens are made for. The tests hold every page to them by public compatibility data."""

from collections.abc import Mapping
from typing import Final

OLDEST: Final[Mapping[str, tuple[int, ...]]] = {"iPadOS": (15, 6), "Chrome": (106,), "Firefox": (102,)}
"""Name -> version: the last that an iPad and an Android tablet of 2014 can have (from memory, no source), a Firefox of 2022."""


def oldest_words() -> str:
    """`iPadOS 15.6, Chrome 106 or Firefox 102`, as the screens and the guide say it."""
    *before, last = (f"{name} {'.'.join(map(str, version))}" for name, version in OLDEST.items())
    return f"{', '.join(before)} or {last}"
