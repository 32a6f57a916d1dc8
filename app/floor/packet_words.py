"""A lane's packet in another language: what it shows of the movements, where those are sentences of ours.

Names, standards, faults and cautions are only shown; marks name a fault by its key. A line of the equipment check goes into the
mark that signs for it, so it stays as it is written, and the packet says beside it how it is shown.
"""

from typing import Any

from app.rules.values.words import ENGLISH, Catalogue

Plain = dict[str, Any]


def in_words_of(words: Catalogue, packet: Plain) -> Plain:
    """The packet with what a person reads of its movements in this language; the very same in English."""
    if words.language == ENGLISH:
        return packet
    events = {key: _event(words, event) for key, event in packet["events"].items()}
    return packet | {"events": events}


def _event(words: Catalogue, event: Plain) -> Plain:
    format = event["format"]
    movements = {key: _movement(words, movement) for key, movement in format["movements"].items()}
    shown = {line: words.known(line) for line in event["checks"] if words.known(line) != line}
    steps = [step | {"text": words.say(step["key"], **step["holes"])} for step in event["measuring"]]
    return event | {"format": format | {"movements": movements}, "shown": shown, "measuring": steps}


def _movement(words: Catalogue, movement: Plain) -> Plain:
    told: Plain = {"name": words.known(movement["name"])}
    for several in ("standards", "cautions"):
        if several in movement:
            told[several] = [words.known(line) for line in movement[several]]
    if "faults" in movement:
        told["faults"] = [_fault(words, fault) for fault in movement["faults"]]
    return movement | told


def _fault(words: Catalogue, fault: Plain) -> Plain:
    said = fault.get("say")
    return fault | {"name": words.known(fault["name"])} | ({"say": words.known(said)} if said else {})
