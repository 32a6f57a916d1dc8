"""Whether this laptop is kept from falling asleep: what one process asked of the system, and what came of it."""

from dataclasses import dataclass


@dataclass(slots=True)
class Awake:
    """wanted: a heat is planned or on the floor, or a tablet is paired. by: who holds it awake, in words, empty while nobody
    does. lid: a closed lid does not send it to sleep either. Changed on the event loop only."""

    wanted: bool = False
    by: str = ""
    lid: bool = False

    @property
    def in_vain(self) -> bool:
        """Whether it was asked for, and nothing on this system does it."""
        return self.wanted and not self.by
