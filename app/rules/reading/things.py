"""The things that are done, as movements and lines of an event's work: which movement a name means, which load is meant, what a
number counts. What is not said, or could be two things, is asked."""

import difflib
import re
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from app.rules.reading.drafts import Draft, Loaded, Work
from app.rules.reading.talk import LEAVE_OUT, Remark, Span, Talk
from app.rules.reading.versions.instead import of_version
from app.rules.reading.versions.loaded_work import BARBELL, cast_in_kg, is_boxed, loadable
from app.rules.values.clock_times import minutes_text
from app.rules.values.units import BadMeasure, Load, LoadUnit, plain_decimal
from app.rules.workout.movements import MOST_WORDS, library, lookup, movement, named_movement
from app.rules.workout.presets.teams import together, while_held
from app.rules.workout.tasks import Movement, WorkItem

UNITS = {
    "KG": "kg",
    "LB": "lb",
    "M": "m",
    "KM": "km",
    "YD": "yd",
    "MI": "mi",
    "FT": "ft",
    "IN": "in",
    "CM": "cm",
    "CAL": "cal",
    "KJ": "kJ",
}
# A kettlebell of 1, 1.5 or 2 pood is cast as 16, 24 or 32 kg; common practice, no source.
POODS = {"0.5": "8", "1": "16", "1.25": "20", "1.5": "24", "1.75": "28", "2": "32", "2.5": "40", "3": "48"}
# What is told by a distance or by calories, not by a count.
MEASURED = ("run", "row", "bike", "ski", "swim", "carry", "sled_push")
HELD = (
    *("plank_hold", "side_plank", "l_sit", "wall_sit", "hollow_hold", "dead_hang", "flexed_arm_hang", "handstand_hold"),
    *("barbell_hold", "overhead_hold", "deadlift_hold"),
)
MOST_REPS = 10_000
CLOSE, FEW = 0.75, 3  # how alike two names are for one to be offered for the other, and how many are
TALLEST_INCHES = 36  # of a box; a greater number without a unit is centimetres


@dataclass(slots=True)
class Things:
    """What is done, for one version of the event: `pick` is 0 for the event as written, 1 for the other version."""

    draft: Draft
    talk: Talk
    pick: int = 0
    movements: dict[str, Movement] = field(default_factory=dict)
    held: Movement | None = None  # what another member holds while the lines of a list are done

    def unit(self) -> LoadUnit:
        """The unit of loads: as the text says it, else that of the loads in it, else kilograms."""
        if self.draft.unit:
            return "lb" if self.draft.unit == "lb" else "kg"
        named = {UNITS.get(load.unit, "kg") for load in self._loads() if load.unit}
        return "lb" if named == {"lb"} else "kg"

    def _loads(self) -> list[Loaded]:
        every = [work.load for stretch in self.draft.stretches for work in stretch.works if work.load]
        return every + [load for _, load in self.draft.loose]

    def use(self, key: str, described: Movement) -> str:
        """Puts a movement among the event's; its key there."""
        free = key
        for number in range(2, 100):
            if self.movements.setdefault(free, described) == described:
                break
            free = f"{key[:36]}_{number}"
        return free

    def on_a_line(self, key: str, described: Movement) -> tuple[str, str | None]:
        """The key of a line's movement among the event's, and what it is called there where that is not its name."""
        known = next((key for key, one in self.movements.items() if _same(one, described)), None)
        if known is None:
            return self.use(key, described), None
        return known, None if self.movements[known].name == described.name else described.name

    def of_version(self, work: Work) -> Work:
        """What is done in this version in place of a thing: itself in most."""
        return of_version(self.draft, self.pick, work)

    def described(self, work: Work, lifted: bool = False) -> tuple[str, Movement] | None:
        """The movement of a line of work and its key; None where the line is left out."""
        work = self.of_version(work)
        if not work.known or lookup(work.name, lifted=lifted).key is None:
            return self._unknown(work, lifted)
        return named_movement(work.name, self.unit(), lifted=lifted)

    def _unknown(self, work: Work, lifted: bool) -> tuple[str, Movement] | None:
        if len(work.name) > MOST_WORDS:
            self.talk.red(work.span, "No movement in this is known.")
            return None
        answers = self._offers(work)
        said = f"“{work.name}” is no movement that the library knows."
        answers.append((LEAVE_OUT, "It is no part of the work"))
        told = self.talk.ask("movement", work.thing, said, answers)
        if told == LEAVE_OUT:
            self.talk.kept.append(Remark(work.name, work.span))
            return None
        if told in library().described:
            return told, movement(told, self.unit(), lifted=lifted)
        try:
            key, own = named_movement(work.name, self.unit(), lifted=lifted)
        except ValueError as wrong:
            self.talk.red(work.span, str(wrong))
            return None
        if told == "like":
            own = movement(work.key, self.unit(), lifted=lifted).model_copy(update={"name": own.name})
        return key, own

    def _offers(self, work: Work) -> list[tuple[str, str]]:
        known = library().movements
        offers = []
        if work.key:
            offers = [("like", f"One of its own, with the standards of {known[work.key].name}"), (work.key, known[work.key].name)]
        offers += [(key, known[key].name) for key in _near(work.name.casefold(), tuple(known)) if key != work.key]
        return [*offers, ("own", "A new movement, without standards")]

    def item(self, work: Work, reps: int | None = None) -> WorkItem | None:
        """A line of an event's work; `reps` where a scheme says how many. None where it is left out or can't be said."""
        work = self.of_version(work)
        if work.rest:
            return WorkItem(movement=self.use("rest", Movement(name="Rest")), reps=1, note=minutes_text(work.rest))
        found = self.described(work)
        if found is None:
            return None
        described = together(found[1]) if work.sync or self.draft.sharing == "SYNC" else found[1]
        described = while_held(described, self.held) if self.held is not None else described
        counted = self._counted(work, reps)
        if counted is None:
            return None
        number, worth, notes = counted
        notes += [text for text in (self.loads_of_both(work), self._size(work), work.note) if text]
        key, words = self.on_a_line(found[0], described)
        return WorkItem(
            movement=key,
            words=words,
            reps=number,
            worth=worth if work.worth is None else work.worth,
            load=self.load(work.load, work),
            note=", ".join(notes) or None,
            who="all" if work.sync and self.draft.sharing not in ("", "SYNC") else work.who,
        )

    def _counted(self, work: Work, reps: int | None) -> tuple[int, int, list[str]] | None:
        """Repetitions, what each is worth, and the notes that say a distance, calories or a time."""
        amount = work.amount
        if amount is None or not amount.values:
            return self._uncounted(work, reps)
        if self.draft.of_both and len(amount.values) > 1:
            told = "Two numbers of repetitions in one mixed entry can't be said yet: the first is taken."
            self.talk.cannot(work.span, told)
        value = self.picked(amount.values, work.span)
        if reps is not None and amount.kind == "reps":
            if not work.own_number:
                self.talk.red(work.span, "It has a number of its own under a scheme of repetitions.")
                return None
            reps = None
        match amount.kind:
            case "reps":
                return self._measured(work, value) or self._sides(work, value)
            case "calories":
                return self._whole(work, value) and (1, int(value), [f"{value} {UNITS[amount.unit]}"])
            case "time":
                return 1, 1, [minutes_text(int(value))]
            case _:
                return 1, 1, [f"{plain_decimal(value)} {UNITS[amount.unit]}"]

    def _measured(self, work: Work, value: str) -> tuple[int, int, list[str]] | None:
        """`400 run`: metres, most likely, but a number alone does not say it. None where repetitions are counted."""
        if not work.known or work.key not in MEASURED or not value.isdigit():
            return None
        answers = [("m", "Metres"), ("cal", "Calories"), ("reps", "Repetitions")]
        told = self.talk.ask("counted", work.span, f"“{value}” of “{work.name}”: of what?", answers)
        return None if told == "reps" else (1, int(value) if told == "cal" else 1, [f"{value} {told}"])

    def _uncounted(self, work: Work, reps: int | None) -> tuple[int, int, list[str]] | None:
        amount = work.amount
        if reps is not None and amount is not None:
            unit = UNITS[amount.unit]
            return 1, reps if unit == "cal" else 1, [f"{reps} {unit}"]
        if reps is not None and work.key not in MEASURED:
            return self._sides(work, str(reps))
        if work.key in MEASURED:
            self.talk.red(work.span, "How far, or how many calories, is not said.")
            return None
        if reps is None:
            asked = f"How many of “{work.name}” is not said."
            return self.talk.count("amount", work.span, asked, (10, 15, 20)), 1, []
        return None

    def _whole(self, work: Work, value: str) -> Literal[True] | None:
        if value.isdigit() and 0 < int(value) <= MOST_REPS:
            return True
        self.talk.red(work.span, f"Calories and repetitions are whole numbers from 1 to {MOST_REPS}.")
        return None

    def _sides(self, work: Work, value: str) -> tuple[int, int, list[str]] | None:
        if not self._whole(work, value):
            return None
        if not work.each_side:
            return int(value), 1, []
        twice = str(2 * int(value))
        answers = [("twice", f"{twice} are counted: {value} on each side"), ("once", f"{value} are counted")]
        asked = f"“{value} {work.name}” on each side: how many are counted?"
        told = self.talk.ask("sides", work.span, asked, answers)
        return (int(twice), 1, [f"{value} each side"]) if told == "twice" else (int(value), 1, ["each side"])

    def picked(self, values: tuple[str, ...], span: Span) -> str:
        """The number of this version."""
        if len(values) > self.draft.versions:
            self.talk.red(span, "Three numbers: an event has one, and one for another version.")
        if not all(value.strip("0.") for value in values):
            self.talk.red(span, "A number here is more than zero.")
        if self.draft.paired and len(values) == len(self.draft.paired) < self.draft.versions:
            told = self.talk.text[span.start : span.end]
            self.talk.assume(f"“{told}”: the same for the {' and the '.join(self.draft.paired)} of every version.", span)
            return values[self.pick % len(values)]
        if 1 < len(values) < self.draft.versions:
            self.talk.red(span, f"Here stand {len(values)} numbers, and there are {self.draft.versions} versions.")
        return values[min(self.pick, len(values) - 1)]

    def _size(self, work: Work) -> str:
        size, load = work.size, work.load
        if size is not None and load is not None and not load.unit and is_boxed(work):
            self.talk.red(work.span, "Two heights.")
        if size is not None and self.draft.of_both and len(size.values) > 1:
            return self._of_both(size.values, UNITS[size.unit])
        if size is not None:
            return f"{plain_decimal(self.picked(size.values, work.span))} {UNITS[size.unit]}"
        if load is not None and not load.unit and is_boxed(work):
            value = self.picked(load.values, load.span)
            unit = "in" if Fraction(value) <= TALLEST_INCHES else "cm"
            self.talk.assume(f"{work.name}: {value} is {'inches' if unit == 'in' else 'centimetres'}.", load.span)
            if self.draft.of_both and len(load.values) > 1:
                return self._of_both(load.values, unit)
            return f"{plain_decimal(value)} {unit}"
        return ""

    def loads_of_both(self, work: Work) -> str:
        """`men 60 kg, women 40 kg`: the loads of a man and a woman of one entry; empty where a thing has one load, or none."""
        load = work.load
        if load is None or not self.draft.of_both or len(load.values) < 2 or (not load.unit and is_boxed(work)):
            return ""
        unit = UNITS.get(load.unit) or ("pood" if load.unit == "POOD" else self._unit_of_others(load, work))
        return self._of_both(load.values, unit)

    def _of_both(self, values: tuple[str, ...], unit: str) -> str:
        told = zip(self.draft.of_both, values, strict=False)
        return ", ".join(f"{who} {plain_decimal(value)} {unit}" for who, value in told)

    def load(self, load: Loaded | None, work: Work) -> Load | None:
        """A load of this version. A number without its unit is asked about, unless every other load has the same one."""
        if own_weight(work) and load is not None:
            self.talk.red(work.span, f"“{work.note}” and a load are told.")
        elif own_weight(work):
            said = "a load that is another one for everybody" if loadable(work) else "how hard it is done"
            self.talk.cannot(work.span, f"“{work.note}”: {said} can't be said yet; it is a note.")
        if load is None or (not load.unit and is_boxed(work)):
            return None
        if self.draft.of_both and len(load.values) > 1:
            return None  # stands as a note
        value = self.picked(load.values, load.span)
        if load.unit == "POOD":
            if plain_decimal(value) not in POODS:
                self.talk.red(load.span, "Kettlebells of so many pood are not known.")
                return None
            self.talk.assume(f"{value} pood is {POODS[plain_decimal(value)]} kg.", load.span)
            return Load(POODS[plain_decimal(value)], "kg")
        unit = UNITS.get(load.unit) or self._unit_of_others(load, work)
        try:
            return Load(plain_decimal(value), "lb" if unit == "lb" else "kg")
        except BadMeasure as wrong:
            self.talk.red(load.span, str(wrong))
            return None

    def _unit_of_others(self, load: Loaded, work: Work) -> str:
        named = {UNITS.get(one.unit, "kg") for one in self._loads() if one.unit}
        if self.draft.unit or len(named) == 1:
            unit = self.draft.unit or named.pop()
            self.talk.assume(f"“{self.talk.text[load.span.start : load.span.end]}” is {unit}, as other loads are.", load.span)
            return unit
        heights = {work.size.unit for stretch in self.draft.stretches for work in stretch.works if work.size and work.size.unit}
        unit = OF_HEIGHTS.get(next(iter(heights)), "") if len(heights) == 1 else ""
        if unit and not (unit == "lb" and cast_in_kg(load, work)):
            self.talk.assume(f"“{self.talk.text[load.span.start : load.span.end]}” is {unit}, as heights are told.", load.span)
            return unit
        if any(COMMA_OF_A_DECIMAL.search(self.talk.text, one.span.start, one.span.end) for one in self._loads()):
            told = self.talk.text[load.span.start : load.span.end]
            self.talk.assume(f"“{told}” is kg: where a decimal has a comma, loads are in kilograms.", load.span)
            return "kg"
        first = next((one for one in self._loads() if not one.unit), load)  # asked once for all
        asked = f"“{self.talk.text[first.span.start : first.span.end]}”: kilograms or pounds?"
        return self.talk.ask("unit", first.span, asked, [("kg", "Kilograms"), ("lb", "Pounds")])


OWN_WEIGHT = re.compile(r"\bbody ?weight\b|\d ?%")
COMMA_OF_A_DECIMAL = re.compile(r"\d,\d{1,2}(?!\d)")  # `22,5`, and not `1,000`; common practice, no source
OF_HEIGHTS = {"CM": "kg", "IN": "lb"}


@lru_cache(maxsize=512)
def _near(name: str, keys: tuple[str, ...]) -> tuple[str, ...]:
    """The movements of the library, which are these, whose names are most like one: a text is read several times."""
    names = {library().movements[key].name.casefold(): key for key in keys}
    return tuple(names[found] for found in difflib.get_close_matches(name, list(names), FEW, CLOSE))


def _same(one: Movement, other: Movement) -> bool:
    """Whether two are one movement, be it under two names that the library knows to be the same."""
    if one.library != other.library:
        return False
    if one.name == other.name or one.library is None:
        return one == other
    key = lookup(one.name).key
    return key is not None and key == lookup(other.name).key and one.model_copy(update={"name": other.name}) == other


def is_such(key: str, named: str) -> bool:
    """Whether a movement is the named one, or a kind of it by its name: strict pull-ups are pull-ups."""
    return key == named or key.endswith(f"_{named}")


def has_more(work: Work, *, load: bool = False) -> bool:
    """Whether something is said beside a thing that goes nowhere where only its name counts; `load` where a load does."""
    return bool(work.size or work.note or work.each_side or work.worth is not None or (work.load and not load))


def own_weight(work: Work) -> bool:
    """Whether the load is a share of somebody's body or best, which is told as a note."""
    return OWN_WEIGHT.search(work.note.casefold()) is not None


def needs_bar(work: Work) -> bool:
    """Whether a barbell is needed for it."""
    described = library().described.get(work.key)
    return described is not None and BARBELL in described.needs
