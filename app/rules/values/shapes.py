"""The shapes that formats and the competition file are built from: frozen models, names for people, exact values in JSON."""

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated, Any

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    GetCoreSchemaHandler,
    PlainSerializer,
    WithJsonSchema,
)
from pydantic_core.core_schema import CoreSchema, no_info_after_validator_function

from app.rules.values.texts import NEVER_IN_A_LINE
from app.rules.values.units import AMOUNT, BadMeasure, Load


def _unspoken(text: str) -> str:
    """Names are for people: no control characters, no marks that turn the reading direction, no stray surrogates."""
    if NEVER_IN_A_LINE.search(text):
        raise ValueError("Names can't hold control characters.")
    return text.strip()


Name = Annotated[str, AfterValidator(_unspoken), Field(min_length=1, max_length=120)]
Line = Annotated[str, AfterValidator(_unspoken), Field(min_length=1, max_length=300)]
Said = Annotated[str, AfterValidator(_unspoken)]
Id = Annotated[str, Field(pattern=r"^[A-Za-z0-9_-]{1,40}$")]
TimeOfDay = Annotated[str, Field(pattern=r"^(([01][0-9]|2[0-3]):[0-5][0-9])?$")]
Key = Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9_-]{0,39}$")]


def _load(value: object) -> object:
    if isinstance(value, Load):
        return value
    if not isinstance(value, dict) or set(value) != {"amount", "unit"} or not all(isinstance(v, str) for v in value.values()):
        raise ValueError('A load is written {"amount": "102.5", "unit": "kg"}.')
    try:
        return Load(value["amount"], value["unit"])
    except BadMeasure as wrong:
        raise ValueError(str(wrong)) from None


def load_plain(load: Load) -> dict[str, str]:
    """A load as JSON: `{"amount": "225", "unit": "lb"}`."""
    return {"amount": load.amount, "unit": load.unit}


# What Fraction writes for any number that is accepted is accepted again. A float is not: 0.1 would not be a tenth.
NUMBER = re.compile(r"-?([0-9]{1,15}|[0-9]{1,9}\.[0-9]{1,6}|[0-9]{1,15}/0*[1-9][0-9]{0,6})")


def _fraction(value: object) -> object:
    if isinstance(value, Fraction):
        return value
    small = isinstance(value, str) or (isinstance(value, int) and not isinstance(value, bool) and abs(value) < 10**15)
    if not small or not NUMBER.fullmatch(str(value)):
        raise ValueError("Write a number such as 2, 0.5 or 1/3, of at most nine digits and six decimals, as text.")
    return Fraction(str(value))


class Base(BaseModel):
    """Every part of a format is frozen and refuses fields it does not know. What checks one is made with the first of its kind:
    made for all of them at once it was a twentieth of a start, and few of them are in any one competition."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True, defer_build=True)


LOAD_SCHEMA = {
    "type": "object",
    "properties": {"amount": {"type": "string", "pattern": f"^{AMOUNT.pattern}$"}, "unit": {"enum": ["kg", "lb"]}},
    "required": ["amount", "unit"],
    "additionalProperties": False,
}

ExactLoad = Annotated[Load, BeforeValidator(_load), PlainSerializer(load_plain), WithJsonSchema(LOAD_SCHEMA)]


@dataclass(frozen=True, slots=True)
class MoreThanNothing:
    """Said of a load of a model: it weighs more than nothing. `sentence` is what somebody reads where it does not."""

    sentence: str

    def __get_pydantic_core_schema__(self, source: type[Any], handler: GetCoreSchemaHandler) -> CoreSchema:
        """The load's own schema, and then this."""
        return no_info_after_validator_function(self._weighed, handler(source))

    def _weighed(self, load: Load) -> Load:
        if not load.kg:
            raise ValueError(self.sentence)
        return load


ExactNumber = Annotated[
    Fraction,
    BeforeValidator(_fraction),
    PlainSerializer(str),
    WithJsonSchema({"anyOf": [{"type": "string", "pattern": f"^{NUMBER.pattern}$"}, {"type": "integer"}]}),
]
