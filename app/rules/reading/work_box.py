"""A work list in a box of its own, read as a whole workout's list is: `5 RFT: 400m run, 15 thrusters 43kg` is five rounds."""

from app.rules.reading.reader import understand
from app.rules.values.units import LoadUnit
from app.rules.workout.tasks import ListTask
from app.rules.workout.written_work import work_text

# A box says neither how long nor how it ends; the list is read under a heading that lets it say anything else.
HEADING = "For time, cap 10:00:"


def list_in_box(text: str, unit: LoadUnit, members: int) -> str | None:
    """The list as a box for work takes it, one line for each thing; None where it says more than a list, or anything is open."""
    team = f"Teams of {members}. Split as you like." if members > 1 else ""
    read = understand(f"{team}\nLoads in {unit}.\n{HEADING}\n{text}")
    if not read.whole or read.format is None or len(read.format.windows) != 1 or read.format.variants:
        return None
    (task,) = read.format.tasks.values()
    if not isinstance(task, ListTask) or task.rounds is None:
        return None
    heading = f"{task.rounds} rounds:\n" if task.rounds > 1 else ""
    return heading + work_text(task.items, read.format.movements)
