"""Rounds on the command line: the kit made of a data folder, opened in another, and the key that comes back bound to its gym."""

from datetime import datetime
from pathlib import Path
from secrets import token_hex
from tempfile import TemporaryDirectory

from app.files import FileRefused, import_from, look_for_store, opened
from app.live.servertime import this_machine
from app.results.competition_file import make_file, write_file
from app.round.kits import Opened, bind, gyms_in, is_open, keep_kit, make_kit, read_kit
from app.round.records_file import RecordsFile
from app.rules.records.document import CompetitionFile
from app.rules.round.from_event import rule_from
from app.settings import Settings
from app.store.roster import read_roster


def kit_of(settings: Settings, folder: Path, deadline: str, gyms: Path, places: list[str], name: str) -> str:
    """Makes the kit of the competition in a data folder, and says so. Raises FileRefused, BadKit, BadBook."""
    look_for_store(settings)
    ends, zone = _deadline(deadline)
    with opened(settings) as hall:
        roster = hall.database.read(read_roster)
        now = hall.time.wall_ms()
    if roster is None or not roster.events or not roster.divisions:
        raise FileRefused("A round needs a competition with a division and an event. Enter them at the desk first.")
    file = make_file(roster, (), (), (), now)
    rule = rule_from(file, token_hex(6), name or roster.competition.name, ends, zone, _places(file, places), now)
    return make_kit(settings.data, file, rule, gyms_in(_text(gyms)), folder, now)


def open_here(settings: Settings, kit: Path, code: str) -> str:
    """Opens a kit in an empty data folder, and says what is next; opened again, it only tells.

    Raises FileRefused, BadKit, BadFile, NotEmpty."""
    data = _bytes(kit)
    found = read_kit(data, code)
    told = "" if is_open(settings.data, data) else _begin(settings, found)
    binding, rule = keep_kit(settings.data, data, found), found.kit.rule
    return (
        f"{told}{rule.name} is open here for gym {found.slip.gym}, until {_shown(rule.deadline_ms, rule.zone)}.\n"
        f"Send headquarters the file {binding}: it binds this laptop's key to your gym."
    )


def _begin(settings: Settings, found: Opened) -> str:
    """Begins the kit's competition in the data folder."""
    with TemporaryDirectory() as folder:
        start = Path(folder) / "start.json"
        start.write_bytes(write_file(found.kit.start))
        return f"{import_from(settings, start)}\n"


def bind_key(settings: Settings, binding: Path, records: Path) -> str:
    """Binds the key of a gym at headquarters, and says so. Raises FileRefused, BadKit, BadBook."""
    kept = RecordsFile(records)
    if kept.state.rule is None:
        raise FileRefused(f"No round was opened in {records}.")
    return bind(settings.data, kept, _bytes(binding), this_machine().wall_ms())


def _deadline(typed: str) -> tuple[int, str]:
    """A deadline as Unix milliseconds and its zone. Raises FileRefused for one without a zone."""
    try:
        when = datetime.fromisoformat(typed)
    except ValueError:
        when = datetime.min  # noqa: DTZ901 - it has no zone, and so is refused below
    if when.tzinfo is None:
        raise FileRefused("Say the deadline with its zone, such as 2027-03-01T20:00+01:00.")
    offset = f"{when:%z}"
    return round(when.timestamp() * 1000), f"UTC{offset[:3]}:{offset[3:5]}" if when.utcoffset() else "UTC"


def _shown(ms: int, zone: str) -> str:
    """A time as it is said: in the zone that the deadline was said in."""
    at = datetime.fromisoformat(f"1970-01-01T00:00:00{zone.removeprefix('UTC') or '+00:00'}").tzinfo
    return f"{datetime.fromtimestamp(ms / 1000, at):%Y-%m-%d %H:%M} {zone}"


def _places(file: CompetitionFile, typed: list[str]) -> dict[str, int]:
    """By division id, how many are invited, from NAME=NUMBER. Raises FileRefused."""
    ids = {one.name: one.id for one in file.divisions}
    found = {}
    for one in typed:
        name, _, number = one.rpartition("=")
        if name not in ids or not number.isdecimal():
            raise FileRefused(f"Say places as NAME=NUMBER with one of these divisions: {', '.join(ids)}.")
        found[ids[name]] = int(number)
    return found


def _bytes(file: Path) -> bytes:
    try:
        return file.read_bytes()
    except OSError as wrong:
        raise FileRefused(f"The file {file} can't be read: {wrong.strerror}.") from None


def _text(file: Path) -> str:
    try:
        return _bytes(file).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise FileRefused(f"The file {file} is not UTF-8 text.") from None
