"""The map of the house names what there is, in the order of its floors; and every room and script says what it is."""

import functools
import re
from pathlib import Path

import pytest

from tests.map import ENDS, ROOT, Room, figures, first_comment, printed, rooms

# A file or a folder as the pages for developers name it: in backticks, with a slash, below the root or one of its rooms.
NAMED = re.compile(r"`([\w.*]+(?:/[\w.*]+)*(?:/|/[\w.*]+\.[a-z]{2,4}))`")
BELOW = (ROOT, ROOT / "app", ROOT / "static", ROOT / "tests")
MOST_FILES = 30  # in one folder of code, beside its __init__.py; past it, the tree says less than the room

FLOORS = """
[[tool.importlinter.contracts]]
type = "layers"
layers = ["app.__main__", "(app.floor) | (app.watch)", "app.rules"]
"""
LANES = """\"\"\"Lanes.\"\"\"


def give(one, two, three, four, five, six):
    import json

    return json


class Lane:
    def take(self, one, two, three, four, five):
        return one
"""


@pytest.fixture
def house(tmp_path: Path) -> Path:
    """A made-up house: a hall with two rooms on one floor, the rule book below, and two scripts."""
    files = {
        "pyproject.toml": FLOORS,
        "app/__init__.py": '"""The whole."""\n',
        "app/rules/__init__.py": '"""The ground."""\n',
        "app/rules/places.py": '"""Places."""\n',
        "app/watch/__init__.py": '"""Reads everything.\n\nWhy it does is a longer story.\n"""\n',
        "app/floor/__init__.py": '"""Writes marks."""\n',
        "app/floor/lanes.py": LANES,
        "app/floor/pages/__init__.py": '"""Its pages."""\n',
        "static/js/rules/clock.js": "// @ts-check\n/** The heat clock. Its twin is elsewhere. */\n",
        "static/js/screens/lane.js": "// @ts-check\nlet x;\n\n/** @typedef {number} N */\n// The lane: one target.\n",
    }
    for name, text in files.items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def test_the_map_names_every_room_and_module_from_the_highest_floor_down(house: Path) -> None:
    assert printed(rooms(house)).splitlines() == [
        "app/  (1 files, 1 lines)",
        "  The whole.",
        "",
        "app/floor/  (2 files, 13 lines)",
        "  Writes marks.",
        "    lanes.py                     Lanes.",
        "",
        "app/floor/pages/  (1 files, 1 lines)",
        "  Its pages.",
        "",
        "app/watch/  (1 files, 4 lines)",
        "  Reads everything.",
        "",
        "app/rules/  (2 files, 2 lines)",
        "  The ground.",
        "    places.py                    Places.",
        "",
        "static/js/screens/  (1 files, 5 lines)",
        "    lane.js                      The lane: one target.",
        "",
        "static/js/rules/  (1 files, 2 lines)",
        "    clock.js                     The heat clock.",
    ]


def test_figures_count_files_lines_functions_hidden_imports_and_many_parameters(house: Path) -> None:
    floor = next(line for line in figures(rooms(house)).splitlines() if line.startswith("app/floor "))
    assert floor.split() == ["app/floor", "2", "13", "6", "12", "lanes.py", "3", "4", "give", "1", "1"]


@pytest.mark.parametrize(
    ("script", "says"),
    [
        ("/** Digits. @param {string} name */", "Digits."),
        ("/**\n * What a lane\n * says.\n * More.\n */", "What a lane says."),
        ("// @ts-check\n// What a lane\n// shows. More.\nlet x;\n", "What a lane shows."),
        ("// @ts-check\n/** @type {number} */\nlet x;\n", ""),
    ],
)
def test_a_script_says_what_it_is_in_its_first_comment_for_people(script: str, says: str) -> None:
    assert first_comment(script) == says


@functools.cache
def our_rooms() -> tuple[Room, ...]:
    """The rooms of this house, read once."""
    return tuple(rooms(ROOT))


def test_every_room_has_a_law_of_one_line_and_every_module_says_what_it_is() -> None:
    silent = [module.path for room in our_rooms() for module in room.modules if not module.says.endswith(ENDS)]
    assert silent == []


def test_no_room_holds_more_files_than_a_person_takes_in_at_a_glance() -> None:
    full = {room.path: len(room.modules) - bool(room.law) for room in our_rooms()}
    assert {path: files for path, files in full.items() if files > MOST_FILES} == {}


@pytest.mark.parametrize("page", [ROOT / "DEVELOPERS.md", *sorted((ROOT / "app").rglob("*.md"))], ids=lambda page: page.name)
def test_what_a_page_for_developers_names_is_there(page: Path) -> None:
    named = set(NAMED.findall(page.read_text(encoding="utf-8")))
    assert len(named) > 10
    assert sorted(name for name in named if not any(any(folder.glob(name)) for folder in BELOW)) == []


def test_the_guide_is_read_in_a_quarter_of_an_hour() -> None:
    assert len((ROOT / "DEVELOPERS.md").read_bytes()) < 25_000
