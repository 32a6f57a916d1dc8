"""Knobs: the few things that a preset asks, and reading what somebody typed into them."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal, Never, TypeVar

from pydantic import ValidationError

from app.rules.values.clock_times import minutes_text
from app.rules.values.units import BadMeasure, Load, LoadUnit, parse_load, shown
from app.rules.workout.formats import Format
from app.rules.workout.plate_sets import offered
from app.rules.workout.plates import PlateSet
from app.rules.workout.tasks import Movement, WorkItem
from app.rules.workout.written_work import BadWork, Named, WrittenWork, read_movements, read_scheme, read_work

Kind = Literal["minutes", "count", "number", "load", "unit", "plates", "movement", "movements", "scheme", "work", "choice", "yes"]

T = TypeVar("T")
Sets = Mapping[str, PlateSet]

LONGEST = 3 * 3600  # seconds in one window
YES: Mapping[str, bool] = {
    **dict.fromkeys(("yes", "on", "true", "1"), True),
    **dict.fromkeys(("no", "off", "false", "0", ""), False),
}
MINUTES = re.compile(r"(?:([0-9]{1,2}):)?([0-9]{1,3}):([0-5][0-9])")
NUMBER = re.compile(r"[0-9]{1,9}(?:[.,][0-9]{1,6})?")


class BadKnob(ValueError):
    """Raised when a knob is turned to something that can't be. `knob` is its key (empty: all of them together do not fit);
    the text is the sentence to show."""

    def __init__(self, knob: str, sentence: str) -> None:
        self.knob = knob
        self.sentence = sentence
        super().__init__(sentence)


@dataclass(frozen=True, slots=True)
class Knob:
    """One thing that a preset asks.

    kind says how it is typed: minutes (m:ss), count (a whole number), number (a decimal), load, unit (kg or lb), movement (a
    name, with a load behind it if it has one), movements (names, one a line), scheme (16-12-8), work (a written list), plates
    (the key of a set; empty: the first of the unit), choice (a key of `choices`), yes (yes or no). `low` and `high` bound counts,
    and seconds of minutes. A load left empty is `by_unit` in the unit chosen, or `of_plates` of the set chosen; `empty` says in
    words what any empty knob means, where empty is allowed. `lifted`: its movements are lifts for load.
    """

    key: str
    label: str
    kind: Kind
    default: str = ""
    choices: Mapping[str, str] = field(default_factory=dict)
    help: str = ""
    low: int = 0
    high: int = 0
    by_unit: Mapping[LoadUnit, str] = field(default_factory=dict)
    of_plates: Callable[[PlateSet], Load] | None = None
    empty: str = ""
    lifted: bool = False


NEW_EVENT = {"early_ms": 0}  # before GO nothing counts, unless somebody says so in the event


@dataclass(frozen=True, slots=True)
class Preset:
    """A common format: its name, one sentence, its knobs in order, and what makes the format from typed texts.

    `make` takes texts by the knobs' keys and the sets of plates that can be chosen, by theirs; what is missing is the default,
    what belongs to no knob is ignored, and no sets are those that are offered to begin from. It raises BadKnob and nothing else.
    """

    key: str
    name: str
    summary: str
    knobs: tuple[Knob, ...]
    build: "Callable[[Turned], Format]"

    def make(self, typed: Mapping[str, str], sets: Sets | None = None) -> Format:
        """The format that the knobs make."""
        turned = Turned(self.knobs, typed, sets)
        try:
            return self.build(turned).model_copy(update=NEW_EVENT)
        except ValidationError as wrong:
            said = str(wrong.errors()[0]["msg"]).removeprefix("Value error, ")
            raise BadKnob("", f"These do not fit together: {said}") from None

    def stands(self, typed: Mapping[str, str], sets: Sets | None = None) -> dict[str, str]:
        """What each knob stands for while it is empty, in words. Raises BadKnob."""
        turned = Turned(self.knobs, typed, sets)
        return {knob.key: turned.stands(knob.key) for knob in self.knobs}


def preset(key: str, name: str, summary: str, knobs: Sequence[Knob], build: "Callable[[Turned], Format]") -> Preset:
    """A preset from the function that builds its format out of turned knobs."""
    return Preset(key, name, summary, tuple(knobs), build)


class Turned:
    """Knobs as somebody turned them, read one by one; each reading raises BadKnob with a sentence that names the knob.

    `movements` collects the movements that were named, for the format.
    """

    def __init__(self, knobs: Sequence[Knob], typed: Mapping[str, str], sets: Sets | None = None) -> None:
        self._knobs = {knob.key: knob for knob in knobs}
        self._typed = typed
        self._sets: Sets = sets or {one.key: one.plates for one in offered()}
        self.movements: dict[str, Movement] = {}
        self.unit: LoadUnit = self._unit()

    def text(self, key: str) -> str:
        """What stands in a knob, without the blanks around it."""
        return self._typed.get(key, self._knobs[key].default).strip()

    def seconds(self, key: str) -> int:
        """A length typed as m:ss, in seconds."""
        knob, text = self._knobs[key], self.text(key)
        found = MINUTES.fullmatch(text)
        value = int(found[1] or 0) * 3600 + int(found[2]) * 60 + int(found[3]) if found else -1
        low, high = knob.low, knob.high or LONGEST
        if not low <= value <= high:
            self.refuse(key, f"is minutes:seconds from {minutes_text(low)} to {minutes_text(high)}, such as 3:30")
        return value

    def count(self, key: str) -> int:
        """A whole number within the knob's bounds."""
        value = self.count_or_none(key)
        return value if value is not None else self.refuse(key, self._bounds(key))

    def count_or_none(self, key: str) -> int | None:
        """A whole number within the knob's bounds, None when it is left empty."""
        knob, text = self._knobs[key], self.text(key)
        if not text:
            return None
        if not re.fullmatch(r"[0-9]{1,9}", text) or not knob.low <= int(text) <= knob.high:
            self.refuse(key, self._bounds(key))
        return int(text)

    def _bounds(self, key: str) -> str:
        return f"is a whole number from {self._knobs[key].low} to {self._knobs[key].high}"

    def number(self, key: str) -> Fraction:
        """A number that may have decimals; a comma is a decimal mark."""
        text = self.text(key)
        if not NUMBER.fullmatch(text) or re.fullmatch(r"[0-9]+,[0-9]{3}", text):
            self.refuse(key, "is a number such as 2 or 0.5, of at most nine digits and six decimals")
        return Fraction(text.replace(",", "."))

    def load(self, key: str) -> Load:
        """A load, in the preset's unit unless it names one."""
        text = self.text(key) or self.stands(key)
        try:
            return parse_load(text, self.unit)
        except BadMeasure as wrong:
            raise BadKnob(key, f"{self._knobs[key].label}: {wrong}") from None

    def plates(self) -> PlateSet:
        """The set of plates that was chosen, or the first with a bar in the preset's unit."""
        key = self.text("plates")
        if key:
            return self._sets[key] if key in self._sets else self.refuse("plates", "is one of the plate sets here")
        return next((one for one in self._sets.values() if one.bars[0].unit == self.unit), next(iter(self._sets.values())))

    def stands(self, key: str) -> str:
        """What a knob stands for while it is empty, in words."""
        knob = self._knobs[key]
        return knob.of_plates(self.plates()).text() if knob.of_plates else knob.by_unit.get(self.unit, knob.empty)

    def choice(self, key: str) -> str:
        """One of the knob's choices."""
        knob, text = self._knobs[key], self.text(key)
        if text not in knob.choices:
            self.refuse(key, f"is one of: {', '.join(knob.choices.values())}")
        return text

    def yes(self, key: str) -> bool:
        """Yes or no; a ticked box says `on`, an empty text is no."""
        text = self.text(key).casefold()
        return YES[text] if text in YES else self.refuse(key, "is yes or no")

    def scheme(self, key: str) -> tuple[int, ...]:
        """Repetitions such as 16-12-8."""
        return self._written(key, lambda: read_scheme(self.text(key)))

    def work(self, key: str, members: int = 1) -> WrittenWork:
        """A written list; its movements join the format's."""
        work = self._written(key, lambda: read_work(self.text(key), self.unit, members))
        self.movements |= work.movements
        return work

    def named(self, key: str) -> tuple[Named, ...]:
        """The movements that a knob names, with the loads behind their names. They join the format's by `use` or `counted`."""
        return self._written(key, lambda: read_movements(self.text(key), self.unit, lifted=self._knobs[key].lifted))

    def use(self, key: str, movement: Movement) -> str:
        """Puts a movement among the format's; its key there."""
        free = key
        for number in range(2, 100):
            if self.movements.setdefault(free, movement) == movement:
                break
            free = f"{key[:36]}_{number}"
        return free

    def counted(self, named: Named) -> str:
        """Puts a movement that is counted among the format's. What it is done with is told in its name from then on."""
        name = named.words or named.movement.name
        told = name if named.load is None else f"{name}, {named.load.text()}"
        return self.use(named.key, named.movement.model_copy(update={"name": told}))

    def item(self, named: Named, reps: int) -> WorkItem:
        """A line of a work list with a movement that a knob names, which joins the format's."""
        key = self.use(named.key, named.movement)
        return WorkItem(movement=key, words=named.words, reps=reps, load=named.load)

    def movement(self, key: str) -> str:
        """The key of the one movement that a knob names."""
        return self.counted(self.one(key))

    def lift(self, key: str) -> str:
        """The key of the one lift for load that a knob names."""
        return self.loadless(key, self.one(key))

    def loadless(self, key: str, named: Named) -> str:
        """The key of a movement whose load is said elsewhere."""
        if named.load is not None:
            self.refuse(key, "has no load here: loads have fields of their own")
        return self.use(named.key, named.movement)

    def one(self, key: str) -> Named:
        """The one movement that a knob names."""
        named = self.named(key)
        return named[0] if len(named) == 1 else self.refuse(key, "is one movement")

    def refuse(self, key: str, allowed: str) -> Never:
        """Raises BadKnob: the knob, what is allowed, what was typed."""
        text = self.text(key)
        raise BadKnob(key, f"{self._knobs[key].label} {allowed}; {f'not “{shown(text)}”' if text else 'it is empty'}.")

    def _unit(self) -> LoadUnit:
        if "unit" not in self._knobs or self.text("unit") == "kg":
            return "kg"
        return "lb" if self.text("unit") == "lb" else self.refuse("unit", "is kg or lb")

    def _written(self, key: str, read: Callable[[], T]) -> T:
        try:
            return read()
        except BadWork as wrong:
            raise BadKnob(key, f"{self._knobs[key].label}: {wrong}") from None
