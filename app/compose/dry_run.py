"""The dry run: what a lane would be sent for an event, with an invented entry, for a page to play with nobody on the floor."""

import json
from dataclasses import dataclass
from typing import Any

from app.compose.event_form import format_form
from app.compose.event_strip import Strip, strip_of
from app.hall.hall import Hall
from app.hall.organising import needed_roster
from app.rules.workout.formats import Format

NAMES = ("Ada", "Bo", "Cleo", "Dag", "Edda", "Finn", "Gro", "Hugo", "Ida", "Jon", "Kaja", "Liv")
SPEEDS = (1, 5, 20, 60)


@dataclass(frozen=True, slots=True)
class DryVariant:
    """A variant to play; the event as it is written has an empty key."""

    key: str
    name: str


@dataclass(frozen=True, slots=True)
class DryRun:
    """A dry run's page. `packets` is JSON: what the lane is sent, by variant."""

    name: str
    strip: Strip
    packets: str
    variants: tuple[DryVariant, ...]
    speeds: tuple[int, ...]


def dry_run(hall: Hall, name: str, format: Format) -> DryRun:
    """A dry run of a format as it stands, stored or not."""
    variants = (DryVariant("", "As written"), *(DryVariant(variant.id, variant.name) for variant in format.variants))
    packets = {one.key: _packet(hall, name, format.varied(one.key), one.key) for one in variants}
    strip = strip_of(format_form(name, format), drawn="low")
    return DryRun(name, strip, json.dumps(packets, ensure_ascii=False), variants if format.variants else (), SPEEDS)


def _packet(hall: Hall, name: str, format: Format, variant: str) -> dict[str, Any]:
    """The same shape as GET /lane/packet: one heat, one lane, started."""
    competition = needed_roster(hall).competition
    members = [{"name": member, "club": ""} for member in NAMES[: format.members]]
    entry = {"id": "dry", "name": " and ".join(NAMES[:2]) if format.members == 2 else _company(format.members), "division": ""}
    stands = {"shifts": {}, "id": "dry", "lane": 1, "judge": "", "entry": entry | {"members": members}}
    run = {"number": 1, "go_server_ms": 0, "state": "set", "holds": []}
    return {
        "device": {"id": "dry", "role": "lane", "lane": 1, "name": "Dry run"},
        "competition": {"id": "dry", "name": competition.name, "unit": competition.unit, "demo": True},
        "events": {"dry": {"id": "dry", "name": name, "format": format.model_dump(mode="json", exclude={"variants"})}},
        "heats": [{"id": f"dry-{variant}", "number": 1, "event": "dry", "planned": "", "run": run, "assignment": stands}],
        "marks": [],
        "held": {},
        "before": {},
        "starts": {},
        "bars": {},
        "caller": "none",
        "plates": None,
    }


def _company(members: int) -> str:
    return NAMES[0] if members == 1 else f"A team of {members}"
