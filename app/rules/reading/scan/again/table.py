"""What the table of a language says of sentences that say once more what an event says."""

from app.rules.values.shapes import Base


class AgainTable(Base):
    """Words by what they tell again: `order` that is `stated`; that the `clock` `stops`; that the `gear_alike` of `everybody` is
    the same; an `exampled` list of work; that `misses` are `free_of` anything; that `whatever` is done in a window
    `counts`, and what is `undone` is `lost`; how many are the `most`. Beside each stand those that it may hold; what
    `carries_nothing` may stand in all."""

    carries_nothing: tuple[str, ...]
    order: tuple[str, ...]
    stated: tuple[str, ...]
    of_order: tuple[str, ...]
    clock: tuple[str, ...]
    stops: tuple[str, ...]
    of_clock: tuple[str, ...]
    of_countdown: tuple[str, ...]
    everybody: tuple[str, ...]
    gear_alike: tuple[str, ...]
    of_same: tuple[str, ...]
    exampled: tuple[str, ...]
    of_example: tuple[str, ...]
    misses: tuple[str, ...]
    free_of: tuple[str, ...]
    of_misses: tuple[str, ...]
    whatever: tuple[str, ...]
    undone: tuple[str, ...]
    counts: tuple[str, ...]
    lost: tuple[str, ...]
    of_minutes: tuple[str, ...]
    most: tuple[str, ...]
    of_most: tuple[str, ...]
