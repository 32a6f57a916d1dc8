"""What the table of a language says of sentences that say once more what an event says."""

from app.rules.values.shapes import Base


class AgainTable(Base):
    """Words by what they tell again: `order` that is `stated`; that the `clock` `stops`; that the `gear_alike` of `everybody` is
    the same; an `exampled` list of work; that `misses` are `free_of` anything; that `whatever` is done in a window `counts`, and
    what is `undone` is `lost`; how many are the `most`. What is `scored`: what is counted (`reps` to `rounds`), `summed`, the
    `best_of` several, the `least`, the `quickest`, what each is `worth`. How long it is `lasting`; that one `rests` for what is
    `left_of` a time, or `left_over` of one of the `windows`; a heading `of_totals`; that nobody `lets_go` of a complex's bar;
    that there is no `scaling`; one of the `members`; where a `course` `turns_at`; which `pieces` stand behind one of the
    `gear_heads`. Beside each stand those that it may hold; what `carries_nothing` may stand in all."""

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
    reps: tuple[str, ...]
    loads: tuple[str, ...]
    calories: tuple[str, ...]
    distance: tuple[str, ...]
    seconds: tuple[str, ...]
    times: tuple[str, ...]
    rounds: tuple[str, ...]
    summed: tuple[str, ...]
    best_of: tuple[str, ...]
    least: tuple[str, ...]
    quickest: tuple[str, ...]
    scored: tuple[str, ...]
    of_scores: tuple[str, ...]
    worth: tuple[str, ...]
    lasting: tuple[str, ...]
    of_lasting: tuple[str, ...]
    rests: tuple[str, ...]
    left_of: tuple[str, ...]
    left_over: tuple[str, ...]
    windows: tuple[str, ...]
    of_rests: tuple[str, ...]
    of_totals: tuple[str, ...]
    lets_go: tuple[str, ...]
    scaling: tuple[str, ...]
    members: tuple[str, ...]
    turns_at: tuple[str, ...]
    course: tuple[str, ...]
    gear_heads: tuple[str, ...]
    pieces: tuple[str, ...]
    of_pieces: tuple[str, ...]
    of_most: tuple[str, ...]
