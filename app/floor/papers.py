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
    "tablet": ("none", "Signed on a tablet"),
    "part": ("none", "Marks from a tablet, not signed"),
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
        if state == "empty":
            state = _by_tablet(hall, choice.value)
        shape, said = STATES["late" if state == "stored" and came_late(hall, held[0].sheet) else state]
        names = " and ".join(dict.fromkeys(one.by for one in held if one.state != "left"))
        line = LanePaper(choice.value, choice.place, state, shape, f"{said}{f' by {names}' if names else ''}")
        found.setdefault(choice.heat, []).append(line)
    return tuple(HeatPapers(heat, tuple(lanes)) for heat, lanes in found.items())


def _by_tablet(hall: Hall, assignment: str) -> str:
    """What the lane's own sheet says of its paper: a signed one needs none; of one that was begun nobody can tell whether its
    tablet gave out, and what is struck out says nothing."""
    sheet = hall.projection.counting_sheet(assignment)
    tally = hall.projection.sheet_tally(sheet) if sheet is not None else None
    if tally is None or not tally.any_marks:
        return "empty"
    return "tablet" if "judge" in dict(tally.signed) else "part" if tally.worked else "empty"
