"""What several judges together decided about one try."""

from dataclasses import dataclass
from typing import Literal

Lights = tuple[bool | None, ...]
Doubt = Literal["waiting", "alone", "split", "silent"]


@dataclass(frozen=True, slots=True)
class Verdict:
    """The decision, the judges' own ones with the lane judge's first (None: not decided), and what is open about it.

    waiting: it does not count yet. alone: only the lane judge decided. split: two decided, and not alike. silent: fewer than two
    decided, and the lane judge not.
    """

    good: bool
    lights: Lights
    doubt: Doubt | None
