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


def _three_lifts(sheet: Sheet) -> list[Plain]:
    """Each lift has nine minutes and five of rest: squat from 0:00, bench from 14:00, deadlift from 28:00."""
    squats = [*_lift(sheet, 30_000, "150 kg"), *_lift(sheet, 200_000, "160 kg", False), *_lift(sheet, 400_000, "160 kg")]
    presses = [*_lift(sheet, 850_000, "100 kg"), *_lift(sheet, 1_000_000, "105 kg", False)]
    pulls = [*_lift(sheet, 1_700_000, "180 kg"), *_lift(sheet, 1_800_000, "200 kg")]
    return [*squats, *presses, *pulls, *_lift(sheet, 1_900_000, "210 kg", False), *_lift(sheet, 2_000_000, "205 kg")]


def _sets(sheet: Sheet) -> list[Plain]:
    """100 kg for 12 and 120 kg for 8 in the first window, 140 kg for 7 in the second, nothing in the third."""
    first = [*_lift(sheet, 5_000, "100 kg", reps=12), *_lift(sheet, 60_000, "120 kg", reps=8)]
    return [*first, *_lift(sheet, 250_000, "140 kg", reps=7)]


def _two_parts(sheet: Sheet) -> list[Plain]:
    """40 repetitions, then 80 kg good and 85 kg not; the lift begins at 7:00."""
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
    """A: 30 presses, 90 skips, 120 kg. B: 90 kg, 100 skips, 25 presses."""
    first = [*taps((1, 30), (241, 90))(sheet), *_lift(sheet, 490_000, "120 kg")]
    return [*first, *_lift(sheet, 610_000, "90 kg"), *taps((841, 100), (1081, 25))(sheet)]


def _thrown(sheet: Sheet) -> list[Plain]:
    """Three throws in windows of a minute with a minute between: 9.87 m read to a millimetre, 10.4 m, one beyond the hall."""
    read = ((20_000, "9.876"), (140_000, "10.4"), (260_000, "180"))
    return [sheet.mark("measure", at, value=value) for at, value in read]


PLAYED: dict[str, Played] = {
    # 10, 14 and 8 in windows of 2:00 with 1:00 between, which begin at 0:00, 3:00, 6:00.
    "one window after another, added up": Played(
        "most_reps", taps((1, 10), (181, 14), (361, 8)), ("32",), {"windows": "3", "score": "total"}
    ),
    "the best window": Played("most_reps", taps((1, 10), (181, 14), (361, 8)), ("14",), {"windows": "3", "score": "best"}),
    "the lowest window": Played("most_reps", taps((1, 10), (181, 14), (361, 8)), ("8",), {"windows": "3", "score": "lowest"}),
    "the lowest window dropped": Played(
        "most_reps", taps((1, 10), (181, 14), (361, 8)), ("24",), {"windows": "3", "score": "drop"}
    ),
    # Four stations of a minute with 15 seconds between begin at 0:00, 1:15, 2:30, 3:45; the second round at 5:00.
    "stations": Played("stations", taps((0, 12), (75, 20), (150, 9), (225, 11), (300, 10)), ("62",)),
    # 12 each minute; 12, 13 (one too many does not count), then 7 and out: what comes after does not count.
    "every minute, missed in the third": Played("every_minute", taps((0, 12), (60, 13), (120, 7), (180, 12)), ("31",)),
    # 1, 2, 3 and then 3 of 4: 9 repetitions, and nothing after.
    "one more each minute, missed in the fourth": Played("one_more", taps((0, 1), (60, 2), (120, 3), (180, 3), (240, 5)), ("9",)),
    # Rungs of 2 and 2, 4 and 4, then 6 deadlifts and 1 jump: 4 + 8 + 7.
    "a ladder of repetitions": Played("rep_ladder", taps((1, 19)), ("19",)),
    # A round has 30: two rounds and 7.
    "rounds until the bell": Played("rounds", taps((1, 67)), ("67",)),
    # 20 cal count 20, the run 1: 2 rounds of 5 + 1 + 20 and 5 more.
    "rounds with a measured line": Played("rounds", taps((1, 19)), ("57",), {"work": "5 pull-ups\n400 m run\n20 cal row"}),
    # 2 x (21 + 15 + 9) = 90, finished at 5:40.25.
    "a scheme, finished": Played("for_time", finished(90, 340_250), ("5:40.25",)),
    "a scheme, capped": Played("for_time", taps((1, 80)), ("capped, 10 left",)),
    # 10 left at a cap of 12:00, two seconds each.
    "a scheme, capped, seconds added": Played("for_time", taps((1, 80)), ("12:20",), {"capped": "adds", "adds": "2"}),
    # Three rounds of a run (one tap), 30 and 20: 153 taps.
    "a written list, finished": Played("for_time_list", finished(153, 700_000), ("11:40",)),
    "a written list, capped": Played("for_time_list", taps((1, 60)), ("capped, 93 left",)),
    # 60, 65, 70, 75 kg done.
    "a ladder of loads": Played("load_ladder", taps((1, 4)), ("75",)),
    "a ladder of loads, two on a rung": Played("load_ladder", taps((1, 7)), ("155",), {"unit": "lb", "reps": "2"}),
    "as heavy as possible": Played("max_load", _max_load, ("100",)),
    "as heavy as possible, a pair at one bar": Played("max_load", _shared_bar, ("170",), {"members": "2", "use": "shared"}),
    # 160 + 100 + 200: the fourth deadlift is one attempt too many, and lighter than the one before.
    "three lifts summed": Played("lifts_summed", _three_lifts, ("460",)),
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
    # Four members, 31 taps each.
    "a relay": Played("relay", finished(124, 600_000), ("10:00",)),
    "a relay with a part for each": Played(
        "relay", taps((1, 25)), ("capped, 5 left",), {"members": "2", "work": "A: 20 burpees\nB: 10 pull-ups"}
    ),
    # 2 members x 20 x 5 turns = 200, 150 done.
    "you go, I go": Played("turns", taps((1, 150)), ("capped, 50 left",)),
    "you go, I go, until the bell": Played("turns", taps((1, 150)), ("150",), {"ends": "bell"}),
    "shared work": Played("shared", taps((1, 200)), ("capped, 40 left",)),
    "a pair in step": Played("together", finished(90, 300_000), ("5:00",)),
    # Windows of 1:00 with 0:20 between: A 20, B 18, A 16.
    "one works, one holds": Played("holding", taps((0, 20), (80, 18), (160, 16)), ("54",)),
    # 30 + 90 + 120 + 90 + 100 + 25.
    "a mirrored pair": Played("mirrored_pair", _pair, ("455",)),
    "two scores": Played("two_scores", _two_parts, ("40", "80")),
    "two parts in one score": Played("two_scores", _two_parts, ("120",), {"scores": "one"}),
}
