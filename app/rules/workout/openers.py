"""Openers: the load with which a lifter means to begin, and the plan after it, both said before the event."""

from pydantic import Field

from app.rules.values.shapes import Base, ExactLoad, Id, Key
from app.rules.values.units import Load
from app.rules.workout.tasks import MOST_MEMBERS

MOST_PLANNED = 20

# Event, lift, entry, member.
OpenerKey = tuple[str, str, str, int]


class Opener(Base):
    """What one member of an entry means to lift first in one lift of an event, and then.

    It promises nothing: the declaration on the floor is what counts. `task` is the key of the lift in the event's format,
    `member` the number of the lifter in the entry, 1 is A.
    """

    event: Id
    task: Key
    entry: Id
    member: int = Field(ge=1, le=MOST_MEMBERS)
    load: ExactLoad
    then: tuple[ExactLoad, ...] = Field(default=(), max_length=MOST_PLANNED)

    @property
    def key(self) -> OpenerKey:
        """Whose opener it is and for which lift; also the order in which openers are written."""
        return (self.event, self.task, self.entry, self.member)

    @property
    def loads(self) -> tuple[Load, ...]:
        """The opener and what is to follow it."""
        return (self.load, *self.then)
