"""One played sheet for each preset, with the scores that were added up by hand. tests/vectors/ takes the same sheets."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from app.rules.workout.formats import Format
from app.rules.workout.presets import PRESETS
from tests.builders.cast import Plain, Sheet

Play = Callable[[Sheet], list[Plain]]


@dataclass(frozen=True, slots=True)
class Played:
    """What was typed into a preset's knobs, what the sheet holds, and the scores it gives, as shown."""

    preset: str
    play: Play
    scores: tuple[str, ...]
    typed: Mapping[str, str] = field(default_factory=dict)

    @property
    def format(self) -> Format:
        """The format that the preset makes."""
        return PRESETS[self.preset].make(self.typed)


def taps(*windows: tuple[int, int]) -> Play:
    """(first second, repetitions): a repetition each second."""
    return lambda sheet: [sheet.rep(1000 * (start + i)) for start, count in windows for i in range(count)]


def finished(count: int, at: int) -> Play:
    """So many repetitions, one each second from second 1, and the finish at `at` ms."""
    return lambda sheet: [*taps((1, count))(sheet), sheet.mark("finish", at)]


def _max_load(sheet: Sheet) -> list[Plain]:
    """Two missed and one made under 100 kg, then 110 kg missed: the best is 100 kg."""
    first, second = sheet.declare(10_000, "100 kg"), sheet.declare(200_000, "110 kg")
    outcomes = [(30_000, "100 kg", False, first), (60_000, "100 kg", True, first), (230_000, "110 kg", False, second)]
    lifts = [sheet.lift(at, load, good, None if good else "depth", under["id"]) for at, load, good, under in outcomes]
    return [first, *lifts, second, sheet.mark("racked", 400_000, declared=second["id"])]


def _lift(sheet: Sheet, at: int, load: str, good: bool = True, **body: int) -> list[Plain]:
    """A declaration and what came of it."""
    declared = sheet.declare(at, load)
    lift = sheet.lift(at + 20_000, load, good, declared=declared["id"])
    lift["body"] |= body
    return [declared, lift]


def _snatch_and_jerk(sheet: Sheet) -> list[Plain]:
    """An hour for each lift and ten minutes between."""
    snatches = [*_lift(sheet, 30_000, "80 kg"), *_lift(sheet, 200_000, "84 kg", False), *_lift(sheet, 400_000, "84 kg")]
    jerks = [*_lift(sheet, 4_300_000, "100 kg"), *_lift(sheet, 4_500_000, "104 kg"), *_lift(sheet, 4_700_000, "108 kg", False)]
    return [*snatches, *jerks]


def _in_rounds(pressed: bool) -> Play:
    """One squat, one press that is good or not, one deadlift."""
    return lambda sheet: [
        *_lift(sheet, 30_000, "150 kg"),
        *_lift(sheet, 4_300_000, "100 kg", pressed),
        *_lift(sheet, 8_500_000, "180 kg"),
    ]


def _climb(sheet: Sheet) -> list[Plain]:
    """70, 77.5 (at the second try), 85 kg; twice 92.5 kg missed; 100 kg good, after being out. Windows begin 1:30 apart."""
    first = [*_lift(sheet, 5_000, "70 kg"), *_lift(sheet, 95_000, "77.5 kg", False), *_lift(sheet, 130_000, "77.5 kg")]
    last = [*_lift(sheet, 275_000, "92.5 kg", False), *_lift(sheet, 310_000, "92.5 kg", False)]
    return [*first, *_lift(sheet, 185_000, "85 kg"), *last, *_lift(sheet, 365_000, "100 kg")]


def _three_lifts(sheet: Sheet) -> list[Plain]:
    """Each lift has ten minutes and six of rest: squat from 0:00, bench from 16:00, clean from 32:00."""
    squats = [*_lift(sheet, 30_000, "130 kg"), *_lift(sheet, 200_000, "136 kg", False), *_lift(sheet, 400_000, "136 kg")]
    presses = [*_lift(sheet, 970_000, "92 kg"), *_lift(sheet, 1_100_000, "97 kg", False)]
    cleans = [*_lift(sheet, 1_930_000, "90 kg"), *_lift(sheet, 2_050_000, "98 kg"), *_lift(sheet, 2_170_000, "104 kg")]
    return [*squats, *presses, *cleans, *_lift(sheet, 2_290_000, "110 kg", False), *_lift(sheet, 2_410_000, "108 kg")]


def _sets(sheet: Sheet) -> list[Plain]:
    """100 kg for 12 and 120 kg for 8 in the first window, 140 kg for 7 in the second, nothing in the third."""
    first = [*_lift(sheet, 5_000, "100 kg", reps=12), *_lift(sheet, 60_000, "120 kg", reps=8)]
    return [*first, *_lift(sheet, 250_000, "140 kg", reps=7)]


def _two_parts(sheet: Sheet) -> list[Plain]:
    """40 repetitions, then 80 kg good and 85 kg not; the lift begins at 5:30."""
    return [*taps((1, 40))(sheet), *_lift(sheet, 430_000, "80 kg"), *_lift(sheet, 500_000, "85 kg", False)]


def _shared_bar(sheet: Sheet) -> list[Plain]:
    """A makes 100 and 110 kg, B 60 kg, at one bar."""
    tries = ((10_000, "100 kg", 1), (100_000, "60 kg", 2), (200_000, "110 kg", 1))
    marks: list[Plain] = []
    for at, load, member in tries:
        declared, lift = _lift(sheet, at, load, member=member)
        declared["body"]["member"] = member
        marks += [declared, lift]
    return marks


def _pair(sheet: Sheet) -> list[Plain]:
    """A: 28 step-ups, 64 sit-ups, 72 kg. B: 58 kg, 70 sit-ups, 31 step-ups."""
    first = [*taps((1, 28), (241, 64))(sheet), *_lift(sheet, 490_000, "72 kg")]
    return [*first, *_lift(sheet, 700_000, "58 kg"), *taps((931, 70), (1171, 31))(sheet)]


def _thrown(sheet: Sheet) -> list[Plain]:
    """Three throws in windows of a minute with a minute between: 9.87 m read to a millimetre, 10.4 m, one beyond the hall."""
    read = ((20_000, "9.876"), (140_000, "10.4"), (260_000, "180"))
    return [sheet.mark("measure", at, value=value) for at, value in read]


PLAYED: dict[str, Played] = {
    # 10, 14 and 8 in windows of 3:30 with 1:30 between, which begin at 0:00, 5:00, 10:00.
    "one window after another, added up": Played(
        "most_reps", taps((1, 10), (301, 14), (601, 8)), ("32",), {"windows": "3", "score": "total"}
    ),
    "the best window": Played("most_reps", taps((1, 10), (301, 14), (601, 8)), ("14",), {"windows": "3", "score": "best"}),
    "the lowest window": Played("most_reps", taps((1, 10), (301, 14), (601, 8)), ("8",), {"windows": "3", "score": "lowest"}),
    "the lowest window dropped": Played(
        "most_reps", taps((1, 10), (301, 14), (601, 8)), ("24",), {"windows": "3", "score": "drop"}
    ),
    # Three stations of 50 seconds with 20 between begin at 0:00, 1:10, 2:20; the second round at 3:30.
    "stations": Played("stations", taps((0, 12), (70, 20), (140, 9), (210, 11)), ("52",)),
    # 14 each minute; 14, 15 (one too many does not count), then 7 and out: what comes after does not count.
    "every minute, missed in the third": Played("every_minute", taps((0, 14), (60, 15), (120, 7), (180, 14)), ("35",)),
    # 8, 9, 10 and then 10 of 11: 37 repetitions, and nothing after.
    "one more each minute, missed in the fourth": Played(
        "one_more", taps((0, 8), (60, 9), (120, 10), (180, 10), (240, 12)), ("37",)
    ),
    # Rungs of 5 and 5, then 8 swings and 1 lunge: 10 + 9.
    "a ladder of repetitions": Played("rep_ladder", taps((1, 19)), ("19",)),
    # A round has 28: two rounds and 11.
    "rounds until the bell": Played("rounds", taps((1, 67)), ("67",)),
    # 20 cal count 20, the run 1: 2 rounds of 5 + 1 + 20 and 5 more.
    "rounds with a measured line": Played("rounds", taps((1, 19)), ("57",), {"work": "5 pull-ups\n400 m run\n20 cal row"}),
    # 2 x (16 + 12 + 8) = 72, finished at 5:40.25.
    "a scheme, finished": Played("for_time", finished(72, 340_250), ("5:40.25",)),
    "a scheme, capped": Played("for_time", taps((1, 62)), ("capped, 10 left",)),
    # 10 left at a cap of 11:00, two seconds each.
    "a scheme, capped, seconds added": Played("for_time", taps((1, 62)), ("11:20",), {"capped": "adds", "adds": "2"}),
    # Four rounds of a row (one tap), 18 and 12: 124 taps.
    "a written list, finished": Played("for_time_list", finished(124, 640_000), ("10:40",)),
    "a written list, capped": Played("for_time_list", taps((1, 60)), ("capped, 64 left",)),
    # 70, 76, 82, 88 kg done; then 150, 165, 180 lb, two of each.
    "a ladder of loads": Played("load_ladder", taps((1, 4)), ("88",)),
    "a ladder of loads, two on a rung": Played("load_ladder", taps((1, 7)), ("180",), {"unit": "lb", "reps": "2"}),
    "as heavy as possible": Played("max_load", _max_load, ("100",)),
    "as heavy as possible, a pair at one bar": Played("max_load", _shared_bar, ("170",), {"members": "2", "use": "shared"}),
    "a load that grows from window to window": Played("growing_load", _climb, ("85",)),
    # 136 + 92 + 104: the fifth clean is one attempt too many, and lighter than the one before.
    "three lifts summed": Played("lifts_summed", _three_lifts, ("332",)),
    # 84 + 104, and each by itself.
    "a rising bar": Played("rising_bar", _snatch_and_jerk, ("188", "84", "104")),
    # 150 + 100 + 180; without a good press there is no total.
    "lifts in rounds": Played("lifts_in_rounds", _in_rounds(True), ("430", "150", "100", "180")),
    "lifts in rounds, and no good press": Played(
        "lifts_in_rounds", _in_rounds(False), ("no total", "150", "no good lift", "180")
    ),
    # 1200 beats 960; 980 in the second window.
    "load times repetitions": Played("load_times_reps", _sets, ("2180",)),
    "load times repetitions, the best set": Played("load_times_reps", _sets, ("1200",), {"score": "best"}),
    # 9.87 after its step of a centimetre; 180 m is out of bounds.
    "a measured number, the best of three": Played(
        "measured",
        _thrown,
        ("10.4",),
        {"movement": "Throw", "step": "0.01", "high": "100", "window": "1:00", "windows": "3", "rest": "1:00"},
    ),
    "a time held": Played(
        "measured",
        lambda sheet: [sheet.mark("measure", 200_000, value="185")],
        ("3:05",),
        {"movement": "Plank hold", "measure": "s"},
    ),
    # Four members, 26 taps each.
    "a relay": Played("relay", finished(104, 600_000), ("10:00",)),
    "a relay with a part for each": Played(
        "relay", taps((1, 25)), ("capped, 5 left",), {"members": "2", "work": "A: 20 burpees\nB: 10 pull-ups"}
    ),
    # 2 members x 20 x 5 turns = 200, 150 done.
    "you go, I go": Played("turns", taps((1, 150)), ("capped, 50 left",)),
    "you go, I go, until the bell": Played("turns", taps((1, 150)), ("150",), {"ends": "bell"}),
    "shared work": Played("shared", taps((1, 200)), ("capped, 10 left",)),
    "a pair in step": Played("together", finished(72, 300_000), ("5:00",)),
    # Windows of 1:00 with 0:20 between: A 20, B 18, A 16.
    "one works, one holds": Played("holding", taps((0, 20), (80, 18), (160, 16)), ("54",)),
    # 28 + 64 + 72 + 58 + 70 + 31.
    "a mirrored pair": Played("mirrored_pair", _pair, ("323",)),
    "two scores": Played("two_scores", _two_parts, ("40", "80")),
    "two parts in one score": Played("two_scores", _two_parts, ("120",), {"scores": "one"}),
}
