"""Scenes on the formats that the presets make: each preset's shape of task is folded in at least one, in both languages."""

from app.rules.workout.formats import Format
from app.rules.workout.presets import PRESETS
from tests.builders.cast import Plain, Sheet
from tests.builders.played import PLAYED, Play, Played, finished, taps

# (what happens, preset, what was typed, the sheet); small, for every mark of them is kept in tally.json.
SHORT: list[tuple[str, str, dict[str, str], Play]] = [
    ("three windows with rests", "most_reps", {"windows": "3"}, taps((1, 4), (301, 5), (601, 3))),
    ("stations in two rounds", "stations", {"rounds": "2"}, taps((0, 3), (70, 4), (140, 2), (210, 5))),
    ("so many every minute, missed in the third", "every_minute", {"reps": "3"}, taps((0, 3), (60, 4), (120, 2), (180, 3))),
    ("a miss that puts nobody out", "every_minute", {"reps": "3", "miss_puts_out": "no"}, taps((0, 2), (60, 3))),
    ("one more each minute until a miss", "one_more", {"windows": "5", "reps": "1"}, taps((0, 1), (60, 2), (120, 2), (180, 4))),
    ("up a ladder of repetitions", "rep_ladder", {"window": "1:00"}, taps((1, 9))),
    ("round after round", "rounds", {"work": "2 pull-ups\n20 cal row"}, taps((1, 8))),
    ("a scheme finished", "for_time", {"scheme": "3-2"}, finished(10, 40_250)),
    ("a scheme with a tap too many", "for_time", {"scheme": "1-1"}, finished(5, 40_250)),
    ("a list in rounds, cut short", "for_time_list", {"work": "2 rounds:\n400 m run = 40\n3 swings"}, taps((1, 6))),
    ("up a ladder of loads", "load_ladder", {"rungs": "5"}, taps((1, 4))),
    ("a relay with a part for each", "relay", {"members": "2", "work": "A: 3 dips\nB: 2 burpees"}, finished(5, 30_000)),
    ("you go, I go, until the bell", "turns", {"work": "2 swings", "ends": "bell"}, taps((1, 7))),
    ("shared work, capped", "shared", {"work": "4 pull-ups\n4 push-ups"}, taps((1, 5))),
    ("in step", "together", {"work": "4 burpees"}, finished(4, 20_500)),
    ("one works, one holds", "holding", {"rounds": "1"}, taps((0, 3), (80, 4))),
]
# Played sheets short enough to keep as they are: every preset with a declared load or a measured number.
KEPT = (
    *("as heavy as possible", "as heavy as possible, a pair at one bar", "three lifts summed", "load times repetitions"),
    "a load that grows from window to window",
    *("a measured number, the best of three", "a time held", "a rising bar", "lifts in rounds, and no good press"),
)


def _mirrored(sheet: Sheet) -> list[Plain]:
    declared = sheet.declare(485_000, "100 kg")
    lift = sheet.lift(500_000, "100 kg", True, declared=declared["id"])
    return [*taps((1, 2), (241, 3))(sheet), declared, lift, *taps((931, 2), (1171, 1))(sheet)]


def _two_parts(sheet: Sheet) -> list[Plain]:
    declared = sheet.declare(425_000, "80 kg")
    return [*taps((1, 3))(sheet), declared, sheet.lift(440_000, "80 kg", False, "press", declared["id"])]


def bare(format: Format) -> Format:
    """The format without the words of its movements, which no tally reads."""
    wordless = {"standards": (), "faults": (), "cautions": ()}
    return format.model_copy(update={"movements": {k: m.model_copy(update=wordless) for k, m in format.movements.items()}})


def scenes() -> dict[str, Played]:
    """The scenes by name."""
    short = {name: Played(preset, play, (), typed) for name, preset, typed, play in SHORT}
    short |= {"both members of a mirrored pair": Played("mirrored_pair", _mirrored, ())}
    short |= {"repetitions, then a lift that fails": Played("two_scores", _two_parts, ())}
    return short | {name: PLAYED[name] for name in KEPT}


def formats() -> dict[str, Format]:
    """One small format of each preset, for odd mixtures of marks."""
    small = {preset: typed for _, preset, typed, _ in reversed(SHORT)}
    return {key: bare(preset.make(small.get(key, {}))) for key, preset in sorted(PRESETS.items())}
