"""The list of all ways into the application, by their doors.

`python -m tests.web.ways` writes it anew, and a person reads what changed.
"""

import re
import tempfile
from collections.abc import Sequence
from pathlib import Path

from fastapi import FastAPI

from app.server import create_app
from app.settings import Settings
from app.web.described import OTHERWISE, data_of
from app.web.roles import DOORS, Way, ways
from app.web.rows import Page
from tests.builders.halls import Clocks

LISTED = Path(__file__).with_name("ways.txt")

# What is there in the tests' house, for the places of an address that name something; `key` means another thing in each room.
THERE = {
    "event": "evt_turns",
    "score": "score",
    "entry": "ent_1",
    "division": "div_open",
    "assignment": "asg_1_1",
    "heat_id": "het_1",
    "preset": "mirrored_pair",
    "variant": "light",
}
ROOMS = {
    "/desk/entries": "ent_1",
    "/desk/events": "evt_turns",
    "/desk/divisions": "div_open",
    "/desk/heats": "het_1",
    "/desk/checkin": "ath_1a",
    "/desk/athletes": "ath_1a",
    "/desk/clubs": "clb_1",
}


def whole_pages(app: FastAPI) -> list[str]:
    """The addresses that answer with a page for a person: no piece of one, no data, no file, no stream."""
    fetched = [row for row in app.routes if isinstance(row, Page) and "GET" in row.methods and not row.says.piece]
    return [row.path for row in fetched if data_of(row) is None and not row.path.endswith(tuple(OTHERWISE))]


def named_there(address: str) -> dict[str, str]:
    """For each gap of an address something that is there in the tests' house, as far as it has such a thing."""
    key = next((key for room, key in ROOMS.items() if address.startswith(room)), "x")
    return {name: THERE.get(name, key) for name in re.findall(r"{(\w+)}", address)}


def walked(folder: Path) -> list[Way]:
    """Every way into the application, the demo's among them."""
    return ways(create_app(Settings(data=folder, demo=True, open_browser=False), Clocks().time()))


def listed(all_ways: Sequence[Way]) -> str:
    """The list: a heading for each door, under it its ways, each on a line."""
    parts = []
    for door in DOORS:
        whom = "everybody" if len(door.admits) == 5 else ", ".join(sorted(door.admits))
        behind = sorted((way.path, " ".join(way.methods) or "-") for way in all_ways if door in way.doors)
        lines = [f"{methods:8} {path}" for path, methods in behind]
        parts.append("\n".join([f"# {door.name}: {door.words} ({whom})", *lines]))
    return "\n\n".join(parts) + "\n"


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        LISTED.write_text(listed(walked(Path(folder))), encoding="utf-8")
