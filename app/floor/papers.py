"""The papers of all lanes, heat by heat: which are keyed in, and which need not be."""

from dataclasses import dataclass

from app.floor.keying import came_late, sheet_of, state_of
from app.floor.totals import lane_choices
from app.hall.hall import Hall
from app.store.practice import Keying, keyings


@dataclass(frozen=True, slots=True)
class LanePaper:
    """A lane in the list of papers to key in."""

    assignment: str
    words: str
    state: str
    shape: str
    said: str


@dataclass(frozen=True, slots=True)
class HeatPapers:
    """The papers of one heat."""

    heat: str
    lanes: tuple[LanePaper, ...]


STATES = {
    "empty": ("none", "Not keyed in"),
    "tablet": ("none", "Judged on a tablet"),
    "once": ("kept", "Keyed in once"),
    "differ": ("look", "The two differ"),
    "stored": ("safe", "Saved"),
    "late": ("look", "Kept, no effect: it came after the sign-off. Keyed in"),
}


def sheets_keyed_in(hall: Hall) -> frozenset[str]:
    """The paper sheets that hold what was keyed in from paper, as opposed to totals that were read out."""
    return frozenset(one.sheet for one in hall.database.read(keyings) if one.state == "stored")


def heat_papers(hall: Hall) -> tuple[HeatPapers, ...]:
    """All lanes, heat by heat, with what has been keyed in of their paper."""
    by_sheet: dict[str, list[Keying]] = {}
    for keying in hall.database.read(keyings):
        by_sheet.setdefault(keying.sheet, []).append(keying)
    found: dict[str, list[LanePaper]] = {}
    for choice in lane_choices(hall):
        held = by_sheet.get(sheet_of(hall, choice.value), [])
        state = state_of(held)
        if state == "empty" and _on_a_tablet(hall, choice.value):
            state = "tablet"
        shape, said = STATES["late" if state == "stored" and came_late(hall, held[0].sheet) else state]
        names = " and ".join(dict.fromkeys(one.by for one in held if one.state != "left"))
        line = LanePaper(choice.value, choice.place, state, shape, f"{said}{f' by {names}' if names else ''}")
        found.setdefault(choice.heat, []).append(line)
    return tuple(HeatPapers(heat, tuple(lanes)) for heat, lanes in found.items())


def _on_a_tablet(hall: Hall, assignment: str) -> bool:
    """Whether the lane's own sheet holds marks, so that its paper need not be keyed in."""
    sheet = hall.projection.counting_sheet(assignment)
    return sheet is not None and hall.projection.sheet_tally(sheet).any_marks
