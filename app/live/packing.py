"""How the packing of a stick goes in this process, if it does."""

from dataclasses import dataclass


@dataclass(slots=True)
class Packing:
    """now: what it is at, empty while nothing is packed. failure: why the last one failed, a sentence, or empty."""

    now: str = ""
    failure: str = ""
