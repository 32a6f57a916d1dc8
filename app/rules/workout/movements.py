"""The movement library: general movements with their standards, faults and cautions in our own words, found by the names that
people write. Every competition has its own standards: what is here is a beginning to edit, not a rule of any federation."""

import re
import unicodedata
from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType

from app.rules.values.texts import unfit
from app.rules.values.units import Load, LoadUnit, Rounding, decimal_text, round_to
from app.rules.workout.movement_library import Described
from app.rules.workout.movement_library_bars import BARS
from app.rules.workout.movement_library_body import BODY
from app.rules.workout.movement_library_ground import GROUND
from app.rules.workout.tasks import Fault, Movement

DESCRIBED: Mapping[str, Described] = MappingProxyType({one.key: one for one in BARS + BODY + GROUND})
LIBRARY: Mapping[str, Movement] = MappingProxyType({key: one.movement for key, one in DESCRIBED.items()})

MOST_KEY = 40
MOST_WORDS = 60  # characters of a movement's name as typed
POUND_BOUNDS = Fraction(10)  # bounds in pounds are rounded down to tens


def movement(
    key: str, unit: LoadUnit = "kg", *, lifted: bool = False, fastest_ms: int | None = None, heaviest: Load | None = None
) -> Movement:
    """A movement of the library with its bounds in `unit`, for counting or, `lifted`, for a lift as heavy as possible.

    As a lift it has more faults, and the judge says "no lift" and not "no rep". `fastest_ms` and `heaviest` replace the library's
    bounds. Raises KeyError for a key that is not in LIBRARY.
    """
    described = DESCRIBED[key]
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
    plain = same_name(name)
    if plain in NAMES:
        return NAMES[plain], movement(NAMES[plain], unit, lifted=lifted)
    shown = _checked(name)
    if plain in LIKE:
        return key_of(shown), movement(LIKE[plain], unit, lifted=lifted).model_copy(update={"name": shown})
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


PLURALS = (("ches", "ch"), ("shes", "sh"), ("sses", "ss"), ("xes", "x"), ("ies", "y"))


def same_name(name: str) -> str:
    """A name so that `Pull-ups`, `pull up` and `PULLUPS` are the same."""
    flat = unicodedata.normalize("NFKC", name).casefold().replace("'", "").replace("’", "")
    return "".join(_singular(word) for word in re.findall(r"[^\W_]+|[&+]", flat))


def _singular(word: str) -> str:
    for ending, one in PLURALS:
        if word.endswith(ending):
            return word.removesuffix(ending) + one
    return word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 2 else word


def key_of(name: str) -> str:
    """A key for a new movement: its name in plain small letters."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "_", plain).strip("_")[:MOST_KEY].strip("_") or "movement"


def _names() -> dict[str, str]:
    found: dict[str, str] = {}
    for key, one in DESCRIBED.items():
        for name in (key, one.movement.name, *one.called):
            found[same_name(name)] = key
    return found


NAMES: Mapping[str, str] = MappingProxyType(_names())
LIKE: Mapping[str, str] = MappingProxyType({same_name(name): key for key, one in DESCRIBED.items() for name in one.like})
