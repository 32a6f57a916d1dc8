"""A fault by its movement and its key: two movements may use one key for different faults.

static/js/rules/faults.js is its twin; both pass tests/vectors/faults.json.
"""

from app.rules.workout.formats import Format
from app.rules.workout.tasks import movements_in_order
from app.rules.workout.words import lower_name

UNNAMED = "no fault named"


def fault_name(format: Format, win: int | None, key: str | None, movement: str | None = None) -> str:
    """A fault in words: `Not stood up`; of a task with several movements with its own, `Not stood up (Back squat)`.

    `win`: the window it was marked for; `movement`: the movement that the mark names, if it does. Where neither tells the
    movement and the key means several faults, all are said: which one it was is not known. A key that no movement there has is
    said as it is.
    """
    if not key:
        return UNNAMED
    there = _movements(format, win)
    asked = [movement] if movement in there else there
    names = dict.fromkeys(fault.name for one in asked for fault in format.movements[one].faults if fault.id == key)
    first, *others = list(names) or [key]
    told = " or ".join([first, *map(lower_name, others)])
    return f"{told} ({format.movements[movement].name})" if movement in there and len(there) > 1 else told


def _movements(format: Format, win: int | None) -> list[str]:
    """The movements of a window's task; of no window of work, all of the format."""
    name = format.windows[win].task if win is not None and win < len(format.windows) else None
    return list(format.movements) if name is None else movements_in_order(format.tasks[name])
