"""What the rows of the event form refer to while they are read."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from app.compose.event_rows import EventForm
from app.hall.forms import Reading, problems_of
from app.rules.values.units import LoadUnit
from app.rules.workout.formats import Format


@dataclass(slots=True)
class Context:
    """The form under way: its texts and problems, its rows, what they are counted in, and the format before."""

    read: Reading
    form: EventForm
    unit: LoadUnit
    members: int
    known: Format | None


def built(context: Context, field: str, build: Callable[[], Any]) -> Any:
    """What `build` makes, or None with its problems noted at `field`."""
    try:
        return build()
    except ValidationError as error:
        for problem in problems_of(error):
            context.read.wrong(field, problem.sentence)
        return None
