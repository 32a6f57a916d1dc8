"""A field of a format, declared once: how it is called on a form, how a problem names it, what its choices and sentences say.

Its kind, its bounds and what it is by itself are the model's own; nothing here repeats them. The declarations stand in
task_fields.py and format_fields.py; forms, their reading and an event in plain words follow from them.
"""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from functools import cached_property
from itertools import groupby
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, NamedTuple, Union, get_args, get_origin

from annotated_types import Ge, Le, MaxLen
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from app.rules.values.shapes import Base, MoreThanNothing
from app.rules.values.units import Load

Kind = Literal["tick", "whole", "millis", "moment", "number", "load", "loads", "choice", "text", "lines", "own"]
Look = Literal["tick", "choice", "area", "line"]
LAST = 100


class Option(NamedTuple):
    """One of a field's choices: the value that is posted, and its words."""

    value: str
    words: str


class Bounds(NamedTuple):
    """The least and the greatest whole number that a model takes."""

    low: int
    high: int


@dataclass(frozen=True)
class Field:
    """One field of a model.

    prefix: stands before the model's name where several models share a form. called: how a problem names it, with `{}` for
    its row. words: what can be chosen, by value. typed: a kind that the model's type does not tell: milliseconds typed as
    seconds, seconds typed as minutes:seconds, loads with commas between, or `own` for what has a reader of its own.
    rows: the lines of a text of several.
    fresh: the text of a new row, where that is another than the model's default. odd: a sentence, with `{}` for the row, where
    the form refuses the values of the model as they are together; empty where it does not. say: its sentence about an event,
    given the model and the number of members; empty for none. turn: when it is said, the low ones first. piece: its words in
    the one line about a task, given the name of its movement.
    """

    model: type[Base]
    prefix: str
    name: str
    label: str
    called: str
    hint: str = ""
    words: Mapping[str, str] | None = None
    typed: Literal["", "millis", "moment", "loads", "own"] = ""
    rows: int = 0
    fresh: str | None = None
    odd: Callable[[Mapping[str, Any]], str] | None = None
    say: Callable[[Any, int], str] | None = None
    turn: int = LAST
    piece: Callable[[Any, str], str] | None = None

    @property
    def text(self) -> str:
        """Its name in a row of the form."""
        return f"{self.prefix}{self.name}"

    @cached_property
    def kind(self) -> Kind:
        """How it is typed and read."""
        return self.typed or _kind_of(self._type)

    @cached_property
    def look(self) -> Look:
        """How it stands on the form."""
        if self.kind == "tick":
            return "tick"
        if self.options:
            return "choice"
        return "area" if self.rows else "line"

    @cached_property
    def options(self) -> tuple[Option, ...]:
        """What can be chosen, in the order declared; nothing where anything may be typed."""
        words = {value: value for value in self.values} if self.words is None else self.words
        return tuple(Option(value, told) for value, told in words.items())

    @cached_property
    def values(self) -> Mapping[str, Any]:
        """The model's own values of a choice, by their text."""
        inner = self._type
        if get_origin(inner) is Literal:
            return {str(value): value for value in get_args(inner)}
        return {str(one.value): one for one in inner} if isinstance(inner, type) and issubclass(inner, Enum) else {}

    @property
    def may_be_empty(self) -> bool:
        """Whether nothing at all is a value of it."""
        return NoneType in _options_of(self._info.annotation)

    @property
    def default(self) -> Any:
        """What it is by itself; None where it must be given."""
        default = self._info.get_default(call_default_factory=True)
        return None if default is PydanticUndefined else default

    @cached_property
    def bounds(self) -> Bounds:
        """The bounds of a whole number."""
        return bounds(self.model, self.name)

    @cached_property
    def most(self) -> int:
        """How many characters a text has at most, or each of several lines; how many loads there may be."""
        each = get_args(self._info.annotation)[:1] if self.kind == "lines" else (self._info.annotation,)
        found = [one.max_length for one in (*self._info.metadata, *_metadata_of(each[0])) if isinstance(one, MaxLen)]
        return min(found)

    @cached_property
    def may_weigh_nothing(self) -> bool:
        """Whether a load may be none."""
        return not any(isinstance(one, MoreThanNothing) for one in _metadata_in(self.model, self.name))

    @property
    def _info(self) -> FieldInfo:
        return self.model.model_fields[self.name]

    @property
    def _type(self) -> Any:
        """The type of a value that is there."""
        inner = next(one for one in _options_of(self._info.annotation) if one is not NoneType)
        return get_args(inner)[0] if get_origin(inner) is Annotated else inner


@dataclass(frozen=True, slots=True)
class Group:
    """Fields that stand together on a form: in a row of knobs or of ticks; folded away under these words, if there are any."""

    fields: tuple[Field, ...]
    look: Literal["knobs", "ticks"] = "knobs"
    folded: str = ""


@dataclass(frozen=True, slots=True)
class Fold:
    """Groups that are folded away together, or that stand open."""

    words: str
    groups: tuple[Group, ...]

    @property
    def fields(self) -> tuple[Field, ...]:
        """Every field in it."""
        return tuple(field for group in self.groups for field in group.fields)


def by_subject(fields: Collection[Field], subjects: Mapping[str, Collection[str]]) -> tuple[Group, ...]:
    """Fields in groups: folded away by subjects, which name theirs in any order; what none names stands open before them."""
    named = {name: words for words, names in subjects.items() for name in names}
    looks: tuple[tuple[bool, Literal["knobs", "ticks"]], ...] = ((False, "knobs"), (True, "ticks"))
    found = (
        Group(tuple(one for one in fields if named.get(one.name, "") == words and (one.look == "tick") == ticks), look, words)
        for words in ("", *subjects)
        for ticks, look in looks
    )
    return tuple(group for group in found if group.fields)


@dataclass(frozen=True)
class Declared:
    """All fields of a model that are typed, as they stand on the form. `line`: what is said of it in one line, with a hole for
    each field that has a piece of it."""

    model: type[Base]
    groups: tuple[Group, ...]
    line: str = ""

    @cached_property
    def shown(self) -> tuple[Field, ...]:
        """Every field on the form, with those of a model within the model."""
        return tuple(field for group in self.groups for field in group.fields)

    @cached_property
    def fields(self) -> tuple[Field, ...]:
        """The model's own fields."""
        return tuple(field for field in self.shown if field.model is self.model)

    @cached_property
    def folds(self) -> tuple[Fold, ...]:
        """The groups, those that are folded away together as one."""
        return tuple(Fold(words, tuple(groups)) for words, groups in groupby(self.groups, key=lambda group: group.folded))

    def field(self, name: str) -> Field:
        """The model's own field of that name. Raises StopIteration where it is not declared."""
        return next(field for field in self.fields if field.name == name)

    def sentences(self, one: Base, members: int, only: Collection[str] = ()) -> tuple[str, ...]:
        """What is said of a model of this kind, a sentence each; `only`: by those of its fields, else by all."""
        asked = [field for field in self.fields if field.say and (not only or field.name in only)]
        saying = sorted(asked, key=lambda field: field.turn)
        return tuple(said for field in saying if field.say and (said := field.say(one, members)))

    def in_line(self, one: Base, movement: str) -> str:
        """What is said of a model of this kind in one line, given the name of its movement."""
        pieces = {field.name: field.piece(one, movement) for field in self.fields if field.piece}
        return self.line.format(movement=movement, **pieces)


def bounds(model: type[Base], name: str) -> Bounds:
    """The bounds of a whole number of a model, as its own metadata has them."""
    found: dict[type, Any] = {type(one): one for one in _metadata_in(model, name)}
    return Bounds(found[Ge].ge, found[Le].le)


def _kind_of(inner: Any) -> Kind:
    plain: dict[Any, Kind] = {bool: "tick", int: "whole", Fraction: "number", Load: "load", str: "text"}
    if inner in plain:
        return plain[inner]
    if get_origin(inner) is tuple:
        return "lines"
    return "choice"


def _metadata_in(model: type[Base], name: str) -> list[Any]:
    """What the model says about a field beside its type, also where it says it of one of several types."""
    info = model.model_fields[name]
    return [*info.metadata, *(meta for one in _options_of(info.annotation) for meta in _metadata_of(one))]


def _options_of(annotation: Any) -> tuple[Any, ...]:
    return get_args(annotation) if get_origin(annotation) in (Union, UnionType) else (annotation,)


def _metadata_of(annotation: Any) -> tuple[Any, ...]:
    """The metadata of an annotated type, those inside a pydantic field among them."""
    told = get_args(annotation)[1:] if get_origin(annotation) is Annotated else ()
    return tuple(part for one in told for part in getattr(one, "metadata", None) or (one,))
