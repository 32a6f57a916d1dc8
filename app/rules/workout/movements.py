"""The movement library, found by the names that people write. Every competition has its own standards: what is there is a
beginning to edit, not a rule of any federation."""

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from app.rules.values.tables import made_of
from app.rules.values.texts import unfit
from app.rules.values.units import Load, LoadUnit, Rounding, decimal_text, round_to
from app.rules.workout.movement_library import Library, read_library
from app.rules.workout.movement_names import key_of, same_name
from app.rules.workout.tasks import Fault, Movement

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


def lookup(words: str) -> Found:
    """The movement of the library that somebody means by a name. Never a guess: what is only like a movement is unknown.

    `words` are the name alone, without a number or a load.
    """
    known = library()
    key = known.names.get(known.plain(words))
    if key is None:
        return Found(None, "unknown")
    return Found(key, "exact" if same_name(words) == same_name(known.described[key].movement.name) else "alias")


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
    return made.model_copy(update={"heaviest": bound, "faults": faults, "fastest_ms": fastest})


def _bound_in(bound: Load, unit: LoadUnit) -> Load:
    if unit == bound.unit:
        return bound
    return Load(decimal_text(round_to(bound.in_unit(unit), POUND_BOUNDS, Rounding.DOWN)), unit)


def _as_lift(fault: Fault) -> Fault:
    return fault.model_copy(update={"say": (fault.say or "").replace("No rep", "No lift") or None})


def named_movement(name: str, unit: LoadUnit = "kg", *, lifted: bool = False) -> tuple[str, Movement]:
    """The movement that somebody means by a name, and a key for it: one of the library, one that borrows the standards of a
    library movement it is like, or a new one without standards.

    The case, plurals, hyphens and blanks do not matter. Raises ValueError with a sentence for a name that can't be one.
    """
    known = library()
    plain = known.plain(name)
    if plain in known.names:
        return known.names[plain], movement(known.names[plain], unit, lifted=lifted)
    shown = _checked(name)
    if plain in known.like:
        return key_of(shown), movement(known.like[plain], unit, lifted=lifted).model_copy(update={"name": shown})
    return key_of(shown), Movement(name=shown)


def _checked(name: str) -> str:
    """A new movement's name with a capital, or ValueError."""
    text = " ".join(name.split())
    if not any(c.isalpha() for c in text):
        raise ValueError("A movement has a name, such as “Pull-ups”.")
    if len(text) > MOST_WORDS or unfit(text):
        raise ValueError(f"A movement's name has at most {MOST_WORDS} characters that can be printed.")
    # Some letters have no single capital; the name must not grow past its bound by it.
    return text[0].upper() + text[1:] if len(text[0].upper()) == 1 else text
