"""What the rows of the event form refer to while they are read."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from app.actions.event_rows import EventForm
from app.actions.forms import Reading, problems_of
from app.rules.formats import Format
from app.rules.units import LoadUnit


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
