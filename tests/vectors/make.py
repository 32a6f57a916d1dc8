"""Writes the made vectors, such as tally.json and plates.json: cases that both languages must answer alike.

The expected values come from the Python side; tests/rules/ holds the facts that were worked out by hand. Run from the checkout:
`python -m tests.vectors.make`.
"""

import json
import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from app.rules.count.beyond import TOO_MANY, most_marks
from app.rules.count.clock import Offset, moment_at
from app.rules.count.sheet_clock import SheetClock
from app.rules.count.tally import fold
from app.rules.records.document import Run
from app.rules.records.holding import Hold, heat_time
from app.rules.records.marks import parse_mark, parse_received
from app.rules.records.moves import heat_state
from app.rules.workout.formats import CountTask, Format, ListTask, Window, WorkItem
from tests.builders import out_scenes
from tests.builders.cast import FORMATS, Sheet, a_format, plain_load, take
from tests.builders.links import FIRST_PINGS, Journey, Link
from tests.vectors import (
    again_scenes,
    authority_scenes,
    fault_scenes,
    judge_scenes,
    law_scenes,
    lift_order_scenes,
    lift_scenes,
    marking_scenes,
    number_scenes,
    plate_scenes,
    preset_scenes,
    score_scenes,
    turn_scenes,
    typed_loads,
)
from tests.vectors.lifting import declared_scenes, doubt_scenes, opener_scenes
from tests.vectors.reference import SleepyOffset, moment_plain, rfc5905_offset, tally_plain

HERE = Path(__file__).parent


def _case(name: str, format: Format, marks: list[dict[str, Any]]) -> dict[str, Any]:
    expect = tally_plain(fold(format, [parse_mark(mark) for mark in marks]))
    return {"name": name, "call": "fold", "args": [json.loads(format.model_dump_json()), marks], "expect": expect}


def _timed(name: str, format: Format, marks: list[dict[str, Any]], holds: Sequence[Hold], shift_ms: int = 0) -> dict[str, Any]:
    clock = {"holds": [hold.model_dump() for hold in holds], "shift_ms": shift_ms}
    tally = fold(format, [parse_mark(mark) for mark in marks], SheetClock(tuple(holds), shift_ms))
    args = [json.loads(format.model_dump_json()), marks, clock]
    return {"name": name, "call": "fold", "args": args, "expect": tally_plain(tally)}


def timed_cases() -> list[dict[str, Any]]:
    """Sheets of heats that were held, and of clocks that were started by hand."""
    cases = [_timed(name, FORMATS[format], make(Sheet()), holds, shift) for name, format, make, holds, shift in TIMED_SCENES]
    chance = random.Random(40)
    for number in range(18):
        format = FORMATS[sorted(FORMATS)[number % len(FORMATS)]]
        mixed = _mixture(chance, format, "tab-a")
        odd = {mark["id"]: _on_an_odd_clock(chance, mark) for mark in mixed}
        marks = [odd[mark["id"]] for mark in mixed]
        length = format.length_ms
        starts = sorted(chance.randrange(length) for _ in range(chance.randrange(1, 4)))
        holds = [Hold(at_ms=at, for_ms=chance.randrange(length // 2)) for at in starts]
        if number % 3 == 0:
            holds[-1] = Hold(at_ms=starts[-1])
        cases.append(_timed(f"mixture {number} in a held heat", format, marks, holds, chance.choice([0, 1400, -900])))
    return cases


def _on_an_odd_clock(chance: random.Random, mark: dict[str, Any]) -> dict[str, Any]:
    held = {"held": chance.randrange(40_000)} if chance.random() < 0.3 else {}
    hand = {"hand": True} if chance.random() < 0.3 else {}
    return {**mark, "body": {**mark["body"], **held, **hand}}


def tally_cases() -> list[dict[str, Any]]:
    """Named scenes, then odd mixtures of every kind of mark from a fixed seed."""
    cases = [_case(name, FORMATS[format], make(Sheet())) for name, format, make in SCENES]
    chance = random.Random(20)
    for number in range(24):
        key = sorted(FORMATS)[number % len(FORMATS)]
        device = chance.choice(["tab-a", "tab-b"])
        cases.append(_case(f"mixture {number} on {key}", FORMATS[key], _mixture(chance, FORMATS[key], device)))
    for number in range(12):
        key = sorted(FORMATS)[number % len(FORMATS)]
        marks = _mixture(chance, FORMATS[key], "tab-a") + _mixture(chance, FORMATS[key], "tab-b")
        cases.append(_case(f"mixture {number} of two tablets on {key}", FORMATS[key], marks))
    cases += [_case(name, format, marks) for name, format, marks in [*score_scenes.sheets(), *out_scenes.sheets()]]
    cases += [_case(name, format, [Sheet().rep(1_000)]) for name, format in as_many_as_possible()]
    return cases + lift_cases() + preset_cases() + list(law_scenes.vectors(random.Random(15), 40))


def as_many_as_possible() -> Iterator[tuple[str, Format]]:
    """A list whose last line is more than a minute holds, and lists that lack little of one: of those it is told what is left."""
    for name, reps, more in (
        ("as many as possible", 240, {}),
        ("all but as many as possible", 239, {}),
        ("more than anybody does, for time", 240, {"unit": "s", "better": "less"}),
        ("more than anybody does, in the shorter of two windows", 240, {}),
        ("more than anybody does, and who misses it is out", 240, {}),
    ):
        items = (WorkItem(movement="squat", reps=1, worth=0), WorkItem(movement="swing", reps=reps))
        made = a_format(ListTask(items=items), take("time" if more else "sum"), **more)
        longer = Window(start=60, seconds=61, task="work", who=(1,))
        yield (
            name,
            made.model_copy(
                update={
                    "windows": (*made.windows, longer) if "two windows" in name else made.windows,
                    "miss_puts_out": name.endswith("is out"),
                }
            ),
        )


def beyond_cases() -> list[dict[str, Any]]:
    """A sheet on which one seat made more marks than hands do, some without a receipt, and another one few; in any order."""
    chance, sheet = random.Random(11), Sheet()
    format = a_format(CountTask(movement="squat")).model_copy(
        update={"windows": (Window(start=0, seconds=1, task="work", who=(1,)),)}
    )
    marks = [sheet.mark("norep", chance.randrange(1_000)) for _ in range(most_marks(format) + 9)]
    numbers = chance.sample(range(1, 2_000), len(marks))
    came = [
        mark | {"receipt": {"number": number, "seat": "lane", "clock": 2_000}}
        for mark, number in zip(marks, numbers, strict=True)
    ]
    came += [
        sheet.rep(chance.randrange(1_000)) | {"receipt": {"number": 3_000 + n, "seat": "second", "clock": 2_000}}
        for n in range(3)
    ]
    came += [sheet.rep(chance.randrange(1_000)) for _ in range(3)]
    came.append(sheet.mark("stop", 900, why="x") | {"receipt": {"number": 4_000, "seat": "lane", "clock": 2_000}})
    chance.shuffle(came)
    expect = tally_plain(fold(format, [parse_received(mark) for mark in came]))
    assert sum(flag["why"] == TOO_MANY for flag in expect["flags"]) == 9
    args = [json.loads(format.model_dump_json()), came]
    return [{"name": "more marks than hands make", "call": "fold", "args": args, "expect": expect}]


def lift_cases() -> list[dict[str, Any]]:
    """Scenes of lift windows under rules of every kind, then odd mixtures for two lifters at one bar and at a bar each."""
    cases = [_case(name, lift_scenes.FORMATS[format], make(Sheet())) for name, format, make in lift_scenes.SCENES]
    chance = random.Random(77)
    for number in range(30):
        key = sorted(lift_scenes.FORMATS)[number % len(lift_scenes.FORMATS)]
        marks = lift_scenes.mixture(chance, Sheet())
        cases.append(_case(f"lifting mixture {number} on {key}", lift_scenes.FORMATS[key], marks))
    for number in range(30):
        key = sorted(lift_scenes.GROWN)[number % len(lift_scenes.GROWN)]
        marks = lift_scenes.climbs(chance, lift_scenes.GROWN[key])
        cases.append(_case(f"a load that grows {number}, {key}", lift_scenes.GROWN[key], marks))
    return cases


def judge_cases() -> list[dict[str, Any]]:
    """Lifts that three judges decide, each on a sheet of their own."""
    chance = random.Random(5)
    made = [*judge_scenes.scenes(), *((f"judges' mixture {n}", judge_scenes.mixture(chance)) for n in range(12))]
    format = json.loads(judge_scenes.THREE.model_dump_json())
    cases = []
    for name, sheets in made:
        tally = judge_scenes.together(judge_scenes.THREE, sheets)
        assert tally is not None
        cases.append({"name": name, "call": "judged_tally", "args": [format, sheets], "expect": tally_plain(tally)})
    timed = json.loads(judge_scenes.TIMED.model_dump_json())
    for number in range(24):
        sheets = judge_scenes.mixture(chance)
        ruled = judge_scenes.ruled_on(chance, sheets)
        tally = judge_scenes.together(judge_scenes.TIMED, sheets, ruled)
        assert tally is not None
        admitted = sorted({str(one["mark"]) for one in ruled})  # what a packet tells: their lift was judged anew
        args = [timed, sheets, {"holds": [], "shift_ms": 0, "ruled": ruled, "admitted": admitted}]
        cases.append({"name": f"lifts ruled on {number}", "call": "judged_tally", "args": args, "expect": tally_plain(tally)})
    return cases


def preset_cases() -> list[dict[str, Any]]:
    """A sheet on each preset's shape of task, and an odd mixture on each."""
    cases = [_case(name, preset_scenes.bare(one.format), one.play(Sheet())) for name, one in preset_scenes.scenes().items()]
    chance = random.Random(3)
    for key, format in preset_scenes.formats().items():
        cases.append(_case(f"mixture on {key}", format, _mixture(chance, format, "tab-a")))
    return cases


def _mixture(chance: random.Random, format: Format, device: str) -> list[dict[str, Any]]:
    sheet = Sheet(device=device)
    marks: list[dict[str, Any]] = []
    for _ in range(chance.randrange(5, 40)):
        at = chance.randrange(-2000, format.length_ms + 3000)
        win = chance.choice([None, None, chance.randrange(len(format.windows) + 1)])
        marks.append(_odd_mark(chance, sheet, at, win, [mark["id"] for mark in marks]))
    marks += chance.sample(marks, k=min(3, len(marks)))
    chance.shuffle(marks)
    return marks


def _odd_mark(chance: random.Random, sheet: Sheet, at: int, win: int | None, ids: list[str]) -> dict[str, Any]:
    known = chance.choice(ids) if ids else "0" * 32
    load = chance.choice(["100 kg", "102.5 kg", "225 lb", "44 lb", "1005 lb", "225.5 lb"])
    kind = chance.choice(
        ["rep"] * 6
        + ["norep", "declare", "begun", "loaded", "lift", "lift", "racked", "finish", "measure", "strike", "stop", "note", "sign"]
    )
    match kind:
        case "rep" | "norep" | "finish":
            return sheet.mark(kind, at, win)
        case "declare":
            return sheet.declare(at, load, win)
        case "lift":
            declared = chance.choice([None, known])
            return sheet.lift(at, load, chance.random() < 0.6, declared=declared, win=win)
        case "begun":
            return sheet.mark("begun", at, win, **({"declared": known} if chance.random() < 0.5 else {}))
        case "loaded":
            wrong: dict[str, Any] = {"load": plain_load(load), "by": chance.choice(["judge", "loader"])}
            if chance.random() < 0.4:
                wrong["declared"] = known
            if chance.random() < 0.3:
                wrong["uneven"] = True
            if chance.random() < 0.3:
                wrong["keep"] = chance.random() < 0.5
            return sheet.mark("loaded", at, win, **wrong)
        case "racked":
            return sheet.mark("racked", at, win, **({"declared": known} if chance.random() < 0.5 else {}))
        case "measure":
            return sheet.mark("measure", at, win, value=chance.choice(["12", "12.5", "0", "99999", "7.25"]))
        case "strike":
            return sheet.mark("strike", at, None, mark=known)
        case "stop":
            return sheet.mark("stop", at, None, why="Rope broke")
        case "note":
            return sheet.mark("note", at, None, text="Looked tired")
        case _:
            return sheet.mark("sign", at, None, who=chance.choice(["judge", "athlete"]), name=chance.choice(["Io", "Wren"]))


def _counted(sheet: Sheet) -> list[dict[str, Any]]:
    return [sheet.rep(at) for at in (0, 1_000, 2_500, 179_999)]


def _struck(sheet: Sheet) -> list[dict[str, Any]]:
    marks = [sheet.rep(at) for at in (1_000, 2_000, 3_000)]
    return [*marks, sheet.strike(4_000, marks[2]), sheet.rep(5_000)]


def _strike_of_a_strike(sheet: Sheet) -> list[dict[str, Any]]:
    rep = sheet.rep(1_000)
    strike = sheet.strike(2_000, rep)
    return [rep, strike, sheet.strike(3_000, strike)]


def _round_the_bell(sheet: Sheet) -> list[dict[str, Any]]:
    return [sheet.rep(at, 0) for at in (-1_001, -1_000, -1, 0, 179_999, 180_000, 180_999, 181_000)]


def _lifted(sheet: Sheet) -> list[dict[str, Any]]:
    first = sheet.declare(481_000, "94 kg")
    second = sheet.declare(530_000, "98.5 kg")
    return [
        first,
        sheet.lift(490_000, "94 kg", False, "depth", first["id"]),
        sheet.lift(500_000, "94 kg", True, declared=first["id"]),
        sheet.mark("racked", 505_000, declared=first["id"]),
        second,
        sheet.lift(560_000, "98.5 kg", True, declared=second["id"]),
    ]


def _undeclared(sheet: Sheet) -> list[dict[str, Any]]:
    return [sheet.lift(490_000, "14 kg", True), sheet.lift(500_000, "452 kg", True)]


def _list_done(sheet: Sheet) -> list[dict[str, Any]]:
    return [sheet.rep(1_000 * i) for i in range(1, 14)] + [sheet.mark("finish", 14_250)]


def _list_short(sheet: Sheet) -> list[dict[str, Any]]:
    return [sheet.rep(1_000 * i) for i in range(1, 6)] + [sheet.mark("finish", 9_000)]


def _ladder(sheet: Sheet) -> list[dict[str, Any]]:
    first = [sheet.rep(1_000 * i) for i in range(1, 5)]
    second = [sheet.rep(60_000 + 1_000 * i) for i in range(1, 4)]
    third = [sheet.rep(120_000 + 1_000 * i) for i in range(1, 3)]
    return first + second + third


def _attempts(sheet: Sheet) -> list[dict[str, Any]]:
    marks: list[dict[str, Any]] = []
    for at, load, good in ((5_000, "100 kg", True), (25_000, "95 kg", True), (50_000, "105 kg", False), (70_000, "106 kg", True)):
        declared = sheet.declare(at, load)
        marks += [declared, sheet.lift(at + 5_000, load, good, declared=declared["id"])]
    return [*marks, sheet.lift(80_000, "106 kg", True, declared=marks[-2]["id"])]


def _measures(sheet: Sheet) -> list[dict[str, Any]]:
    return [
        sheet.mark("measure", at, value=value)
        for at, value in ((10_000, "12.5"), (20_000, "14.25"), (30_000, "9000"), (40_000, "13"))
    ]


def _handed_over(sheet: Sheet) -> list[dict[str, Any]]:
    successor = Sheet(device="tab-b")
    dead = [sheet.rep(at, 0) for at in (1_000, 2_000, 3_000)]
    return [successor.rep(at, 0) for at in (6_000, 7_000)] + dead


def _counted_twice(sheet: Sheet) -> list[dict[str, Any]]:
    """The second counts beside the first, goes on alone for a while (the first is quiet), and again beside it."""
    second = Sheet(device="tab-0")
    return [sheet.rep(at, 0) for at in (1_000, 2_000, 3_000, 30_000, 31_000)] + [
        second.rep(at, 0) for at in (1_400, 2_300, 8_000, 8_001, 12_000, 24_999, 25_000, 30_500, 31_500, 36_001)
    ]


def _stray_touch(sheet: Sheet) -> list[dict[str, Any]]:
    """One tablet is left for another, which counts on, and is touched once more."""
    other = Sheet(device="tab-b")
    return [sheet.rep(1_000, 0), *(other.rep(1_000 * n, 0) for n in range(2, 20)), sheet.rep(19_500, 0)]


def _three_by_turns(sheet: Sheet) -> list[dict[str, Any]]:
    """The third takes over for good; of the first two it can't be said who counted."""
    chance, others = random.Random(19), [sheet, Sheet(device="tab-b")]
    mixed = [chance.choice(others).rep(at, 0) for at in sorted(chance.sample(range(0, 90_000, 500), 30))]
    third = Sheet(device="tab-0")
    return [*mixed, *(third.rep(at, 0) for at in range(91_000, 99_000, 1_000))]


def _lifts_judged_twice(sheet: Sheet) -> list[dict[str, Any]]:
    second = Sheet(device="tab-b")
    return [
        sheet.lift(490_000, "94 kg", False),
        second.lift(490_700, "94 kg", True),
        second.declare(500_000, "98 kg"),
        sheet.lift(520_000, "94 kg", True),
        second.lift(520_100, "94 kg", True),
    ]


SCENES: list[tuple[str, str, Any]] = [
    ("an empty sheet", "pair", lambda sheet: []),
    ("repetitions on both edges of a window", "pair", _counted),
    ("a strike-out takes back the third", "pair", _struck),
    ("a strike-out can not be struck", "pair", _strike_of_a_strike),
    ("marks before GO and after the bell", "pair", _round_the_bell),
    ("a lift missed, made on the second try, racked, and a heavier one", "pair", _lifted),
    ("lifts without a declaration, too light and too heavy", "pair", _undeclared),
    ("a repetition for a member who rests", "pair", lambda sheet: [
        sheet.mark("rep", 1_000, 0, member=1), sheet.mark("rep", 2_000, 0, member=2), sheet.mark("rep", 3_000, 0, member=7),
    ]),
    ("a repetition in the rest", "pair", lambda sheet: [sheet.rep(190_000), sheet.rep(190_000, 1)]),
    ("a work list finished", "list", _list_done),
    ("a work list cut short", "list", _list_short),
    ("a work list without its finish", "list", lambda sheet: _list_done(sheet)[:-1]),
    ("rounds until the bell", "rounds", lambda sheet: [sheet.rep(500 * i) for i in range(1, 20)]),
    ("a ladder of repetitions missed at the third rung", "ladder", _ladder),
    ("three attempts, one try, no going down", "lift", _attempts),
    ("the best of several measures within bounds", "measure", _measures),
    ("a lane handed over to another tablet", "pair", _handed_over),
    ("two tablets count one athlete", "pair", _counted_twice),
    ("a stray touch on a tablet that was left", "pair", _stray_touch),
    ("three tablets by turns", "pair", _three_by_turns),
    ("two tablets judge one lift", "pair", _lifts_judged_twice),
    ("a judge and an athlete sign, the judge twice", "pair", lambda sheet: [
        sheet.mark("sign", 1_400_000, who="judge", name="Io"),
        sheet.mark("sign", 1_401_000, who="athlete", name="Wren"),
        sheet.mark("sign", 1_402_000, who="judge", name="Io Lund"),
    ]),
]  # fmt: skip


def _through_a_hold(sheet: Sheet) -> list[dict[str, Any]]:
    """A tablet that was offline when the heat was held for half a minute, at 1:00, and counted on."""
    return [sheet.rep(at, 0) for at in (59_000, 60_000, 60_900, 61_000, 75_000, 89_999, 90_000, 91_000, 149_999, 150_000)]


def _aware_of_a_hold(sheet: Sheet) -> list[dict[str, Any]]:
    """One that knew: before, in the reaction to it, and after, with what its clock had stood."""
    return [sheet.rep(59_000, 0), sheet.rep(60_000, 0), sheet.mark("rep", 60_500, 0, held=30_000)]


def _lift_in_a_hold(sheet: Sheet) -> list[dict[str, Any]]:
    declared = sheet.declare(30_000, "100 kg")
    return [declared, sheet.lift(47_000, "100 kg", True, declared=declared["id"]), sheet.mark("racked", 52_000)]


def _by_hand(sheet: Sheet) -> list[dict[str, Any]]:
    """Counted by a clock started by hand until the desk's GO was known, at 0:40."""
    hand = [sheet.mark("rep", at, 0, hand=True) for at in (1_000, 2_000, 178_700)]
    return [*hand, sheet.rep(40_000, 0), sheet.mark("note", 40_000, late=1_400, text="Hand start: 1.40 s after GO.")]


TIMED_SCENES: list[tuple[str, str, Any, list[Hold], int]] = [
    ("a heat held and gone on, the tablet offline", "pair", _through_a_hold, [Hold(at_ms=60_000, for_ms=30_000)], 0),
    ("a heat held and gone on, the tablet told", "pair", _aware_of_a_hold, [Hold(at_ms=60_000, for_ms=30_000)], 0),
    ("a heat that is held now", "pair", _through_a_hold, [Hold(at_ms=60_000)], 0),
    ("held twice at one moment", "pair", _through_a_hold, [Hold(at_ms=60_000, for_ms=10_000), Hold(at_ms=60_000, for_ms=0)], 0),
    ("a lift decided in a hold", "lift", _lift_in_a_hold, [Hold(at_ms=45_000, for_ms=20_000)], 0),
    ("a clock started by hand, as it was", "pair", _by_hand, [], 0),
    ("a clock started by hand, shifted", "pair", _by_hand, [], 1_400),
    ("a clock started by hand, shifted, in a held heat", "pair", _by_hand, [Hold(at_ms=1_500, for_ms=1_000)], 1_400),
    ("a hold that the desk never gave", "pair", _aware_of_a_hold, [], 0),
]


def clock_cases() -> list[dict[str, Any]]:
    """Moments at every edge, and offsets from exchanges of time stamps."""
    cases: list[dict[str, Any]] = []
    for key, format in sorted(FORMATS.items()):
        plain = json.loads(format.model_dump_json())
        edges = sorted({e + d for w in format.windows for e in (w.start_ms, w.end_ms) for d in (-1, 0, 1)} | {-10_000})
        for ms in edges:
            cases.append(
                {
                    "name": f"{key} at {ms}",
                    "call": "moment_at",
                    "args": [plain, ms],
                    "expect": moment_plain(moment_at(format, ms)),
                }
            )
    return cases + offset_cases() + link_cases() + hold_cases() + state_cases()


def state_cases() -> list[dict[str, Any]]:
    """How a heat stands at every edge of its clock, whatever the desk made of its run, held and not."""
    cases = []
    ways: dict[str, list[Hold]] = {"never": [], "held": [Hold(at_ms=5_000)], "once": [Hold(at_ms=5_000, for_ms=3_000)]}
    for state in ("set", "stopped", "closed"):
        for way, held in ways.items():
            holds = [one.model_dump() for one in held]
            run = Run.model_validate({"heat": "het_1", "number": 1, "state": state, "holds": holds})
            for ms in (-1, 0, 4_999, 5_000, 7_999, 8_000, 9_999, 10_000, 12_999, 13_000):
                args = [state, 10_000, ms, holds]
                expect = heat_state(run, 10_000, ms, 0).value
                cases.append({"name": f"{state}, {way}, {ms} after GO", "call": "heat_state", "args": args, "expect": expect})
    return cases


def link_cases() -> list[dict[str, Any]]:
    """Whole exchanges over simulated links, lost pings left out; the sums must be the same to the last bit."""
    cases = []
    for number, (there, back, drift) in enumerate(
        [((0.0, 80.0), (0.0, 80.0), 100.0), ((0.0, 80.0), (0.0, 5.0), -100.0), ((3.0, 5.0), (3.0, 5.0), 40.0)]
    ):
        for seed in range(4):
            journey = Journey(Link(there, back, drift_ppm=drift), 100 * number + seed)
            pings = [[round(one, 3) for one in stamps] for _, stamps in journey.pings(FIRST_PINGS + 8) if stamps is not None]
            offset = Offset()
            for stamps in pings:
                offset.add(*stamps)
            now = pings[-1][3] + 1000
            cases.append(_offset_case(f"link {number}, tablet {seed}", pings, offset, now))
    slept = SleepyOffset(drift_ppm=0.0, grain_ms=1.0)
    slept.add(0.0, 1040.0, 1041.0, 65.0)
    slept.slept(512.0, True)
    return [*cases, _offset_case("slept", [[0.0, 1040.0, 1041.0, 65.0]], slept, 1000.0, [512.0, True])]


def _offset_case(
    name: str, pings: list[list[float]], offset: Offset, now: float, slept: list[Any] | None = None
) -> dict[str, Any]:
    args = [pings, offset.drift_ppm, now, offset.grain_ms, slept]
    return {"name": name, "call": "offset", "args": args, "expect": list(offset.estimate(now) or ())}


def hold_cases() -> list[dict[str, Any]]:
    """Moments of a heat that was held twice and is held now, and the example of RFC 5905's formulas."""
    holds = [Hold(at_ms=5_000, for_ms=2_000), Hold(at_ms=5_000, for_ms=500), Hold(at_ms=9_000)]
    times = [-3_000, 0, 4_999, 5_000, 5_001, 6_999, 7_000, 7_499, 7_500, 9_000, 11_499, 11_500, 11_501, 60_000]
    cases = [
        {"name": f"{count} holds at {ms}", "call": "heat_time", "args": [ms, [h.model_dump() for h in holds[:count]]],
         "expect": asdict(heat_time(ms, holds[:count]))}
        for count in (0, 1, 3) for ms in times
    ]  # fmt: skip
    stamps = [0.410634, 0.415284, 0.415471, 0.430596]
    return [*cases, {"name": "RFC 5905", "call": "rfc5905_offset", "args": stamps, "expect": list(rfc5905_offset(*stamps))}]


def offset_cases() -> list[dict[str, Any]]:
    """Exchanges that narrow the offset, that age, and that show a stepped clock. Powers of two keep the floats exact."""
    exchanges = [
        [0.0, 1040.0, 1041.0, 65.0],
        [200.0, 1208.0, 1209.0, 225.0],
        [400.0, 1464.0, 1465.0, 473.0],
        [600.0, 1602.0, 1603.0, 613.0],
    ]
    cases = []
    for n in range(1, len(exchanges) + 1):
        offset = Offset(drift_ppm=0.0)
        for exchange in exchanges[:n]:
            offset.add(*exchange)
        cases.append(
            {
                "name": f"{n} exchanges",
                "call": "offset",
                "args": [exchanges[:n], 0.0, 1000.0],
                "expect": list(offset.estimate(1000.0) or ()),
            }
        )
    stepped = Offset(drift_ppm=0.0)
    jumped = [exchanges[0], [200.0, 5208.0, 5209.0, 225.0]]
    for exchange in jumped:
        stepped.add(*exchange)
    cases.append(
        {
            "name": "a stepped clock",
            "call": "offset",
            "args": [jumped, 0.0, 1000.0],
            "expect": list(stepped.estimate(1000.0) or ()),
        }
    )
    return cases


MADE: dict[str, Callable[[], list[dict[str, Any]]]] = {
    "again.json": again_scenes.cases,
    "authority.json": authority_scenes.cases,
    "clock.json": clock_cases,
    "faults.json": fault_scenes.cases,
    "tally.json": lambda: [
        *tally_cases(),
        *timed_cases(),
        *judge_cases(),
        *beyond_cases(),
        *number_scenes.cases(),
        *declared_scenes.cases(),
        *doubt_scenes.cases(),
    ],
    "lift_order.json": lambda: [*lift_order_scenes.cases(), *opener_scenes.cases()],
    "markings.json": marking_scenes.cases,
    "scores.json": lambda: [*score_scenes.cases(), *score_scenes.point_cases()],
    "turns.json": turn_scenes.cases,
    "plates.json": plate_scenes.cases,
    "typed_loads.json": typed_loads.cases,
}


def text_of(name: str) -> str:
    """A file by its name, one case a line, so that a change reads well."""
    lines = ",\n".join(json.dumps(case, ensure_ascii=False, separators=(",", ":")) for case in MADE[name]())
    return f"[\n{lines}\n]\n"


def main() -> None:
    """Writes the files."""
    for name in MADE:
        (HERE / name).write_text(text_of(name), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
