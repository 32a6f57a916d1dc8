"""A lane's packet in another language: what it shows of the movements, where those are sentences of ours.

Names, standards, faults and cautions are only shown; marks name a fault by its key. A line of the equipment check goes into the
mark that signs for it, so it stays as it is written, and the packet says beside it how it is shown.
"""

from typing import Any

from app.rules.values.words import ENGLISH, Catalogue, decimal, known, say, spoken
from app.rules.workout.movements import shown_name

Plain = dict[str, Any]


def in_words_of(words: Catalogue, packet: Plain) -> Plain:
    """The packet with what a person reads of its movements in this language; the very same in English."""
    if words.language == ENGLISH:
        return packet
    with spoken(words):
        events = {key: _event(event) for key, event in packet["events"].items()}
    return packet | {"events": events}


def _event(event: Plain) -> Plain:
    format = event["format"]
    movements = {key: _movement(movement) for key, movement in format["movements"].items()}
    tasks = {key: _task(task) for key, task in format.get("tasks", {}).items()}
    shown = {line: text for line in event["checks"] if (text := _line(line, event["lines"])) != line}
    steps = [step | {"text": say(step["key"], **step["holes"])} for step in event["measuring"]]
    return event | {"format": format | {"movements": movements, "tasks": tasks}, "shown": shown, "measuring": steps}


def _line(line: str, with_holes: Plain) -> str:
    """A line of the equipment check in the language that is spoken."""
    if line not in with_holes:
        return known(line)
    key, holes = with_holes[line]
    return decimal(say(key, **holes))


def _task(task: Plain) -> Plain:
    """A work list with its lines' own words of a movement."""
    if "items" not in task:
        return task
    return task | {
        "items": [item | ({"words": shown_name(item["words"])} if item.get("words") else {}) for item in task["items"]]
    }


def _movement(movement: Plain) -> Plain:
    told: Plain = {"name": shown_name(movement["name"])}
    for several in ("standards", "cautions"):
        if several in movement:
            told[several] = [known(line) for line in movement[several]]
    if "faults" in movement:
        told["faults"] = [_fault(fault) for fault in movement["faults"]]
    return movement | told


def _fault(fault: Plain) -> Plain:
    said = fault.get("say")
    return fault | {"name": known(fault["name"])} | ({"say": known(said)} if said else {})
