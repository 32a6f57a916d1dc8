"""All that a page needs to judge one lane from a film with no network, in one answer."""

from dataclasses import asdict
from typing import Any

from app.floor.lane_packet import lane_packet, run_plain
from app.hall.devices import Who
from app.hall.hall import Hall
from app.hall.signed import signed_note
from app.review.comparing import IN_TIME, compare_link
from app.rules.count.sheets import with_bar
from app.rules.records.marks import SheetKey
from app.rules.records.seats import SHEETS
from app.rules.workout.formats import Format, LiftTask
from app.store.refusals import NotThere

Plain = dict[str, Any]

# What to look for on a film that was sent in. Common practice, no source; the event's own brief comes first.
ALWAYS = (
    ("cut", "The film runs uncut from before GO to after the last bell"),
    ("picture", "The athlete and the floor around them are in the picture throughout"),
    ("who", "Who competes, and in which event, is said or shown"),
    ("go", "GO is heard or seen"),
    ("marks", "Lines, boxes and heights that the brief asks for are measured on camera"),
    ("gear", "The equipment is shown close up and is what the brief asks for"),
)
LIFTING = (
    ("plates", "Bar, plates and collars are shown close up and their weights can be read"),
    ("collars", "Collars are on at every attempt"),
)


class NoSuchLane(NotThere):
    """Raised for a lane assignment that there is not; its text is the sentence to show."""


def video_packet(hall: Hall, who: Who, assignment: str) -> Plain:
    """The packet of one lane assignment for whoever judges it from a film. Raises NoSuchLane.

    It is shaped as a lane's packet is, with the one heat in it, so that the page can use the lane screen's own parts; its run is
    the one that counts. `beside`: whether it holds what others marked.
    """
    place = hall.projection.place_of(assignment)
    if place is None:
        raise NoSuchLane("There is no such lane here. Start from the compared sheets.")
    whole = lane_packet(hall, who, place.assignment.lane)
    heats = [heat for heat in whole["heats"] if heat["assignment"]["id"] == assignment]
    number = hall.projection.judged_run(assignment)
    run = next((run for run in hall.projection.runs if (run.heat, run.number) == (place.heat.id, number)), None)
    if run is not None:
        heats = [heat | {"run": run_plain(hall, run)} for heat in heats]
    return whole | {
        "device": whole["device"] | {"sheet": "video"},
        "heats": heats,
        **_marks_shown(hall, assignment, number, whole["marks"]),
        "checklist": [{"id": key, "text": text} for key, text in checklist(place.format)],
        "sheets": {kind: SHEETS[kind].name for kind in IN_TIME},
        "compare": compare_link(assignment, "lane", "video"),
        "signed_note": asdict(note) if (note := signed_note(hall, assignment)) else None,
    }


def _marks_shown(hall: Hall, assignment: str, run: int, marks: list[Plain]) -> Plain:
    """The marks that whoever judges the film may have. Until they have signed, what others judged does not leave the laptop: who
    has seen a count finds it. The bar is told from the start, for a lift is judged under the load that was declared."""
    film, lane = (SheetKey(assignment, run, kind).text() for kind in ("video", "lane"))
    of_lane = [mark for mark in marks if mark["sheet"].startswith(f"{assignment}/")]
    if hall.projection.sheet_tally(film).signed:
        return {"marks": of_lane, "beside": True}
    bar = {mark.id for mark in with_bar("video", (), hall.projection.sheet_marks(lane))}
    return {"marks": [mark for mark in of_lane if mark["sheet"].endswith("/video") or mark["id"] in bar], "beside": False}


def checklist(format: Format) -> tuple[tuple[str, str], ...]:
    """What is looked for on a film of this event, as (key, words)."""
    lifts = any(isinstance(task, LiftTask) for task in format.tasks.values())
    return (*ALWAYS, *(LIFTING if lifts else ()))
