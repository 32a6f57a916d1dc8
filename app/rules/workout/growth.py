"""How a load grows: its fields on the form, and one sentence that is written for people and read back."""

import re
from dataclasses import dataclass
from functools import partial
from typing import Any

from app.rules.values.units import BadMeasure, Load, LoadUnit, parse_load, parse_loads
from app.rules.workout.fields import Field
from app.rules.workout.tasks import LiftTask

RISES = {"lift": "after each good lift", "window": "from window to window"}
READ = re.compile(
    r"the (?:load|bar) grows (?:(?P<lift>after (?:each|every) (?:good )?lift)|from window to window|(?:each|every) window)"
    r"(?: from|:) (?P<loads>.+?)(?:,? (?:then )?by (?P<rise>\d+(?:[.,]\d+)? ?[a-z]*)(?: more)?(?: each)?)?"
    r"\.?",
    re.IGNORECASE,
)


def growth_text(task: LiftTask) -> str:
    """`The load grows from window to window: 60 kg, 70 kg, then by 5 kg.` Empty where it does not grow."""
    if not task.loads:
        return ""
    beyond = f", then by {task.rise.text()}" if task.rise else ""
    return f"The load grows {RISES[task.rises]}: {', '.join(load.text() for load in task.loads)}{beyond}."


def out_text(task: LiftTask) -> str:
    """What puts a lifter out beside misses, and what that means; empty where nothing does."""
    if not task.loads or (task.rises == "lift" and task.misses_out is None):
        return ""
    whole = "Who has not lifted the load of a window by its bell is out. " if task.rises == "window" else ""
    return f"{whole}What is lifted after being out does not count."


lift = partial(Field, LiftTask, "lift-")
GROWTH = (
    lift(
        "loads",
        "The load grows",
        "{}'s loads",
        "from here on, or these in order, with commas between; empty: as declared",
        typed="loads",
        say=lambda task, _: growth_text(task),
        turn=0,
    ),
    lift("rise", "and then by", "What {}'s load grows by", "beyond the last of them; empty: no further"),
    lift("rises", "It grows", "When {}'s load grows", words=RISES, say=lambda task, _: out_text(task), turn=3),
)


@dataclass(frozen=True, slots=True)
class Growth:
    """The fields of a lift that such a sentence says."""

    loads: tuple[Load, ...]
    rise: Load | None
    rises: str

    def fields(self) -> dict[str, Any]:
        """They by their names."""
        return {"loads": self.loads, "rise": self.rise, "rises": self.rises}


def read_growth(text: str, unit: LoadUnit) -> Growth | None:
    """What a sentence says of how a load grows; None where it says it otherwise."""
    found = READ.fullmatch(" ".join(text.split()))
    if found is None:
        return None
    try:
        loads = parse_loads(found["loads"], unit)
        rise = parse_load(found["rise"], loads[-1].unit) if found["rise"] else None
    except BadMeasure:
        return None
    return Growth(loads, rise, "lift" if found["lift"] else "window")
