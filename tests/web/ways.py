"""The list of all ways into the application, by their doors.

`python -m tests.web.ways` writes it anew, and a person reads what changed.
"""

import tempfile
from collections.abc import Sequence
from pathlib import Path

from app.server import create_app
from app.settings import Settings
from app.web.roles import DOORS, Way, ways
from tests.builders.halls import Clocks

LISTED = Path(__file__).with_name("ways.txt")


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
