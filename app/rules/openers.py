"""Openers: the load with which a lifter means to begin, and the plan after it, both said before the event."""

from collections.abc import Iterable

from pydantic import Field

from app.rules.shapes import Base, ExactLoad, Id, Key
from app.rules.units import Load

MOST_PLANNED = 20


class Opener(Base):
    """What one member of an entry means to lift first in one lift of an event, and then.

    It promises nothing: the declaration on the floor is what counts. `task` is the key of the lift in the event's format.
    """

    event: Id
    task: Key
    entry: Id
    athlete: Id
    load: ExactLoad
    then: tuple[ExactLoad, ...] = Field(default=(), max_length=MOST_PLANNED)

    @property
    def key(self) -> tuple[str, str, str, str]:
        """Whose opener it is and for which lift; also the order in which openers are written."""
        return (self.event, self.task, self.entry, self.athlete)

    @property
    def loads(self) -> tuple[Load, ...]:
        """The opener and what is to follow it."""
        return (self.load, *self.then)


def opener_of(openers: Iterable[Opener], event: str, task: str, entry: str, athlete: str) -> Opener | None:
    """The opener of one lifter in one lift of an event, or None."""
    return next((opener for opener in openers if opener.key == (event, task, entry, athlete)), None)
