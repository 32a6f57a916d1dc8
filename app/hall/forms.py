"""What somebody typed into a form, read field by field: every problem names its field and says what is allowed.

Nothing is stored from a form that has a problem; the page shows the problems beside what was typed.
"""

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from pydantic import ValidationError

from app.rules.values.texts import cleaned, is_seen, unfit
from app.rules.values.units import BadMeasure, Load, LoadUnit, decimal_text, parse_load, parse_loads, shown

Typed = Mapping[str, str]

MOST_NAME = 120
MINUTES_SECONDS = re.compile(r"(?:(\d{1,2}):)?(\d{1,3}):([0-5]\d)")
NUMBER = re.compile(r"-?(?:\d{1,15}|\d{1,9}[.,]\d{1,6}|\d{1,15}/0*[1-9]\d{0,6})", re.ASCII)
TIME_OF_DAY = re.compile(r"([01]?\d|2[0-3])[:.]([0-5]\d)")
NO_LOAD = re.compile(r"0+(?:[.,]0+)?\s*(kg|lb)?")


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong in a form: the name of its input (empty for the form as a whole) and the sentence to show."""

    field: str
    sentence: str


class BadForm(ValueError):
    """Raised when a form can't be stored as it is; holds every problem, and stores nothing."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__(" ".join(problem.sentence for problem in self.problems))


def refuse(field: str, sentence: str) -> BadForm:
    """A form refused for one reason."""
    return BadForm([Problem(field, sentence)])


@dataclass(frozen=True, slots=True)
class FormView:
    """A form on the screen: what is in its fields and what is wrong with them."""

    typed: Typed
    problems: tuple[Problem, ...] = ()

    def value(self, field: str) -> str:
        """What stands in a field."""
        return self.typed.get(field, "")

    def kept(self, field: str, stored: str) -> str:
        """What was typed into a field, be it nothing; what is stored where this form did not hold the field."""
        return self.typed.get(field, stored)

    def ticked(self, field: str, stored: bool, beside: str) -> bool:
        """The same of a tick, which is sent only where it stands: `beside` is a field that is sent with it in any case."""
        return field in self.typed if beside in self.typed else stored

    def wrong(self, field: str) -> str:
        """What is wrong with a field, or nothing."""
        return " ".join(problem.sentence for problem in self.problems if problem.field == field)

    def wrong_within(self, start: str) -> bool:
        """Whether anything is wrong in the fields whose names begin so."""
        return any(problem.field.startswith(start) for problem in self.problems)

    def wrong_among(self, start: str, names: Iterable[str]) -> bool:
        """Whether anything is wrong in one of these fields, whose names all begin so."""
        return any(self.wrong(f"{start}{name}") for name in names)


class Reading:
    """Reads typed fields one after another and collects the problems; `done` raises if there was any."""

    def __init__(self, typed: Typed) -> None:
        self.typed = typed
        self.problems: list[Problem] = []

    def wrong(self, field: str, sentence: str) -> None:
        """Notes a problem."""
        self.problems.append(Problem(field, sentence))

    def problems_at(self, field: str) -> bool:
        """Whether a field has a problem already."""
        return any(problem.field == field for problem in self.problems)

    def done(self) -> None:
        """Raises BadForm if there was a problem."""
        if self.problems:
            raise BadForm(self.problems)

    def raw(self, field: str) -> str:
        """What was typed, without the blanks around it."""
        return self.typed.get(field, "").strip()

    def name(self, field: str, what: str, most: int = MOST_NAME) -> str:
        """A name that must be there."""
        text = self._fit(field, what, self.raw(field), most)
        if not is_seen(text) and not self.problems_at(field):
            self.wrong(field, f"{what} is missing. Type 1 to {most} characters.")
        return text

    def optional(self, field: str, what: str, most: int = MOST_NAME) -> str:
        """A text that may be left empty."""
        return self._fit(field, what, self.raw(field), most)

    def lines(self, field: str, what: str, most: int = 300) -> list[str]:
        """The lines of a text that are not empty."""
        lines = [line.strip() for line in re.split(r"\r\n?|\n", self.raw(field))]
        return [self._fit(field, f"A line of {lower_first(what)}", line, most) for line in lines if line]

    def whole(self, field: str, what: str, low: int, high: int, empty: int | None = None) -> int | None:
        """A whole number from `low` to `high`; `empty` if nothing was typed."""
        text = self.raw(field)
        if not text:
            return empty
        if not re.fullmatch(r"-?\d{1,9}", text) or not low <= int(text) <= high:
            self.wrong(field, f"{what} is a whole number from {low} to {high}; not “{shown(text)}”.")
            return empty
        return int(text)

    def needed_whole(self, field: str, what: str, low: int, high: int) -> int:
        """A whole number that must be there."""
        if not self.raw(field):
            self.wrong(field, f"{what} is missing. Type a whole number from {low} to {high}.")
        value = self.whole(field, what, low, high)
        return low if value is None else value

    def choice(self, field: str, what: str, allowed: Mapping[str, str]) -> str:
        """One of the keys of `allowed`, which maps them to the words on the screen."""
        text = self.raw(field)
        if text not in allowed:
            words = ", ".join(allowed.values()) or "nothing yet"
            self.wrong(field, f"{what} is one of: {words}." if text else f"{what} is not chosen. Choose one of: {words}.")
        return text

    def seconds(self, field: str, what: str, low: int = 1) -> int:
        """A length or an instant typed as minutes:seconds, in whole seconds."""
        text = self.raw(field)
        found = MINUTES_SECONDS.fullmatch(text)
        value = int(found[1] or 0) * 3600 + int(found[2]) * 60 + int(found[3]) if found else -1
        if value < low:
            least = ", more than 0:00" if low > 0 else ""
            typed = f"not “{shown(text)}”" if text else "it is empty"
            self.wrong(field, f"{what} is minutes:seconds, such as 2:00{least}; {typed}.")
        return max(value, low)

    def load(self, field: str, what: str, unit: LoadUnit, zero: bool = False) -> Load | None:
        """A load, or None if nothing was typed or it can't be read; `zero` lets a load of nothing pass."""
        text = self.raw(field)
        if not text:
            return None
        try:
            return load_or_nothing(text, unit) if zero else parse_load(text, unit)
        except BadMeasure as bad:
            self.wrong(field, f"{what}: {bad}")
            return None

    def loads(self, field: str, what: str, unit: LoadUnit, most: int) -> tuple[Load, ...]:
        """Loads with commas between, as many as `most`; none if nothing was typed or they can't be read."""
        try:
            found = parse_loads(self.raw(field), unit)
        except BadMeasure as bad:
            self.wrong(field, f"{what}: {bad}")
            return ()
        if len(found) > most:
            self.wrong(field, f"{what}: at most {most} can be written one by one; not {len(found)}.")
        return found[:most]

    def needed_load(self, field: str, what: str, unit: LoadUnit, zero: bool = False) -> Load:
        """A load that must be there."""
        if not self.raw(field):
            self.wrong(field, f"{what} is missing. Type a load such as 20 {unit}.")
        return self.load(field, what, unit, zero) or Load("1", unit)

    def number(self, field: str, what: str, empty: Fraction) -> Fraction:
        """A number such as 2, 0.5 or 1/3; `empty` if nothing was typed."""
        text = self.raw(field)
        if not text:
            return empty
        if not NUMBER.fullmatch(text):
            self.wrong(field, f"{what} is a number such as 2, 0.5 or 1/3; not “{shown(text)}”.")
            return empty
        return Fraction(text.replace(",", "."))

    def millis(self, field: str, what: str, low: int, high: int, empty: int | None = None) -> int | None:
        """Seconds such as 1 or 0.25, as whole milliseconds from `low` to `high`; `empty` if nothing was typed."""
        text = self.raw(field)
        if not text:
            return empty
        value = Fraction(text.replace(",", ".")) * 1000 if NUMBER.fullmatch(text) else None
        if value is None or value.denominator != 1 or not low <= value <= high:
            bounds = f"{decimal_text(Fraction(low, 1000))} to {decimal_text(Fraction(high, 1000))}"
            self.wrong(field, f"{what} is in seconds, from {bounds}, such as 0.5; not “{shown(text)}”.")
            return empty
        return int(value)

    def ticked(self, field: str) -> bool:
        """Whether a box was ticked."""
        return bool(self.raw(field))

    def _fit(self, field: str, what: str, typed: str, most: int) -> str:
        """A text as typed, or as much of it as fits: a value may be made of it before the problems are told."""
        text = cleaned(typed)
        if len(text) > most:
            self.wrong(field, f"{what} has {len(text)} characters; at most {most} are allowed.")
        if bad := unfit(text):
            self.wrong(field, f"{what} holds {bad}. Type letters, digits and signs only.")
        return text[:most]


def load_or_nothing(text: str, unit: LoadUnit) -> Load:
    """A load as typed, which may weigh nothing. Raises BadMeasure."""
    nothing = NO_LOAD.fullmatch(text)
    return Load("0", "lb" if (nothing[1] or unit) == "lb" else "kg") if nothing else parse_load(text, unit)


def time_of_day(read: Reading, field: str, what: str) -> str:
    """A time of day as HH:MM, or empty if nothing was typed."""
    text = read.raw(field)
    match = TIME_OF_DAY.fullmatch(text)
    if not text:
        return ""
    if match is None:
        read.wrong(field, f"{what} is a time of day such as 09:30; not “{shown(text)}”.")
        return ""
    return f"{int(match[1]):02d}:{match[2]}"


def lower_first(text: str) -> str:
    """`The name` inside a sentence: `the name`."""
    return text[:1].lower() + text[1:]


def row_numbers(typed: Typed, what: str) -> list[int]:
    """The numbers of the rows `what-N-…` in a form, in order."""
    found = (re.match(rf"{what}-(\d{{1,3}})-", name) for name in typed)
    return sorted({int(match[1]) for match in found if match})


def problems_of(error: ValidationError) -> list[Problem]:
    """What the rule book said about values that hang together badly, as problems of the form as a whole."""
    problems = []
    for one in error.errors(include_url=False, include_context=False, include_input=False):
        place = ", ".join(str(part + 1) if isinstance(part, int) else str(part).replace("_", " ") for part in one["loc"])
        said = one["msg"].removeprefix("Value error, ")
        problems.append(Problem("", said if one["type"] == "value_error" else f"In {place}: {lower_first(said)}."))
    return problems


def slug(text: str, taken: Iterable[str] = ()) -> str:
    """A short key from a name: `Über-Squats 2` becomes `uber-squats-2`; a number follows if the key is taken."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    key = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:32].strip("-") or "item"
    used = set(taken)
    number, candidate = 1, key
    while candidate in used:
        number += 1
        candidate = f"{key}-{number}"
    return candidate
