"""The movement library, found by the names that people write. Every competition has its own standards: what is there is a
beginning to edit, not a rule of any federation."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Literal

from app.rules.values.tables import made_of
from app.rules.values.texts import unfit
from app.rules.values.units import Load, LoadUnit, Rounding, decimal_text, round_to
from app.rules.values.words import ENGLISH, decimal, in_force, known
from app.rules.workout.movement_library import Library, read_library
from app.rules.workout.movement_names import key_of, same_name
from app.rules.workout.tasks import Fault, Movement

LOADED = re.compile(r"(.*?)(,? [0-9][0-9.]* (?:kg|lb))")  # a name with its load: `Dumbbell snatches, 17.5 kg`
MOST_WORDS = 60  # characters of a movement's name as typed
POUND_BOUNDS = Fraction(10)  # bounds in pounds are rounded down to tens


@dataclass(frozen=True, slots=True)
class Found:
    """The movement that typed words mean, by its key, and how sure that is: `exact`, the library's own name, whatever its case,
    plurals, hyphens and blanks; `alias`, another name of the same thing; `unknown`, none of the library, and then no key."""

    key: str | None
    sure: Literal["exact", "alias", "unknown"]


def library() -> Library:
    """The movement library that was handed in. Raises NotHandedIn, BadTable."""
    return made_of("movements", read_library)


def lookup(words: str, *, lifted: bool = False) -> Found:
    """The movement of the library that somebody means by a name. Never a guess: what is only like a movement is unknown.

    `words` are the name alone, without a number or a load. `lifted`: it is lifted for load; a squat is a back squat then, and
    among repetitions nobody can tell.
    """
    there = library()
    plain = there.plain(words)
    key = there.names.get(plain) or (there.lifts.get(plain) if lifted else None)
    if key is None:
        return Found(None, "unknown")
    return Found(key, "exact" if same_name(words) == same_name(there.described[key].movement.name) else "alias")


def shown_name(name: str) -> str:
    """A movement's name as people read it: in another language than English the library's there, where it knows the movement by
    that name; else as it was typed."""
    told = known(name)
    if told != name or in_force().language in (ENGLISH, ""):
        return told
    key = lookup(name).key
    if key is None and (loaded := LOADED.fullmatch(name)):
        return f"{shown_name(loaded[1])}{decimal(loaded[2])}"
    return known(library().described[key].movement.name) if key else name


def movement(
    key: str, unit: LoadUnit = "kg", *, lifted: bool = False, fastest_ms: int | None = None, heaviest: Load | None = None
) -> Movement:
    """A movement of the library with its bounds in `unit`, for counting or, `lifted`, for a lift as heavy as possible.

    As a lift it has more faults, and the judge says "no lift" and not "no rep". `fastest_ms` and `heaviest` replace the library's
    bounds. Raises KeyError for a key that the library has not.
    """
    described = library().described[key]
    made = described.movement
    bound = heaviest or (None if made.heaviest is None else _bound_in(made.heaviest, unit))
    faults, fastest = made.faults, fastest_ms or made.fastest_ms
    if lifted:
        faults, fastest = tuple(_as_lift(fault) for fault in made.faults + described.lift_faults), fastest_ms
    return made.model_copy(update={"library": key, "heaviest": bound, "faults": faults, "fastest_ms": fastest})


def before_referees(made: Movement) -> Movement:
    """A movement as it is lifted where referees call it: the library's signals of it stand before its standards, and not to wait
    for one is a fault. Unchanged where the library has none, or they stand there."""
    described = library().described.get(made.library or "")
    if described is None or not described.signals or described.signals[0] in made.standards:
        return made
    faults = (*made.faults, _as_lift(library().unsignalled))
    return made.model_copy(update={"standards": (*described.signals, *made.standards), "faults": faults})


def _bound_in(bound: Load, unit: LoadUnit) -> Load:
    if unit == bound.unit:
        return bound
    return Load(decimal_text(round_to(bound.in_unit(unit), POUND_BOUNDS, Rounding.DOWN)), unit)


def _as_lift(fault: Fault) -> Fault:
    return fault.model_copy(update={"say": (fault.say or "").replace("No rep", "No lift") or None})


def named_movement(name: str, unit: LoadUnit = "kg", *, lifted: bool = False) -> tuple[str, Movement]:
    """The movement that somebody means by a name, and a key for it: one that begins as a movement of the library, or a new one
    without standards. It is called as it was typed.

    Raises ValueError with a sentence for a name that can't be one.
    """
    typed, key = typed_words(name), lookup(name, lifted=lifted).key
    if key is None:
        return key_of(typed), Movement(name=typed)
    return key, movement(key, unit, lifted=lifted).model_copy(update={"name": typed})


def typed_words(name: str) -> str:
    """A movement's name as it was typed, but for blanks beside blanks. Raises ValueError for one that can't be a name."""
    text = " ".join(name.split())
    if not any(c.isalpha() for c in text):
        raise ValueError("A movement has a name, such as “Pull-ups”.")
    if len(text) > MOST_WORDS or unfit(text):
        raise ValueError(f"A movement's name has at most {MOST_WORDS} characters that can be printed.")
    return text


class Called:
    """An event's movements by what people call them."""

    def __init__(self, names: Mapping[str, str] = MappingProxyType({})) -> None:
        self._keys: dict[tuple[int, str], str] = {}
        for key, name in names.items():
            self.add(key, name)

    def add(self, key: str, name: str) -> None:
        """One more movement, under its key. Of two that can't be told apart, the first stays."""
        for way in self._ways(name):
            self._keys.setdefault(way, key)

    def meant(self, words: str) -> str | None:
        """The key of the movement that somebody means: the one that is called so to the letter, else but for its case, else but
        for plurals, hyphens and blanks, else the one that the library knows to be the same. None if there is none."""
        return next((self._keys[way] for way in self._ways(words) if way in self._keys), None)

    @staticmethod
    def _ways(words: str) -> list[tuple[int, str]]:
        ways = [words, words.casefold(), same_name(words), lookup(words).key or ""]
        return [(number, way) for number, way in enumerate(ways) if way]
