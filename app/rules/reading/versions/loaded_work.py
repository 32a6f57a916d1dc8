"""With what a line of work is done, as far as its load and its height go."""

from fractions import Fraction

from app.rules.reading.drafts import Draft, Loaded, Work
from app.rules.workout.movements import library

BARBELL = "bar"
# What people call the thing that a movement is done with.
GEARS = {
    "bar": ("bar",),
    "dumbbell": ("dumbbell",),
    "dumbbells": ("dumbbell",),
    "kettlebell": ("kettlebell",),
    "ball": ("ball",),
    "slam_ball": ("ball",),
    "sandbag": ("sandbag",),
    "load": ("sandbag",),
    "sled": ("sled",),
}
LOADABLE = (BARBELL, "dumbbell", "dumbbells", "kettlebell", "ball", "slam_ball", "sandbag", "load", "sled")


def done_with(work: Work, gear: str) -> bool:
    """Whether it is done with that: a bar, a kettlebell, what its name says (a tyre); or is that movement."""
    return gear == work.key or gear in GEARS.get(with_what(work), ()) or (bool(work.load) and gear in work.key.split("_"))


def loadable(work: Work) -> bool:
    """Whether it is done with a load."""
    return bool(with_what(work))


def with_what(work: Work) -> str:
    """With what it is loaded; empty for a movement of the body alone."""
    described = library().described.get(work.key)
    if described is None or described.movement.heaviest is None:  # a burpee over a dumbbell is done without a load
        return ""
    return next((thing for thing in LOADABLE if thing in described.needs), "")


def told_later(draft: Draft, work: Work) -> bool:
    """Whether it tells the load or the height of what is done already (`Wall ball: 9 kg` below `30 wall balls`), and gives it."""
    alike = [one for stretch in draft.stretches for one in stretch.works if one.key == work.key and (one.amount or one.most)]
    bare = alike and all(one.load is None for one in alike) if work.load else alike and all(one.size is None for one in alike)
    if work.amount is not None or work.most or not work.known or not (work.load or work.size) or not bare:
        return False
    for one in alike:
        one.load, one.size = one.load or work.load, one.size or work.size
        one.versions = one.versions or work.versions
    return True


def is_as_high(work: Work, of: str) -> bool:
    """Whether a height of that thing may be its height: of a box, of a target, of a movement by its key, of anything with one."""
    if of == "target":
        described = library().described.get(work.key)
        return described is not None and not {"ball", "high_target"}.isdisjoint(described.needs)
    return is_boxed(work) if of == "box" else of in ("", work.key)


def is_boxed(work: Work) -> bool:
    """Whether it is done at a box, which has a height."""
    described = library().described.get(work.key)
    return described is not None and "box" in described.needs


# A kettlebell of so many is one of kilograms, and so is what is lighter than any in pounds; common practice, no source.
KETTLEBELLS_IN_KG = {8, 12, 16, 20, 24, 28, 32, 36, 40, 48}
LIGHTEST_IN_LB = 10


def cast_in_kg(load: Loaded, work: Work) -> bool:
    """Whether a number without a unit may be kilograms though heights are in inches: `24/16` of a kettlebell."""
    values, described = {Fraction(value) for value in load.values}, library().described.get(work.key)
    bell = described is not None and "kettlebell" in described.needs
    return min(values) < LIGHTEST_IN_LB or (bell and values <= KETTLEBELLS_IN_KG)
