"""With what a line of work is done, as far as its load and its height go."""

from app.rules.reading.drafts import Draft, Work
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


def is_boxed(work: Work) -> bool:
    """Whether it is done at a box, which has a height."""
    described = library().described.get(work.key)
    return described is not None and "box" in described.needs
