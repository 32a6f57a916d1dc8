"""The hall's wall screens as the desk sees them: what each can be for, which scene is chosen, from how far each scene reads."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from app.hall.forms import Reading, Typed
from app.hall.hall import Hall
from app.rules.records.roster import Roster
from app.rules.values.words import say
from app.store.devices import get_setting, put_setting
from app.watch.shown import FloorLink, floor_links

SETTING = "wall-scene"
BY_ITSELF = ""

# The scenes that the desk may choose, and how it calls them. static/js/screens/watch/wall/scene.js decides among them.
SCENES: Mapping[str, str] = {
    BY_ITSELF: "Automatic",
    "lineup": "Line-up",
    "race": "The heat",
    "result": "Result of the heat",
    "standing": "Standings",
    "next": "Next heats",
    "podium": "Podium",
}
# What a screen may be for by its address; those but the first keep to it whatever the desk chooses.
PURPOSES: Mapping[str, str] = {
    "all": "Everything, following the day",
    "lanes": "A block of lanes",
    "next": "The next heats",
    "standings": "The standings",
    "podium": "The podium",
}
CAP_HEIGHT = Fraction(66, 100)  # of the type's size: measured on the face that is served
LEAST_CAP = 250  # a letter reads from so many times its height; common practice for signs
MOST_LANES = 30
# Type sizes in hundredths of the screen's width. static/css/watch/wall.css and wall_scenes.css use the same numbers.
CLOCK, LEADER, PODIUM = Fraction("10.2"), Fraction("10.2"), Fraction("10.2")
LEAD, LOAD = Fraction("5.5"), Fraction("7.4")
# What the lanes share of the height of a screen of 16 to 9: below who leads; below a lift, with the line of a shared bar; alone.
IN_HEAT, IN_LIFT, ALONE = Fraction("37.9"), Fraction(25), Fraction("46.3")
ROW_TYPE, LARGEST_ROW = Fraction("1.13"), Fraction("4.8")  # of a row's height; and never larger
GAP, WORK = Fraction("0.75"), Fraction("0.6")  # of a row's type
NAMES = Fraction("1.49")  # of the columns; a lane's number has its word beside it too


@dataclass(frozen=True, slots=True)
class Reach:
    """From how far one thing on a wall reads, in words."""

    what: str
    metres: str


@dataclass(frozen=True, slots=True)
class WallsPage:
    """The desk's page: the scene chosen, those to choose from, what a screen can be for, the floors that one can keep to, and how
    far each scene reads."""

    said: str
    scenes: tuple[tuple[str, str], ...]
    purposes: tuple[tuple[str, str], ...]
    floors: tuple[FloorLink, ...]
    width: str
    lanes: str
    reaches: tuple[Reach, ...]


async def said_scene(hall: Hall) -> str:
    """The scene that the desk has chosen for all walls; empty while each goes by itself."""
    said = await hall.database.aread(lambda session: get_setting(session, SETTING)) or BY_ITSELF
    return said if said in SCENES else BY_ITSELF


async def say_scene(hall: Hall, typed: Typed) -> str:
    """Chooses the scene of all walls that are for everything. Raises BadForm."""
    read = Reading(typed)
    scene = read.choice("scene", "The scene", SCENES) if typed.get("scene") else BY_ITSELF
    read.done()
    await hall.database.awrite(lambda session: put_setting(session, SETTING, scene))
    hall.hub.publish("board", {"version": hall.projection.version})
    return scene


def reach(size: Fraction, width_cm: int) -> Fraction:
    """From how many metres type of this size reads, in hundredths of the width of a screen that is so wide."""
    return size / 100 * width_cm * CAP_HEIGHT * LEAST_CAP / 100


def row_size(lanes: int, high: Fraction = IN_HEAT) -> Fraction:
    """The size of the type of one of so many lanes that share a height, on a screen of 16 to 9."""
    return min(LARGEST_ROW, high / lanes * ROW_TYPE)


def walls_page(said: str, width_cm: int, lanes: int, roster: Roster | None = None) -> WallsPage:
    """The desk's page for a screen so wide, so many lanes, and the floors of a competition."""
    each = say("walls.lanes", n=lanes)
    sizes = (
        ("The clock", CLOCK),
        ("Who leads", LEADER),
        ("By how much", LEAD),
        (f"{each} in the heat", row_size(lanes)),
        ("How far each is ahead or behind", row_size(lanes) * GAP),
        ("What each is doing", row_size(lanes) * WORK),
        ("The names of the columns", NAMES),
        ("The load of a lift", LOAD),
        (f"{each} below a lift", row_size(lanes, IN_LIFT)),
        (f"{each} in line-up and result", row_size(lanes, ALONE)),
        ("The podium, with three on it", PODIUM),
    )
    return WallsPage(
        said=said,
        scenes=tuple(SCENES.items()),
        purposes=tuple(PURPOSES.items()),
        floors=floor_links(roster) if roster is not None else (),
        width=str(width_cm),
        lanes=str(lanes),
        reaches=tuple(Reach(what, f"{float(reach(size, width_cm)):.1f} m") for what, size in sizes),
    )
