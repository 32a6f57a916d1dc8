"""The declared fields of a format on a form: a model's value as the text that stands there, and a text read back.

A row's texts go by the names of its fields; what a field is, its words and its bounds come from its declaration.
"""

from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import Any

from app.hall.forms import Reading
from app.rules.values.clock_times import hours_text
from app.rules.values.units import LoadUnit, decimal_text
from app.rules.workout.fields import Field

MOST_DECIMALS = 6
TICKED = "on"


def text_of(field: Field, value: Any) -> str:
    """What stands in a field whose value that is; nothing for a value that is not there."""
    if value is None or (field.kind == "whole" and value == field.default == 0):
        return ""
    match field.kind:
        case "tick":
            return TICKED if value else ""
        case "lines":
            return "\n".join(value)
        case "load":
            return str(value.text())
        case "loads":
            return ", ".join(load.text() for load in value)
        case "number":
            return number_text(value)
        case "millis":
            return number_text(Fraction(value, 1000))
        case "moment":
            return hours_text(value)
        case _:
            return str(value)


def fresh_text(field: Field) -> str:
    """What stands in a field of a new row: as declared, else the model's default, else the first that can be chosen."""
    if field.fresh is not None:
        return field.fresh
    if field.kind == "own":
        return ""
    if field.default is None and field.options and not field.may_be_empty:
        return field.options[0].value
    return text_of(field, field.default)


def texts_of_model(fields: Iterable[Field], model: Any) -> dict[str, str]:
    """The texts of a model's fields by their names in a row, without those that have a reader of their own."""
    return {field.text: text_of(field, getattr(model, field.name)) for field in fields if field.kind != "own"}


def read_field(read: Reading, field: Field, at: str, row: str, unit: LoadUnit = "kg") -> Any:
    """The value of a field, its problems noted. `at` begins its name in the form, `row` is what a problem calls its row.

    A field left empty is nothing where the model takes that, 0 where the model takes 0, the model's default where it has
    one, and else it is missing.
    """
    name, what = f"{at}{field.text}", field.called.format(row)
    match field.kind:
        case "tick":
            return read.ticked(name)
        case "choice":
            chosen = read.choice(name, what, dict(field.options))
            return field.values.get(chosen, chosen)
        case "lines":
            return tuple(read.lines(name, what, field.most))
        case "load":
            loaded = read.load if field.may_be_empty else read.needed_load
            return loaded(name, what, unit, zero=field.may_weigh_nothing)
        case "loads":
            return read.loads(name, what, unit, field.most)
        case "number":
            return None if field.may_be_empty and not read.raw(name) else read.number(name, what, field.default or Fraction(0))
        case "moment":
            return read.seconds(name, what, field.bounds.low)
        case "text":
            return read.name(name, what, field.most)
        case _:
            return _whole(read, field, name, what)


def read_fields(read: Reading, fields: Iterable[Field], at: str, row: str, unit: LoadUnit = "kg") -> dict[str, Any]:
    """The values of fields by the model's names, without those that have a reader of their own."""
    return {field.name: read_field(read, field, at, row, unit) for field in fields if field.kind != "own"}


def note_odd(read: Reading, fields: Iterable[Field], at: str, row: str, values: Mapping[str, Any]) -> None:
    """Notes at its field what the form refuses about values together."""
    for field in fields:
        if field.odd and (sentence := field.odd(values)):
            read.wrong(f"{at}{field.text}", sentence.format(row))


def _whole(read: Reading, field: Field, name: str, what: str) -> int | None:
    low, high = field.bounds
    if field.kind == "millis":
        return read.millis(name, what, low, high, None if field.may_be_empty else low)
    if low > 0 and not field.may_be_empty:
        return read.needed_whole(name, what, low, high)
    return read.whole(name, what, low, high, None if field.may_be_empty else low)


def number_text(value: Fraction) -> str:
    """A number as it is typed: with decimals when it ends within six, else as a fraction."""
    text = decimal_text(value, MOST_DECIMALS)
    return text if Fraction(text) == value else str(value)
