"""The movement library, made of the table app/library/movements.json: movements, what else people call them, what they need."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, TypeVar

from pydantic import Field, ValidationError

from app.rules.values.shapes import Base, ExactLoad, Key, Line, Name
from app.rules.values.table_rows import BadTable, read_row, unlike
from app.rules.workout.movement_names import same_name, words_of
from app.rules.workout.tasks import Fault, Movement

TABLE = "movements.json"
# What the rule book itself asks for by its key.
BAR, ROPE, CLIMBING_ROPE, PAD, TAPE = "bar", "rope", "climbing_rope", "pad", "tape"
COLLARS = "collars"
INHERITED = ("needs", "fastest_ms", "heaviest", "faults", "lift_faults", "cautions")
ARTICLES = frozenset(("a", "an", "the"))

Shared = TypeVar("Shared")


class SharedFault(Base):
    """A fault that several movements have: its name, and the word that a judge calls it by."""

    name: Name
    word: Line


class OwnFault(SharedFault):
    """A fault of one movement under its id."""

    id: Key


class MovementRow(Base):
    """A movement as the table has it. A fault is one of its own or the key of a shared one; a caution is a sentence or a key;
    `needs` are keys of things. What it does not say of these and of its bounds is as in the row `kind_of`; its standards are
    always its own. `source` says where a bound comes from, where it is more than common sense."""

    key: Key
    formerly: tuple[Key, ...] = ()
    name: Name
    called: tuple[Name, ...] = ()
    called_as_lift: tuple[Name, ...] = ()
    kind_of: Key | None = None
    fastest_ms: int | None = None
    heaviest: ExactLoad | None = None
    needs: tuple[Key, ...]
    standards: tuple[Line, ...] = Field(min_length=1)
    faults: tuple[Key | OwnFault, ...] = Field(min_length=1)
    lift_faults: tuple[Key | OwnFault, ...] = ()
    cautions: tuple[Line, ...] = Field(min_length=1)
    source: str = ""


class SignalRow(Base):
    """What referees say during a lift and when, for `movements` of the table, and where that was read; of some it was not, and is
    from memory."""

    movements: tuple[Key, ...] = Field(min_length=1)
    from_memory: tuple[Key, ...] = ()
    lines: tuple[Line, ...] = Field(min_length=1)
    source: Line


class Signals(Base):
    """The signals of a meet's lifts; `wait`: what becomes of a lift that does not wait for one, and the fault that it is."""

    wait: Line
    fault: OwnFault
    lifts: tuple[SignalRow, ...]


class MovementTable(Base):
    """The table: words that people shorten, what several movements share, by key, the signals of a meet, and a row for each
    movement."""

    about: tuple[str, ...]
    short: dict[str, Line]
    things: dict[Key, Line]
    cautions: dict[Key, Line]
    faults: dict[Key, SharedFault]
    signals: Signals
    movements: tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Described:
    """A movement of the library under its key.

    `called`: other names that people write for the same thing. `lift_faults`: those it has only as a lift for load. `needs`:
    keys of the things that stand on a lane for it. `signals`: what its standards are beside, where referees call it;
    `from_memory`: no text was read that says them.
    """

    key: str
    movement: Movement
    called: tuple[str, ...] = ()
    lift_faults: tuple[Fault, ...] = ()
    needs: tuple[str, ...] = ()
    signals: tuple[str, ...] = ()
    from_memory: bool = False


@dataclass(frozen=True, slots=True)
class Library:
    """Every movement by its key, described and alone, and the key that a plain name (`plain`) means, or, among `lifts`,
    means where it is lifted for load. `formerly`: keys of before. `short`: what people shorten, `db` is a dumbbell. `things` and
    `cautions` are those that several movements share, in words, by key. `unsignalled`: the fault of who does not wait for a
    signal."""

    described: Mapping[str, Described]
    movements: Mapping[str, Movement]
    names: Mapping[str, str]
    lifts: Mapping[str, str]
    formerly: Mapping[str, str]
    short: Mapping[str, str]
    things: Mapping[str, str]
    cautions: Mapping[str, str]
    unsignalled: Fault

    def plain(self, typed: str) -> str:
        """A name as the library knows it: `DB snatches`, `dumbbell snatch` and `a dumbbell snatch` are the same."""
        return _plain(typed, self.short)


def read_library(plain: Any) -> Library:
    """The library that a table describes. Raises BadTable with a sentence that names the row."""
    table = read_row(TABLE, MovementTable, plain)
    _asked_for(table)
    rows = [read_row(TABLE, MovementRow, row) for row in _whole(table.movements)]
    unlike(TABLE, (row.key for row in rows))
    signals = _signals(table, {row.key for row in rows})
    memory = {key for row in table.signals.lifts for key in row.from_memory}
    described = {row.key: _described(table, row, signals.get(row.key, ()), row.key in memory) for row in rows}
    names = _by_name(table, ((name, row.key) for row in rows for name in (row.key, row.name, *row.called)))
    formerly = {key: row.key for row in rows for key in row.formerly}
    lifts = _by_name(table, ((name, row.key) for row in rows for name in row.called_as_lift))
    for name in names.keys() & lifts.keys():
        raise BadTable(f"{TABLE}: “{name}” means both {names[name]} and, as a lift, {lifts[name]}.")
    return Library(
        described,
        {key: one.movement for key, one in described.items()},
        names,
        lifts,
        formerly,
        table.short,
        table.things,
        table.cautions,
        _fault(table.signals.fault.id, table.signals.fault),
    )


def _signals(table: MovementTable, known: Collection[str]) -> dict[str, tuple[str, ...]]:
    """What is said of its signals, by movement. Raises BadTable for a movement that is not there."""
    found = {key: (*row.lines, table.signals.wait) for row in table.signals.lifts for key in row.movements}
    for key in found.keys() - known:
        raise BadTable(f"{TABLE}: signals of “{key}”, which is no row.")
    return found


def _whole(rows: Sequence[Any]) -> Iterator[Any]:
    """The rows, each with what it leaves to the row that it is a kind of, which stands above it."""
    above: dict[str, dict[str, Any]] = {}
    for row in rows:
        if isinstance(row, dict) and (kind := row.get("kind_of")) is not None:
            if kind not in above:
                raise BadTable(f"{TABLE}, row “{row.get('key')}”: there is no row “{kind}” above it to be a kind of.")
            row = {name: above[kind][name] for name in INHERITED if name in above[kind]} | row
        if isinstance(row, dict) and isinstance(row.get("key"), str):
            above[row["key"]] = row
        yield row


def _asked_for(table: MovementTable) -> None:
    """The rule book names some things and cautions itself: they must be there."""
    for what, known, asked in (
        ("thing", table.things, (BAR, ROPE, CLIMBING_ROPE, PAD, TAPE)),
        ("caution", table.cautions, (COLLARS,)),
    ):
        for key in asked:
            if key not in known:
                raise BadTable(f"{TABLE} has no {what} “{key}”.")


def _described(table: MovementTable, row: MovementRow, signals: tuple[str, ...], from_memory: bool) -> Described:
    for key in row.needs:
        _shared(table.things, key, row, "thing")
    try:
        made = Movement(
            name=row.name,
            standards=row.standards,
            faults=_faults(table, row, row.faults),
            cautions=tuple(_caution(table, row, said) for said in row.cautions),
            fastest_ms=row.fastest_ms,
            heaviest=row.heaviest,
        )
    except ValidationError as wrong:
        raise BadTable(f"{TABLE}, row “{row.key}”: {wrong.errors()[0]['msg'].removeprefix('Value error, ')}") from None
    return Described(row.key, made, row.called, _faults(table, row, row.lift_faults), row.needs, signals, from_memory)


def _faults(table: MovementTable, row: MovementRow, faults: Sequence[str | OwnFault]) -> tuple[Fault, ...]:
    return tuple(
        _fault(one.id, one) if isinstance(one, OwnFault) else _fault(one, _shared(table.faults, one, row, "fault"))
        for one in faults
    )


def _fault(id: str, one: SharedFault) -> Fault:
    """A fault as a judge calls it: `No rep, depth.`"""
    return _called(id, one.name, one.word)


@cache
def _called(id: str, name: str, word: str) -> Fault:
    """The very same for all movements that share it: a tenth as many are kept."""
    return Fault(id=id, name=name, say=f"No rep, {word}.")


def _caution(table: MovementTable, row: MovementRow, said: str) -> str:
    """A sentence ends with a full stop; anything else is the key of one that is shared."""
    return said if said.endswith(".") else _shared(table.cautions, said, row, "caution")


def _shared(known: Mapping[str, Shared], key: str, row: MovementRow, what: str) -> Shared:
    if key not in known:
        raise BadTable(f"{TABLE}, row “{row.key}”: there is no {what} “{key}” among those that are shared.")
    return known[key]


def _plain(typed: str, short: Mapping[str, str]) -> str:
    words = [short.get(word, word) for word in words_of(typed)]
    return same_name(" ".join([word for word in words if word not in ARTICLES] or words))


def _by_name(table: MovementTable, pairs: Iterable[tuple[str, str]]) -> dict[str, str]:
    """Keys by plain name. Raises BadTable for a name that means two movements."""
    found: dict[str, str] = {}
    for name, key in pairs:
        plain = _plain(name, table.short)
        if found.setdefault(plain, key) != key:
            raise BadTable(f"{TABLE}: “{name}” means both {found[plain]} and {key}.")
    return found
