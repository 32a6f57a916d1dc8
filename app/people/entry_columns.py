"""What the columns of a list of entries mean: guessed from their headings, shown, and changed by hand."""

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal, cast

from app.hall.forms import Typed
from app.people.entry_file import Row, tidy
from app.rules.values.units import LoadUnit
from app.rules.workout.formats import MOST_MEMBERS

What = Literal[
    "",
    "key",
    "number",
    "division",
    "entry",
    "team",
    "athlete",
    "first",
    "last",
    "club",
    "weight",
    "age",
    "sex",
    "height",
    "reach",
    "said",
    "opener",
]
OF_ENTRY: Mapping[What, str] = {
    "": "Leave out",
    "key": "Id of the entry",
    "number": "Start number",
    "division": "Division",
    "entry": "Entry",
    "team": "Team for points",
}
OF_MEMBER: Mapping[What, str] = {
    "athlete": "Athlete",
    "first": "First name",
    "last": "Last name",
    "club": "Club",
    "weight": "Bodyweight",
    "age": "Age",
    "sex": "Women or men",
    "height": "Height",
    "reach": "Reach to the wrists",
    "said": "Said like",
}
HEADINGS: Mapping[What, tuple[str, ...]] = {
    "key": (
        "id",
        "key",
        "entry id",
        "entry key",
        "entry number",
        "reference",
        "ref",
        "registration",
        "registration id",
        "order id",
    ),
    "number": ("bib", "bib number", "bib no", "number", "no", "nr", "start number", "start no", "race number"),
    "division": ("division", "category", "class", "age group", "group"),
    "entry": ("entry", "entry name", "team", "team name", "pair", "pair name", "squad"),
    "team": ("team for points", "points team", "scoring team", "team points", "counts for", "nation", "country"),
    "athlete": ("name", "athlete", "athlete name", "full name", "competitor", "lifter", "participant", "member", "member name"),
    "first": ("first name", "firstname", "given name", "forename"),
    "last": ("last name", "lastname", "surname", "family name"),
    "club": ("club", "club name", "gym", "school", "society"),
    "weight": ("bodyweight", "body weight", "weight", "weight in", "bw"),
    "age": ("age", "years", "years old", "age on the day"),
    "sex": ("sex", "gender", "women or men", "men or women", "m f", "f m", "w m", "m w"),
    "height": ("height", "body height", "stature", "tall"),
    "reach": ("reach", "reach to the wrists", "wrists", "wrist height", "standing reach"),
    "said": (
        "said like",
        "say it like",
        "sounds like",
        "pronunciation",
        "pronounced",
        "name said like",
        "how to say the name",
        "phonetic",
    ),
    "opener": ("opener", "openers", "opening", "opening load", "opening lift", "opening attempt", "first attempt", "first load"),
}
# Headings of what no page here needs. They are left out like any unknown one, and the page says why.
PRIVATE = re.compile(r"\b(e ?mail|phone|mobile|birth|dob|born|address|street|passport|insurance|emergency|medical)\b")
MEANS: Mapping[str, What] = {words: what for what, all_words in HEADINGS.items() for words in all_words}
UNITS: tuple[LoadUnit, ...] = ("kg", "lb")
NUMBERED = ("athlete", "first", "last", "club", "weight", "age", "sex", "height", "reach", "said", "opener")
LOADS = ("weight", "opener")
OPENER = re.compile(r"\b(" + "|".join(sorted(HEADINGS["opener"], key=len, reverse=True)) + r")\b")


@dataclass(frozen=True, slots=True)
class Column:
    """What a column holds: `member` is 1 for A, or 0 where there is one person (or one club) a row. `unit`: of bare loads. `lift`
    of an opener: whose (Lift.key)."""

    what: What = ""
    member: int = 0
    unit: LoadUnit | None = None
    lift: str = ""

    @property
    def value(self) -> str:
        """As the form posts it: `club-2`, `opener-2@evt/pull`."""
        plain = f"{self.what}-{self.member}" if self.member else self.what
        return f"{plain}@{self.lift}" if self.lift else plain


@dataclass(frozen=True, slots=True)
class Lift:
    """A lift of an event, for which openers may be listed: `event/task`, and the names of its event and its movement."""

    key: str
    event: str
    movement: str


@dataclass(frozen=True, slots=True)
class Meant:
    """What columns may mean here: the lifts of the events, and what headings of earlier lists were said to mean, as posted."""

    lifts: tuple[Lift, ...] = ()
    remembered: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Layout:
    """How the list is read: its columns, whether its first row is headings, and whether several rows make one entry."""

    columns: tuple[Column, ...]
    headed: bool
    row_is: Literal["entry", "athlete"]

    def openers(self, member: int) -> list[tuple[int, Column]]:
        """The columns of a member's openers, with their places."""
        return [(n, one) for n, one in enumerate(self.columns) if one.what == "opener" and one.member == member]

    def place(self, what: What, member: int = 0) -> int | None:
        """Where a column is, or None."""
        return next((n for n, one in enumerate(self.columns) if (one.what, one.member) == (what, member)), None)


def guessed_layout(rows: Sequence[Row], meant: Meant = Meant()) -> Layout:
    """What the headings say, as somebody said it of an earlier list, else as it is usual; without a single known one the first
    row is taken to be an entry already."""
    first = rows[0].cells if rows else ()
    columns = [_said_before(heading, meant) or _meant(heading, meant.lifts) for heading in first]
    headed = sum(1 for column in columns if column.what) >= 1
    if not headed:
        columns = [Column() for _ in range(max((len(row.cells) for row in rows), default=0))]
    columns = _name_settled(columns, first) if headed else columns
    columns = _first_of_each(columns)
    layout = Layout(tuple(columns), headed, "entry")
    return Layout(layout.columns, headed, "athlete" if _several_rows_make_one(layout, rows) else "entry")


def plain_heading(heading: str) -> str:
    """A heading as it is compared with others: small letters, digits, single blanks."""
    folded = unicodedata.normalize("NFKD", tidy(heading)).encode("ascii", "ignore").decode().casefold()
    return re.sub(r"[^a-z0-9]+", " ", folded).strip()


def _said_before(heading: str, meant: Meant) -> Column | None:
    """What somebody said of a column of that heading in an earlier list; None if nobody did, or its lift is gone."""
    value = meant.remembered.get(plain_heading(heading))
    if value is None or not plain_heading(heading):
        return None
    said = _chosen(value, Column(unit=_unit(plain_heading(heading))), meant)
    return said if said.value == value else None


def _unit(words: str) -> LoadUnit | None:
    return next((one for one in UNITS if re.search(rf"\b{one}s?\b", words)), None)


def _meant(heading: str, lifts: Sequence[Lift] = ()) -> Column:
    """One heading read: `Athlete 2 club`, `Club B`, `Body weight (lb)`, `Opener deadlift`."""
    words = plain_heading(heading)
    unit = _unit(words)
    words = re.sub(r"\s*\b(kgs?|lbs?|cm|in|inches|ft)\b", "", words).strip()
    found = _known_words(words, unit)
    if found.what == "opener" or (not found.what and OPENER.search(words)):
        return _opener(words, unit, found.member, lifts)
    return found


def _opener(words: str, unit: LoadUnit | None, member: int, lifts: Sequence[Lift]) -> Column:
    """The lift that a heading names by its movement or its event; the only lift that there is. Of several it is not guessed."""
    named = [one for one in lifts if _names(words, one)]
    chosen = named if named else list(lifts)
    if len(chosen) != 1:
        return Column()
    if not member and (letter := re.search(r" ([0-9]{1,2}|[a-l])$", words)):
        member = int(letter[1]) if letter[1].isdigit() else ord(letter[1]) - 96
    return Column("opener", member if member <= MOST_MEMBERS else 0, unit, chosen[0].key)


def _names(words: str, lift: Lift) -> bool:
    return any(re.search(rf"\b{re.escape(name)}\b", words) for name in map(plain_heading, (lift.movement, lift.event)) if name)


def _known_words(words: str, unit: LoadUnit | None) -> Column:
    if words in MEANS:
        return Column(MEANS[words], 0, unit if MEANS[words] in LOADS else None)
    for pattern in (
        r"(?P<words>.+?) ?(?P<n>[0-9]{1,2}|[a-l])",
        r"(?:athlete|member|lifter|partner|name)? ?(?P<n>[0-9]{1,2}|[a-l]) (?P<words>.+)",
    ):
        found = re.fullmatch(pattern, words)
        what = MEANS.get(found["words"]) if found else None
        if found and what in NUMBERED:
            number = int(found["n"]) if found["n"].isdigit() else ord(found["n"]) - 96
            if 1 <= number <= MOST_MEMBERS:
                return Column(what, number, unit if what in LOADS else None)
    return Column()


def _name_settled(columns: list[Column], headings: Sequence[str]) -> list[Column]:
    """A column called just “name” is the entry's where athletes have columns of their own, and an athlete's else."""
    own = any(column.member and column.what in ("athlete", "first") for column in columns)
    if own and all(column.what != "entry" for column in columns):
        return [Column("entry") if plain_heading(h) == "name" else c for c, h in zip(columns, headings, strict=True)]
    return columns


def _first_of_each(columns: list[Column]) -> list[Column]:
    """Two columns can't mean the same: the first one does."""
    seen: set[str] = set()
    kept = []
    for column in columns:
        kept.append(Column() if column.value in seen else column)
        seen |= {column.value} if column.what else set()
    return kept


def _several_rows_make_one(layout: Layout, rows: Sequence[Row]) -> bool:
    entry, division = layout.place("entry"), layout.place("division")
    one = layout.place("athlete") is not None or layout.place("first") is not None
    if entry is None or not one:
        return False
    names = [tuple(cell_of(row, place).casefold() for place in (division, entry)) for row in rows[1:]]
    return len(set(names)) < len(names)


def cell_of(row: Row, place: int | None) -> str:
    """A tidied cell; nothing for a column that is not there, or a row that ends before it."""
    return tidy(row.cells[place]) if place is not None and place < len(row.cells) else ""


def typed_layout(typed: Typed, rows: Sequence[Row], meant: Meant = Meant()) -> Layout:
    """The layout as somebody changed it on the page; what the form does not say is guessed."""
    guess = guessed_layout(rows, meant)
    width = len(guess.columns) if guess.headed else max((len(row.cells) for row in rows), default=0)
    columns = []
    for number in range(width):
        was = guess.columns[number] if number < len(guess.columns) else Column()
        columns.append(_chosen(typed.get(f"column-{number}"), was, meant))
    headed = bool(typed.get("headed")) if "columns" in typed else guess.headed
    row_is = typed.get("row_is", guess.row_is)
    return Layout(tuple(columns), headed, "athlete" if row_is == "athlete" else "entry")


def _chosen(value: str | None, was: Column, meant: Meant) -> Column:
    if value is None:
        return was
    plain, _, lift = value.partition("@")
    what, _, number = plain.partition("-")
    member = int(number) if number.isascii() and number.isdigit() and len(number) < 3 else 0
    unit = was.unit if what in LOADS else None
    if what == "opener" and any(one.key == lift for one in meant.lifts):
        return Column("opener", member, unit, lift)
    if what not in OF_ENTRY and what not in OF_MEMBER:
        return Column()
    return Column(cast(What, what), member, unit)


def column_choices(members: int, lifts: Sequence[Lift] = ()) -> list[tuple[str, str]]:
    """What a column can be, as value and words, for entries of so many members."""
    choices = [(str(key), words) for key, words in OF_ENTRY.items()]
    choices += [(str(key), words) for key, words in OF_MEMBER.items()]
    choices += [(f"opener@{one.key}", f"Opener, {one.movement} ({one.event})") for one in lifts]
    for number in range(1, members + 1):
        letter = chr(64 + number)
        choices += [
            (f"{key}-{number}", f"{words} of {letter}" if key != "athlete" else f"Athlete {letter}")
            for key, words in OF_MEMBER.items()
        ]
        choices += [(f"opener-{number}@{one.key}", f"Opener of {letter}, {one.movement} ({one.event})") for one in lifts]
    return choices


def is_private(heading: str) -> bool:
    """Whether a heading names something personal that no page needs."""
    return bool(PRIVATE.search(plain_heading(heading)))
